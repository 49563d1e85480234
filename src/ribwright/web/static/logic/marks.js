/** Faults and findings with numbers, each at its place in the drawing. No DOM. */
import { atWay, isPoint } from "./curves.js";
import { DETAILS, spotOfDetail } from "./details.js";
import { meeting } from "./outline.js";
import { ownerOf } from "./paths.js";

/** @typedef {{n: number, severity: "fault"|"stop"|"warn"|"note", key: string, owner: string, say: string, try: string, line: number|null, where: object}} Mark */

/** The path a finding's `where` names, or "". */
export function pathOf(where, sketch) {
  const edgeNamed = (name) => (sketch.loops ?? []).flatMap((l) => l.edges).find((e) => e.name === name)?.path ?? "";
  const one = (v) => (Array.isArray(v) ? v[0] : v);
  const detail = DETAILS.find((kind) => where[kind] !== undefined);
  const path = detail && `${detail}[${one(where[detail])}]`;
  if (path && (sketch.others ?? []).some((o) => o.path === path)) return path;
  if (where.edge) return edgeNamed(one(where.edge));
  if (where.hole) return (sketch.holes ?? []).find((h) => h.name === one(where.hole))?.path ?? "";
  if (where.corner) {
    const same = (c) => Array.isArray(c.at) && where.corner.every((name) => c.at.includes(name));
    return (sketch.corners ?? []).find(same)?.path ?? edgeNamed(where.corner[0]);
  }
  if (where.flange) return (sketch.flanges ?? []).find((f) => f.name === one(where.flange))?.path ?? "";
  if (where.cutout) return (sketch.loops ?? []).find((l) => l.name === where.cutout)?.path ?? "";
  return typeof where.key === "string" ? where.key : where.loop === "web" ? "web" : "";
}

/** All marks, faults first, then findings as they come (the worst first). @returns {Mark[]} */
export function marksOf(draft, findings) {
  const names = (draft.sketch?.flanges ?? []).map((f) => f.name);
  // a fault of another file, or of the text's form, has no thing of the part to stand at
  const keyOf = (f) => (/^line \d/.test(f.key ?? "") || (f.file && !f.file.endsWith(".part.toml")) ? "" : (f.key ?? ""));
  const faults = draft.faults.map((f) => ({ severity: "fault", key: keyOf(f), owner: ownerOf(keyOf(f), names), say: f.say, try: "", line: f.line ?? null, where: {} }));
  const found = findings.map((f) => {
    const key = pathOf(f.where ?? {}, draft.sketch ?? {});
    return { severity: f.severity, key, owner: ownerOf(key, names), say: f.say, try: f.try ?? "", line: null, where: f.where ?? {} };
  });
  return [...faults, ...found].map((mark, i) => ({ ...mark, n: i + 1 }));
}

/** Where a mark stands in the drawing [mm], or null where it has no place there. */
export function placeOf(mark, outline, sketch) {
  const edges = outline.loops.flatMap((l) => l.edges);
  for (const edge of edges) {
    const i = edge.pointPaths.indexOf(mark.key);
    if (i > 0 && isPoint(edge.points[i])) return edge.points[i];
  }
  const edge = edges.find((e) => e.path === mark.owner);
  if (edge) return onEdge(edge, mark.where.along_mm);
  const hole = (sketch.holes ?? []).find((h) => h.path === mark.owner);
  if (hole) {
    // beside the hole, not on it
    const out = 0.36 * (hole.diameter_mm || 0);
    return isPoint(hole.at_mm) ? [hole.at_mm[0] + out, hole.at_mm[1] + out] : null;
  }
  const corner = (sketch.corners ?? []).find((c) => c.path === mark.owner);
  const at = meeting(outline.loops, corner?.at ?? mark.where.corner ?? []);
  if (at) return [at.x, at.y];
  const flange = (sketch.flanges ?? []).find((f) => f.path === mark.owner);
  const flanged = flange && edges.find((e) => e.flange === flange.name);
  if (flanged) return onEdge(flanged);
  const detail = (sketch.others ?? []).find((o) => o.path === mark.owner);
  if (detail) return spotOfDetail(detail, outline, sketch);
  const loop = outline.loops.find((l) => l.path === mark.owner);
  return loop && loop.path !== "web" && isPoint(loop.start) ? loop.start : null;
}

function onEdge(edge, along) {
  if (edge.walked.length === 0) return edge.points.find(isPoint) ?? null;
  // off the middle, where the name stands
  const q = atWay(edge.walked, typeof along === "number" ? along : edge.way * 0.4);
  return [q.x, q.y];
}
