import assert from "node:assert/strict";
import { test } from "node:test";
import { drawnLoop } from "../../../src/ribwright/web/static/logic/outline.js";
import { marksOf, pathOf, placeOf } from "../../../src/ribwright/web/static/logic/marks.js";
import { concerns, ownerOf, pickedThing, startOf } from "../../../src/ribwright/web/static/logic/paths.js";

const edge = (n, name, to) => ({ path: `web.edge[${n}]`, name, kind: "line", points_mm: [to], flange: n === 1 ? "lower skin" : null, ordinates: null, tangent: null });
const SKETCH = {
  units: "in", loops: [{ name: "web", path: "web", start_mm: [0, 0], edges: [edge(1, "lower", [100, 0]), edge(2, "rear", [100, 50]), edge(3, "back", [0, 0])] }],
  holes: [{ path: "hole[1]", name: "L1", at_mm: [30, 10], diameter_mm: 0 }], corners: [{ path: "corner[1]", at: ["lower", "rear"] }], flanges: [{ path: "flange.lower skin", name: "lower skin" }],
};
const outline = { loops: SKETCH.loops.map(drawnLoop) };

test("a fault belongs to the thing whose key it names", () => {
  assert.equal(ownerOf("web.edge[2].spline[12]"), "web.edge[2]");
  assert.equal(ownerOf("cutout[1].edge[3].to"), "cutout[1].edge[3]");
  assert.equal(ownerOf("cutout[1].start"), "cutout[1]");
  assert.equal(ownerOf("corner[1].at[2]"), "corner[1]");
  assert.equal(ownerOf("flange.lower skin.width", ["lower", "lower skin"]), "flange.lower skin");
  assert.equal(ownerOf("sheet.thickness"), "sheet");
  assert.equal(ownerOf("web.line"), "web");
  assert.ok(concerns("hole[1].at[2]", "hole[1].at") && !concerns("hole[1].at2", "hole[1].at"));
});

test("faults are numbered first, then findings in their order", () => {
  const marks = marksOf({ faults: [{ key: "hole[1].diameter", say: "no" }], sketch: SKETCH }, [{ severity: "stop", say: "splits", where: { edge: "rear", along_mm: 10 } }, { severity: "note", say: "all", where: {} }]);
  assert.deepEqual(marks.map((m) => [m.n, m.severity, m.owner]), [[1, "fault", "hole[1]"], [2, "stop", "web.edge[2]"], [3, "note", ""]]);
});

test("a fault of an ordinates file or of the text's form is told without a place in the part", () => {
  const [csv, form] = marksOf({ faults: [{ file: "upper.csv", key: "row 3", say: "no" }, { file: "a.part.toml", key: "line 3, column 1", say: "no", line: 3 }], sketch: SKETCH }, []);
  assert.deepEqual([csv.owner, form.owner, form.line], ["", "", 3]);
});

test("a finding is at its edge, hole, corner, flange or key", () => {
  assert.equal(pathOf({ hole: ["L1", "L2"] }, SKETCH), "hole[1]");
  assert.equal(pathOf({ corner: ["rear", "lower"] }, SKETCH), "corner[1]");
  assert.equal(pathOf({ flange: "lower skin" }, SKETCH), "flange.lower skin");
  assert.equal(pathOf({ key: "approval" }, SKETCH), "approval");
  assert.equal(pathOf({ edge: "gone" }, SKETCH), "");
});

test("a mark stands where its thing is: on the way along an edge, at a point, a hole, a corner", () => {
  const at = (key, where = {}) => placeOf({ key, owner: ownerOf(key, ["lower skin"]), where }, outline, SKETCH);
  assert.deepEqual(at("web.edge[1]", { along_mm: 25 }), [25, 0]);
  assert.deepEqual(at("web.edge[2].to"), [100, 50]);
  assert.deepEqual(at("hole[1].at"), [30, 10]);
  assert.deepEqual(at("corner[1].diameter"), [100, 0]);
  assert.deepEqual(at("flange.lower skin.width"), [40, 0]);
  assert.equal(at("sheet.material"), null);
});

test("an edge that is open keeps its first point, which stands in the file with the edge before", () => {
  assert.equal(startOf(SKETCH, "web.edge[1]"), "web.start");
  assert.equal(startOf(SKETCH, "web.edge[2]"), "web.edge[1].to");
  assert.equal(pickedThing(SKETCH, "web.edge[1].to", "web.edge[2]"), "web.edge[2]");
  assert.equal(pickedThing(SKETCH, "web.edge[1].to", "web.edge[3]"), "web.edge[1]");
  assert.equal(pickedThing(SKETCH, "web.start", "hole[1]"), "web.edge[1]");
  assert.equal(pickedThing(SKETCH, "", "web.edge[2]"), "");
});
