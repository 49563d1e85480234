/** A view of the drawing: mm to pixels, y up to y down, and what the pointer is near. No DOM. */

/** @typedef {{k: number, x: number, y: number}} View  px = x + k mm_x, py = y - k mm_y; k in pixels a millimetre */

export const toPixels = (view, p) => [view.x + view.k * p[0], view.y - view.k * p[1]];
export const toMm = (view, p) => [(p[0] - view.x) / view.k, (view.y - p[1]) / view.k];
export const matrix = (view) => `matrix(${view.k} 0 0 ${-view.k} ${view.x} ${view.y})`;

/** The view that shows a box [left, bottom, right, top] whole in a sheet of so many pixels, with room for names, axes and scale. */
export function fitted(box, width, height, room = { side: 72, above: 60, below: 104 }) {
  const [left, bottom, right, top] = box ?? [-10, -10, 260, 130];
  const [w, h] = [Math.max(right - left, 1), Math.max(top - bottom, 1)];
  const k = Math.max(0.01, Math.min((width - 2 * room.side) / w, (height - room.above - room.below) / h));
  const middle = (room.above + height - room.below) / 2;
  return { k, x: width / 2 - (k * (left + right)) / 2, y: middle + (k * (bottom + top)) / 2 };
}

/** The view so many times nearer, the point of the sheet [px] staying where it is. */
export function zoomed(view, times, [px, py]) {
  const k = Math.max(0.02, Math.min(400, view.k * times));
  const f = k / view.k;
  return { k, x: px - f * (px - view.x), y: py - f * (py - view.y) };
}

export const panned = (view, dx, dy) => ({ ...view, x: view.x + dx, y: view.y + dy });

/** A length [mm] for a scale bar of about so many pixels: 1, 2 or 5 times a power of ten in the unit. */
export function scaleBar(view, unit, about = 150) {
  const mm = unit === "in" ? 25.4 : 1;
  const wanted = about / view.k / mm;
  const power = 10 ** Math.floor(Math.log10(wanted));
  const times = [5, 2, 1].find((t) => t * power <= wanted) ?? 1;
  return { mm: times * power * mm, px: times * power * mm * view.k };
}

/**
 * The thing a pointer means: of things near it the one that lies highest, then the nearest.
 * @param {{path: string, rank: number, far: number}[]} near `far` in pixels; a lower rank lies higher
 */
export function meant(near, within = 14) {
  const close = near.filter((n) => n.far <= within);
  if (close.length === 0) return null;
  return close.sort((a, b) => a.rank - b.rank || a.far - b.far)[0];
}
