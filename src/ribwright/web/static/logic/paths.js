/** Key paths of the part file (`web.edge[2].to`, `flange.lower skin.width`, `hole[3]`): whose they are. No DOM. */

import { pointPaths } from "./outline.js";

/** The thing a path belongs to: an edge, hole, corner, cutout, rivet row, flange or head table; "" for none. */
export function ownerOf(path, names = []) {
  const edge = /^(web|cutout\[\d+\])\.edge\[\d+\]/.exec(path);
  if (edge) return edge[0];
  const item = /^(hole|corner|cutout|rivets|notch|flute|joggle|bead)\[\d+\]/.exec(path);
  if (item) return item[0];
  if (path.startsWith("flange.")) {
    const rest = path.slice(7);
    const name = names.filter((n) => rest === n || rest.startsWith(`${n}.`)).sort((a, b) => b.length - a.length)[0];
    return `flange.${name ?? rest.split(".")[0]}`;
  }
  if (/^web(\.start)?$/.test(path)) return path === "web.start" ? "web" : path;
  return path.split(/[.[]/)[0];
}

/** The path of the point an edge begins at: its loop's start, or the last point of the edge before. */
export function startOf(sketch, edgePath) {
  for (const loop of sketch.loops ?? []) {
    const i = loop.edges.findIndex((e) => e.path === edgePath);
    if (i === 0) return `${loop.path}.start`;
    if (i > 0) return pointPaths(loop.edges[i - 1]).at(-1) ?? "";
  }
  return "";
}

/**
 * The thing that is picked: the owner of what is picked, but an edge that is open keeps its own first point, though that stands in the
 * file with the edge before.
 * @param {object} sketch @param {string} picked @param {string} open the thing picked before
 */
export function pickedThing(sketch, picked, open) {
  if (picked && open && startOf(sketch, open) === picked) return open;
  const owner = ownerOf(picked, (sketch.flanges ?? []).map((f) => f.name));
  return picked.endsWith(".start") && (sketch.loops ?? []).some((l) => `${l.path}.start` === picked && l.edges.length) ? `${owner}.edge[1]` : owner;
}

/** Whether a fault at `key` is one of the field at `path`: the same key, or an item of it. */
export const concerns = (key, path) => key === path || key.startsWith(`${path}[`) || key.startsWith(`${path}.`);

/** The number of an item: 3 of `hole[3]`. */
export const itemNumber = (path) => Number(/\[(\d+)\]$/.exec(path)?.[1] ?? NaN);
/** The edge's point number of `web.edge[4].spline[12]`, NaN for none. */
export const isPointPath = (path) => /\.(to|through|start|at)$|\.(spline|points)\[\d+\]$/.test(path);
