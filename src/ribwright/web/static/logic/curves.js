/**
 * Drawn edges as curves: line, arc through a point, cubic spline by cumulative chord length. The same curves as the calculation's
 * `geometry/curve.py`, held against its numbers by a test. Points are [x, y] in mm; y up. No DOM.
 */

/** @typedef {[number, number]} Point */

const minus = (a, b) => [a[0] - b[0], a[1] - b[1]];
export const distance = (a, b) => Math.hypot(a[0] - b[0], a[1] - b[1]);
export const isPoint = (p) => Array.isArray(p) && p.length === 2 && p.every((c) => typeof c === "number" && Number.isFinite(c));

/**
 * The arc from p0 by p1 to p2, or null where the three lie on a line.
 * @returns {{centre: Point, radius: number, start: number, sweep: number} | null} angles in radians, positive sweep turns left
 */
export function arcThrough(p0, p1, p2) {
  const [bx, by] = minus(p1, p0);
  const [cx, cy] = minus(p2, p0);
  const d = 2 * (bx * cy - by * cx);
  const size = Math.max(Math.hypot(bx, by), Math.hypot(cx, cy));
  if (Math.abs(d) < 1e-9 * size * size || size === 0) return null;
  const [b2, c2] = [bx * bx + by * by, cx * cx + cy * cy];
  const [ux, uy] = [(cy * b2 - by * c2) / d, (bx * c2 - cx * b2) / d];
  const start = Math.atan2(-uy, -ux);
  const turn = 2 * Math.PI;
  let sweep = (((Math.atan2(cy - uy, cx - ux) - start) % turn) + turn) % turn;
  if (d < 0) sweep -= turn;
  return { centre: [p0[0] + ux, p0[1] + uy], radius: Math.hypot(ux, uy), start, sweep };
}

/**
 * The cubic through points: knots u, values y and second derivatives m there. Natural ends unless a first derivative is given.
 * Solved by elimination along the band, so that 400 points cost microseconds each.
 */
export function cubicThrough(points, startDir = null, endDir = null) {
  const n = points.length;
  const u = new Float64Array(n);
  for (let i = 1; i < n; i += 1) u[i] = u[i - 1] + distance(points[i], points[i - 1]);
  const h = (i) => u[i + 1] - u[i];
  const slope = (i, axis) => (points[i + 1][axis] - points[i][axis]) / h(i);
  const m = [new Float64Array(n), new Float64Array(n)];
  for (const axis of [0, 1]) {
    const [low, mid, up, rhs] = [new Float64Array(n), new Float64Array(n).fill(1), new Float64Array(n), new Float64Array(n)];
    for (let i = 1; i < n - 1; i += 1) {
      [low[i], mid[i], up[i]] = [h(i - 1), 2 * (h(i - 1) + h(i)), h(i)];
      rhs[i] = 6 * (slope(i, axis) - slope(i - 1, axis));
    }
    if (startDir) [mid[0], up[0], rhs[0]] = [2 * h(0), h(0), 6 * (slope(0, axis) - startDir[axis])];
    if (endDir) [low[n - 1], mid[n - 1], rhs[n - 1]] = [h(n - 2), 2 * h(n - 2), 6 * (endDir[axis] - slope(n - 2, axis))];
    for (let i = 1; i < n; i += 1) {
      const share = low[i] / mid[i - 1];
      mid[i] -= share * up[i - 1];
      rhs[i] -= share * rhs[i - 1];
    }
    m[axis][n - 1] = rhs[n - 1] / mid[n - 1];
    for (let i = n - 2; i >= 0; i -= 1) m[axis][i] = (rhs[i] - up[i] * m[axis][i + 1]) / mid[i];
  }
  return { u, points, m };
}

/** First derivative along one axis in span i, a share t (0..1) along it. */
function slopeAt({ u, points, m }, axis, i, t) {
  const h = u[i + 1] - u[i];
  const [m0, m1] = [m[axis][i], m[axis][i + 1]];
  return (points[i + 1][axis] - points[i][axis]) / h - (h * (2 * m0 + m1)) / 6 + t * h * (m0 + (t * (m1 - m0)) / 2);
}

function placeAt({ u, points, m }, axis, i, t) {
  const h = u[i + 1] - u[i];
  const [m0, m1] = [m[axis][i], m[axis][i + 1]];
  const first = (points[i + 1][axis] - points[i][axis]) / h - (h * (2 * m0 + m1)) / 6;
  const x = t * h;
  return points[i][axis] + x * (first + x * (m0 / 2 + (x * (m1 - m0)) / (6 * h)));
}

const cubicSlope = (cubic, i, t) => [slopeAt(cubic, 0, i, t), slopeAt(cubic, 1, i, t)];
const cubicPoint = (cubic, i, t) => [placeAt(cubic, 0, i, t), placeAt(cubic, 1, i, t)];

/**
 * The curve of a drawn edge, or null while it has none (points missing, two the same, an arc's in a line).
 * @param {"line"|"arc"|"spline"} kind @param {Point[]} points the edge's start first
 */
export function curveOf(kind, points, startDir = null, endDir = null) {
  if (points.length < 2 || !points.every(isPoint)) return null;
  if (points.some((p, i) => i > 0 && distance(p, points[i - 1]) < 1e-6)) return null;
  if (kind === "line") return { kind, points: [points[0], points.at(-1)] };
  if (kind === "arc") {
    const arc = points.length === 3 ? arcThrough(...points) : null;
    return arc && { kind, points, arc };
  }
  return { kind: "spline", points, cubic: cubicThrough(points, startDir, endDir) };
}

