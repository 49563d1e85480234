/** The shapes of the drawing as paths in mm, layer by layer, and the words beside them. No DOM. */
import { isPoint } from "./curves.js";
import { detailShapes } from "./details.js";
import { bandOf, bendPath, rivetPlaces, valueAt } from "./beside.js";
import { loopPath, meeting } from "./outline.js";

const n = (v) => v.toFixed(3);
/** A full circle as a path. */
export const circle = ([x, y], r) => `M${n(x - r)} ${n(y)}a${n(r)} ${n(r)} 0 1 0 ${n(2 * r)} 0a${n(r)} ${n(r)} 0 1 0 ${n(-2 * r)} 0Z`;
const cross = ([x, y], r) => `M${n(x - r)} ${n(y)}H${n(x + r)}M${n(x)} ${n(y - r)}V${n(y + r)}`;

/** A slot: its two half circles joined, `long` beyond the diameter, turned by so many degrees. */
export function slotPath([x, y], diameter, long, deg) {
  const [c, s, r, h] = [Math.cos((deg * Math.PI) / 180), Math.sin((deg * Math.PI) / 180), diameter / 2, long / 2];
  const at = (u, v) => `${n(x + u * c - v * s)} ${n(y + u * s + v * c)}`;
  return `M${at(-h, r)}A${n(r)} ${n(r)} 0 0 1 ${at(-h, -r)}L${at(h, -r)}A${n(r)} ${n(r)} 0 0 1 ${at(h, r)}Z`;
}

/** How a flange may be drawn at an edge: its band beside it, its bend line inside. */
function flangeShapes(loop, edge, flange, sketch) {
  const band = bandOf(edge, loop.outward, flange);
  return {
    band: band && { key: edge.path, d: band.d, turn: flange.turn },
    free: band && { key: edge.path, d: band.free },
    bend: { key: edge.path, d: bendPath(edge, loop.outward, flange, sketch.line, sketch.thickness_mm) },
  };
}

/**
 * Everything to draw. Each shape {key, d, ...}: `key` is the path of the thing in the part file.
 * @returns {{material: string, bands: object[], frees: object[], bends: object[], edges: object[], holes: object[], reliefs: object[], rivets: object[], others: object[]}}
 */
export function shapesOf(outline, sketch) {
  const flanges = Object.fromEntries((sketch.flanges ?? []).map((f) => [f.name, f]));
  const out = { material: outline.loops.map(loopPath).join(""), bands: [], frees: [], bends: [], edges: [], holes: [], reliefs: [], rivets: [], others: [] };
  for (const loop of outline.loops) {
    for (const edge of loop.edges) {
      if (edge.d) out.edges.push({ key: edge.path, d: edge.d, flanged: Boolean(edge.flange) });
      const flange = flanges[edge.flange];
      if (!flange) continue;
      const { band, free, bend } = flangeShapes(loop, edge, flange, sketch);
      if (band) out.bands.push(band);
      if (free) out.frees.push(free);
      if (bend.d) out.bends.push(bend);
    }
  }
  out.holes = (sketch.holes ?? []).flatMap(holeShapes);
  out.reliefs = (sketch.corners ?? []).flatMap((corner) => reliefShapes(corner, outline));
  out.rivets = (sketch.rivets ?? []).flatMap((row) => rivetShapes(row, outline));
  out.others = (sketch.others ?? []).flatMap((other) => detailShapes(other, outline, sketch));
  return out;
}

