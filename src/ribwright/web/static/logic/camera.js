/**
 * The camera of a picture in three dimensions: it looks at the middle of a box from a direction, without perspective. z is up. Pure.
 *
 * @typedef {{az: number, el: number, zoom: number, pan: [number, number]}} Camera
 *   `az` [deg] from which side, counted from the front (-y) towards the right (+x); `el` [deg] from how high; `zoom` 1 shows the whole
 *   box; `pan` [share of the shown height]
 */

export const VIEWS = {
  front: { az: 0, el: 0 },
  top: { az: 0, el: 90 },
  side: { az: 90, el: 0 },
  three_quarter: { az: 30, el: 30 },
};

export const looking = (view) => ({ ...VIEWS[view], zoom: 1, pan: [0, 0] });

/** Turned by degrees; never past looking straight down or up. */
export const turned = (camera, az, el) => ({
  ...camera,
  az: (((camera.az + az) % 360) + 360) % 360,
  el: Math.min(90, Math.max(-90, camera.el + el)),
});

export const zoomed = (camera, times) => ({ ...camera, zoom: Math.min(60, Math.max(0.3, camera.zoom * times)) });
export const panned = (camera, x, y) => ({ ...camera, pan: [camera.pan[0] + x / camera.zoom, camera.pan[1] + y / camera.zoom] });

/** Unit vectors of the picture: to its right, up, and out of it towards who looks. */
export function axes({ az, el }) {
  const [a, e] = [(az * Math.PI) / 180, (el * Math.PI) / 180];
  const out = [Math.sin(a) * Math.cos(e), -Math.cos(a) * Math.cos(e), Math.sin(e)];
  const right = [Math.cos(a), Math.sin(a), 0];
  const up = [-Math.sin(a) * Math.sin(e), Math.cos(a) * Math.sin(e), Math.cos(e)];
  return { right, up, out };
}

const dot = (a, b) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];

/**
 * What an orthographic camera needs to show a box [x0, y0, z0, x1, y1, z1] in a picture `aspect` times as wide as high.
 * @returns {{at: number[], up: number[], target: number[], half: number}} half the height of what is shown, as the box's unit
 */
export function placed(camera, box, aspect) {
  const { right, up, out } = axes(camera);
  const middle = [0, 1, 2].map((i) => (box[i] + box[i + 3]) / 2);
  const corners = [...Array(8).keys()].map((k) => [0, 1, 2].map((i) => box[k & (1 << i) ? i + 3 : i] - middle[i]));
  const [wide, tall] = [right, up].map((axis) => Math.max(...corners.map((c) => Math.abs(dot(c, axis)))));
  const half = (Math.max(tall, wide / aspect, 1e-6) * 1.08) / camera.zoom;
  const far = Math.max(...corners.map((c) => Math.hypot(...c)));
  const whole = half * camera.zoom * 2;
  const target = middle.map((m, i) => m - whole * (camera.pan[0] * right[i] + camera.pan[1] * up[i]));
  return { at: target.map((t, i) => t + (4 * far + 1) * out[i]), up, target, half, far: 8 * far + 2 };
}

/** What a key does, or null: arrows turn, with shift they move; + and - zoom; Home shows everything. */
export function onKey(camera, key, shift) {
  const step = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] }[key];
  if (step) return shift ? panned(camera, -step[0] * 0.05, -step[1] * 0.05) : turned(camera, step[0] * 10, step[1] * 10);
  if (key === "+" || key === "=") return zoomed(camera, 1.25);
  if (key === "-" || key === "_") return zoomed(camera, 0.8);
  if (key === "Home") return { ...camera, zoom: 1, pan: [0, 0] };
  return null;
}
