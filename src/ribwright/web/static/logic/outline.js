/**
 * What is drawn of a part, made from the draft's sketch: curves of its edges, bands of its flanges, bend lines, rivets. mm, y up. No DOM.
 * A sketch may be unfinished; what cannot be drawn is left out.
 */
import { atWay, curveOf, direction, isPoint, svgPath, walk } from "./curves.js";

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

/**
 * A value that may vary along an edge, at the way s [mm] of an edge so long.
 * @param {number | [string, number, number][] | null} value rows are [measure "mm"|"fraction", at, value]
 */
export const valueAt = (value, s, whole) => along(value, whole)(s);

/** The same for many places of one edge: a function of s. */
export function along(value, whole) {
  if (typeof value === "number") return () => value;
  if (!Array.isArray(value) || value.length === 0) return () => NaN;
  const rows = value.map(([measure, at, v]) => [measure === "fraction" ? at * whole : at, v]).sort((a, b) => a[0] - b[0]);
  return (s) => {
    if (s <= rows[0][0]) return rows[0][1];
    for (let i = 1; i < rows.length; i += 1) {
      if (s > rows[i][0]) continue;
      const [[a, x], [b, y]] = [rows[i - 1], rows[i]];
      return b === a ? y : x + ((y - x) * (s - a)) / (b - a);
    }
    return rows.at(-1)[1];
  };
}

export const varies = (value) => Array.isArray(value) && new Set(value.map((row) => row[2])).size > 1;

/** How far inside the drawn line the bend's tangent line lies [mm], by what the drawn line is. */
export function tangentInside(line, angleDeg, radius, thickness) {
  if (line === "bend-tangent-line") return 0;
  const over = line === "inside-mold-line" ? radius : radius + thickness;
  return over * Math.tan((Math.min(angleDeg, 170) * Math.PI) / 360);
}

const beside = (q, outward, by) => [q.x + outward * -q.ty * by, q.y + outward * q.tx * by];
// to the micrometre, in the shortest form: this runs for every frame of a drag
const micro = (v) => Math.round(v * 1000) / 1000;
function joined(points, letter = "M") {
  let d = "";
  for (const p of points) {
    d += `${letter}${micro(p[0])} ${micro(p[1])}`;
    letter = "L";
  }
  return d;
}

/** The band of a flange laid out beside its edge: {d, free}, or null without a width. */
export function bandOf(edge, outward, flange) {
  if (!flange || edge.walked.length === 0) return null;
  const width = along(flange.width_mm, edge.way);
  if (!Number.isFinite(width(0))) return null;
  const walked = thick(edge);
  const free = joined(walked.map((q) => beside(q, outward, width(q.s))));
  const near = walked.map((q) => [q.x, q.y]).reverse();
  return { d: `${free}${joined(near, "L")}Z`, free };
}

/** A line has two places only; a width that varies along it wants more. */
function thick(edge) {
  if (edge.walked.length > 2) return edge.walked;
  return Array.from({ length: 17 }, (_, i) => atWay(edge.walked, (edge.way * i) / 16));
}

/** The bend's tangent line inside an edge with a flange as a path, or "". */
export function bendPath(edge, outward, flange, line, thickness) {
  if (!flange || edge.walked.length === 0) return "";
  const angle = along(flange.bend_angle_deg, edge.way);
  if (![angle(0), flange.bend_radius_mm, thickness].every(Number.isFinite)) return "";
  return joined(thick(edge).map((q) => beside(q, outward, -tangentInside(line, angle(q.s), flange.bend_radius_mm, thickness))));
}

/** Places of a row of rivets: [{x, y, tx, ty}], on the flange outside the edge, on the web inside. */
export function rivetPlaces(row, edge, outward) {
  const numbers = [row.first_mm, row.pitch_mm, row.count, row.line_mm];
  if (!numbers.every(Number.isFinite) || edge.walked.length === 0) return [];
  const by = (row.on === "web" ? -1 : 1) * row.line_mm;
  return Array.from({ length: Math.min(row.count, 500) }, (_, i) => row.first_mm + i * row.pitch_mm)
    .filter((s) => s <= edge.way + 1e-6)
    .map((s) => {
      const q = atWay(edge.walked, s);
      const [x, y] = beside(q, outward, by);
      return { x, y, tx: q.tx, ty: q.ty };
    });
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
  return { ...sketch, loops, holes };
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
