/** Placing points by hand: the grid they snap to and how they are written. No DOM. */
import { pointPaths } from "./outline.js";
import { fromMm, toMm } from "./units.js";

/** The grid of a file's unit: 0.01 in, 0.1 mm. */
export const gridOf = (unit) => (unit === "in" ? 0.01 : 0.1);
const digits = (unit) => (unit === "in" ? 4 : 3);

/** A length in the file's unit without the noise of binary fractions: 0.1 mm to the micrometre, inches to a ten-thousandth. */
export const written = (value, unit) => Number(value.toFixed(digits(unit)));

/** A point [mm] on the grid, as numbers of the file's unit. */
export function snapped(mm, unit) {
  const grid = gridOf(unit);
  return mm.map((c) => written(Math.round(fromMm(c, unit) / grid) * grid, unit));
}

/** A point [mm] as numbers of the file's unit, off the grid. */
export const inFile = (mm, unit) => mm.map((c) => written(fromMm(c, unit), unit));
/** A point of the file's unit in mm. */
export const inMm = (point, unit) => point.map((c) => toMm(c, unit));

const WAYS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };

/** A point [mm] one key press further: a step of the grid, ten with Shift. Null for another key. */
export function stepped(mm, key, shift, unit) {
  const way = WAYS[key];
  if (!way) return null;
  const step = gridOf(unit) * (shift ? 10 : 1);
  return inMm(mm.map((c, i) => written(fromMm(c, unit) + way[i] * step, unit)), unit);
}

/**
 * Every path that must move with a point: the last point of a closed loop and its start are one place.
 * @param {{path: string, closed: boolean, edges: {pointPaths: string[]}[]}[]} loops drawn loops
 */
export function together(loops, path) {
  for (const loop of loops) {
    const last = loop.edges.at(-1)?.pointPaths.at(-1);
    const start = `${loop.path}.start`;
    if (loop.closed && last && (path === start || path === last)) return [start, last];
  }
  return [path];
}

/** A typed word as the part file takes it in a list: a plain number, else text. */
export function typedValue(words) {
  const text = words.trim();
  return /^[+-]?(\d+\.?\d*|\.\d+)$/.test(text) ? Number(text) : text;
}

/** Ops for a coordinate (0 x, 1 y) that was typed: it keeps its digits. A point that is not there yet is set whole. */
export function typedPointOps(sketch, paths, axis, words) {
  return paths.filter(Boolean).map((path) => {
    const there = sketch.values?.[`${path}[${axis + 1}]`] !== undefined;
    return there ? { op: "set", path: `${path}[${axis + 1}]`, typed: words[axis] } : { op: "set", path, value: words.map(typedValue) };
  });
}

/** The op that moves points to a place of the file's unit. */
export const moveOps = (paths, point) => paths.filter(Boolean).map((path) => ({ op: "set", path, value: point }));

/** The ops that move a whole loop of the sketch by [dx, dy] in the file's unit. Points from a file of ordinates stay where the file has them. */
export function shiftOps(loop, by, unit) {
  const shifted = (mm) => inFile(mm, unit).map((c, i) => written(c + by[i], unit));
  const points = loop.edges.flatMap((edge) => pointPaths(edge).map((path, i) => ({ path, mm: edge.points_mm[i] })));
  return [{ path: `${loop.path}.start`, mm: loop.start_mm }, ...points].filter((p) => p.path).map((p) => ({ op: "set", path: p.path, value: shifted(p.mm) }));
}
