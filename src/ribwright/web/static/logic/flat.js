/** Flat pictures from views of the server: layers, labels, extents, legend. Pure. See components/blank-plane.js for what a picture is. */
import { aside } from "./exaggerate.js";
import { around, circleData, pathData, slotData } from "./plane.js";
import { length } from "./units.js";

const rings = (loops) => loops.map((points) => pathData(points, true)).join("");
const lines = (list) => list.map((points) => pathData(points)).join("");
const shown = (layers) => layers.filter((l) => l.d);

/** Extents of a box: along x below it, along y left of it. */
function extents(box, row, line, id, unit, name) {
  const [l, b, r, t] = box;
  const words = (mm) => (name ? `${name} ${length(mm, unit)}` : length(mm, unit));
  return [
    { id, line, row, side: "below", from: [l, b], to: [r, b], words: words(r - l) },
    { id, line, row, side: "left", from: [l, b], to: [l, t], words: words(t - b) },
  ];
}

const opening = (h) => (h.slot > 0 ? slotData(h.at, h.cut_diameter, h.slot, h.slot_angle) : circleData(h.at, h.cut_diameter / 2));

/** The flat blank with the formed part over it. */
export function flatPicture(view, unit, say) {
  const { formed } = view;
  const layers = shown([
    { id: "formed_inside", line: "formed-inside", d: lines(formed.inside.map((x) => x.points)) },
    { id: "formed", line: "formed", d: rings(formed.outside) },
    { id: "formed_free", line: "formed-free", d: lines(formed.free.map((x) => x.points)) + lines(formed.ends) },
    { id: "tangent", line: "tangent", d: lines(view.tangents.map((x) => x.points)) },
    { id: "relief", line: "relief", d: view.reliefs.map((r) => circleData(r.centre, r.diameter / 2)).join("") },
    { id: "hole", line: "hole", d: view.holes.map(opening).join("") },
    { id: "pin", line: "pin", d: view.pins.map((p) => circleData(p.at, p.diameter / 2)).join("") },
    { id: "cut", line: "cut", d: rings(view.loops.map((x) => x.points)) },
  ]);
  const labels = [
    ...view.edges.map((e) => ({ id: "names", at: e.middle, off: e.outward, words: e.name })),
    ...view.holes.map((x) => ({ id: "names", at: x.at, off: x.cut_diameter > 12 ? [0, 0] : [0.6, 0.8], clear: x.cut_diameter > 12 ? 0 : x.cut_diameter / 2, words: x.name, line: "small" })),
  ];
  return {
    box: around(view.box.flat, view.box.formed),
    layers,
    labels,
    grain: view.grain_deg,
    extents: [...extents(view.box.flat, 0, "cut", "cut", unit, say("blank.extent_flat")), ...extents(view.box.formed, 1, "formed", "formed", unit, say("blank.extent_formed"))],
    legend: legend(layers, say, ["grain", "extent", "names"]),
  };
}

/** A row for each line that the picture has, and for what else can be left out. */
function legend(layers, say, more) {
  const rows = layers.map(({ id, line, name }) => ({ id, line, words: say(`blank.line_${name ?? id}`) }));
  return [...rows, ...more.map((id) => ({ id, line: "", words: say(`blank.line_${id}`) }))];
}

/** Cut lines of all methods; differences from the reference `times` as large. */
export function methodsPicture(view, times, unit, say) {
  const made = view.methods.filter((m) => m.answered);
  const pointsOf = (m) => (times === 1 || !m.aside.length ? m.loops.map((x) => x.points) : m.aside.map((a) => aside(a, times)));
  const ids = new Map(view.methods.map((m) => [m.method, m.method.replaceAll("-", "_")]));
  const layers = made.map((m) => ({ id: ids.get(m.method), line: m.method, d: rings(pointsOf(m)) }));
  const labels = made.flatMap((m, k) => pointsOf(m).slice(0, 1).flatMap((points) =>
    [0.08, 0.41, 0.74].map((share) => ({ id: ids.get(m.method), line: "letter", at: points[Math.floor(points.length * (share + 0.035 * k)) % points.length], words: m.letter }))));
  return {
    box: view.box, layers, labels,
    extents: made.filter((m) => m.method === view.stands).flatMap((m) => extents(boxOf(m.loops[0].points), 0, "cut", "extent", unit, m.letter)),
    legend: legend(layers, say, ["extent"]),
    places: [],
  };
}

const boxOf = (points) => points.reduce(([l, b, r, t], [x, y]) => [Math.min(l, x), Math.min(b, y), Math.max(r, x), Math.max(t, y)], [Infinity, Infinity, -Infinity, -Infinity]);

/** The farthest two methods lie apart: {a, b, mm, kind, name, at}, or null where only one has an answer. */
export function largest(view) {
  const rows = view.apart.filter((p) => p.rows.length).map((p) => ({ a: p.between[0], b: p.between[1], ...p.rows[0] }));
  return rows.length ? rows.reduce((most, r) => (r.mm > most.mm ? r : most)) : null;
}

/** The block from above: web face, foot, pins, recesses. */
export function blockPicture(view, unit, say) {
  const rims = (list) => list.map((r) => circleData(r.at, r.diameter / 2)).join("");
  const floors = view.recesses.filter((r) => r.bottom_diameter > 0).map((r) => circleData(r.at, r.bottom_diameter / 2)).join("");
  const layers = shown([
    { id: "foot", line: "foot", d: rings(view.loops.map((x) => x.foot)) },
    { id: "recess", line: "recess", d: rims(view.recesses) },
    { id: "recess", line: "recess-floor", d: floors },
    { id: "ring", line: "ring", d: rims(view.rings) },
    { id: "pin", line: "pin", d: view.pins.map((p) => circleData(p.at, p.diameter / 2)).join("") },
    { id: "face", line: "face", d: rings(view.loops.map((x) => x.outline)) },
  ]);
  const labels = [
    ...view.loops.flatMap((loop) => loop.edges.map((e, i) => middleOf(loop, i, e.name))),
    ...view.pins.map((p) => ({ id: "names", at: p.at, off: [0.6, 0.8], clear: p.diameter / 2, words: p.name, line: "small" })),
    ...[...view.recesses, ...view.rings].map((r) => ({ id: "names", at: r.at, words: r.name, line: "small" })),
  ];
  return {
    box: view.box, layers, labels, places: view.places,
    extents: extents(view.box, 0, "cut", "extent", unit, ""),
    legend: legend(layers.filter((l) => l.line !== "recess-floor"), say, ["extent", "names"]),
  };
}

/** Where an edge's name stands: outside the middle of its stretch of the foot level. */
function middleOf(loop, i, name) {
  const ring = loop.levels.at(-1);
  const end = loop.edges[i + 1]?.at ?? ring.length;
  const part = ring.slice(loop.edges[i].at, end);
  const k = Math.max(1, Math.floor(part.length / 2));
  const [a, b] = [part[k - 1], part[Math.min(k, part.length - 1)]];
  const long = Math.hypot(b[0] - a[0], b[1] - a[1]) || 1;
  return { id: "names", at: [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2], off: [(b[1] - a[1]) / long, -(b[0] - a[0]) / long], words: name };
}
