/** What lies beside an edge: its flange laid out, the bend's tangent line, rivets; and values that vary along it. mm, y up. No DOM. */
import { atWay } from "./curves.js";

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