/** Unit direction of travel at the start or the end. */
export function direction(curve, atEnd) {
  let d;
  if (curve.kind === "line") d = minus(curve.points[1], curve.points[0]);
  else if (curve.kind === "arc") {
    const t = curve.arc.start + (atEnd ? curve.arc.sweep : 0);
    d = [-Math.sin(t) * Math.sign(curve.arc.sweep), Math.cos(t) * Math.sign(curve.arc.sweep)];
  } else {
    const last = curve.points.length - 2;
    d = cubicSlope(curve.cubic, atEnd ? last : 0, atEnd ? 1 : 0);
  }
  const size = Math.hypot(...d) || 1;
  return [d[0] / size, d[1] / size];
}

const num = (v) => String(Math.round(v * 1e4) / 1e4);
const xy = (p) => `${num(p[0])} ${num(p[1])}`;

/** The curve as an SVG path after its start, in mm with y as it is: each span of the spline is exactly one Bezier piece. */
export function pathAfterStart(curve) {
  if (curve.kind === "line") return `L${xy(curve.points[1])}`;
  if (curve.kind === "arc") {
    const { radius, sweep } = curve.arc;
    // y up in mm: a left turn is a positive sweep, which SVG's flag names 1 in these coordinates
    return `A${num(radius)} ${num(radius)} 0 ${Math.abs(sweep) > Math.PI ? 1 : 0} ${sweep > 0 ? 1 : 0} ${xy(curve.points[2])}`;
  }
  const { u, points } = curve.cubic;
  const parts = [];
  for (let i = 0; i + 1 < points.length; i += 1) {
    const third = (u[i + 1] - u[i]) / 3;
    const [a, b] = [cubicSlope(curve.cubic, i, 0), cubicSlope(curve.cubic, i, 1)];
    const [p, q] = [points[i], points[i + 1]];
    parts.push(`C${xy([p[0] + third * a[0], p[1] + third * a[1]])} ${xy([q[0] - third * b[0], q[1] - third * b[1]])} ${xy(q)}`);
  }
  return parts.join("");
}

export const svgPath = (curve) => `M${xy(curve.points[0])}${pathAfterStart(curve)}`;

/**
 * Points along the curve, close enough for drawing bands and finding what is near.
 * @returns {{x: number, y: number, tx: number, ty: number, s: number, span: number}[]} unit tangent, way from the start [mm], knot span
 */
export function walk(curve, perSpan = 0) {
  const out = [];
  let s = 0;
  const put = (p, d, span) => {
    const size = Math.hypot(...d) || 1;
    const before = out.at(-1);
    if (before) s += Math.hypot(p[0] - before.x, p[1] - before.y);
    out.push({ x: p[0], y: p[1], tx: d[0] / size, ty: d[1] / size, s, span });
  };
  if (curve.kind === "line") {
    const d = minus(curve.points[1], curve.points[0]);
    put(curve.points[0], d, 0);
    put(curve.points[1], d, 0);
  } else if (curve.kind === "arc") {
    const { centre, radius, start, sweep } = curve.arc;
    // chords within 0.01 mm of a large arc
    const n = Math.max(8, Math.ceil(Math.abs(sweep) / Math.min(0.06, Math.sqrt(0.08 / radius))));
    for (let i = 0; i <= n; i += 1) {
      const t = start + (sweep * i) / n;
      const sign = Math.sign(sweep);
      put([centre[0] + radius * Math.cos(t), centre[1] + radius * Math.sin(t)], [-Math.sin(t) * sign, Math.cos(t) * sign], 0);
    }
    // chords are shorter than the arc: the way along is known exactly
    const whole = radius * Math.abs(sweep);
    out.forEach((q, i) => { q.s = (whole * i) / n; });
  } else {
    const spans = curve.points.length - 1;
    const n = perSpan || (spans > 100 ? 2 : spans > 30 ? 5 : 16);
    for (let i = 0; i < spans; i += 1) {
      for (let k = i === 0 ? 0 : 1; k <= n; k += 1) put(cubicPoint(curve.cubic, i, k / n), cubicSlope(curve.cubic, i, k / n), i);
    }
  }
  return out;
}

/** The place of a walk at the way `s` [mm] along it: {x, y, tx, ty}. */
export function atWay(walked, s) {
  if (s <= 0) return walked[0];
  let [low, high] = [0, walked.length - 1];
  if (s >= walked[high].s) return walked[high];
  while (high - low > 1) {
    const mid = (low + high) >> 1;
    if (walked[mid].s <= s) low = mid;
    else high = mid;
  }
  const [a, b] = [walked[low], walked[high]];
  const t = (s - a.s) / (b.s - a.s || 1);
  return { x: a.x + t * (b.x - a.x), y: a.y + t * (b.y - a.y), tx: a.tx + t * (b.tx - a.tx), ty: a.ty + t * (b.ty - a.ty), s, span: a.span };
}

/** The place of a walk nearest to a point: {x, y, s, far, span}, `far` in mm. */
export function nearestOn(walked, p) {
  let best = { far: Infinity };
  for (let i = 0; i + 1 < walked.length; i += 1) {
    const [a, b] = [walked[i], walked[i + 1]];
    const [dx, dy] = [b.x - a.x, b.y - a.y];
    const t = Math.max(0, Math.min(1, ((p[0] - a.x) * dx + (p[1] - a.y) * dy) / (dx * dx + dy * dy || 1)));
    const [x, y] = [a.x + t * dx, a.y + t * dy];
    const far = Math.hypot(p[0] - x, p[1] - y);
    if (far < best.far) best = { x, y, s: a.s + t * (b.s - a.s), far, span: b.span };
  }
  return best;
}
