/** What of a drawing lies near a point: points, holes, corners, rivets, details, edges, in that order of rank. Lengths mm. No DOM. */
import { isPoint, nearestOn } from "./curves.js";
import { beadPoints, farFrom, linesOf } from "./details.js";
import { rivetPlaces } from "./beside.js";
import { meeting } from "./outline.js";
import { meant } from "./view.js";

/** Every point that can be moved by hand: {path, at, edge, fixed}; `fixed` ones come from a file of ordinates. A place stands once. */
export function pointsOf(outline) {
  const out = [];
  for (const loop of outline.loops) {
    loop.edges.forEach((edge, i) => {
      edge.points.forEach((at, k) => {
        const doubled = k === 0 && (i > 0 || loop.closed);
        if (!doubled && isPoint(at)) out.push({ path: edge.pointPaths[k], at, edge: edge.path, number: k, fixed: !edge.pointPaths[k] });
      });
    });
  }
  return out;
}

/** The points of one edge, its start included. */
export const pointsOfEdge = (edge) =>
  edge.points.map((at, k) => ({ path: edge.pointPaths[k], at, edge: edge.path, number: k, fixed: !edge.pointPaths[k] })).filter((p) => isPoint(p.at));

/**
 * The thing at a point of the drawing: {path, kind: "point"|"hole"|"corner"|"rivets"|"detail"|"edge"|"mark", at?, s?} or null.
 * @param {{outline: object, sketch: object, view: {k: number}}} drawn @param {number[]} p in mm @param {object[]} points that have handles
 */
export function thingAt({ outline, sketch, view }, p, points) {
  const far = (at) => Math.hypot(at[0] - p[0], at[1] - p[1]) * view.k;
  const near = points.filter((q) => q.path).map((q) => ({ path: q.path, kind: "point", at: q.at, rank: 0, far: far(q.at) }));
  for (const hole of sketch.holes ?? []) {
    if (!isPoint(hole.at_mm)) continue;
    const ring = Math.abs(far(hole.at_mm) - ((hole.diameter_mm || 0) / 2) * view.k);
    const centre = far(hole.at_mm);
    near.push({ path: hole.path, kind: "hole", at: hole.at_mm, rank: 1, far: Math.min(ring, centre) });
  }
  for (const corner of sketch.corners ?? []) {
    const at = Array.isArray(corner.at) && meeting(outline.loops, corner.at);
    if (at) near.push({ path: corner.path, kind: "corner", rank: 2, far: far([at.x, at.y]) + 4 });
  }
  for (const row of sketch.rivets ?? []) {
    for (const loop of outline.loops) {
      const edge = loop.edges.find((e) => e.name === row.edge);
      if (edge) for (const q of rivetPlaces(row, edge, loop.outward)) near.push({ path: row.path, kind: "rivets", rank: 3, far: far([q.x, q.y]) + 6 });
    }
  }
  for (const other of sketch.others ?? []) near.push({ path: other.path, kind: "detail", rank: 3, far: farFrom(linesOf(other, outline, sketch), p) * view.k + 3 });
  for (const loop of outline.loops) {
    for (const edge of loop.edges) {
      const hit = nearestOn(edge.walked, p);
      if (hit.far * view.k < 20) near.push({ path: edge.path, kind: "edge", at: [hit.x, hit.y], s: hit.s, span: hit.span, rank: 4, far: hit.far * view.k });
    }
  }
  return meant(near);
}

/** Of pairs of edges the one that meets nearest to a point, within a finger's width; null for none. */
export function nearestCorner({ outline, view }, p, pairs) {
  const near = pairs.map((pair) => ({ pair, at: meeting(outline.loops, pair) })).filter((c) => c.at).map((c) => ({ ...c, far: Math.hypot(c.at.x - p[0], c.at.y - p[1]) * view.k }));
  const [first] = near.filter((c) => c.far <= 30).sort((a, b) => a.far - b.far);
  return first?.pair ?? null;
}

const MOST = 40;
/** Which points have handles: the picked edge's (of many those round the picked point) and those near the pointer. */
export function handlesOf(drawn, owner, picked, pointer) {
  const edges = drawn.outline.loops.flatMap((l) => l.edges);
  const edge = edges.find((e) => e.path === owner);
  let chosen = edge ? pointsOfEdge(edge) : beadPoints(drawn.sketch ?? {}).filter((q) => q.edge === owner);
  if (chosen.length > MOST) {
    const i = chosen.findIndex((q) => q.path === picked);
    const close = pointer && chosen.filter((q) => Math.hypot(q.at[0] - pointer[0], q.at[1] - pointer[1]) * drawn.view.k < 90);
    const round = i < 0 ? [] : chosen.slice(Math.max(0, i - 8), i + 9);
    const ends = [chosen[0], chosen.at(-1)];
    chosen = [...new Set([...ends, ...round, ...(close ?? []).slice(0, MOST)])];
  }
  return chosen;
}
