/**
 * What is drawn of a part, made from the draft's sketch: its loops with the curves of their edges. mm, y up. No DOM.
 * A sketch may be unfinished; what cannot be drawn is left out.
 */
import { movedDetails } from "./details.js";
import { curveOf, direction, isPoint, svgPath, walk } from "./curves.js";

/**
 * @typedef {{path: string, name: string, kind: string, flange: string|null, ordinates: string|null, tangent: string|null,
 *   points: number[][], pointPaths: string[], curve: object|null, walked: object[], d: string, way: number}} DrawnEdge
 * @typedef {{name: string, path: string, closed: boolean, outward: 1|-1, edges: DrawnEdge[]}} DrawnLoop
 */

/** The paths of an edge's points in the part file, after its start. */
export function pointPaths(edge) {
  const n = edge.points_mm.length;
  if (edge.kind === "spline") return edge.points_mm.map((_, i) => (edge.ordinates ? "" : `${edge.path}.spline[${i + 1}]`));
  return edge.kind === "arc" && n > 1 ? [`${edge.path}.through`, `${edge.path}.to`] : [`${edge.path}.to`];
}

/**
 * A loop of the sketch with its curves. Splines take their neighbour's direction as the calculation lets them, worked out here, so that a
 * point that is being dragged bends its neighbours at once.
 * @returns {DrawnLoop}
 */
export function drawnLoop(loop) {
  let made = drawnOnce.get(loop);
  if (!made) drawnOnce.set(loop, (made = drawLoop(loop)));
  return made;
}

// a loop of a sketch never changes: what was made of it is kept as long as it is
const drawnOnce = new WeakMap();

function drawLoop(loop) {
  let pen = loop.start_mm;
  const raw = loop.edges.map((edge) => {
    const points = [pen, ...edge.points_mm];
    pen = edge.points_mm.at(-1) ?? pen;
    return { edge, points };
  });
  const first = raw[0]?.points[0];
  const end = raw.at(-1)?.points.at(-1);
  const closed = isPoint(first) && isPoint(end) && Math.hypot(first[0] - end[0], first[1] - end[1]) <= 0.001;
  const curves = settled(raw, closed);
  const edges = raw.map(({ edge, points }, i) => {
    const walked = curves[i] ? walk(curves[i]) : [];
    return {
      path: edge.path, name: edge.name ?? "", kind: edge.kind, flange: edge.flange ?? null, ordinates: edge.ordinates ?? null, tangent: edge.tangent ?? null,
      points, pointPaths: ["", ...pointPaths(edge)], curve: curves[i], walked, d: curves[i] ? svgPath(curves[i]) : "", way: walked.at(-1)?.s ?? 0,
    };
  });
  edges.forEach((edge, i) => { edge.pointPaths[0] = i === 0 ? `${loop.path}.start` : edges[i - 1].pointPaths.at(-1); });
  const inward = loop.path !== "web";
  const left = areaOf(edges) >= 0;
  // away from the material: right of travel where the outer loop runs counter-clockwise
  return { name: loop.name, path: loop.path, closed, start: loop.start_mm, edges, outward: left === inward ? 1 : -1 };
}

/** The curves of a loop's edges; a spline in a ring of splines that ask each other stays natural there (the reader refuses it). */
function settled(raw, closed) {
  const n = raw.length;
  const done = new Array(n);
  const neighbour = (i, step) => (i + step >= 0 && i + step < n ? i + step : closed ? (i + step + n) % n : -1);
  const curveAt = (i, asking) => {
    if (done[i] !== undefined) return done[i];
    const { edge, points } = raw[i];
    const directionOf = (j, atEnd) => {
      const other = j < 0 || j === i || asking.includes(j) ? null : curveAt(j, [...asking, i]);
      return other && direction(other, atEnd);
    };
    const start = ["start", "both"].includes(edge.tangent) ? directionOf(neighbour(i, -1), true) : null;
    const end = ["end", "both"].includes(edge.tangent) ? directionOf(neighbour(i, 1), false) : null;
    return curveOf(edge.kind, points, start, end);
  };
  for (let i = 0; i < n; i += 1) done[i] = curveAt(i, []);
  return done;
}

