/**
 * One labelled field of the part file. What is typed is kept as typed; a length shows both units beside; a fault of its key stands under it.
 * A field: {el, update(now)}.
 */
import { fill, h, keepList, put, text } from "../dom.js";
import { concerns } from "../logic/paths.js";
import { typedPointOps, typedValue, written } from "../logic/placing.js";
import { angle, fromMm, length } from "../logic/units.js";

let made = 0;

/**
 * @param ctx the screen's {app, desk, marks}
 * @param {{path: string, label: string, kind: "length"|"angle"|"number"|"place"|"text"|"choice", options?: [string, string][] | (now) => [string, string][],
 *   suggest?: (now) => string[], optional?: boolean, absent?: string, pair?: boolean}} of
 *   `absent` what counts when the key is left out; `suggest` words offered while typing; `pair`: may also be [one, other]
 */
export function field(ctx, of) {
  const id = `part-field-${(made += 1)}`;
  const isChoice = of.kind === "choice";
  const input = isChoice ? h("select", { id }) : h("input", { id, type: "text", autocomplete: "off", spellcheck: "false", "data-kind": of.kind });
  const both = h("span", { class: "part-both" });
  const faults = h("div", { class: "part-field-faults", id: `${id}-faults` });
  const words = of.suggest ? h("datalist", { id: `${id}-words` }) : null;
  if (words) put(input, "list", words.id);
  put(input, "data-key", of.path);
  const el = h("div", { class: "part-field" }, h("label", { for: id }, of.label), h("div", { class: "part-field-line" }, input, words, both), faults);
  const shownNow = () => entry(ctx.now(), of);
  input.onchange = () => {
    const typed = input.value.trim();
    const was = shownNow();
    if (typed === was) return;
    // a key that must be there is not emptied: what rules stays in sight
    if (typed === "" && !of.optional) {
      put(input, "value", was);
      return;
    }
    ctx.app.wish("edit-draft", { ops: [typed === "" && of.optional ? { op: "remove", path: of.path } : setOp(of, typed)] }).then((done) => {
      if (!done) put(input, "value", shownNow());
    });
  };
  if (!isChoice) {
    input.onkeydown = (event) => {
      if (event.key !== "Escape" || input.value === shownNow()) return;
      put(input, "value", shownNow());
      event.stopPropagation();
    };
  }
  return {
    el,
    update(now) {
      const typed = entry(now, of);
      if (isChoice) showOptions(input, of, now, typed);
      else if (document.activeElement !== input || input.dataset.was === input.value) put(input, "value", typed);
      input.dataset.was = typed;
      if (!isChoice && of.absent) put(input, "placeholder", of.absent);
      if (words) keepList(words, of.suggest(now), (w) => w, (w) => h("option", { value: w }));
      text(both, bothUnits(now, of));
      showFaults(ctx, input, faults, now, of.path);
    },
  };
}

/** The value a path has in the file, or the two of a pair. */
const valuesAt = (now, { path, pair }) => {
  const values = now.draft?.sketch?.values ?? {};
  if (values[path]) return [values[path]];
  return pair && values[`${path}[1]`] && values[`${path}[2]`] ? [values[`${path}[1]`], values[`${path}[2]`]] : [];
};
const entry = (now, of) => {
  const words = valuesAt(now, of).map((value) => String(value.text ?? value.typed ?? ""));
  return words.length === 2 ? `[${words.join(", ")}]` : (words[0] ?? "");
};
function setOp(of, typed) {
  if (of.kind === "text" || of.kind === "choice") return { op: "set", path: of.path, value: typed };
  const pair = of.pair && /^\[([^,]*),([^,]*)\]$/.exec(typed);
  return { op: "set", path: of.path, ...(pair ? { value: pair.slice(1).map(typedValue) } : { typed }) };
}

function bothUnits(now, of) {
  const one = (value) => (["length", "place"].includes(of.kind) && typeof value.mm === "number" ? length(value.mm, now.units) : of.kind === "angle" && typeof value.deg === "number" ? angle(value.deg) : "");
  return valuesAt(now, of).map(one).filter(Boolean).join(", ");
}

