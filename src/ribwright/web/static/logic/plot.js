/** Scales and marks of a plot: places on it, round steps, names that do not lie on each other. No DOM. */

/** A scale by the logarithm: `at(value)` in pixels; a value over either end lies at the end. */
export function logScale(low, high, from, to) {
  const [a, b] = [Math.log(low), Math.log(high)];
  const at = (value) => from + ((Math.log(Math.min(Math.max(value, low), high)) - a) / (b - a)) * (to - from);
  return { low, high, from, to, at };
}

/** An even scale, likewise. */
export function evenScale(low, high, from, to) {
  const at = (value) => from + ((Math.min(Math.max(value, low), high) - low) / (high - low)) * (to - from);
  return { low, high, from, to, at };
}

/** 1, 2, 5, 10 ... between two ends; more of them where they are near each other. */
export function roundLog(low, high) {
  const of = high > 12 * low ? [1, 2, 5] : [1, 1.5, 2, 3, 4, 5, 6, 8];
  const found = [];
  for (let k = Math.floor(Math.log10(low)); k <= Math.ceil(Math.log10(high)); k += 1) {
    for (const m of of) {
      const value = Number((m * 10 ** k).toPrecision(6));
      if (value >= low && value <= high) found.push(value);
    }
  }
  return found;
}

/** Even round steps between two ends, about `count` of them. */
export function roundEven(low, high, count = 8) {
  const rough = (high - low) / count;
  const ten = 10 ** Math.floor(Math.log10(rough));
  const step = [1, 2, 5, 10].map((m) => m * ten).find((s) => s >= rough - 1e-12);
  const found = [];
  for (let k = Math.ceil(low / step - 1e-9); k * step <= high + 1e-9 * step; k += 1) found.push(Number((k * step).toPrecision(10)));
  return found;
}

/** Heights at least `pitch` apart between `low` and `high`, in the order given (rising), each near what is wanted. */
export function spread(wanted, pitch, low, high) {
  const at = wanted.map((y) => Math.min(Math.max(y, low), high));
  for (let i = 1; i < at.length; i += 1) at[i] = Math.max(at[i], at[i - 1] + pitch);
  if (at.length && at.at(-1) > high) {
    at[at.length - 1] = high;
    for (let i = at.length - 2; i >= 0; i -= 1) at[i] = Math.min(at[i], at[i + 1] - pitch);
  }
  return at;
}

/**
 * The first of several boxes [x, y, width, height] that covers none of those taken; it is taken then. null: none is free.
 * @param {number[][]} taken grows
 */
export function firstFree(taken, boxes) {
  const found = boxes.find(([x, y, w, h]) => taken.every(([a, b, c, d]) => x >= a + c || a >= x + w || y >= b + d || b >= y + h));
  if (found) taken.push(found);
  return found ?? null;
}

/** y of a line of points [x, y] at x, straight between them; null outside. */
export function valueAt(points, x) {
  for (let i = 1; i < points.length; i += 1) {
    const [[x0, y0], [x1, y1]] = [points[i - 1], points[i]];
    if (x0 <= x && x <= x1) return x1 === x0 ? y1 : y0 + ((y1 - y0) * (x - x0)) / (x1 - x0);
  }
  return null;
}

/**
 * The band about the released line: [[p, low, high]] where the line runs over the band's pressures; its width straight over log p.
 * @param {number[][]} line [[MPa, deg]] rising
 * @param {{pressure_mpa: number[], low: number[], value: number[], high: number[]}|null} band
 */
export function bandAbout(line, band) {
  if (!band) return [];
  const logs = band.pressure_mpa.map(Math.log);
  const off = (which) => logs.map((p, i) => [p, band[which][i] - band.value[i]]);
  const [below, above] = [off("low"), off("high")];
  const [first, last] = [logs[0], logs.at(-1)];
  return line
    .filter(([p]) => Math.log(p) >= first - 1e-9 && Math.log(p) <= last + 1e-9)
    .map(([p, a]) => {
      const x = Math.min(Math.max(Math.log(p), first), last);
      return [p, a + valueAt(below, x), a + valueAt(above, x)];
    });
}

/** Ends of both scales of an angle-over-pressure plot. @returns {{p: [number, number], a: [number, number]}} */
export function ends({ curve, wall, drawn, tolerance, pressures }) {
  const marks = [pressures.on_sheet_mpa, pressures.acts_mpa, pressures.closes_mpa, pressures.would_close_estimate_mpa, pressures.available_mpa].filter(Boolean);
  const angles = [wall, drawn + (tolerance?.[1] ?? 0), ...curve.loaded.map(([, a]) => a), ...curve.released.map(([, a]) => a), ...(curve.band?.high ?? []), ...(curve.band?.low ?? [])];
  const most = Math.max(...marks, ...curve.released.map(([p]) => p));
  const least = Math.min(curve.loaded[0]?.[0] ?? most / 10, ...marks.map((m) => 0.8 * m));
  const low = Math.min(...angles);
  return { p: [least, 1.35 * most], a: [low > -5 ? 0 : 10 * Math.floor(low / 10), 10 * Math.ceil((Math.max(...angles) + 2) / 10)] };
}
