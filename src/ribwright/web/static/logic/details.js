/**
 * Notches, flutes, joggles and beads: their lines in the drawing, and the ops that make new ones. They stand in the sketch under `others`.
 * Lengths mm, y up. No DOM.
 */
import { atWay, isPoint } from "./curves.js";
import { valueAt } from "./beside.js";

export const DETAILS = ["notch", "flute", "joggle", "bead"];
/** What a new one takes over from the last of its kind: sizes, never places. */
const SIZES = {
  notch: ["width", "depth", "corner_radius", "flange_gap"], flute: ["width", "depth", "turn"], joggle: ["depth", "length"],
  bead: ["section", "width", "depth", "radius", "edge_radius", "end", "turn"],
};
const TICK = 8;
const known = (v) => typeof v === "number" && Number.isFinite(v);
const n = (v) => v.toFixed(3);
const drawnLine = (points) => points.map((p, i) => `${i ? "L" : "M"}${n(p[0])} ${n(p[1])}`).join("");

/** The loop and the edge that a detail is on, or null. */
export function edgeOf(other, outline) {
  for (const loop of outline.loops) {
    const edge = loop.edges.find((e) => e.name === other.edge);
    if (edge?.walked.length) return { loop, edge };
  }
  return null;
}

/** The way along an edge of a place [measure, number], null where it is not known. */
export function wayOf(place, edge) {
  if (!Array.isArray(place) || !known(place[1])) return null;
  return place[0] === "fraction" ? place[1] * edge.way : place[1];
}

/** Lines of a detail, each a list of points; none where nothing of it can be drawn yet. */
export function linesOf(other, outline, sketch) {
  if (other.kind === "bead") return beadLines(other);
  const on = edgeOf(other, outline);
  if (!on) return [];
  const { loop, edge } = on;
  /** The point so far along the edge and so far out of the material. */
  const at = (way, out) => {
    const q = atWay(edge.walked, Math.max(0, Math.min(edge.way, way)));
    return [q.x - loop.outward * q.ty * out, q.y + loop.outward * q.tx * out];
  };
  const flange = (sketch.flanges ?? []).find((f) => f.name === edge.flange);
  const width = (way) => (flange ? valueAt(flange.width_mm, way, edge.way) || 0 : 0);
  const tick = (way) => [at(way, -TICK), at(way, TICK)];
  if (other.kind === "joggle") return joggleLines(other, edge, at, width, tick);
  const middle = wayOf(other.at, edge);
  if (middle === null) return [];
  if (!known(other.width_mm)) return [tick(middle)];
  const half = other.width_mm / 2;
  if (other.kind === "flute") return width(middle) ? [[at(middle - half, width(middle - half)), at(middle, 0), at(middle + half, width(middle + half))]] : [tick(middle)];
  return known(other.depth_mm) ? notchLines(other, middle, half, at, width) : [tick(middle)];
}

/** The cut in the web with its rounded corners, and where the flange ends before it. */
function notchLines(other, middle, half, at, width) {
  const depth = other.depth_mm;
  const r = Math.max(0, Math.min(other.corner_radius_mm ?? 0, half, depth));
  const corner = (side) => [0, 1, 2, 3, 4].map((k) => {
    const a = (k * Math.PI) / 8;
    return at(middle + side * (half - r + r * Math.cos(a)), r - depth - r * Math.sin(a));
  });
  const gap = half + (other.flange_gap_mm ?? 0);
  const ends = [-1, 1].map((side) => middle + side * gap).filter((way) => width(way)).map((way) => [at(way, 0), at(way, width(way))]);
  return [[at(middle - half, 0), ...corner(-1), ...corner(1).reverse(), at(middle + half, 0)], ...ends];
}

