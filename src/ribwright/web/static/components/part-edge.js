/** The panel of an edge: name, kind, flange, its points, split and removal. */
import { h, keepList, text } from "../dom.js";
import { atWay } from "../logic/curves.js";
import { drawnLoop } from "../logic/outline.js";
import { newOnEdge } from "../logic/details.js";
import { bareEdges, kindOps, newFlange, newRivets, ownPoints } from "../logic/making.js";
import { inFile } from "../logic/placing.js";
import { length } from "../logic/units.js";
import { field, fieldset } from "./part-field.js";
import { flangeFields } from "./part-flange.js";
import { nameField } from "./part-names.js";
import { ownFields } from "./part-own.js";
import { pointsTable } from "./part-points.js";

const NEW = "\u0000new";

/** The edge's loop and the edge itself, as sketched. */
export function edgeAt(now, path) {
  for (const loop of now.draft.sketch?.loops ?? []) {
    const edge = loop.edges.find((e) => e.path === path);
    if (edge) return { loop, edge };
  }
  return {};
}

export function edgePanel(ctx, path, made) {
  const { app, desk } = ctx;
  const { say } = app;
  const edit = (ops) => app.wish("edit-draft", { ops });
  const drawn = (now) => {
    const { loop } = edgeAt(now, path);
    return loop ? drawnLoop(loop).edges.find((e) => e.path === path) : null;
  };
  const first = edgeAt(made, path).edge;
  const name = nameField(ctx, path, say("part.edge_name"));

  const kind = h("select", { id: "part-edge-kind", "data-key": `${path} kind` }, ["line", "arc", "spline"].map((k) => h("option", { value: k }, say(`part.kind_${k}`))));
  kind.onchange = () => {
    const edge = drawn(ctx.now());
    const unit = ctx.now().draft.sketch.units;
    const at = (share) => { const q = atWay(edge.walked, edge.way * share); return inFile([q.x, q.y], unit); };
    if (!edge || edge.walked.length === 0) return;
    const filed = { ...edge, points: edge.points.map((p) => inFile(p, unit)) };
    const on = [at(1 / 3), at(1 / 2), at(2 / 3)];
    if (kind.value === "arc" && edge.kind === "line") on[1] = bowed(edge, unit);
    edit(kindOps(filed, kind.value, on));
  };
  const tangent = first?.kind === "spline"
    ? field(ctx, { path: `${path}.tangent`, label: say("part.tangent"), kind: "choice", optional: true, absent: say("part.tangent_none"), options: ["start", "end", "both"].map((w) => [w, say(`part.tangent_${w}`)]) })
    : null;

  // the flange: one of those that are there, a new one, none
  const flange = h("select", { id: "part-edge-flange", "data-key": `${path} flange` });
  const fresh = newFlangeForm(ctx, path);
  const own = first?.flange ? flangeFields(ctx, first.flange, { edge: path }) : null;
  flange.onchange = () => {
    fresh.el.hidden = flange.value !== NEW;
    if (flange.value === NEW) fresh.el.querySelector("input").focus();
    else if (flange.value) edit([{ op: "set", path: `${path}.flange`, value: flange.value }]);
    else edit([{ op: "remove", path: `${path}.flange` }]);
  };

  const everywhere = h("button", { type: "button", onclick: () => {
    const now = ctx.now();
    edit(bareEdges(now.draft.sketch, path).map((other) => ({ op: "set", path: `${other}.flange`, value: edgeAt(now, path).edge.flange })));
  } }, say("part.flange_everywhere"));
  const points = pointsTable(ctx, path);
  const carried = ownFields(ctx, path, ["contour", "flange_width", "flange_angle", "bend_radius"]);
  const tool = (kind_) => desk.set({ tool: { kind: kind_, path } });
  const fromFile = h("div", { class: "part-from-file" }, h("p", {}, say("part.from_file", { name: first?.ordinates ?? "" })),
    h("button", { type: "button", onclick: () => {
      const { edge } = edgeAt(ctx.now(), path);
      edit(ownPoints(path, edge.points_mm.map((p) => inFile(p, ctx.now().draft.sketch.units))));
    } }, say("part.own_points")));
  fromFile.hidden = !first?.ordinates;
  const middle = () => {
    const edge = drawn(ctx.now());
    if (!edge?.walked.length) return;
    const q = atWay(edge.walked, edge.way / 2);
    edit([{ op: "split", path, at: inFile([q.x, q.y], ctx.now().draft.sketch.units) }]);
  };
  const button = (words, act) => h("button", { type: "button", onclick: act }, words);
  const el = h("div", {},
    name.el,
    h("div", { class: "part-field" }, h("label", { for: "part-edge-kind" }, say("part.edge_kind")), h("div", { class: "part-field-line" }, kind)),
    tangent?.el,
    fieldset(say("part.flange"), h("div", { class: "part-field" }, h("label", { for: "part-edge-flange" }, say("part.flange_on")), h("div", { class: "part-field-line" }, flange)), fresh.el, everywhere, own?.el),
    fieldset(say("part.points"), fromFile, points.el),
    carried.el,
    fieldset(say("part.more"), h("div", { class: "part-buttons" },
      button(say("part.split_middle"), middle), button(say("part.split_hand"), () => tool("split")),
      first?.kind === "spline" && !first.ordinates ? button(say("part.insert_hand"), () => tool("insert")) : null,
      button(say("part.add_rivets"), () => {
        const { ops, path: made_ } = newRivets(ctx.now().draft.sketch, edgeAt(ctx.now(), path).edge.name);
        edit(ops).then((done) => done && app.wish("pick", { path: made_ }));
      }),
      ...["notch", "flute", "joggle"].map((kind_) => button(say(`part.add_${kind_}`), () => {
        const { ops, path: made_ } = newOnEdge(ctx.now().draft.sketch, kind_, edgeAt(ctx.now(), path).edge.name);
        edit(ops).then((done) => done && app.wish("pick", { path: made_ }));
      })),
      button(say("part.remove_edge"), () => edit([{ op: "remove", path }]).then((done) => done && app.wish("pick", { path: "" }))))));
  return {
    el,
    moved: (now) => points.update(now),
    title: (now) => {
      const called = edgeAt(now, path).edge?.name ?? "";
      return /^edge\b/i.test(called) ? called : say("part.edge_titled", { name: called });
    },
    about: (now) => {
      const edge = drawn(now);
      return edge?.way ? say("part.edge_about", { length: length(edge.way, now.units) }) : say("part.edge_undrawn");
    },
    update(now) {
      const { edge } = edgeAt(now, path);
      if (!edge) return;
      name.update(now);
      if (document.activeElement !== kind) kind.value = edge.kind;
      tangent?.update(now);
      const names = (now.draft.sketch.flanges ?? []).map((f) => f.name);
      const options = [["", say("part.flange_none")], ...names.map((n) => [n, n]), ...(edge.flange && !names.includes(edge.flange) ? [[edge.flange, edge.flange]] : []), [NEW, say("part.flange_new")]];
      keepList(flange, options, ([v]) => v, ([v]) => h("option", { value: v }), (option, [, words]) => text(option, words));
      if (flange.value !== NEW || edge.flange !== (first?.flange ?? null)) flange.value = edge.flange ?? "";
      fresh.el.hidden = flange.value !== NEW;
      everywhere.hidden = !edge.flange || bareEdges(now.draft.sketch, path).length === 0;
      own?.update(now);
      points.update(now);
      carried.update(now);
    },
  };
}
edgePanel.shape = (now, path) => {
  const { edge } = edgeAt(now, path);
  return edge ? [edge.kind, edge.ordinates, edge.flange].join() : "gone";
};