function showOptions(select, of, now, typed) {
  const given = typeof of.options === "function" ? of.options(now) : of.options;
  const wanted = [...(of.optional ? [["", of.absent ?? ""]] : []), ...given];
  if (typed && !wanted.some(([value]) => value === typed)) wanted.push([typed, typed]);
  if (!typed && !of.optional) wanted.unshift(["", ""]);
  const key = JSON.stringify(wanted);
  if (select.dataset.options !== key) {
    select.dataset.options = key;
    fill(select, wanted.map(([value, words]) => h("option", { value }, words)));
  }
  if (select.value !== typed) select.value = typed;
}

/** Faults of a key under its input, tied to it for who does not see them. */
export function showFaults(ctx, input, el, now, path) {
  const faults = ctx.marks.filter((m) => m.severity === "fault" && concerns(m.key, path));
  keepList(el, faults, (m) => `${m.n} ${m.say}`, (m) => h("p", {}, h("b", { class: "part-n" }, String(m.n)), ` ${m.say}`));
  put(input, "aria-invalid", faults.length ? "true" : null);
  put(input, "aria-describedby", faults.length ? el.id : null);
}

/** Several fields under a heading, with what else is put among them. */
export function fieldset(title, ...children) {
  return h("fieldset", { class: "part-set" }, h("legend", {}, title), ...children);
}

/**
 * A point by number: x and y in the file's unit, or with a unit.
 * @param {{path: string, label: string, mm: (now) => number[]|null, paths?: (now) => string[]}} of `paths` every key that is this same place
 */
export function pointField(ctx, of) {
  const ids = ["x", "y"].map((axis) => `part-field-${(made += 1)}-${axis}`);
  const inputs = ids.map((id, i) => h("input", { id, type: "text", autocomplete: "off", spellcheck: "false", "data-kind": "length", "data-key": `${of.path}[${i + 1}]`, "aria-label": `${of.label} ${"xy"[i]}` }));
  const both = h("span", { class: "part-both" });
  const faults = h("div", { class: "part-field-faults", id: `${ids[0]}-faults` });
  const tools = h("span", { class: "part-xy-tools" });
  const shown = (now, i) => {
    const typed = now.draft?.sketch?.values?.[`${of.path}[${i + 1}]`]?.typed;
    const held = ctx.desk.get().moves[of.path];
    const mm = held ?? of.mm(now);
    return (held ? undefined : typed) ?? (mm && Number.isFinite(mm[i]) ? String(written(fromMm(mm[i], now.draft.sketch.units), now.draft.sketch.units)) : "");
  };
  inputs.forEach((input, i) => {
    input.onchange = () => {
      const now = ctx.now();
      const words = inputs.map((one) => one.value.trim());
      if (words[i] === shown(now, i)) return;
      if (words[i] === "" && shown(now, i) !== "") put(input, "value", shown(now, i));
      if (words.includes("")) return;
      ctx.app.wish("edit-draft", { ops: typedPointOps(now.draft.sketch, of.paths?.(now) ?? [of.path], i, words) });
    };
  });
  return {
    el: h("div", { class: "part-field" }, h("div", { class: "part-xy-row" }, h("span", { class: "part-field-name" }, of.label), ...inputs.flatMap((input, i) => [h("label", { for: ids[i] }, "xy"[i]), input]), tools), both, faults),
    tools,
    inputs,
    update(now) {
      inputs.forEach((input, i) => {
        const typed = shown(now, i);
        if (document.activeElement !== input || input.dataset.was === input.value) put(input, "value", typed);
        input.dataset.was = typed;
      });
      const mm = ctx.desk.get().moves[of.path] ?? of.mm(now);
      text(both, mm && mm.every(Number.isFinite) ? mm.map((c) => length(c, now.units)).join(", ") : "");
      for (const input of inputs) showFaults(ctx, input, faults, now, of.path);
    },
  };
}