/** The stretch stepped inward, its steps inside it; an end of the edge has none. */
function joggleLines(other, edge, at, width, tick) {
  const ends = [other.from, other.to].map((place) => wayOf(place, edge));
  if (ends.includes(null) || ends[0] === ends[1]) return ends.filter((way) => way !== null).map(tick);
  const [a, b] = ends.sort((x, y) => x - y);
  const across = [a, b].filter((way) => width(way)).map((way) => [at(way, 0), at(way, width(way))]);
  if (!known(other.depth_mm) || !known(other.length_mm)) return [tick(a), tick(b), ...across];
  const first = a <= 1e-6 ? a : a + other.length_mm;
  const last = b >= edge.way - 1e-6 ? b : b - other.length_mm;
  const inner = Array.from({ length: 25 }, (_, i) => at(first + ((last - first) * i) / 24, -other.depth_mm));
  return [[at(a, 0), ...inner, at(b, 0)], ...across];
}

/** The two sides of a bead about its line, or the line alone while its width is not known. */
function beadLines(other) {
  const points = (other.points_mm ?? []).filter(isPoint);
  if (points.length < 2) return [];
  if (!known(other.width_mm)) return [points];
  const half = other.width_mm / 2;
  const side = (sign) => points.map((p, i) => {
    const [a, b] = [points[Math.max(0, i - 1)], points[Math.min(points.length - 1, i + 1)]];
    const long = Math.hypot(b[0] - a[0], b[1] - a[1]) || 1;
    return [p[0] - (sign * half * (b[1] - a[1])) / long, p[1] + (sign * half * (b[0] - a[0])) / long];
  });
  const [left, right] = [side(1), side(-1)];
  return [[...left, ...right.reverse(), left[0]], points];
}

/** The shape of a detail: {key, part, d}, none where nothing of it can be drawn. */
export function detailShapes(other, outline, sketch) {
  const d = linesOf(other, outline, sketch).map(drawnLine).join("");
  return d ? [{ key: other.path, part: other.kind, d }] : [];
}

/** A place to stand beside a detail, or null. */
export function spotOfDetail(other, outline, sketch) {
  const [line] = linesOf(other, outline, sketch);
  return line ? line[Math.floor(line.length / 2)] : null;
}

/** How far a point is from the lines of a detail [mm]. */
export function farFrom(lines, [x, y]) {
  let best = Infinity;
  for (const line of lines) {
    for (let i = 0; i + 1 < line.length; i += 1) {
      const [[ax, ay], [bx, by]] = [line[i], line[i + 1]];
      const [dx, dy] = [bx - ax, by - ay];
      const t = Math.max(0, Math.min(1, ((x - ax) * dx + (y - ay) * dy) / (dx * dx + dy * dy || 1)));
      best = Math.min(best, Math.hypot(x - ax - t * dx, y - ay - t * dy));
    }
  }
  return best;
}

/** The points of beads: {path, at, edge, number, fixed}, as those of the outline. */
export const beadPoints = (sketch) =>
  (sketch.others ?? []).filter((o) => o.kind === "bead").flatMap((o) =>
    (o.points_mm ?? []).map((at, i) => ({ path: `${o.path}.points[${i + 1}]`, at, edge: o.path, number: i + 1, fixed: false })).filter((q) => isPoint(q.at)));

/** The sketch's details with some points of beads elsewhere, as `moved` of the outline. */
export function movedDetails(others, moves) {
  const has = (o) => (o.points_mm ?? []).some((_, i) => Object.hasOwn(moves, `${o.path}.points[${i + 1}]`));
  return (others ?? []).map((o) => (has(o) ? { ...o, points_mm: o.points_mm.map((p, i) => moves[`${o.path}.points[${i + 1}]`] ?? p) } : o));
}

function made(sketch, kind, table) {
  const rows = (sketch.others ?? []).filter((o) => o.kind === kind);
  const path = `${kind}[${rows.length + 1}]`;
  const like = rows.at(-1);
  const typed = (key) => sketch.values?.[`${like?.path}.${key}`]?.typed;
  const copied = SIZES[kind].filter((key) => typed(key) !== undefined).map((key) => ({ op: "set", path: `${path}.${key}`, typed: typed(key) }));
  return { path, ops: [{ op: "add", path: kind, table }, ...copied] };
}

/** A notch, flute or joggle on an edge: its sizes those of the last of its kind, its place for a person to say. */
export const newOnEdge = (sketch, kind, edge) => made(sketch, kind, { edge });
/** A bead along points of the file's unit. */
export const newBead = (sketch, points) => made(sketch, "bead", { points });
