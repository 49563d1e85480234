/**
 * The drawing of the part: outline, flanges laid out beside it, bend lines, holes, reliefs, rivets, marks. Shows where the hand is;
 * `part-hand.js` says what a press, a drag or a key does.
 */
import { fill, h, keepList, put, s, text } from "../dom.js";
import { boundsOf, moved, outlineOf } from "../logic/outline.js";
import { placeOf } from "../logic/marks.js";
import { penLoop, penPoint } from "../logic/pen.js";
import { inMm } from "../logic/placing.js";
import { labelsOf, shapesOf } from "../logic/shapes.js";
import { fitted, matrix, panned, toPixels, zoomed } from "../logic/view.js";
import { mountHand } from "./part-hand.js";
import { axes, bar, hatches, legendOf, MARK_SHAPES } from "./part-sheet.js";

const LAYERS = ["material", "bands", "frees", "bends", "rivets", "reliefs", "holes", "edges", "others", "picked", "pen"];

export function mount(el, ctx) {
  const { app, desk } = ctx;
  const { say } = app;
  const patterns = hatches();
  const layers = Object.fromEntries(LAYERS.map((name) => [name, s("g", { class: `part-layer-${name}` })]));
  const ground = s("g", { class: "part-ground" }, ...Object.values(layers));
  const over = Object.fromEntries(["axes", "labels", "marks", "handles", "ghost", "bar"].map((name) => [name, s("g", { class: `part-over-${name}` })]));
  const svg = s("svg", { class: "part-sheet", tabindex: 0, role: "group", "aria-label": say("part.drawing"), "aria-describedby": "part-drawing-keys" },
    s("defs", {}, ...patterns), ground, ...Object.values(over));
  const where = h("p", { class: "part-where", "aria-hidden": "true" });
  const hint = h("p", { class: "part-hint", id: "part-drawing-keys" });
  const tool = (label, sign, act) => h("button", { type: "button", "aria-label": say(label), title: say(label), onclick: act }, sign);
  const middle = () => [drawn.width / 2, drawn.height / 2];
  const legend = h("details", { class: "part-legend" }, h("summary", {}, say("part.legend")), legendOf(say));
  fill(el, h("h2", { class: "part-unseen" }, say("part.drawing")), h("div", { class: "part-sheet-box" }, svg,
    h("div", { class: "part-zoom", role: "group", "aria-label": say("part.zoom") },
      tool("part.nearer", "+", () => look(zoomed(drawn.view, 1.4, middle()))),
      tool("part.farther", "−", () => look(zoomed(drawn.view, 1 / 1.4, middle()))),
      tool("part.fit", say("part.fit_short"), () => fit())), legend, where), hint);

  /** What is drawn now: shared with the hand. */
  const drawn = { svg, width: 0, height: 0, view: fitted(null, 800, 500), outline: { loops: [] }, sketch: {}, shapes: null, labels: [], fitted: "", whole: true };

  const look = (view) => {
    drawn.view = view;
    drawn.whole = false;
    place(ctx.now());
  };
  /** The whole part; it stays whole when the sheet changes its size, until the view is moved. */
  const fit = () => {
    const { pen } = desk.get();
    const loop = pen && penLoop(pen, (p) => inMm(p, drawn.sketch.units));
    const outline = loop ? { loops: [...drawn.outline.loops, ...outlineOf({ loops: [loop] }).loops] } : drawn.outline;
    look(fitted(boundsOf(outline, drawn.sketch), drawn.width, drawn.height));
    drawn.whole = true;
  };
  const hand = mountHand(ctx, drawn, { look, fit, where, changed: () => place(ctx.now()) });

  /** Everything in mm: made anew when the sketch or a point in the hand has moved. */
  const draw = (now) => {
    const { moves, pen } = desk.get();
    const sketch = moved(now.draft.sketch ?? {}, moves);
    if (sketch !== drawn.sketch || !drawn.shapes) {
      drawn.outline = outlineOf(sketch);
      drawn.sketch = sketch;
      drawn.shapes = shapesOf(drawn.outline, sketch);
      drawn.labels = labelsOf(drawn.outline, sketch);
      put(layers.material, "data-open", drawn.outline.loops.some((l) => !l.closed));
      keepShapes(layers.material, [{ key: "web", d: drawn.shapes.material }]);
      for (const name of ["bands", "frees", "bends", "rivets", "reliefs", "holes", "edges", "others"]) keepShapes(layers[name], drawn.shapes[name]);
    }
    const loop = pen && penLoop(pen, (p) => inMm(p, sketch.units));
    keepShapes(layers.pen, loop ? outlineOf({ loops: [loop] }).loops[0].edges.filter((e) => e.d).map((e) => ({ key: e.path, d: e.d })) : []);
    pickShapes(now);
  };
  const pickShapes = (now) => {
    const owner = ctx.owner(now);
    const all = [...drawn.shapes.edges, ...drawn.shapes.holes, ...drawn.shapes.reliefs, ...drawn.shapes.rivets, ...drawn.shapes.others];
    const flange = owner.startsWith("flange.") ? owner.slice(7) : null;
    const flanged = flange === null ? [] : drawn.outline.loops.flatMap((l) => l.edges).filter((e) => e.flange === flange).map((e) => e.path);
    keepShapes(layers.picked, all.filter((shape) => shape.key === owner || flanged.includes(shape.key)).map((shape, i) => ({ ...shape, key: `${shape.key} ${i}`, part: "picked" })));
  };

  /** Everything in pixels: placed anew when the view has moved. */
  const place = (now) => {
    const { view } = drawn;
    put(ground, "transform", matrix(view));
    put(svg, "data-tool", desk.get().tool.kind);
    for (const pattern of patterns) put(pattern, "patternTransform", `${pattern.dataset.turn} scale(${1 / view.k})`);
    keepList(over.labels, placedLabels(drawn, now, ctx), (l) => l.key, () => s("text", { class: "part-label" }), (node, l) => {
      put(node, "x", l.x.toFixed(1));
      put(node, "y", l.y.toFixed(1));
      put(node, "text-anchor", l.anchor);
      put(node, "data-picked", l.picked);
      text(node, l.text);
    });
    keepList(over.marks, placedMarks(drawn, ctx.marks), (m) => m.key, () => s("g", { class: "part-mark" }, s("path"), s("text", { "text-anchor": "middle" })), (node, m) => {
      put(node, "transform", `translate(${m.x.toFixed(1)} ${m.y.toFixed(1)})`);
      put(node, "data-severity", m.severity);
      put(node.firstChild, "d", MARK_SHAPES[m.severity]);
      put(node.lastChild, "y", "6");
      text(node.lastChild, String(m.n));
    });
    fill(over.axes, axes(drawn, say));
    fill(over.bar, bar(drawn, now.units));
    hand.place(now, over.handles, over.ghost);
  };

  new ResizeObserver(() => {
    const { width, height } = svg.getBoundingClientRect();
    if (!width || (width === drawn.width && height === drawn.height)) return;
    const now = ctx.now();
    [drawn.view, drawn.width, drawn.height] = [panned(drawn.view, (width - drawn.width) / 2, (height - drawn.height) / 2), width, height];
    if (!now.draft) return;
    drawn.fitted = now.part;
    if (drawn.whole) fit();
    else place(now);
  }).observe(svg);

  const update = (now) => {
    draw(now);
    put(svg, "data-old", now.draft.old);
    text(hint, now.draft.old ? say("part.hint_old") : hand.hint(now));
    if (drawn.fitted !== now.part && drawn.width) {
      drawn.fitted = now.part;
      fit();
    } else if (penIsOut()) fit();
    else place(now);
  };
  /** A point typed where the sheet does not show it. */
  const penIsOut = () => {
    const last = desk.get().pen && penPoint(desk.get().pen);
    if (!last || last === drawn.penSeen) return false;
    drawn.penSeen = last;
    const [x, y] = toPixels(drawn.view, inMm(last, drawn.sketch.units));
    return x < 0 || y < 0 || x > drawn.width || y > drawn.height;
  };
  return {
    update,
    desk(now, held, before) {
      update(now);
      // an outline just drawn, or dropped: the whole part again
      if (before.tool.kind === "pen" && held.tool.kind !== "pen") fit();
    },
  };
}

