import assert from "node:assert/strict";
import { test } from "node:test";
import { beadPoints, detailShapes, farFrom, linesOf, movedDetails, newBead, newOnEdge, spotOfDetail } from "../../../src/ribwright/web/static/logic/details.js";
import { listed } from "../../../src/ribwright/web/static/logic/listing.js";
import { marksOf, pathOf, placeOf } from "../../../src/ribwright/web/static/logic/marks.js";
import { handlesOf, thingAt } from "../../../src/ribwright/web/static/logic/near.js";
import { outlineOf } from "../../../src/ribwright/web/static/logic/outline.js";
import { say } from "../../../src/ribwright/web/static/words.js";

// a web of 200 by 100, counter-clockwise; its lower edge has a flange 20 wide
const edge = (i, name, to, flange = null) => ({ path: `web.edge[${i}]`, name, kind: "line", points_mm: [to], flange, tangent: null, ordinates: null });
const LOOP = { path: "web", name: "", start_mm: [0, 0], edges: [edge(1, "lower", [200, 0], "rim"), edge(2, "right", [200, 100]), edge(3, "upper", [0, 100]), edge(4, "left", [0, 0])] };
const FLANGES = [{ path: "flange.rim", name: "rim", width_mm: 20, bend_angle_deg: 90, bend_radius_mm: 3 }];
const sketchOf = (...others) => ({ units: "mm", loops: [LOOP], flanges: FLANGES, holes: [], corners: [], rivets: [], others, values: {} });
const outline = outlineOf(sketchOf());
const lines = (other) => linesOf(other, outline, sketchOf(other));
const box = (points) => [0, 1].flatMap((k) => [Math.min(...points.map((p) => p[k])), Math.max(...points.map((p) => p[k]))]).map((v) => Number(v.toFixed(6)));
const notch = { kind: "notch", path: "notch[1]", edge: "lower", at: ["mm", 50], width_mm: 30, depth_mm: 12, corner_radius_mm: 4, flange_gap_mm: 2 };

test("a notch is as wide and as deep as typed, inside the material, and the flange ends its gap before it", () => {
  const [cut, ...ends] = lines(notch);
  assert.deepEqual(box(cut), [35, 65, 0, 12]);
  assert.deepEqual(ends.map((e) => e[0][0]), [33, 67]);
  assert.deepEqual(ends.map((e) => e[1][1]), [-20, -20]);
  // its corners are rounded: no point of it in the corner of the box
  assert.ok(cut.every(([x, y]) => Math.hypot(x - 35, y - 12) > 1.5));
});

test("a place counts from the edge's start as typed, whichever way round the outline goes", () => {
  const [cut] = lines({ ...notch, edge: "upper", at: ["fraction", 0.25], flange_gap_mm: 0 });
  assert.deepEqual(box(cut), [135, 165, 88, 100]);
});

test("a flute spreads over the flange to its width at the free edge", () => {
  assert.deepEqual(box(lines({ kind: "flute", path: "flute[1]", edge: "lower", at: ["mm", 80], width_mm: 10, depth_mm: 3 })[0]), [75, 85, -20, 0]);
});

test("a joggle is stepped inward by its depth, its steps inside the stretch, none at an end of the edge", () => {
  const joggle = { kind: "joggle", path: "joggle[1]", edge: "lower", from: ["mm", 40], to: ["fraction", 1], depth_mm: 2, length_mm: 10 };
  const [line] = lines(joggle);
  assert.deepEqual(line[0], [40, 0]);
  assert.deepEqual(line[1].map((v) => Number(v.toFixed(6))), [50, 2]);
  assert.deepEqual(line.at(-2).map((v) => Number(v.toFixed(6))), [200, 2]);
});

