/** Triangles and lines of bodies from levels, meridians and meshes, as flat arrays. Pure; triangulating a face is given in. */

/**
 * The wall between levels: points of all levels one after the other, two triangles a cell, seen from outside.
 * @param {number[][][]} levels  rings (n, 2), the material on the left of travel
 * @param {number[]} z  height of each level, falling
 */
export function wall(levels, z) {
  const n = levels[0].length;
  const positions = levels.flatMap((ring, k) => ring.flatMap(([x, y]) => [x, y, z[k]]));
  const index = [];
  for (let k = 0; k + 1 < levels.length; k++) {
    for (let i = 0; i < n; i++) {
      const [a, b] = [k * n + i, k * n + ((i + 1) % n)];
      const [c, d] = [a + n, b + n];
      index.push(a, c, b, b, c, d);
    }
  }
  return { positions, index };
}

/**
 * A flat face inside a ring and outside openings at height z.
 * @param triangulate (ring, openings) -> triples of places in [ring, ...openings]
 */
export function face(ring, openings, z, triangulate, down = false) {
  const open = [ring, ...openings].map(opened);
  const all = open.flat();
  const index = triangulate(open[0], open.slice(1)).flatMap((t) => orient(t, all, down));
  return { positions: all.flatMap(([x, y]) => [x, y, z]), index };
}

/** A ring without the points that repeat the one before them, so that places count the same for whoever triangulates. */
function opened(ring) {
  const apart = ([x, y], [u, v]) => Math.hypot(x - u, y - v) > 1e-6;
  return ring.filter((p, i) => apart(p, ring[(i + ring.length - 1) % ring.length]));
}

function orient([a, b, c], p, down) {
  const area = (p[b][0] - p[a][0]) * (p[c][1] - p[a][1]) - (p[b][1] - p[a][1]) * (p[c][0] - p[a][0]);
  return area > 0 !== down ? [a, b, c] : [a, c, b];
}

/** A meridian [[r, depth]...] turned about the axis at `at`; depths go down from z. */
export function turnedBody(meridian, at, z, sides = 48) {
  const rings = meridian.map(([r]) => circle(at, r, sides));
  return wall(rings, meridian.map(([, depth]) => z - depth));
}

export const circle = (at, r, sides = 48) =>
  [...Array(sides).keys()].map((i) => {
    const a = (2 * Math.PI * i) / sides;
    return [at[0] + r * Math.cos(a), at[1] + r * Math.sin(a)];
  });

/** A ring closed as pairs of points at a height: lines to draw. */
export const ringLines = (ring, z) =>
  ring.flatMap(([x, y], i) => {
    const [u, v] = ring[(i + 1) % ring.length];
    return [x, y, z, u, v, z];
  });

/** Pairs of nodes between triangles of unlike parts, where a bend begins and ends. */
export function seams(triangles, partOf) {
  const first = new Map();
  const out = [];
  triangles.forEach((t, k) => {
    for (let i = 0; i < 3; i++) {
      const [a, b] = [t[i], t[(i + 1) % 3]];
      const key = a < b ? `${a} ${b}` : `${b} ${a}`;
      const other = first.get(key);
      if (other === undefined) first.set(key, partOf[k]);
      else if (other !== partOf[k]) out.push([a, b]);
    }
  });
  return out;
}

/** Pairs of nodes along closed loops of node numbers. */
export const borders = (loops) => loops.flatMap((loop) => loop.map((a, i) => [a, loop[(i + 1) % loop.length]]));

/** Two bodies' arrays as one. */
export function joined(...bodies) {
  const positions = [];
  const index = [];
  for (const body of bodies) {
    const from = positions.length / 3;
    for (const v of body.positions) positions.push(v);
    for (const i of body.index) index.push(i + from);
  }
  return { positions, index };
}

/** The box [x0, y0, z0, x1, y1, z1] of positions. */
export function boxOf(positions) {
  const box = [Infinity, Infinity, Infinity, -Infinity, -Infinity, -Infinity];
  for (let i = 0; i < positions.length; i++) {
    const axis = i % 3;
    box[axis] = Math.min(box[axis], positions[i]);
    box[axis + 3] = Math.max(box[axis + 3], positions[i]);
  }
  return box;
}
