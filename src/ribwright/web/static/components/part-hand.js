/**
 * The hand in the drawing: picks, drags points, places things, draws an outline, moves the view. What is dragged is drawn at once from
 * `desk.moves`; on release one change goes to the draft.
 */
import { fill, keepList, put, text } from "../dom.js";
import { nearestOn } from "../logic/curves.js";
import { PICK } from "../logic/desk.js";
import { beadPoints, edgeOf, newBead } from "../logic/details.js";
import { openCorners } from "../logic/listing.js";
import { newCorner, newHole } from "../logic/making.js";
import { handlesOf, nearestCorner, pointsOf, thingAt } from "../logic/near.js";
import { isPointPath } from "../logic/paths.js";
import { penPoint, put as putPen } from "../logic/pen.js";
import { gridOf, inFile, inMm, moveOps, shiftOps, snapped, stepped, together, written } from "../logic/placing.js";
import { fromMm, lengthIn } from "../logic/units.js";
import { panned, toMm, toPixels, zoomed } from "../logic/view.js";
import { ghostOf, handle, showHandle } from "./part-handles.js";

const KEYS_SETTLE_MS = 350;
const POINT_REACH = 14;

export function mountHand(ctx, drawn, { look, fit, where, changed }) {
  const { app, desk } = ctx;
  const { say } = app;
  const { svg } = drawn;
  let pointer = null;
  let held = null;
  let keyed = null;

  const unit = () => drawn.sketch.units ?? "in";
  const atEvent = (event) => {
    const box = svg.getBoundingClientRect();
    return [event.clientX - box.left, event.clientY - box.top];
  };
  const pick = (path) => path !== ctx.now().picked && app.wish("pick", { path });
  const endTool = () => desk.set({ tool: PICK, pen: null });

  /** Points with handles, those under the pointer included. */
  const reach = () => {
    const now = ctx.now();
    const shown = handlesOf(drawn, ctx.owner(now), now.picked, pointer);
    const near = pointer ? pointsOf(drawn.outline).filter((q) => !q.fixed && Math.hypot(q.at[0] - pointer[0], q.at[1] - pointer[1]) * drawn.view.k < POINT_REACH * 1.5) : [];
    return [...shown, ...near.slice(0, 12).filter((q) => !shown.some((o) => o.path === q.path))];
  };
  const thing = (p) => thingAt(drawn, p, reach());

  /** Moves on the desk become one change of the draft; they stay drawn until it has come back. */
  const settle = async (paths, mm) => {
    await app.wish("edit-draft", { ops: moveOps(paths, inFile(mm, unit())) });
    desk.set(({ moves }) => ({ moves: Object.fromEntries(Object.entries(moves).filter(([path, at]) => !paths.includes(path) || at !== mm)) }));
  };
  const move = (path, mm) => {
    const paths = together(drawn.outline.loops, path);
    desk.set(({ moves }) => ({ moves: { ...moves, ...Object.fromEntries(paths.map((one) => [one, mm])) } }));
    return paths;
  };
  const placeOfPath = (path) => {
    // where the hand has it, which the next frame draws
    const held = desk.get().moves[path];
    if (held) return held;
    const point = pointsOf(drawn.outline).find((q) => q.path === path || together(drawn.outline.loops, path).includes(q.path));
    const hole = (drawn.sketch.holes ?? []).find((o) => `${o.path}.at` === path);
    const bead = beadPoints(drawn.sketch).find((q) => q.path === path);
    return point?.at ?? bead?.at ?? hole?.at_mm ?? null;
  };
  /** What the keys move: the picked point, or the picked hole. */
  const movable = () => {
    const { picked } = ctx.now();
    const hole = (drawn.sketch.holes ?? []).find((o) => o.path === picked);
    if (hole) return `${hole.path}.at`;
    return isPointPath(picked) && placeOfPath(picked) ? picked : "";
  };

  // -- by pointer ---------------------------------------------------------------------------------

  const down = (event) => {
    if (event.button !== 0 && event.button !== 1) return;
    svg.focus({ preventScroll: true });
    const px = atEvent(event);
    pointer = toMm(drawn.view, px);
    svg.setPointerCapture(event.pointerId);
    const { tool } = desk.get();
    if (tool.kind !== "pick" && event.button === 0) {
      held = { kind: "tool", from: px };
      return;
    }
    const found = event.button === 0 ? thing(pointer) : null;
    if (found?.kind === "point" || (found?.kind === "hole" && ctx.now().picked === found.path)) {
      held = { kind: "drag", path: found.kind === "hole" ? `${found.path}.at` : found.path, from: px, mm: null, off: [found.at[0] - pointer[0], found.at[1] - pointer[1]] };
      pick(found.path);
    } else held = { kind: "view", from: px, last: px, found };
  };
  const drag = (event) => {
    const px = atEvent(event);
    pointer = toMm(drawn.view, px);
    const far = held ? Math.hypot(px[0] - held.from[0], px[1] - held.from[1]) : 0;
    if (held?.kind === "drag" && (held.mm || far > 3)) {
      held.mm = inMm(snapped([pointer[0] + held.off[0], pointer[1] + held.off[1]], unit()), unit());
      held.paths = move(held.path, held.mm);
      put(svg, "data-over", "drag");
    } else if (held?.kind === "view" && (held.moved || far > 4)) {
      held.moved = true;
      put(svg, "data-over", "drag");
      look(panned(drawn.view, px[0] - held.last[0], px[1] - held.last[1]));
      held.last = px;
    } else if (!held) {
      const { tool } = desk.get();
      const found = tool.kind === "pick" ? thing(pointer) : null;
      put(svg, "data-over", tool.kind !== "pick" ? "place" : !found ? null : found.kind === "point" ? "point" : "thing");
      changed();
    }
    tellWhere();
  };
  const up = (event) => {
    const was = held;
    held = null;
    put(svg, "data-over", null);
    if (!was) return;
    pointer = toMm(drawn.view, atEvent(event));
    if (was.kind === "drag" && was.mm) settle(was.paths, was.mm);
    else if (was.kind === "tool") useTool(pointer);
    else if (was.kind === "view" && !was.moved) pick(was.found?.path ?? "");
  };
  const cancel = () => {
    if (held?.kind === "drag") desk.set({ moves: {} });
    held = null;
  };

  /** A click with a tool in hand. */
  const useTool = (at) => {
    const { tool, pen } = desk.get();
    const point = snapped(at, unit());
    if (tool.kind === "place") {
      const paths = move(tool.path, inMm(point, unit()));
      endTool();
      settle(paths, inMm(point, unit()));
    } else if (tool.kind === "place-loop") {
      const loop = (drawn.sketch.loops ?? []).find((l) => l.path === tool.path);
      const start = loop && inFile(loop.start_mm, unit());
      endTool();
      if (start) app.wish("edit-draft", { ops: shiftOps(loop, [point[0] - start[0], point[1] - start[1]], unit()) });
    } else if (tool.kind === "new-corner") {
      const pair = nearestCorner(drawn, at, openCorners(drawn.sketch));
      if (!pair) return;
      const { ops, path } = newCorner(drawn.sketch, pair);
      endTool();
      app.wish("edit-draft", { ops }).then((done) => done && pick(path));
    } else if (tool.kind === "new-bead") {
      if (!tool.from) desk.set({ tool: { ...tool, from: point } });
      else if (tool.from.some((c, i) => c !== point[i])) {
        const { ops, path } = newBead(drawn.sketch, [tool.from, point]);
        endTool();
        app.wish("edit-draft", { ops }).then((done) => done && pick(path));
      }
    } else if (tool.kind === "along") {
      const other = (drawn.sketch.others ?? []).find((o) => tool.path.startsWith(`${o.path}.`));
      const on = other && edgeOf(other, drawn.outline);
      if (!on) return;
      const grid = gridOf(unit());
      const way = written(Math.round(fromMm(nearestOn(on.edge.walked, at).s, unit()) / grid) * grid, unit());
      endTool();
      app.wish("edit-draft", { ops: [{ op: "set", path: tool.path, value: way }] });
    } else if (tool.kind === "new-hole") {
      const { ops, path } = newHole(drawn.sketch, tool.hole, point);
      endTool();
      app.wish("edit-draft", { ops }).then((done) => done && pick(path));
    } else if (tool.kind === "split" || tool.kind === "insert") {
      const edge = drawn.outline.loops.flatMap((l) => l.edges).find((e) => e.path === tool.path);
      const hit = edge && thingAt({ ...drawn, outline: { loops: [{ edges: [edge], path: "", closed: false }] }, sketch: {} }, at, []);
      if (!hit) return;
      const place = inFile(hit.at, unit());
      endTool();
      if (tool.kind === "split") app.wish("edit-draft", { ops: [{ op: "split", path: tool.path, at: place }] });
      else app.wish("edit-draft", { ops: [{ op: "insert", path: `${tool.path}.spline[${hit.span + 1}]`, value: point }] });
    } else if (tool.kind === "pen") {
      // a click near the start is the start: the outline closes there
      const start = pen.start && toPixels(drawn.view, inMm(pen.start, unit()));
      const px = toPixels(drawn.view, at);
      const closes = start && pen.edges.length + pen.pending.length > 0 && Math.hypot(px[0] - start[0], px[1] - start[1]) < POINT_REACH;
      desk.set({ pen: putPen(pen, closes ? pen.start : point) });
    }
  };

  // -- by keys ------------------------------------------------------------------------------------

  const key = (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const middle = [drawn.width / 2, drawn.height / 2];
    const { tool } = desk.get();
    const moving = tool.kind === "pick" ? (event.target.closest?.(".part-handle")?.dataset.path ?? movable()) : "";
    const pan = { ArrowLeft: [60, 0], ArrowRight: [-60, 0], ArrowUp: [0, 60], ArrowDown: [0, -60] }[event.key];
    if (event.key === "Escape") {
      if (held?.kind === "drag") cancel();
      else if (tool.kind !== "pick") endTool();
      else if (ctx.now().picked) pick("");
      else return;
    } else if (event.key === "+" || event.key === "=") look(zoomed(drawn.view, 1.25, middle));
    else if (event.key === "-" || event.key === "_") look(zoomed(drawn.view, 0.8, middle));
    else if (event.key === "0") fit();
    else if (pan && moving && !placeIsFixed(moving)) {
      const mm = stepped(placeOfPath(moving), event.key, event.shiftKey, unit());
      const paths = move(moving, mm);
      clearTimeout(keyed);
      keyed = setTimeout(() => settle(paths, mm), KEYS_SETTLE_MS);
      tellWhere(mm);
    } else if (pan) look(panned(drawn.view, ...pan));
    else return;
    event.preventDefault();
    event.stopPropagation();
  };
  const placeIsFixed = (path) => !path || !placeOfPath(path);

  svg.addEventListener("pointerdown", down);
  svg.addEventListener("pointermove", drag);
  svg.addEventListener("pointerup", up);
  svg.addEventListener("pointercancel", cancel);
  svg.addEventListener("pointerleave", () => { pointer = null; tellWhere(); changed(); });
  svg.addEventListener("keydown", key);
  svg.addEventListener("wheel", (event) => {
    event.preventDefault();
    look(zoomed(drawn.view, Math.exp(-event.deltaY * (event.deltaMode === 1 ? 0.05 : 0.0015)), atEvent(event)));
  }, { passive: false });

  /** Where the hand is, in both units. */
  const tellWhere = (mm = held?.mm ?? (pointer && inMm(snapped(pointer, unit()), unit()))) => {
    const first = ctx.now().units;
    const both = (v) => [lengthIn(v, first), lengthIn(v, first === "mm" ? "in" : "mm")];
    const line = ([x, y]) => `x ${both(x)[0]}, y ${both(y)[0]}  (${both(x)[1]}, ${both(y)[1]})`;
    text(where, mm ? [line(mm), penWords(mm, first)].filter(Boolean).join("; ") : "");
  };

  /** What the next edge of the outline would be. */
  const penWords = (mm, first) => {
    const { pen } = desk.get();
    const last = pen && !pen.closed && penPoint(pen);
    if (!last) return "";
    const [a, b] = [inMm(last, unit()), inMm(pen.start, unit())];
    const deg = (Math.atan2(mm[1] - a[1], mm[0] - a[0]) * 180) / Math.PI;
    return say("part.pen_next", { length: lengthIn(Math.hypot(mm[0] - a[0], mm[1] - a[1]), first), deg: deg.toFixed(1), far: lengthIn(Math.hypot(mm[0] - b[0], mm[1] - b[1]), first) });
  };

  return {
    hint(now) {
      const { tool, pen } = desk.get();
      if (tool.kind === "pick") return movable() ? say("part.hint_point") : say("part.hint_pick");
      if (tool.kind !== "pen") return say(`part.hint_${tool.kind.replace("-", "_")}`);
      return pen.closed ? say("part.hint_pen_closed") : pen.start ? say(`part.hint_pen_${pen.kind}`) : say("part.hint_pen_start");
    },
    /** Handles and the ghost of what is being placed, in pixels. */
    place(now, handles, ghost) {
      const { tool, pen } = desk.get();
      const shown = tool.kind === "pick" || tool.kind === "insert" ? reach() : [];
      keepList(handles, shown, (q) => `${q.edge} ${q.number}`, () => handle(pick), (node, q) => showHandle(node, q, now, drawn, say));
      fill(ghost, ghostOf(drawn, { tool, pen }, pointer));
    },
  };
}
