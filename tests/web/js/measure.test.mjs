import assert from "node:assert/strict";
import { test } from "node:test";
import { between, named, nearest, next, spoken } from "../../../src/ribwright/web/static/logic/measure.js";
import { say } from "../../../src/ribwright/web/static/words.js";

test("a distance comes with its way along x and y and its direction", () => {
  const m = between([1, 1], [4, 5]);
  assert.deepEqual([m.distance, m.dx, m.dy], [5, 3, 4]);
  assert.ok(Math.abs(m.direction - 53.13010235) < 1e-6);
});

test("from one place to itself there is no direction", () => assert.equal(between([2, 2], [2, 2]).direction, null));

test("what was measured is said in both units, the one wanted first in front", () => {
  const said = spoken([0, 0], [25.4, 0], "in", say);
  assert.match(said.distance, /^1\.000 in \(25\.40 mm\)/);
  assert.match(spoken([0, 0], [25.4, 0], "mm", say).distance, /^25\.40 mm \(1\.000 in\)/);
  assert.match(said.parts, /0\.00 deg/);
});

test("the nearest place is found, and none where none is near", () => {
  const places = [{ at: [0, 0] }, { at: [10, 0] }, { at: [10, 1] }];
  assert.equal(nearest(places, [9, 0.8], 3), 2);
  assert.equal(nearest(places, [5, 5], 3), -1);
  assert.equal(nearest([], [0, 0], 3), -1);
});

test("places that would be called the same are counted", () => {
  const names = named([{ kind: "cut-corner", of: ["upper"] }, { kind: "cut-corner", of: ["upper"] }, { kind: "hole", of: ["P1"] }], say);
  assert.equal(new Set(names).size, 3);
  assert.equal(names[2], "hole P1");
});

test("every kind of place that the server names has its words", () => {
  const kinds = ["cut-corner", "tangent-start", "tangent-end", "relief", "hole", "extent-left", "extent-right", "extent-lowest", "extent-highest",
    "mold-corner", "free-start", "free-end", "face-corner", "foot-corner", "pin", "recess"];
  for (const kind of kinds) assert.ok(named([{ kind, of: ["a", "b"] }], say)[0].length > 3);
});

test("a third place begins anew", () => {
  assert.deepEqual(next([-1, -1], 4), [4, -1]);
  assert.deepEqual(next([4, -1], 7), [4, 7]);
  assert.deepEqual(next([4, 7], 9), [9, -1]);
});