/** One path a shape. */
function keepShapes(group, shapes) {
  const seen = {};
  const keyed = shapes.map((shape) => {
    seen[shape.key] = (seen[shape.key] ?? 0) + 1;
    return { ...shape, id: `${shape.key} ${seen[shape.key]}` };
  });
  keepList(group, keyed, (shape) => shape.id, () => s("path", { "vector-effect": "non-scaling-stroke" }), (node, shape) => {
    put(node, "d", shape.d);
    put(node, "data-part", shape.part ?? null);
    put(node, "data-turn", shape.turn ?? null);
    put(node, "data-flanged", shape.flanged ?? null);
  });
}

/** Words placed beside their things; of things too small on the screen only the picked one has its name. */
function placedLabels(drawn, now, ctx) {
  const owner = ctx.owner(now);
  return drawn.labels.flatMap((label) => {
    const picked = label.key === owner;
    if (!picked && label.room * drawn.view.k < 9 * label.text.length + 8) return [];
    const [x, y] = toPixels(drawn.view, label.at);
    const gap = label.beyond * drawn.view.k + 16;
    const [ox, oy] = [label.out[0], -label.out[1]];
    const inside = (v) => Math.max(8 + (ox < 0.6 ? 4 * label.text.length : 0), Math.min(drawn.width - 8 - (ox > -0.6 ? 4 * label.text.length : 0), v));
    return [{ key: label.key, text: label.text, picked, x: inside(x + ox * gap), y: y + oy * gap + 6 + 5 * Math.sign(Math.round(oy)), anchor: ox > 0.6 ? "start" : ox < -0.6 ? "end" : "middle" }];
  });
}

/** Marks that have a place; several at one place stand side by side. */
function placedMarks(drawn, marks) {
  const taken = [];
  return marks.filter((m) => m.severity !== "note").flatMap((mark) => {
    const at = placeOf(mark, drawn.outline, drawn.sketch);
    if (!at) return [];
    let [x, y] = toPixels(drawn.view, at);
    while (taken.some(([a, b]) => Math.abs(a - x) < 32 && Math.abs(b - y) < 30)) x += 34;
    taken.push([x, y]);
    return [{ key: `${mark.severity} ${mark.n}`, n: mark.n, severity: mark.severity, x, y }];
  });
}
