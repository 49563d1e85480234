/** Panels of corners, cutouts, rivet rows, and of tables that the page has no fields for; what such panels share. */
import { h, put } from "../dom.js";
import { lineOf } from "../logic/text-marks.js";
import { shiftOps, together } from "../logic/placing.js";
import { drawnLoop } from "../logic/outline.js";
import { field, pointField } from "./part-field.js";
import { nameField } from "./part-names.js";

/** A panel of fields that change with nothing but their values, with a button that removes the thing. */
export function plainPanel(ctx, path, { title, about, fields, remove }) {
  const { app } = ctx;
  const gone = remove && h("div", { class: "part-buttons" }, h("button", { type: "button", onclick: () => app.wish("edit-draft", { ops: [{ op: "remove", path }] }).then((done) => done && app.wish("pick", { path: "" })) }, remove));
  return { el: h("div", {}, ...fields.map((f) => f.el), gone), title, about, update: (now) => fields.forEach((f) => f.update(now)) };
}

export const edgeNames = (now) => (now.draft.sketch?.loops ?? []).flatMap((l) => l.edges).map((e) => [e.name, e.name]).filter(([n]) => n);
export const balloonOf = (ctx, path) => field(ctx, { path: `${path}.balloon`, label: ctx.app.say("part.balloon"), kind: "text", optional: true });

export function cornerPanel(ctx, path, made) {
  const { say } = ctx.app;
  const corner = (now) => (now.draft.sketch?.corners ?? []).find((c) => c.path === path);
  const length = (key, more = {}) => field(ctx, { path: `${path}.${key}`, label: say(`part.corner_${key}`), kind: "length", optional: true, ...more });
  const relief = corner(made)?.relief;
  const fields = [
    field(ctx, { path: `${path}.at[1]`, label: say("part.corner_first"), kind: "choice", options: edgeNames }),
    field(ctx, { path: `${path}.at[2]`, label: say("part.corner_second"), kind: "choice", options: edgeNames }),
    field(ctx, { path: `${path}.relief`, label: say("part.relief"), kind: "choice", options: ["hole", "notch", "none"].map((r) => [r, say(`part.relief_${r}`)]) }),
    ...(relief === "none" ? [] : [length("diameter", { absent: say("part.by_rule") }), length("set_back", { absent: "0" })]),
    ...(relief === "notch" ? [length("gap", { absent: "0" })] : []),
    balloonOf(ctx, path),
  ];
  return plainPanel(ctx, path, { title: (now) => say("part.corner_titled", { names: (corner(now)?.at ?? []).join(" / ") }), about: () => say("part.corner_about"), fields, remove: say("part.remove_corner") });
}
cornerPanel.shape = (now, path) => (now.draft.sketch?.corners ?? []).find((c) => c.path === path)?.relief ?? "";

export function rivetsPanel(ctx, path) {
  const { say } = ctx.app;
  const row = (now) => (now.draft.sketch?.rivets ?? []).find((r) => r.path === path);
  const length = (key) => field(ctx, { path: `${path}.${key}`, label: say(`part.rivets_${key}`), kind: "length" });
  const fields = [
    field(ctx, { path: `${path}.edge`, label: say("part.rivets_edge"), kind: "choice", options: edgeNames }),
    field(ctx, { path: `${path}.on`, label: say("part.rivets_on"), kind: "choice", options: ["flange", "web"].map((w) => [w, say(`part.on_${w}`)]) }),
    length("line"), length("first"), length("pitch"), field(ctx, { path: `${path}.count`, label: say("part.rivets_count"), kind: "number" }), length("diameter"), length("edge_distance"), balloonOf(ctx, path),
  ];
  return plainPanel(ctx, path, { title: (now) => say("part.rivets_titled", { name: row(now)?.edge ?? "" }), fields, remove: say("part.remove_rivets") });
}

export function cutoutPanel(ctx, path) {
  const { app } = ctx;
  const { say } = app;
  const loop = (now) => (now.draft.sketch?.loops ?? []).find((l) => l.path === path);
  const start = pointField(ctx, { path: `${path}.start`, label: say("part.loop_start"), mm: (now) => loop(now)?.start_mm ?? null,
    paths: (now) => together((now.draft.sketch.loops ?? []).map(drawnLoop), `${path}.start`) });
  return plainPanel(ctx, path, { title: (now) => say("part.cutout_named", { name: loop(now)?.name ?? "" }), about: () => say("part.cutout_about"), fields: [nameField(ctx, path, say("part.cutout_name")), start, shiftForm(ctx, path), byHand(ctx, path), balloonOf(ctx, path)], remove: say("part.remove_cutout") });
}

/** Moves a whole cutout by so much along x and y. */
function shiftForm(ctx, path) {
  const { say, wish } = ctx.app;
  const [x, y] = ["x", "y"].map((axis) => h("input", { id: `part-shift-${axis}`, type: "text", inputmode: "decimal", autocomplete: "off", required: true }));
  const el = h("form", { class: "part-field", onsubmit: (event) => {
    event.preventDefault();
    const by = [x, y].map((one) => Number(one.value.trim()));
    [x, y].forEach((one, i) => put(one, "aria-invalid", Number.isFinite(by[i]) ? null : "true"));
    const now = ctx.now();
    const loop = now.draft.sketch.loops.find((l) => l.path === path);
    if (loop && by.every(Number.isFinite)) wish("edit-draft", { ops: shiftOps(loop, by, now.draft.sketch.units) });
  } }, h("span", { class: "part-field-name" }, say("part.move_by")),
  h("div", { class: "part-field-line part-xy" }, h("label", { for: x.id }, "x"), x, h("label", { for: y.id }, "y"), y, h("button", { type: "submit" }, say("part.move"))));
  return { el, update() {} };
}

/** Places a whole cutout by hand, by its start. */
function byHand({ app, desk }, path) {
  const button = h("button", { type: "button", onclick: () => desk.set({ tool: { kind: "place-loop", path } }) }, app.say("part.place_hand"));
  return { el: h("div", { class: "part-buttons" }, button), update: () => put(button, "aria-pressed", String(desk.get().tool.kind === "place-loop")) };
}

/** A table without fields of its own: where it stands in the file. */
export function otherPanel(ctx, path) {
  const { app } = ctx;
  const { say } = app;
  return plainPanel(ctx, path, { title: () => path, about: (now) => say("part.other_about", { line: lineOf(now.draft.text, path) }), fields: [], remove: say("part.remove_other") });
}