function holeShapes(hole) {
  if (!isPoint(hole.at_mm)) return [];
  const r = hole.diameter_mm / 2;
  if (!Number.isFinite(r) || hole.diameter_mm === null) return [{ key: hole.path, part: "unknown", d: cross(hole.at_mm, 4) }];
  if (hole.kind === "lightening") {
    const opening = hole.rim_diameter_mm ?? hole.cut_diameter_mm;
    return [
      { key: hole.path, part: "bend", d: circle(hole.at_mm, r) },
      ...(opening ? [{ key: hole.path, part: "rim", d: circle(hole.at_mm, opening / 2) }] : []),
      { key: hole.path, part: "centre", d: cross(hole.at_mm, Math.min(r, 3)) },
    ];
  }
  const round = hole.slot_mm > 0 ? slotPath(hole.at_mm, hole.diameter_mm, hole.slot_mm, hole.slot_angle_deg ?? 0) : circle(hole.at_mm, r);
  return [{ key: hole.path, part: "cut", d: round }, ...(hole.kind === "tooling" ? [{ key: hole.path, part: "pin", d: cross(hole.at_mm, r * 1.7) }] : [])];
}

function reliefShapes(corner, outline) {
  const at = Array.isArray(corner.at) && meeting(outline.loops, corner.at);
  if (!at) return [];
  const back = corner.set_back_mm || 0;
  const centre = [at.x + at.bx * back, at.y + at.by * back];
  if (corner.relief === "hole") {
    const known = Number.isFinite(corner.diameter_mm) && corner.diameter_mm !== null;
    return [{ key: corner.path, part: known ? "cut" : "unknown", d: circle(centre, known ? corner.diameter_mm / 2 : 2.5) }];
  }
  const [x, y] = [at.x, at.y];
  const [tx, ty] = [-at.by * 4, at.bx * 4];
  const notch = `M${n(x + tx - at.bx * 4)} ${n(y + ty - at.by * 4)}L${n(x)} ${n(y)}L${n(x - tx - at.bx * 4)} ${n(y - ty - at.by * 4)}`;
  return corner.relief === "notch" ? [{ key: corner.path, part: "cut", d: notch }] : [];
}

function rivetShapes(row, outline) {
  for (const loop of outline.loops) {
    const edge = loop.edges.find((e) => e.name === row.edge);
    if (!edge) continue;
    const r = Math.max((row.diameter_mm || 2) / 2, 0.5);
    const places = rivetPlaces(row, edge, loop.outward);
    return [{ key: row.path, part: "", d: places.map((q) => `M${n(q.x - q.tx * r)} ${n(q.y - q.ty * r)}l${n(2 * q.tx * r)} ${n(2 * q.ty * r)}m${n(-r * (q.tx + q.ty))} ${n(-r * (q.ty - q.tx))}l${n(2 * q.ty * r)} ${n(-2 * q.tx * r)}`).join("") }];
  }
  return [];
}

/** Words in the drawing: {key, text, at, room} with `at` in mm and `room` the way [mm] the thing takes up. */
export function labelsOf(outline, sketch) {
  const flanges = Object.fromEntries((sketch.flanges ?? []).map((f) => [f.name, f]));
  const out = [];
  for (const loop of outline.loops) {
    for (const edge of loop.edges) {
      if (edge.walked.length === 0) continue;
      const q = edge.walked.length === 2 ? { x: (edge.walked[0].x + edge.walked[1].x) / 2, y: (edge.walked[0].y + edge.walked[1].y) / 2, tx: edge.walked[0].tx, ty: edge.walked[0].ty } : edge.walked[Math.floor(edge.walked.length / 2)];
      const width = valueAt(flanges[edge.flange]?.width_mm ?? 0, edge.way / 2, edge.way) || 0;
      out.push({ key: edge.path, text: edge.name, at: [q.x, q.y], out: [-loop.outward * q.ty, loop.outward * q.tx], beyond: width, room: edge.way });
    }
  }
  for (const hole of sketch.holes ?? []) {
    if (isPoint(hole.at_mm)) out.push({ key: hole.path, text: hole.name ?? "", at: hole.at_mm, out: [0, -1], beyond: (hole.kind === "tooling" ? 0.85 : 0.5) * (hole.diameter_mm || 0), room: Infinity });
  }
  return out.filter((l) => l.text);
}

