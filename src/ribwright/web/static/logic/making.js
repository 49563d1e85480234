/** The ops that make new things in the part file. Sizes are never invented: what is not known is left out, and the reader says so. No DOM. */
import { freeName } from "./listing.js";

const HOLE_KEYS = {
  lightening: ["diameter", "line", "cut_diameter", "rim_diameter", "flange_height", "flat_height", "bend_angle", "bend_radius", "turn"],
  tooling: ["diameter", "pin_fit"],
  plain: ["diameter"],
};
const HOLE_STEMS = { lightening: "L", tooling: "P", plain: "D" };
const names = (list) => (list ?? []).map((item) => item.name).filter(Boolean);

/** Set ops of the values that one table has typed under some keys, for another table. */
const copied = (sketch, from, to, keys) =>
  keys.filter((key) => sketch.values?.[`${from}.${key}`]?.typed !== undefined).map((key) => ({ op: "set", path: `${to}.${key}`, typed: sketch.values[`${from}.${key}`].typed }));

/**
 * A hole of a kind at a point of the file's unit: sizes those of the last hole of its kind, none where it is the first.
 * @param {{kind: "lightening"|"tooling"|"plain"}} hole
 * @returns {{ops: object[], path: string}}
 */
export function newHole(sketch, { kind }, point) {
  const holes = sketch.holes ?? [];
  const path = `hole[${holes.length + 1}]`;
  const like = holes.findLast((h) => h.kind === kind);
  const name = freeName(HOLE_STEMS[kind], names(holes));
  return { path, ops: [{ op: "add", path: "hole", table: { name, kind, at: point } }, ...(like ? copied(sketch, like.path, path, HOLE_KEYS[kind]) : [])] };
}

/** A corner where two edges meet, its relief that of the last corner, a hole by the shop's rule where it is the first. */
export function newCorner(sketch, at) {
  const corners = sketch.corners ?? [];
  const path = `corner[${corners.length + 1}]`;
  const like = corners.at(-1);
  const keys = { hole: ["diameter", "set_back"], notch: ["gap"], none: [] }[like?.relief] ?? [];
  return { path, ops: [{ op: "add", path: "corner", table: { at, relief: like?.relief ?? "hole" } }, ...(like ? copied(sketch, like.path, path, keys) : [])] };
}

/** A row of rivets along an edge; its numbers are for a person to type. */
export function newRivets(sketch, edge) {
  const rows = sketch.rivets ?? [];
  const path = `rivets[${rows.length + 1}]`;
  const like = rows.at(-1);
  const keys = ["line", "first", "pitch", "count", "diameter", "edge_distance"];
  return { path, ops: [{ op: "add", path: "rivets", table: { edge, on: like?.on ?? "flange" } }, ...(like ? copied(sketch, like.path, path, keys) : [])] };
}

/** A new flange under a name with what was typed, put on an edge, and on others too where asked for. */
export function newFlange(edgePath, name, typed, others = []) {
  const path = `flange.${name}`;
  const sets = Object.entries(typed).filter(([, words]) => words.trim() !== "").map(([key, words]) => ({ op: "set", path: `${path}.${key}`, typed: words.trim() }));
  return { path, ops: [{ op: "add", path, table: {} }, ...sets, ...[edgePath, ...others].map((edge) => ({ op: "set", path: `${edge}.flange`, value: name }))] };
}

/** Paths of the other edges of an edge's loop that have no flange. */
export function bareEdges(sketch, edgePath) {
  const loop = (sketch.loops ?? []).find((l) => l.edges.some((e) => e.path === edgePath));
  return (loop?.edges ?? []).filter((e) => e.path !== edgePath && !e.flange).map((e) => e.path);
}

/**
 * An edge made of another kind: its ends stay. An arc begins through the middle of the old curve, a spline through two points of it.
 * @param {{path: string, kind: string, ordinates: string|null, tangent: string|null, points: number[][]}} edge points in the file's unit, start first
 * @param {number[][]} on points on the old curve at a third, the middle and two thirds, in the file's unit
 */
export function kindOps(edge, kind, on) {
  if (kind === edge.kind) return [];
  const to = edge.points.at(-1);
  const gone = { line: ["to"], arc: ["through", "to"], spline: [edge.ordinates ? "ordinates" : "spline", ...(edge.tangent ? ["tangent"] : [])] }[edge.kind];
  const made = { line: { to }, arc: { through: on[1], to }, spline: { spline: [on[0], on[2], to] } }[kind];
  return [
    ...gone.filter((key) => !(key in made)).map((key) => ({ op: "remove", path: `${edge.path}.${key}` })),
    ...Object.entries(made).filter(([key]) => !gone.includes(key) || key === "through").map(([key, value]) => ({ op: "set", path: `${edge.path}.${key}`, value })),
  ];
}

/** Points of an ordinates file written into the part file. `points` in the file's unit, without the edge's start. */
export const ownPoints = (path, points) => [{ op: "remove", path: `${path}.ordinates` }, { op: "set", path: `${path}.spline`, value: points }];
