/** Reading a forecast: places by name, verdicts, where hand work will be needed. No DOM. */

const SAME_DEG = 0.05;

/** Names of the stations in paths: `forecast.stations[upper][0]` where an edge has several, `[L1]` where it has one. */
export function stationPaths(stations) {
  const names = stations.map((s) => s.edge ?? s.hole ?? "");
  const seen = new Map();
  return names.map((name, i) => {
    if (!name || /^\d+$/.test(name)) return `forecast.stations[${i}]`;
    if (names.filter((n) => n === name).length === 1) return `forecast.stations[${name}]`;
    const before = seen.get(name) ?? 0;
    seen.set(name, before + 1);
    return `forecast.stations[${name}][${before}]`;
  });
}

/** One key for a place, the same in every answer about the part. */
export const placeKey = (s) => (s.hole ? `hole ${s.hole}` : `edge ${s.edge} ${s.along_mm.toFixed(2)}`);
/** {kind, name} of who owns a place. */
export const ownerOf = (where) => {
  const first = (v) => (Array.isArray(v) ? v[0] : v);
  if (where?.hole) return { kind: "hole", name: first(where.hole) };
  return where?.edge ? { kind: "edge", name: first(where.edge) } : null;
};

/** The tolerance of a place's angle [minus, plus], from the contour; null: the drawing gives none. */
export function toleranceOf(s, contour) {
  const of = s.hole ? contour?.holes.find((h) => h.name === s.hole) : contour?.edges.find((e) => e.name === s.edge);
  return of?.tolerance_deg ?? null;
}

/**
 * What a place comes off as.
 * @returns {"unknown"|"stays-open"|"open"|"closed"|"band-outside"|"inside"|"on-it"|"not-judged"} `stays-open` does not come down to the block;
 *   `open`, `closed` past the tolerance; `band-outside` inside it, but its 90 % band is not; `not-judged` the drawing gives no tolerance
 */
export function verdictOf(s, tolerance) {
  const out = s.angle_released_deg;
  if (!out) return "unknown";
  if (s.closes === false) return "stays-open";
  const drawn = s.bend_angle_deg;
  const off = out.value - drawn;
  if (!tolerance) return Math.abs(off) < SAME_DEG ? "on-it" : "not-judged";
  if (off < -tolerance[0] - 1e-9) return "open";
  if (off > tolerance[1] + 1e-9) return "closed";
  return out.low < drawn - tolerance[0] || out.high > drawn + tolerance[1] ? "band-outside" : "inside";
}

/** How serious a verdict is: 0 nothing to do. */
export const weight = (verdict) => ({ "stays-open": 4, unknown: 3, open: 3, closed: 3, "band-outside": 1 })[verdict] ?? 0;

/** Stations grouped by edge, then hole, in their order: [{owner, rows: [{s, index}]}]. */
export function byOwner(stations) {
  const groups = new Map();
  stations.forEach((s, index) => {
    const key = s.hole ? `hole ${s.hole}` : `edge ${s.edge}`;
    if (!groups.has(key)) groups.set(key, { key, owner: ownerOf(s), rows: [] });
    groups.get(key).rows.push({ s, index });
  });
  return [...groups.values()];
}

/** The station whose released angle stands farthest from the drawing's; -1 for none. */
export function worstOf(stations) {
  let best = -1;
  stations.forEach((s, i) => {
    if (s.off_drawing_deg !== null && Number.isFinite(s.off_drawing_deg) && (best < 0 || Math.abs(s.off_drawing_deg) > Math.abs(stations[best].off_drawing_deg))) best = i;
  });
  return best;
}

/** The point of an edge's line so far along as typed, and the direction out of the metal there. */
export function pointAlong(edge, along) {
  const a = edge.along_mm;
  const rising = a[a.length - 1] >= a[0];
  let i = 1;
  while (i < a.length - 1 && (rising ? a[i] < along : a[i] > along)) i += 1;
  const share = Math.min(1, Math.max(0, (along - a[i - 1]) / (a[i] - a[i - 1] || 1)));
  const [p, q] = [edge.points_mm[i - 1], edge.points_mm[i]];
  const long = Math.hypot(q[0] - p[0], q[1] - p[1]) || 1;
  // the metal lies on the left of the line as it is travelled
  return { at: [p[0] + share * (q[0] - p[0]), p[1] + share * (q[1] - p[1])], out: [(q[1] - p[1]) / long, (p[0] - q[0]) / long] };
}

