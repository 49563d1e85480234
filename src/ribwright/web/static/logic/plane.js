/** A flat picture's view: millimetres (y up) to pixels (y down) by one scale. Pure. */

/** @typedef {{scale: number, x: number, y: number}} View  px = x + scale * X, py = y - scale * Y */

/** The view that shows a box [left, bottom, right, top] in width x height pixels, with room beside it {left, right, above, below}. */
export function fit([left, bottom, right, top], width, height, room) {
  const [free, high] = [width - room.left - room.right, height - room.above - room.below];
  const scale = Math.max(Math.min(free / Math.max(right - left, 1e-6), high / Math.max(top - bottom, 1e-6)), 1e-6);
  return { scale, x: room.left + free / 2 - (scale * (left + right)) / 2, y: room.above + high / 2 + (scale * (bottom + top)) / 2 };
}

export const toScreen = ({ scale, x, y }, [X, Y]) => [x + scale * X, y - scale * Y];
export const toPlane = ({ scale, x, y }, [px, py]) => [(px - x) / scale, (y - py) / scale];

/** Larger by `times` about the pixel that stays where it is; never past the limits of scale [px/mm]. */
export function zoomed(view, times, [px, py], least = 1e-3, most = 400) {
  const scale = Math.min(Math.max(view.scale * times, least), most);
  const k = scale / view.scale;
  return { scale, x: px - k * (px - view.x), y: py - k * (py - view.y) };
}

export const shifted = (view, dx, dy) => ({ ...view, x: view.x + dx, y: view.y + dy });

/** SVG path data of points in millimetres. */
export const pathData = (points, closed = false) =>
  points.length ? `M${points.map(([x, y]) => `${x} ${y}`).join("L")}${closed ? "Z" : ""}` : "";

/** A circle as path data, so that line styles run round it the same way. */
export const circleData = ([x, y], r) => `M${x + r} ${y}A${r} ${r} 0 1 1 ${x - r} ${y}A${r} ${r} 0 1 1 ${x + r} ${y}Z`;

/** A slot as path data: width d, its centres `slot` apart along `deg`. */
export function slotData(at, d, slot, deg) {
  const [c, s] = [Math.cos((deg * Math.PI) / 180), Math.sin((deg * Math.PI) / 180)];
  const r = d / 2;
  const p = (along, across) => `${at[0] + c * along - s * across} ${at[1] + s * along + c * across}`;
  const h = slot / 2;
  return `M${p(-h, -r)}L${p(h, -r)}A${r} ${r} 0 0 1 ${p(h, r)}L${p(-h, r)}A${r} ${r} 0 0 1 ${p(-h, -r)}Z`;
}

/** The box around boxes. */
export const around = (...boxes) => [
  Math.min(...boxes.map((b) => b[0])), Math.min(...boxes.map((b) => b[1])),
  Math.max(...boxes.map((b) => b[2])), Math.max(...boxes.map((b) => b[3])),
];

/**
 * A bar of round length for the scale: at most `most` pixels long.
 * @returns {{mm: number, words: string}} words in the unit wanted first
 */
export function scaleBar(scale, unit, most = 160) {
  const per = unit === "in" ? 25.4 : 1;
  const longest = most / scale / per;
  const power = 10 ** Math.floor(Math.log10(longest));
  const step = [5, 2, 1].find((k) => k * power <= longest) * power;
  return { mm: step * per, words: `${Number(step.toPrecision(1))} ${unit}` };
}