/** Twice the signed area, positive counter-clockwise. */
function areaOf(edges) {
  let area = 0;
  let before = null;
  const first = edges.find((e) => e.walked.length)?.walked[0];
  const step = (a, b) => { area += a.x * b.y - b.x * a.y; };
  for (const edge of edges) {
    for (const q of edge.walked) {
      if (before) step(before, q);
      before = q;
    }
  }
  if (before && first) step(before, first);
  return area;
}

/** The loop as one closed path, for filling. */
export function loopPath(loop) {
  const drawn = loop.edges.filter((e) => e.d);
  return drawn.map((e, i) => (i === 0 ? e.d : e.d.replace(/^M[^A-Z]*/, ""))).join("") + (loop.closed ? "Z" : "");
}

/** Where two edges meet: {x, y, bx, by}, the unit bisector into the material; null when they do not. */
export function meeting(loops, [a, b]) {
  for (const loop of loops) {
    const n = loop.edges.length;
    for (let i = 0; i < n; i += 1) {
      const [one, two] = [loop.edges[i], loop.edges[(i + 1) % n]];
      if (!((one.name === a && two.name === b) || (one.name === b && two.name === a)) || !one.curve || !two.curve) continue;
      if (i === n - 1 && !loop.closed) continue;
      const [d, e] = [direction(one.curve, true), direction(two.curve, false)];
      const inside = -loop.outward;
      let [bx, by] = [inside * -(d[1] + e[1]), inside * (d[0] + e[0])];
      const size = Math.hypot(bx, by);
      [bx, by] = size < 1e-6 ? [-d[0], -d[1]] : [bx / size, by / size];
      const [x, y] = one.points.at(-1);
      return { x, y, bx, by };
    }
  }
  return null;
}

/** The sketch with some of its points elsewhere: `moves` maps a point's path to [x, y] in mm. Only what moves is copied. */
export function moved(sketch, moves) {
  const has = (path) => Object.hasOwn(moves, path);
  if (Object.keys(moves).length === 0) return sketch;
  const loops = (sketch.loops ?? []).map((loop) => {
    const edges = loop.edges.map((edge) => {
      const paths = pointPaths(edge);
      return paths.some(has) ? { ...edge, points_mm: edge.points_mm.map((p, i) => (has(paths[i]) ? moves[paths[i]] : p)) } : edge;
    });
    const start = `${loop.path}.start`;
    return edges.some((e, i) => e !== loop.edges[i]) || has(start) ? { ...loop, edges, start_mm: has(start) ? moves[start] : loop.start_mm } : loop;
  });
  const holes = (sketch.holes ?? []).map((hole) => (has(`${hole.path}.at`) ? { ...hole, at_mm: moves[`${hole.path}.at`] } : hole));
  return { ...sketch, loops, holes, others: movedDetails(sketch.others, moves) };
}

/** What is drawn of a whole sketch. */
export const outlineOf = (sketch) => ({ loops: (sketch.loops ?? []).map(drawnLoop) });

/** Left, bottom, right, top [mm] of loops and holes, or null when nothing can be drawn. */
export function boundsOf(outline, sketch) {
  const box = [Infinity, Infinity, -Infinity, -Infinity];
  const take = (x, y, r = 0) => {
    box[0] = Math.min(box[0], x - r);
    box[1] = Math.min(box[1], y - r);
    box[2] = Math.max(box[2], x + r);
    box[3] = Math.max(box[3], y + r);
  };
  const widest = Math.max(0, ...(sketch.flanges ?? []).flatMap((f) => (typeof f.width_mm === "number" ? [f.width_mm] : (f.width_mm ?? []).map((r) => r[2]))).filter(Number.isFinite));
  for (const loop of outline.loops) {
    for (const edge of loop.edges) {
      for (const q of edge.walked) take(q.x, q.y, edge.flange && loop.path === "web" ? widest : 0);
      for (const p of edge.points) if (isPoint(p)) take(p[0], p[1]);
    }
  }
  for (const hole of sketch.holes ?? []) if (isPoint(hole.at_mm)) take(hole.at_mm[0], hole.at_mm[1], (hole.diameter_mm || 0) / 2);
  return Number.isFinite(box[0]) ? box : null;
}