/** A point beside the middle of a straight edge, for the arc it becomes: out by an eighth of its length. */
function bowed(edge, unit) {
  const [a, b] = [edge.points[0], edge.points.at(-1)];
  const [dx, dy] = [b[0] - a[0], b[1] - a[1]];
  return inFile([(a[0] + b[0]) / 2 + dy / 8, (a[1] + b[1]) / 2 - dx / 8], unit);
}

/** The form of a new flange; nothing is filled in but what a person types. */
function newFlangeForm(ctx, edgePath) {
  const { say, wish } = ctx.app;
  const inputs = {};
  const row = (key, words, placeholder = "") => {
    inputs[key] = h("input", { type: "text", autocomplete: "off", id: `part-new-${key}`, placeholder });
    return h("div", { class: "part-field" }, h("label", { for: `part-new-${key}` }, words), h("div", { class: "part-field-line" }, inputs[key]));
  };
  const turn = h("select", { id: "part-new-turn" }, ["down", "up"].map((t) => h("option", { value: t }, say(`part.turn_${t}`))));
  const everywhere = h("input", { type: "checkbox" });
  const el = h("form", { class: "part-new-flange", hidden: true },
    row("name", say("part.flange_name")), row("width", say("part.width")), row("bend_angle", say("part.bend_angle"), say("part.bend_angle_hint")), row("bend_radius", say("part.bend_radius")),
    h("div", { class: "part-field" }, h("label", { for: "part-new-turn" }, say("part.turn")), h("div", { class: "part-field-line" }, turn)),
    h("label", { class: "part-check" }, everywhere, say("part.flange_everywhere")),
    h("button", { type: "submit" }, say("part.flange_make")));
  inputs.name.required = true;
  el.onsubmit = (event) => {
    event.preventDefault();
    const { width, bend_angle, bend_radius } = inputs;
    const { ops } = newFlange(edgePath, inputs.name.value.trim(), { width: width.value, bend_angle: bend_angle.value, bend_radius: bend_radius.value, turn: turn.value }, everywhere.checked ? bareEdges(ctx.now().draft.sketch, edgePath) : []);
    wish("edit-draft", { ops });
  };
  return { el };
}
