/**
 * Drawing an outline edge by edge, by clicks or by numbers. A pen is a frozen value; points are numbers of the file's unit. No DOM.
 * @typedef {{loop: "web"|"cutout", name: string, kind: "line"|"arc"|"spline", start: number[]|null, edges: PenEdge[], pending: number[][], closed: boolean}} Pen
 * @typedef {{name: string, kind: string, points: number[][]}} PenEdge  points after the edge's start
 */

export const newPen = (loop, name = "") => Object.freeze({ loop, name, kind: "line", start: null, edges: [], pending: [], closed: false });

/** The point the next edge begins at, null before the first. */
export const penPoint = (pen) => pen.pending.at(-1) ?? pen.edges.at(-1)?.points.at(-1) ?? pen.start;
const corner = (pen) => pen.edges.at(-1)?.points.at(-1) ?? pen.start;
const same = (a, b) => a && b && Math.hypot(a[0] - b[0], a[1] - b[1]) < 1e-9;

const nameFor = (pen) => {
  const stem = pen.loop === "cutout" ? `${pen.name || "cutout"} ` : "edge ";
  let i = pen.edges.length + 1;
  while (pen.edges.some((e) => e.name === `${stem}${i}`)) i += 1;
  return `${stem}${i}`;
};

const withEdge = (pen, kind, points) =>
  sided({ ...pen, pending: [], edges: [...pen.edges, { name: nameFor(pen), kind, points }], closed: same(points.at(-1), pen.start) });

/** An outline of four edges that nobody has named: lower, rear, upper, front, the rear one farther from x = 0. */
function sided(pen) {
  if (!pen.closed || pen.loop !== "web" || pen.edges.length !== 4 || pen.edges.some((e) => !/^edge \d+$/.test(e.name))) return pen;
  const places = pen.edges.map((edge, i) => {
    const from = i ? pen.edges[i - 1].points.at(-1) : pen.start;
    const all = edge.kind === "line" ? [from, ...edge.points] : edge.points.length > 1 ? edge.points.slice(0, -1) : [from, ...edge.points];
    return { i, x: all.reduce((sum, p) => sum + p[0], 0) / all.length, y: all.reduce((sum, p) => sum + p[1], 0) / all.length };
  });
  const byHeight = [...places].sort((a, b) => a.y - b.y);
  const [lower, upper] = [byHeight[0].i, byHeight[3].i];
  const [front, rear] = [byHeight[1], byHeight[2]].sort((a, b) => Math.abs(a.x) - Math.abs(b.x)).map((p) => p.i);
  const names = Object.fromEntries([[lower, "lower"], [rear, "rear"], [upper, "upper"], [front, "front"]]);
  return { ...pen, edges: pen.edges.map((edge, i) => ({ ...edge, name: names[i] })) };
}

/** How far the pen is from the point where it began, in the file's unit; null before there is something to close. */
export function toStart(pen) {
  const last = penPoint(pen);
  return last && pen.start && last !== pen.start ? Math.hypot(last[0] - pen.start[0], last[1] - pen.start[1]) : null;
}

/** The pen after a click or a typed point. A point on the last one again ends a spline; the start closes. */
export function put(pen, point) {
  if (pen.closed) return pen;
  if (!pen.start) return { ...pen, start: point };
  const last = penPoint(pen);
  if (same(point, last)) return pen.kind === "spline" && pen.pending.length ? endSpline(pen) : pen;
  if (pen.kind === "line") return withEdge(pen, "line", [point]);
  const pending = [...pen.pending, point];
  if (pen.kind === "arc") return pending.length === 2 ? withEdge(pen, "arc", pending) : { ...pen, pending };
  return same(point, pen.start) ? withEdge(pen, "spline", pending) : { ...pen, pending };
}

/** Ends a spline at its last point. */
export const endSpline = (pen) => (pen.pending.length && pen.kind === "spline" ? withEdge(pen, "spline", pen.pending) : pen);

/** Closes with a straight edge to the start, where there is something to close. */
export function close(pen) {
  const ended = endSpline(pen);
  if (ended.closed || !ended.start || ended.edges.length === 0 || same(corner(ended), ended.start)) return ended;
  return withEdge({ ...ended, pending: [] }, "line", [ended.start]);
}

/** One step back. */
export function back(pen) {
  if (pen.pending.length) return { ...pen, pending: pen.pending.slice(0, -1) };
  if (pen.edges.length) return { ...pen, edges: pen.edges.slice(0, -1), closed: false };
  return { ...pen, start: null };
}

export const withKind = (pen, kind) => ({ ...endSpline(pen), kind, pending: [] });

/** An edge's points by numbers, or its name; later edges begin where it now ends. */
export const changed = (pen, i, changes) => {
  const edges = pen.edges.map((e, k) => (k === i ? { ...e, ...changes } : e));
  return { ...pen, edges, closed: edges.length > 0 && same(edges.at(-1).points.at(-1), pen.start) };
};

const edgeTable = ({ name, kind, points }) => {
  if (kind === "spline") return { name, spline: points };
  return kind === "arc" ? { name, through: points[0], to: points[1] } : { name, to: points[0] };
};

/**
 * The ops that put a closed outline into the part file; the web's edges that were there are taken out.
 * @param {Pen} pen @param {number} had how many edges the web has now
 */
export function penOps(pen, had) {
  const tables = pen.edges.map(edgeTable);
  if (pen.loop === "cutout") return [{ op: "add", path: "cutout", table: { name: pen.name, start: pen.start, edge: tables } }];
  const gone = Array.from({ length: had }, (_, i) => ({ op: "remove", path: `web.edge[${had - i}]` }));
  return [...gone, { op: "set", path: "web.start", value: pen.start }, ...tables.map((table) => ({ op: "add", path: "web.edge", table }))];
}

/** The pen as a loop of a sketch, so that it is drawn like one; `mm` makes millimetres of a point. */
export function penLoop(pen, mm) {
  if (!pen.start) return null;
  const rest = pen.pending.length ? [{ name: "", kind: pen.kind === "spline" ? "spline" : "line", points: pen.pending }] : [];
  return {
    name: pen.name, path: "pen", start_mm: mm(pen.start), closed: pen.closed,
    edges: [...pen.edges, ...rest].map((e, i) => ({ path: `pen.edge[${i + 1}]`, name: e.name, kind: e.kind, points_mm: e.points.map(mm), tangent: null, ordinates: null, flange: null })),
  };
}
