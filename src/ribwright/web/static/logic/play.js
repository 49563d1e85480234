/**
 * A section played: the computed states in order, and the sheet between two of them. No DOM.
 *
 * A state has the sheet's middle at n nodes. Between two computed states each element keeps its length and turns evenly: nothing stretches
 * and nothing cuts through the block, as it would if points were moved straight. What is between two states is drawn, not computed.
 */

/**
 * The states that tell the story: flat, under load at each pressure, let go on the block, in the hand. States released from less than the
 * last pressure are left out; they stand on the curve.
 * @param {object[]} frames of a section view
 * @returns {object[]} the same frames made ready for `sheetAt`, `step` [length, direction] of each element and `at` of the first node
 */
export function story(frames) {
  const loaded = frames.filter((f) => f.state === "loaded");
  const last = loaded.at(-1);
  const after = frames.filter((f) => f.state !== "loaded" && f.state !== "flat" && f.pressed_to_mpa === last?.pressed_to_mpa);
  const told = [...loaded, ...after].map(withSteps);
  const flat = frames.find((f) => f.state === "flat");
  if (!flat) return told;
  return [told.length ? flatLike(flat, told[0]) : withSteps(flat), ...told];
}

function withSteps(frame) {
  const { x_mm: x, y_mm: y } = frame;
  const length = [];
  const turn = [];
  for (let i = 1; i < x.length; i += 1) {
    length.push(Math.hypot(x[i] - x[i - 1], y[i] - y[i - 1]));
    turn.push(Math.atan2(y[i - 1] - y[i], x[i] - x[i - 1]));
  }
  return { ...frame, at: [x[0], y[0]], length, turn };
}

/** The flat sheet with the nodes of the first bent state, so that each knows where it came from. */
function flatLike(flat, like) {
  const zero = like.turn.map(() => 0);
  const half = (flat.outward_mm[0] + flat.inward_mm[0]) / 2;
  return {
    ...flat, at: [like.at[0], half], length: like.length, turn: zero, slope_deg: like.slope_deg.map(() => 0),
    outward_mm: like.outward_mm.map(() => half), inward_mm: like.inward_mm.map(() => half),
  };
}

const mix = (a, b, share) => a + (b - a) * share;
const mixed = (a, b, share) => a.map((v, i) => mix(v, b[i], share));

/**
 * The sheet at a place of the story.
 * @param {object[]} told `story(frames)`
 * @param {number} place 0 flat ... told.length - 1 the last; between them the share of the way
 * @returns {{inner: number[][], outer: number[][], middle: number[][], angle: number, pressure: number,
 *   normals: number[][], computed: boolean, from: object, to: object}}
 */
export function sheetAt(told, place) {
  const end = told.length - 1;
  const at = Math.min(Math.max(place, 0), end);
  const k = Math.min(Math.floor(at), Math.max(end - 1, 0));
  const [a, b] = [told[k], told[Math.min(k + 1, end)]];
  const share = at - k;
  const turn = mixed(a.turn, b.turn, share);
  const length = mixed(a.length, b.length, share);
  const middle = [[mix(a.at[0], b.at[0], share), mix(a.at[1], b.at[1], share)]];
  turn.forEach((t, i) => middle.push([middle[i][0] + length[i] * Math.cos(t), middle[i][1] - length[i] * Math.sin(t)]));
  const normals = mixed(a.slope_deg, b.slope_deg, share).map((deg) => [Math.sin((deg * Math.PI) / 180), Math.cos((deg * Math.PI) / 180)]);
  const face = (off, sign) => middle.map(([x, y], i) => [x + sign * off[i] * normals[i][0], y + sign * off[i] * normals[i][1]]);
  return {
    middle, normals,
    outer: face(mixed(a.outward_mm, b.outward_mm, share), 1),
    inner: face(mixed(a.inward_mm, b.inward_mm, share), -1),
    angle: mix(a.angle_deg, b.angle_deg, share),
    pressure: mix(a.pressure_mpa, b.pressure_mpa, share),
    computed: share === 0 || share === 1,
    from: a, to: b,
  };
}

