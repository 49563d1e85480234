/** Panels of notches, flutes, joggles and beads. */
import { h, keepList, put } from "../dom.js";
import { inFile } from "../logic/placing.js";
import { field, fieldset, pointField } from "./part-field.js";
import { balloonOf, edgeNames, plainPanel } from "./part-others.js";

const detailAt = (now, path) => (now.draft.sketch?.others ?? []).find((o) => o.path === path);
const kindOf = (path) => path.split("[")[0];

/** The fields of each kind in the order of the manual: [key, kind, more]. */
const FIELDS = {
  notch: [["edge", "edge"], ["at", "place"], ["width", "length"], ["depth", "length"], ["corner_radius", "length", "0"], ["flange_gap", "length", "0"]],
  flute: [["edge", "edge"], ["at", "place"], ["width", "length"], ["depth", "length"], ["turn", "turn"]],
  joggle: [["edge", "edge"], ["from", "place"], ["to", "place"], ["depth", "length"], ["length", "length"]],
  bead: [["section", "section"], ["width", "length"], ["depth", "length"], ["radius", "length", "not_said"], ["edge_radius", "length", "not_said"], ["end", "text", "not_said"], ["turn", "turn"]],
};

export function detailPanel(ctx, path) {
  const { say } = ctx.app;
  const kind = kindOf(path);
  const one = ([key, what, absent]) => {
    const of = { path: `${path}.${key}`, label: say(`part.${kind}_${key}`) };
    if (what === "edge") return field(ctx, { ...of, kind: "choice", options: edgeNames });
    if (what === "section") return field(ctx, { ...of, kind: "choice", options: ["round", "vee"].map((v) => [v, say(`part.section_${v}`)]) });
    if (what === "turn") return field(ctx, { ...of, kind: "choice", optional: true, absent: say("part.turn_down_absent"), options: ["down", "up"].map((v) => [v, say(`part.turn_${v}`)]) });
    if (what === "place") return placeField(ctx, of);
    return field(ctx, { ...of, kind: what, optional: absent !== undefined, absent: absent && (absent === "0" ? "0" : say(`part.${absent}`)) });
  };
  const fields = [...(kind === "bead" ? [beadPointFields(ctx, path)] : []), ...FIELDS[kind].map(one), balloonOf(ctx, path)];
  return plainPanel(ctx, path, {
    title: (now) => say(`part.${kind}_titled`, { name: detailAt(now, path)?.edge ?? path.slice(kind.length + 1, -1) }),
    about: () => say(`part.${kind}_about`), fields, remove: say(`part.remove_${kind}`),
  });
}
/** How many points a bead has: a row each. */
detailPanel.shape = (now, path) => String(detailAt(now, path)?.points_mm?.length ?? "");

/** A place along an edge: typed, or pressed in the drawing. */
function placeField(ctx, of) {
  const { desk } = ctx;
  const typed = field(ctx, { ...of, kind: "place" });
  const hand = h("button", { type: "button", "aria-label": `${ctx.app.say("part.place_hand")}: ${of.label}`, onclick: () => desk.set({ tool: { kind: "along", path: of.path } }) }, ctx.app.say("part.place_hand"));
  return {
    el: h("div", {}, typed.el, h("div", { class: "part-buttons" }, hand)),
    update(now) {
      typed.update(now);
      put(hand, "aria-pressed", String(desk.get().tool.path === of.path));
    },
  };
}

/** The points a bead runs along: moved by number or by hand, one added after any, taken away down to two. */
function beadPointFields(ctx, path) {
  const { app } = ctx;
  const { say } = app;
  const rows = h("div", { class: "part-points" });
  const fields = new Map();
  const mmOf = (now) => detailAt(now, path)?.points_mm ?? [];
  const make = (i) => {
    const own = `${path}.points[${i + 1}]`;
    const one = pointField(ctx, { path: own, label: String(i + 1), mm: (now) => mmOf(now)[i] ?? null });
    for (const input of one.inputs) input.onfocus = () => ctx.now().picked !== own && app.wish("pick", { path: own });
    const drop = h("button", { type: "button", class: "part-small", "aria-label": say("part.point_remove", { name: i + 1 }), onclick: () => app.wish("edit-draft", { ops: [{ op: "remove", path: own }] }) }, "×");
    const more = h("button", { type: "button", class: "part-small", "aria-label": say("part.point_after", { name: i + 1 }), onclick: () => {
      const now = ctx.now();
      app.wish("edit-draft", { ops: [{ op: "insert", path: `${path}.points[${i + 2}]`, value: inFile(between(mmOf(now), i), now.draft.sketch.units) }] });
    } }, "+");
    one.tools.append(more, drop);
    const row = h("div", { class: "part-point" }, one.el);
    fields.set(row, { ...one, drop, own });
    return row;
  };
  const update = (now) => {
    const points = mmOf(now);
    keepList(rows, points.map((_, i) => i), (i) => i, make, (row) => {
      const { drop, own, update: show } = fields.get(row);
      show(now);
      drop.disabled = points.length < 3;
      put(row, "data-picked", own === now.picked);
    });
  };
  return { el: fieldset(say("part.points"), rows), update };
}

/** The point halfway to the next; behind the last one, as far on again. */
function between(points, i) {
  const [a, b, c] = [points[i - 1], points[i], points[i + 1]];
  return b.map((v, k) => (c ? (v + c[k]) / 2 : 2 * v - a[k]));
}

/** A new bead from one point to another, by number or by hand. */
export function newBeadSet(ctx, make) {
  const { say } = ctx.app;
  const { desk } = ctx;
  const inputs = ["from", "to"].map((end) => ["x", "y"].map((axis) => h("input", { id: `part-new-bead-${end}-${axis}`, type: "text", autocomplete: "off", required: true, "aria-label": `${say(`part.${end}`)} ${axis}` })));
  const line = (end, pair) => h("div", { class: "part-field-line part-xy" }, h("span", { class: "part-field-name" }, say(`part.${end}`)), ...pair.flatMap((input, i) => [h("label", { for: input.id }, "xy"[i]), input]));
  const hand = h("button", { type: "button", onclick: () => desk.set({ tool: { kind: "new-bead", from: null } }) }, say("part.bead_hand"));
  const form = h("form", { onsubmit: (event) => {
    event.preventDefault();
    make(inputs.map((pair) => pair.map((input) => input.value)));
    inputs.flat().forEach((input) => { input.value = ""; });
  } }, line("from", inputs[0]), line("to", inputs[1]), h("div", { class: "part-buttons" }, h("button", { type: "submit" }, say("part.add_bead_number")), hand));
  return { el: fieldset(say("part.add_bead"), form), update: () => put(hand, "aria-pressed", String(desk.get().tool.kind === "new-bead")) };
}