test("a bead is as wide as typed about its points; without a width it is its line", () => {
  const bead = { kind: "bead", path: "bead[1]", points_mm: [[20, 50], [180, 50]], width_mm: 12, depth_mm: 3 };
  assert.deepEqual(box(lines(bead)[0]), [20, 180, 44, 56]);
  assert.deepEqual(lines({ ...bead, width_mm: null }), [[[20, 50], [180, 50]]]);
});

test("what is not said yet leaves a tick, or nothing, and never breaks the drawing", () => {
  assert.equal(lines({ ...notch, width_mm: null })[0].length, 2);
  for (const gone of [{ at: undefined }, { edge: "nobody" }, { at: ["mm", null] }]) assert.deepEqual(detailShapes({ ...notch, ...gone }, outline, sketchOf()), []);
  assert.deepEqual(lines({ kind: "bead", path: "bead[1]", points_mm: [[null, 1], [2, 3]] }), []);
  assert.deepEqual(lines({ kind: "joggle", path: "joggle[1]", edge: "lower", from: ["mm", 10] }).map((l) => l.length), [2]);
});

test("a detail is picked where it is drawn, stands in the list by its own words, and a finding stands at it", () => {
  const sketch = sketchOf(notch);
  const drawn = { outline, sketch, view: { k: 1 } };
  assert.equal(thingAt(drawn, [50, 11], []).path, "notch[1]");
  assert.equal(thingAt(drawn, [150, 60], []), null);
  assert.deepEqual(listed(sketch, say).find((g) => g.key === "others").items, [{ path: "notch[1]", name: "notch on lower", about: "" }]);
  const [mark] = marksOf({ sketch, faults: [{ key: "notch[1].width", say: "no", file: "a.part.toml" }] }, []);
  assert.deepEqual(placeOf(mark, outline, sketch), spotOfDetail(notch, outline, sketch));
  // a finding that names the edge, too, stands at the detail, by its number as text or not; one that is not there at the edge
  assert.equal(pathOf({ edge: "lower", notch: "1", along_mm: 50 }, sketch), "notch[1]");
  assert.equal(pathOf({ notch: 1 }, sketch), "notch[1]");
  assert.equal(pathOf({ edge: "lower", flute: 3 }, sketch), "web.edge[1]");
  assert.equal(farFrom([[[0, 0], [10, 0]]], [5, 3]), 3);
});

test("the points of a picked bead have handles and move with the hand", () => {
  const bead = { kind: "bead", path: "bead[1]", points_mm: [[20, 50], [180, 50]] };
  const drawn = { outline, sketch: sketchOf(bead), view: { k: 1 } };
  assert.deepEqual(handlesOf(drawn, "bead[1]", "bead[1]", null).map((q) => q.path), ["bead[1].points[1]", "bead[1].points[2]"]);
  assert.deepEqual(handlesOf(drawn, "hole[1]", "hole[1]", null), []);
  assert.deepEqual(movedDetails([bead], { "bead[1].points[2]": [1, 2] })[0].points_mm, [[20, 50], [1, 2]]);
  assert.equal(movedDetails([bead], {})[0], bead);
  assert.equal(beadPoints(sketchOf(bead)).length, 2);
});

test("a new detail takes over the sizes of the last of its kind as they were typed, and never a place", () => {
  const sketch = { ...sketchOf({ ...notch, path: "notch[1]" }), values: { "notch[1].width": { typed: "1.20" }, "notch[1].at": { typed: "2" }, "notch[1].depth": { typed: "1/2 in" } } };
  assert.deepEqual(newOnEdge(sketch, "notch", "upper"), { path: "notch[2]", ops: [
    { op: "add", path: "notch", table: { edge: "upper" } }, { op: "set", path: "notch[2].width", typed: "1.20" }, { op: "set", path: "notch[2].depth", typed: "1/2 in" }] });
  assert.deepEqual(newBead(sketch, [[0, 1], [2, 3]]), { path: "bead[1]", ops: [{ op: "add", path: "bead", table: { points: [[0, 1], [2, 3]] } }] });
});
