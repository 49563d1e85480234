import assert from "node:assert/strict";
import { test } from "node:test";
import { bandAbout, ends, evenScale, firstFree, logScale, roundEven, roundLog, spread, valueAt } from "../../../src/ribwright/web/static/logic/plot.js";

test("a logarithmic scale puts the geometric middle in the middle and keeps to its ends", () => {
  const x = logScale(1, 100, 50, 450);
  assert.equal(x.at(10), 250);
  assert.equal(x.at(0.01), 50);
  assert.equal(x.at(1e9), 450);
  assert.equal(evenScale(0, 90, 400, 40).at(45), 220);
});

test("marks of a scale are round and lie on it", () => {
  assert.deepEqual(roundLog(1, 30), [1, 2, 5, 10, 20]);
  assert.deepEqual(roundLog(2, 9), [2, 3, 4, 5, 6, 8]);
  assert.deepEqual(roundEven(0, 40, 8), [0, 5, 10, 15, 20, 25, 30, 35, 40]);
  assert.deepEqual(roundEven(-10, 100, 6), [0, 20, 40, 60, 80, 100]);
});

test("names keep their distance and stay inside", () => {
  const at = spread([10, 12, 14, 300], 20, 0, 300);
  assert.deepEqual(at, [10, 30, 50, 300]);
  assert.deepEqual(spread([290, 295, 300], 20, 0, 300), [260, 280, 300]);
});

test("a line is read straight between its points and nowhere else", () => {
  assert.equal(valueAt([[0, 0], [2, 10]], 1), 5);
  assert.equal(valueAt([[0, 0], [2, 10]], 3), null);
});

test("the band lies about the line by the band's own width, over its pressures alone", () => {
  const line = [[0.5, 5], [1, 10], [2, 40], [4, 80], [8, 81]];
  const band = { pressure_mpa: [1, 4], low: [8, 74], value: [10, 80], high: [13, 82] };
  const rows = bandAbout(line, band);
  assert.deepEqual(rows.map(([p]) => p), [1, 2, 4]);
  assert.deepEqual(rows[0], [1, 8, 13]);
  assert.deepEqual(rows[2], [4, 74, 82]);
  assert.ok(Math.abs(rows[1][1] - 36) < 1e-9 && Math.abs(rows[1][2] - 42.5) < 1e-9, "half way in log p, half way in width");
  assert.deepEqual(bandAbout(line, null), []);
});

test("the scales hold every curve and every mark", () => {
  const view = {
    curve: { loaded: [[0.1, 2], [7, 95]], released: [[7, 90]], band: null },
    wall: 95.5, drawn: 90, tolerance: [1, 1],
    pressures: { on_sheet_mpa: 7, acts_mpa: 9, closes_mpa: 0.6, would_close_estimate_mpa: null, available_mpa: 12 },
  };
  const { p, a } = ends(view);
  assert.ok(p[0] <= 0.1 && p[1] > 12);
  assert.ok(a[0] === 0 && a[1] >= 97.5);
});

test("a name takes the first box that covers nothing, and nobody may cover it after that", () => {
  const taken = [[0, 0, 10, 10]];
  assert.deepEqual(firstFree(taken, [[5, 5, 10, 10], [20, 0, 10, 10]]), [20, 0, 10, 10]);
  assert.equal(firstFree(taken, [[25, 5, 4, 4]]), null);
  assert.deepEqual(firstFree(taken, [[10, 0, 10, 10]]), [10, 0, 10, 10], "side by side is not over");
});
