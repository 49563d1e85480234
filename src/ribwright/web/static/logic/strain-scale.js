/** Bands of a quantity over a picture: which band a value lies in, and where a band's letter has room. No DOM. */

/**
 * Band of a value; band 0 is the lightest. A value on a level belongs to the band over it.
 * @param {number[]} levels rising
 * @param {boolean} down the quantity gets more serious downwards, so bands count from the highest values down
 */
export function bandOf(value, levels, down) {
  if (!Number.isFinite(value)) return -1;
  let up = 0;
  while (up < levels.length && value >= levels[up]) up += 1;
  return down ? levels.length - up : up;
}

/** Bands of many values. */
export function bandsOf(values, levels, down) {
  const out = new Int8Array(values.length);
  for (let i = 0; i < values.length; i += 1) out[i] = bandOf(values[i], levels, down);
  return out;
}

/**
 * Where letters stand: in each patch of a band, the cell farthest from the patch's side, where that is `room` cells or more.
 * Distance by steps to the eight neighbours. `every`: look at every so many cells only, which is as good for a letter and quicker.
 * @param {Int8Array} bands width x height, -1 outside
 * @returns {{band: number, x: number, y: number, room: number}[]} the roomiest first
 */
export function letterPlaces(bands, width, height, room, most = 24, every = 1) {
  if (every > 1) {
    const [w, h] = [Math.floor(width / every), Math.floor(height / every)];
    const coarse = new Int8Array(w * h);
    for (let y = 0; y < h; y += 1) for (let x = 0; x < w; x += 1) coarse[y * w + x] = bands[y * every * width + x * every];
    return letterPlaces(coarse, w, h, room / every, most).map((p) => ({ band: p.band, x: p.x * every, y: p.y * every, room: p.room * every }));
  }
  const far = distances(bands, width, height);
  const patch = new Int32Array(bands.length).fill(-1);
  const found = [];
  for (let start = 0; start < bands.length; start += 1) {
    if (bands[start] < 0 || patch[start] >= 0) continue;
    const best = flood(bands, patch, far, start, width, height);
    if (far[best] >= room) found.push({ band: bands[start], x: best % width, y: Math.floor(best / width), room: far[best] });
  }
  return found.sort((a, b) => b.room - a.room).slice(0, most);
}

/** Steps from each cell to the nearest of another band, two sweeps. */
function distances(bands, width, height) {
  const far = new Int32Array(bands.length);
  const sweep = (from, to, by, neighbours) => {
    for (let i = from; i !== to; i += by) {
      const x = i % width;
      const y = (i - x) / width;
      for (const [dx, dy] of neighbours) {
        const inside = x + dx >= 0 && x + dx < width && y + dy >= 0 && y + dy < height;
        const j = i + dx + dy * width;
        const least = inside && bands[j] === bands[i] ? far[j] + 1 : 1;
        if (least < far[i]) far[i] = least;
      }
    }
  };
  far.fill(width + height);
  sweep(0, far.length, 1, [[-1, 0], [-1, -1], [0, -1], [1, -1]]);
  sweep(far.length - 1, -1, -1, [[1, 0], [1, 1], [0, 1], [-1, 1]]);
  return far;
}

function flood(bands, patch, far, start, width, height) {
  const stack = [start];
  patch[start] = start;
  let best = start;
  while (stack.length) {
    const i = stack.pop();
    if (far[i] > far[best]) best = i;
    const x = i % width;
    for (const j of [x > 0 ? i - 1 : -1, x < width - 1 ? i + 1 : -1, i - width, i + width]) {
      if (j >= 0 && j < width * height && patch[j] < 0 && bands[j] === bands[start]) {
        patch[j] = start;
        stack.push(j);
      }
    }
  }
  return best;
}
