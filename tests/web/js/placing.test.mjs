import assert from "node:assert/strict";
import { test } from "node:test";
import { inFile, moveOps, shiftOps, snapped, stepped, together, typedPointOps, written } from "../../../src/ribwright/web/static/logic/placing.js";

test("a place by hand snaps to 0.01 in or 0.1 mm and is written without noise", () => {
  assert.deepEqual(snapped([25.4 * 1.2345, -25.4 * 0.30499], "in"), [1.23, -0.3]);
  assert.deepEqual(snapped([12.3456, 0.04], "mm"), [12.3, 0]);
  assert.equal(written(0.1 + 0.2, "in"), 0.3);
});

test("an arrow key moves a step of the grid, with Shift ten", () => {
  assert.deepEqual(inFile(stepped([25.4, 0], "ArrowRight", false, "in"), "in"), [1.01, 0]);
  assert.deepEqual(inFile(stepped([25.4, 0], "ArrowDown", true, "in"), "in"), [1, -0.1]);
  assert.deepEqual(stepped([10, 10], "ArrowUp", false, "mm"), [10, 10.1]);
  assert.equal(stepped([0, 0], "Enter", false, "in"), null);
});

test("a point that is off the grid keeps its offset under the keys", () => {
  assert.deepEqual(inFile(stepped([25.4 * 1.0625, 0], "ArrowLeft", false, "in"), "in"), [1.0525, 0]);
});

test("the last point of a closed loop and its start move together", () => {
  const loops = [{ path: "web", closed: true, edges: [{ pointPaths: ["web.start", "web.edge[1].to"] }, { pointPaths: ["web.edge[1].to", "web.edge[2].to"] }] }];
  assert.deepEqual(together(loops, "web.start"), ["web.start", "web.edge[2].to"]);
  assert.deepEqual(together(loops, "web.edge[2].to"), ["web.start", "web.edge[2].to"]);
  assert.deepEqual(together(loops, "web.edge[1].to"), ["web.edge[1].to"]);
  assert.deepEqual(together([{ ...loops[0], closed: false }], "web.start"), ["web.start"]);
  assert.deepEqual(moveOps(["web.start", ""], [1, 2]), [{ op: "set", path: "web.start", value: [1, 2] }]);
});

test("a typed coordinate keeps its digits; a point that is not there is set whole", () => {
  assert.deepEqual(typedPointOps({ values: { "hole[1].at[2]": { typed: "1" } } }, ["hole[1].at"], 1, ["0.50", "0.2500"]), [{ op: "set", path: "hole[1].at[2]", typed: "0.2500" }]);
  assert.deepEqual(typedPointOps({ values: {} }, ["hole[1].at"], 1, ["0.50", '1/4 in']), [{ op: "set", path: "hole[1].at", value: [0.5, "1/4 in"] }]);
});

test("a whole loop moves, points of an ordinates file excepted", () => {
  const loop = { path: "cutout[1]", start_mm: [0, 0], edges: [
    { path: "cutout[1].edge[1]", kind: "arc", points_mm: [[25.4, 25.4], [50.8, 0]], ordinates: null },
    { path: "cutout[1].edge[2]", kind: "spline", points_mm: [[25.4, -5], [0, 0]], ordinates: "a.csv" }] };
  assert.deepEqual(shiftOps(loop, [0.1, -0.2], "in").map((o) => [o.path, o.value]), [["cutout[1].start", [0.1, -0.2]], ["cutout[1].edge[1].through", [1.1, 0.8]], ["cutout[1].edge[1].to", [2.1, -0.2]]]);
});