/** Seconds that the way from each state to the next takes: as far as the flange turns, none in no time. */
export const seconds = (told, perDegree = 0.035, least = 0.25) =>
  told.slice(1).map((b, i) => Math.max(least, perDegree * Math.abs(b.angle_deg - told[i].angle_deg)));

/** Where the story stands so many seconds after `place`; the end is not passed. */
export function later(told, place, dt, times = seconds(told)) {
  let at = place;
  let left = dt;
  while (left > 1e-9 && at < told.length - 1) {
    const k = Math.floor(at + 1e-12);
    const rest = (k + 1 - at) * times[k];
    if (rest > left) return at + left / times[k];
    left -= rest;
    at = k + 1;
  }
  return Math.min(at, told.length - 1);
}

/** The next computed state from a place, `way` 1 on or -1 back. */
export function stepped(told, place, way) {
  const next = way > 0 ? Math.floor(place + 1e-6) + 1 : Math.ceil(place - 1e-6) - 1;
  return Math.min(Math.max(next, 0), told.length - 1);
}

/**
 * Arrows of an even pressure: evenly along the outer face, square on it.
 * @returns {{head: number[], out: number[]}[]} where each stands and the direction away from the sheet
 */
export function evenArrows(sheet, every, left = -Infinity) {
  const { outer, normals } = sheet;
  const first = outer.findIndex(([x]) => x >= left);
  if (first < 0) return [];
  const along = [0];
  for (let i = first + 1; i < outer.length; i += 1) along.push(along.at(-1) + Math.hypot(outer[i][0] - outer[i - 1][0], outer[i][1] - outer[i - 1][1]));
  const count = Math.max(2, Math.round(along.at(-1) / every));
  const arrows = [];
  let k = 0;
  for (let j = 0; j < count; j += 1) {
    const s = ((j + 0.5) / count) * along.at(-1);
    while (k < along.length - 2 && along[k + 1] < s) k += 1;
    const share = (s - along[k]) / (along[k + 1] - along[k] || 1);
    const i = first + k;
    arrows.push({ head: mixed(outer[i], outer[i + 1], share), out: mixed(normals[i], normals[i + 1], share) });
  }
  return arrows;
}

/** The window that all states fit into [mm]: the block's line cut off at the left where the web lies flat anyway. */
export function windowOf(told, surface, room) {
  const last = told.at(-1) ?? told[0];
  const reach = told[0].length.reduce((sum, l) => sum + l, 0) + told[0].at[0];
  const left = Math.max(last.at[0], -0.6 * reach);
  const bends = [told[0], ...told.slice(1)].flatMap((_, k) => {
    const s = sheetAt(told, k);
    return [...s.outer, ...s.inner].filter(([x]) => x >= left);
  });
  const xs = [left, ...bends.map(([x]) => x), ...surface.filter(([x]) => x >= left).map(([x]) => x)];
  const ys = [...bends.map(([, y]) => y), surface.at(-1)[1]];
  return { left, low: Math.min(...ys) - room / 3, right: Math.max(...xs) + room, top: Math.max(...ys) + room };
}

/** Where web and flange would meet on their outer faces, and how far the cut edge is from there; null for a sheet hardly bent. */
export function cornerOf(sheet) {
  if (Math.abs(sheet.angle) < 2) return null;
  const a = (sheet.angle * Math.PI) / 180;
  const [web, tip] = [sheet.outer[0], sheet.outer.at(-1)];
  const back = (web[1] - tip[1]) / Math.sin(a);
  const at = [tip[0] - back * Math.cos(a), web[1]];
  return { at, tip, reach: Math.hypot(tip[0] - at[0], tip[1] - at[1]) };
}
