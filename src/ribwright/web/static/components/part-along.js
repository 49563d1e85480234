/** A value that is the same along an edge, or changes along it by places: [[place, value], ...]. */
import { h, keepList, put, text } from "../dom.js";
import { rowsOf, rowsValue } from "../logic/along.js";
import { written } from "../logic/placing.js";
import { fromMm, length } from "../logic/units.js";
import { field, showFaults } from "./part-field.js";

let made = 0;

/** @param {{path: string, label: string, kind: "length"|"angle", stations: (now) => number | any[][] | null}} of */
export function alongField(ctx, of) {
  const { say, wish } = ctx.app;
  const id = `part-along-${(made += 1)}`;
  const one = field(ctx, of);
  const varying = h("button", { type: "button", class: "part-turn-over" }, "");
  const list = h("div", { class: "part-along-rows" });
  const faults = h("div", { class: "part-field-faults", id: `${id}-faults` });
  const table = h("div", { class: "part-along", role: "group", "aria-label": of.label }, h("p", { class: "part-field-name" }, of.label), list, faults);
  const el = h("div", { class: "part-along-box" }, one.el, table, varying);
  let rows = [];
  const typedAt = (now, i, k) => now.draft.sketch.values?.[`${of.path}[${i + 1}][${k + 1}]`];
  const send = (next) => wish("edit-draft", { ops: [{ op: "set", path: of.path, value: rowsValue(next) }] });

  varying.onclick = () => {
    const now = ctx.now();
    const value = of.stations(now);
    if (Array.isArray(value)) wish("edit-draft", { ops: [{ op: "set", path: of.path, typed: rows[0]?.[1] ?? "" }] });
    else {
      const typed = now.draft.sketch.values?.[of.path]?.typed ?? "";
      send([["start", typed], ["end", typed]]);
    }
  };
  const rowOf = () => {
    const inputs = [say("part.place_along"), say("part.value")].map((words) => h("input", { type: "text", autocomplete: "off", "aria-label": words }));
    const gone = h("button", { type: "button", class: "part-small", "aria-label": say("part.row_remove") }, "×");
    const more = h("button", { type: "button", class: "part-small", "aria-label": say("part.row_add") }, "+");
    const both = h("span", { class: "part-both" });
    const node = h("div", { class: "part-along-row" }, ...inputs, more, gone, both);
    Object.assign(node, { inputs, gone, more, both });
    return node;
  };
  /** A row's lengths in both units; a share of the edge has none. */
  const inBoth = (now, [measure, at, v]) => [measure === "mm" && typeof at === "number" ? say("part.at_way", { way: length(at, now.units) }) : "", of.kind === "length" && typeof v === "number" ? length(v, now.units) : ""].filter(Boolean).join(": ");
  return {
    el,
    update(now) {
      const value = of.stations(now);
      const many = Array.isArray(value);
      one.el.hidden = many;
      table.hidden = !many;
      text(varying, say(many ? "part.same_along" : "part.vary_along"));
      put(varying, "data-key", `${of.path} vary`);
      varying.disabled = !many && !now.draft.sketch.values?.[of.path];
      if (!many) {
        one.update(now);
        return;
      }
      const unit = now.draft.sketch.units;
      const shown = rowsOf(value, (v, isPlace) => (typeof v !== "number" ? "" : isPlace || of.kind === "length" ? String(written(fromMm(v, unit), unit)) : String(Number(v.toFixed(4)))));
      rows = shown.map((row, i) => row.map((words, k) => { const e = typedAt(now, i, k); return e ? String(e.text ?? e.typed) : words; }));
      keepList(list, rows.map((row, i) => ({ row, i })), ({ i }) => i, rowOf, (node, { row, i }) => {
        node.inputs.forEach((input, k) => {
          if (document.activeElement !== input || input.dataset.was === input.value) put(input, "value", row[k]);
          input.dataset.was = row[k];
          put(input, "data-key", `${of.path}[${i + 1}][${k + 1}]`);
          input.onchange = () => send(rows.map((r, j) => (j === i ? node.inputs.map((one_) => one_.value) : r)));
          showFaults(ctx, input, faults, now, of.path);
        });
        text(node.both, inBoth(now, value[i]));
        node.gone.disabled = rows.length < 2;
        node.gone.onclick = () => send(rows.filter((_, j) => j !== i));
        node.more.onclick = () => send([...rows.slice(0, i + 1), [i + 1 < rows.length ? "50 %" : "end", row[1]], ...rows.slice(i + 1)]);
      });
    },
  };
}

