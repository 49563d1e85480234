import assert from "node:assert/strict";
import { test } from "node:test";
import { blockPicture, flatPicture, largest, methodsPicture } from "../../../src/ribwright/web/static/logic/flat.js";
import { say } from "../../../src/ribwright/web/static/words.js";

const RING = [[0, 0], [100, 0], [100, 50], [0, 50]];
const FLAT = {
  grain_deg: 0, loops: [{ name: "web", points: RING }], tangents: [{ edge: "a", points: [[0, 5], [100, 5]] }],
  edges: [{ name: "a", middle: [50, 0], outward: [0, -1] }],
  holes: [{ name: "L", at: [50, 25], cut_diameter: 20, slot: 0 }, { name: "S", at: [80, 25], cut_diameter: 5, slot: 3, slot_angle: 90 }],
  reliefs: [], pins: [], formed: { outside: [RING], inside: [], free: [], ends: [] },
  box: { flat: [0, 0, 100, 50], formed: [-5, 2, 98, 48] }, places: { flat: [], formed: [] },
};
const METHODS = {
  stands: "strain-corrected", box: [0, 0, 100, 50],
  methods: [
    { method: "handbook", letter: "H", answered: true, loops: [{ points: RING }], aside: [{ foot: [[0, 0], [100, 0]], off: [[0, -0.1], [0, -0.1]] }] },
    { method: "strain-corrected", letter: "S", answered: true, loops: [{ points: RING }], aside: [] },
    { method: "inverse", letter: "B", answered: false, loops: [], aside: [] },
  ],
  apart: [{ between: ["handbook", "strain-corrected"], rows: [{ kind: "edge", name: "a", mm: 0.1, at: [50, 0] }] }],
};

test("the picture of the blank holds flat and formed part and says both extents", () => {
  const picture = flatPicture(FLAT, "in", say);
  assert.deepEqual(picture.box, [-5, 0, 100, 50]);
  assert.deepEqual(picture.extents.map((e) => e.words), ["flat 3.937 in (100.00 mm)", "flat 1.969 in (50.00 mm)", "formed 4.055 in (103.00 mm)", "formed 1.811 in (46.00 mm)"]);
});

test("the legend has a row for what is drawn, and for nothing else", () => {
  const ids = flatPicture(FLAT, "mm", say).legend.map((r) => r.id);
  assert.ok(ids.includes("cut") && ids.includes("formed"));
  assert.ok(!ids.includes("pin") && !ids.includes("formed_inside"));
  assert.equal(new Set(ids).size, ids.length);
});

test("a slot is drawn as a slot", () => {
  const hole = flatPicture(FLAT, "mm", say).layers.find((l) => l.id === "hole").d;
  assert.equal(hole.match(/M/g).length, 2);
  assert.ok(hole.includes("A2.5 2.5"));
});

test("differences drawn ten times move the other method's line and never the reference", () => {
  const [once, ten] = [1, 10].map((k) => methodsPicture(METHODS, k, "mm", say));
  assert.equal(once.layers[1].d, ten.layers[1].d);
  assert.equal(ten.layers[0].d, "M0 -1L100 -1Z");
  assert.equal(once.layers[0].d, "M0 0L100 0L100 50L0 50Z");
});

test("a method without an answer is neither drawn nor lettered", () => {
  const picture = methodsPicture(METHODS, 1, "mm", say);
  assert.deepEqual(picture.layers.map((l) => l.id), ["handbook", "strain_corrected"]);
  assert.ok(!picture.labels.some((l) => l.words === "B"));
});

test("the largest difference comes with its place, and there is none where one method stands alone", () => {
  assert.deepEqual(largest(METHODS), { a: "handbook", b: "strain-corrected", kind: "edge", name: "a", mm: 0.1, at: [50, 0] });
  assert.equal(largest({ apart: [] }), null);
});

test("an edge's name stands outside the middle of its stretch of the foot", () => {
  const view = {
    box: [0, 0, 100, 50], pins: [], recesses: [], rings: [], places: [],
    loops: [{ outline: RING, foot: RING, edges: [{ name: "a", at: 0 }, { name: "b", at: 2 }], levels: [[[0, 0], [100, 0], [100, 0], [100, 50]]] }],
  };
  const [a, b] = blockPicture(view, "mm", say).labels;
  assert.deepEqual([a.words, a.at, a.off.map((v) => v + 0)], ["a", [50, 0], [0, -1]]);
  assert.deepEqual([b.words, b.at], ["b", [100, 25]]);
  assert.ok(b.off[0] > 0.99);
});
