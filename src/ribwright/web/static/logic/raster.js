/** Triangles as cells: which triangle shows where, seen from one side. Decided cell by cell, so that what stands in front hides what is behind it. No DOM. */

/**
 * Places seen by an eye.
 * @param {number[]} places flat list, `dims` numbers each
 * @param {number[][]} eye 3 x 3: rows across, up, towards the eye
 * @returns {{x: Float64Array, y: Float64Array, z: Float64Array}}
 */
export function seenBy(places, dims, eye) {
  const n = places.length / dims;
  const out = { x: new Float64Array(n), y: new Float64Array(n), z: new Float64Array(n) };
  for (let i = 0; i < n; i += 1) {
    const [px, py, pz] = [places[dims * i], places[dims * i + 1], dims === 3 ? places[dims * i + 2] : 0];
    out.x[i] = eye[0][0] * px + eye[0][1] * py + eye[0][2] * pz;
    out.y[i] = eye[1][0] * px + eye[1][1] * py + eye[1][2] * pz;
    out.z[i] = eye[2][0] * px + eye[2][1] * py + eye[2][2] * pz;
  }
  return out;
}

/** Scale and shift that bring the points into width x height with `room` at every side; y down as on a screen. */
export function fitted({ x, y }, width, height, room = 8) {
  let [x0, x1, y0, y1] = [Infinity, -Infinity, Infinity, -Infinity];
  for (let i = 0; i < x.length; i += 1) {
    if (x[i] < x0) x0 = x[i];
    if (x[i] > x1) x1 = x[i];
    if (y[i] < y0) y0 = y[i];
    if (y[i] > y1) y1 = y[i];
  }
  const scale = Math.min((width - 2 * room) / (x1 - x0 || 1), (height - 2 * room) / (y1 - y0 || 1));
  return { scale, dx: width / 2 - (scale * (x0 + x1)) / 2, dy: height / 2 + (scale * (y0 + y1)) / 2 };
}

/**
 * @param {{x: Float64Array, y: Float64Array, z: Float64Array}} nodes
 * @param {number[]} triangles node numbers, three each
 * @param {{scale: number, dx: number, dy: number}} fit
 * @param {{nodal: number[], rest: number, held: number[]}} quantity values at the nodes; a held triangle is `rest` all over
 * @returns {{ids: Int32Array, values: Float32Array}} width x height, row by row from the top: the triangle in front, -1 where there is none,
 *   and the quantity there, straight between the triangle's corners
 */
export function rasterised(nodes, triangles, fit, width, height, { nodal, rest, held }) {
  const ids = new Int32Array(width * height).fill(-1);
  const values = new Float32Array(width * height).fill(NaN);
  const depth = new Float32Array(width * height).fill(-Infinity);
  const { scale, dx, dy } = fit;
  const count = triangles.length / 3;
  for (let t = 0; t < count; t += 1) {
    const [a, b, c] = [triangles[3 * t], triangles[3 * t + 1], triangles[3 * t + 2]];
    const ax = nodes.x[a] * scale + dx, ay = dy - nodes.y[a] * scale;
    const bx = nodes.x[b] * scale + dx, by = dy - nodes.y[b] * scale;
    const cx = nodes.x[c] * scale + dx, cy = dy - nodes.y[c] * scale;
    const area = (bx - ax) * (cy - ay) - (cx - ax) * (by - ay);
    if (area === 0) continue;
    const [qa, qb, qc] = held[t] ? [rest, rest, rest] : [nodal[a], nodal[b], nodal[c]];
    const left = Math.max(0, Math.ceil(Math.min(ax, bx, cx) - 0.5));
    const right = Math.min(width - 1, Math.floor(Math.max(ax, bx, cx) - 0.5));
    const top = Math.max(0, Math.ceil(Math.min(ay, by, cy) - 0.5));
    const low = Math.min(height - 1, Math.floor(Math.max(ay, by, cy) - 0.5));
    const [za, zb, zc] = [nodes.z[a], nodes.z[b], nodes.z[c]];
    for (let row = top; row <= low; row += 1) {
      const y = row + 0.5;
      for (let col = left; col <= right; col += 1) {
        const x = col + 0.5;
        const u = ((x - ax) * (cy - ay) - (cx - ax) * (y - ay)) / area;
        const v = ((bx - ax) * (y - ay) - (x - ax) * (by - ay)) / area;
        if (u < -1e-9 || v < -1e-9 || u + v > 1 + 1e-9) continue;
        const z = za + u * (zb - za) + v * (zc - za);
        const at = row * width + col;
        if (z > depth[at]) {
          depth[at] = z;
          ids[at] = t;
          values[at] = qa + u * (qb - qa) + v * (qc - qa);
        }
      }
    }
  }
  return { ids, values };
}

/** The same fit enlarged about a place of the picture, which comes to its middle. */
export const enlarged = (fit, zoom, [x, y], width, height) => ({
  scale: fit.scale * zoom, dx: width / 2 + zoom * (fit.dx - x), dy: height / 2 + zoom * (fit.dy - y),
});

/** The triangle nearest to a cell within `reach` cells, -1 for none. */
export function near(ids, width, height, x, y, reach = 6) {
  let best = -1;
  let far = Infinity;
  for (let row = Math.max(0, y - reach); row <= Math.min(height - 1, y + reach); row += 1) {
    for (let col = Math.max(0, x - reach); col <= Math.min(width - 1, x + reach); col += 1) {
      const d = (row - y) ** 2 + (col - x) ** 2;
      if (ids[row * width + col] >= 0 && d < far) {
        far = d;
        best = ids[row * width + col];
      }
    }
  }
  return best;
}