/** Where on the drawn part a place stands; null where the contour does not know it. */
export function spotOf(where, contour) {
  const owner = ownerOf(where);
  if (!owner || !contour) return null;
  if (owner.kind === "hole") {
    const h = contour.holes.find((x) => x.name === owner.name);
    if (!h) return null;
    const r = h.diameter_mm / 2;
    return { at: [h.at_mm[0] + Math.SQRT1_2 * r, h.at_mm[1] + Math.SQRT1_2 * r], out: [Math.SQRT1_2, Math.SQRT1_2] };
  }
  const e = contour.edges.find((x) => x.name === owner.name);
  if (!e) return null;
  const middle = (e.along_mm[0] + e.along_mm[e.along_mm.length - 1]) / 2;
  return pointAlong(e, typeof where.along_mm === "number" ? where.along_mm : middle);
}

const HAND_CODES = new Set([
  "forecast-left-open", "forecast-angle-outside", "forecast-would-neck", "flange-comes-off-open", "shrink-wrinkles", "shrink-limit", "stretch-near-limit",
  "stretch-limit", "hole-edge-limit", "hole-edge-near-limit", "pressure-short", "pressure-marginal", "tolerance-not-met-by-forecast", "undercut-leaves-angle",
  "flange-folds", "web-slides", "flutes-too-little", "flutes-uneven", "flutes-left-out", "flutes-no-room", "joggle-not-set",
]);

/**
 * Where hand work will be needed, the worst first: one row an edge or hole (or a flange, for what is said of flanges alone).
 * @param {object[]} stations of the forecast
 * @param {object[]} findings of the same answer
 * @returns {{key, owner, where, weight, verdicts: {s, index, verdict}[], wrinkle: object|null, findings: object[]}[]}
 */
export function handWork(stations, findings, contour) {
  const rows = new Map();
  const row = (owner, where) => {
    const key = `${owner.kind} ${owner.name}`;
    if (!rows.has(key)) rows.set(key, { key, owner, where, weight: 0, verdicts: [], wrinkle: null, findings: [] });
    return rows.get(key);
  };
  stations.forEach((s, index) => {
    const verdict = verdictOf(s, toleranceOf(s, contour));
    const heavy = weight(verdict);
    if (heavy < 3 && !s.wrinkle?.likely) return;
    const r = row(ownerOf(s), s);
    if (heavy >= 3) r.verdicts.push({ s, index, verdict });
    if (s.wrinkle?.likely && (!r.wrinkle || shrinks(s) > shrinks(r.wrinkle))) r.wrinkle = s;
    if (heavy > r.weight) Object.assign(r, { weight: heavy, where: s });
    if (r.wrinkle && r.weight < 2) Object.assign(r, { weight: 2, where: r.wrinkle });
  });
  for (const f of findings) {
    if (!HAND_CODES.has(f.code) || f.severity === "note") continue;
    // a tolerance of a size is no matter of the mallet
    if (f.where?.tolerance && f.where.tolerance !== "flange_angle") continue;
    const owner = ownerOf(f.where) ?? (f.where?.flange ? { kind: "flange", name: f.where.flange } : null);
    if (!owner) continue;
    const r = row(owner, f.where);
    r.findings.push(f);
    r.weight = Math.max(r.weight, f.severity === "stop" ? 5 : 1.5);
  }
  return [...rows.values()].sort((a, b) => b.weight - a.weight || worstOff(b) - worstOff(a));
}

/** How far a free edge shrinks (true strain, positive): an edge that gathers is taken as straight by the section, so the flat blank says it too. */
export const shrinks = (s) => Math.max(0, -(s.edge_strain?.value ?? 0), -(s.blank_edge_strain ?? 0));
const worstOff = (r) => Math.max(0, ...r.verdicts.map(({ s }) => Math.abs(s.off_drawing_deg ?? 0)));

/** What one should do about a row, each thing once: [{code, say, todo}]. */
export function handSteps(r) {
  const told = new Set();
  return r.findings.map((f) => {
    const todo = told.has(f.try) ? "" : (f.try ?? "");
    told.add(f.try);
    return { code: f.code, severity: f.severity, say: f.say, todo };
  });
}

/** Options of the forecast's job from what stands in the form. `by` "press" or "fluid". */
export function askedOf({ by, press, pressure, undercut }) {
  return { press: by === "fluid" ? "" : press, pressure: pressure.trim(), undercut: undercut.trim(), forecast_model: "" };
}

/** A strain as the percent it is, for a number that opens: {value, unit}. */
export const percentOf = (trueStrain) => (trueStrain === null || trueStrain === undefined ? null : Number((100 * Math.expm1(trueStrain)).toFixed(2)) + 0);
