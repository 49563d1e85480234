/** The panel while an outline is drawn: edge by edge, by clicks in the drawing or by the numbers here. */
import { h, keepList, put, text } from "../dom.js";
import { PICK } from "../logic/desk.js";
import { back, changed, close, endSpline, penOps, penPoint, put as putPen, toStart, withKind } from "../logic/pen.js";
import { length, toMm } from "../logic/units.js";

export function penPanel(ctx) {
  const { app, desk } = ctx;
  const { say } = app;
  const pen = () => desk.get().pen;
  const set = (next) => desk.set({ pen: next });
  const kinds = ["line", "arc", "spline"].map((kind) => h("button", { type: "button", "data-kind": kind, onclick: () => set(withKind(pen(), kind)) }, say(`part.kind_${kind}`)));
  const [x, y] = ["x", "y"].map((axis) => h("input", { id: `part-pen-${axis}`, type: "text", inputmode: "decimal", autocomplete: "off", required: true, "data-key": `pen ${axis}` }));
  const wanted = h("p", { class: "part-field-name" });
  const number = (words) => { const v = Number(words.trim()); return words.trim() !== "" && Number.isFinite(v) ? v : null; };
  const add = h("form", { class: "part-field-line part-xy", onsubmit: (event) => {
    event.preventDefault();
    const point = [number(x.value), number(y.value)];
    put(x, "aria-invalid", point[0] === null ? "true" : null);
    put(y, "aria-invalid", point[1] === null ? "true" : null);
    if (point.includes(null)) return;
    set(putPen(pen(), point));
    x.value = y.value = "";
    x.focus();
  } }, h("label", { for: "part-pen-x" }, "x"), x, h("label", { for: "part-pen-y" }, "y"), y, h("button", { type: "submit" }, say("part.pen_add")));
  const rows = h("tbody");
  const place = h("p", { class: "part-pen-place", role: "status" });
  const table = h("table", { class: "part-pen-table" }, h("thead", {}, h("tr", {}, ["edge_name", "edge_kind", "from", "through", "to"].map((key) => h("th", { scope: "col" }, say(`part.${key}`))))), rows);
  const button = (words, act) => h("button", { type: "button", onclick: act }, words);
  const ended = button(say("part.pen_end_spline"), () => set(endSpline(pen())));
  const undo = button(say("part.pen_back"), () => set(back(pen())));
  const shut = button(say("part.pen_close"), () => set(close(pen())));
  const take = button(say("part.pen_take"), async () => {
    const had = ctx.now().draft.sketch?.loops?.find((l) => l.path === "web")?.edges.length ?? 0;
    if (await app.wish("edit-draft", { ops: penOps(pen(), had) })) desk.set({ tool: PICK, pen: null });
  });
  const el = h("div", {},
    h("div", { class: "part-buttons", role: "group", "aria-label": say("part.pen_kind") }, ...kinds), wanted, add, place, h("div", { class: "part-buttons" }, ended, undo, shut), table,
    h("div", { class: "part-buttons" }, take, button(say("part.pen_drop"), () => desk.set({ tool: PICK, pen: null }))));

  /** One edge by numbers: name, through (arcs) and to can be typed over. */
  const row = () => {
    const cell = () => h("td");
    const cells = [cell(), cell(), cell(), cell(), cell()];
    const name = h("input", { type: "text", "aria-label": say("part.edge_name") });
    const points = [0, 1].map((k) => h("input", { type: "text", "aria-label": say(k ? "part.to" : "part.through") }));
    cells[0].append(name);
    cells[3].append(points[0]);
    cells[4].append(points[1]);
    return Object.assign(h("tr", {}, ...cells), { cells_: cells, name, points });
  };
  const pairOf = (words) => { const pair = words.split(/[\s,;]+/).filter(Boolean).map(number); return pair.length === 2 && !pair.includes(null) ? pair : null; };
  return {
    el,
    title: () => say(pen()?.loop === "cutout" ? "part.pen_cutout" : "part.pen_outline"),
    about: (now) => say("part.pen_about", { unit: say(now.draft.sketch?.units === "mm" ? "part.unit_mm" : "part.unit_in") }),
    update(state) {
      const now = pen();
      if (!now) return;
      for (const one of kinds) put(one, "aria-pressed", String(one.dataset.kind === now.kind));
      text(wanted, now.closed ? say("part.hint_pen_closed") : !now.start ? say("part.pen_want_start") : now.kind === "arc" && now.pending.length === 0 ? say("part.pen_want_through") : say("part.pen_want_to"));
      add.hidden = now.closed;
      const [last, far, unit] = [penPoint(now), toStart(now), state.draft.sketch?.units ?? "in"];
      const both = (v) => length(toMm(v, unit), state.units);
      text(place, now.closed ? say("part.pen_closed", { n: now.edges.length }) : far === null ? (last ? say("part.pen_begun", { x: last[0], y: last[1] }) : "") : say("part.pen_far", { n: now.edges.length, x: last[0], y: last[1], far: both(far) }));
      ended.hidden = now.kind !== "spline" || now.pending.length === 0;
      undo.disabled = !now.start;
      shut.disabled = now.closed || now.edges.length + now.pending.length < 2;
      take.disabled = !now.closed;
      table.hidden = now.edges.length === 0;
      keepList(rows, now.edges.map((edge, i) => ({ edge, i })), ({ i }) => i, row, (tr, { edge, i }) => {
        const from = i ? now.edges[i - 1].points.at(-1) : now.start;
        if (document.activeElement !== tr.name) put(tr.name, "value", edge.name);
        text(tr.cells_[1], say(`part.kind_${edge.kind}`));
        text(tr.cells_[2], from.join(", "));
        const through = edge.kind === "arc" ? edge.points[0].join(", ") : edge.kind === "spline" ? say("part.n_points", { n: edge.points.length }) : "";
        tr.points[0].hidden = edge.kind === "line";
        tr.points[0].disabled = edge.kind !== "arc";
        [through, edge.points.at(-1).join(", ")].forEach((words, k) => document.activeElement !== tr.points[k] && put(tr.points[k], "value", words));
        tr.name.onchange = () => set(changed(pen(), i, { name: tr.name.value.trim() || edge.name }));
        tr.points.forEach((input, k) => {
          input.onchange = () => {
            const pair = pairOf(input.value);
            put(input, "aria-invalid", pair ? null : "true");
            if (pair) set(changed(pen(), i, { points: k ? [...edge.points.slice(0, -1), pair] : [pair, edge.points[1]] }));
          };
        });
      });
    },
  };
}

