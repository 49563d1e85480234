import assert from "node:assert/strict";
import { test } from "node:test";
import { enlarged, fitted, near, rasterised, seenBy } from "../../../src/ribwright/web/static/logic/raster.js";
import { bandOf, bandsOf, letterPlaces } from "../../../src/ribwright/web/static/logic/strain-scale.js";

const ONE = [[1, 0, 0], [0, 1, 0], [0, 0, 1]];
// two squares, 10 wide, of two triangles each; the second lies over the right half of the first, 1 nearer to the eye
const PLACES = [0, 0, 0, 10, 0, 0, 10, 10, 0, 0, 10, 0, 5, 0, 1, 10, 0, 1, 10, 10, 1, 5, 10, 1];
const TRIANGLES = [0, 1, 2, 0, 2, 3, 4, 5, 6, 4, 6, 7];
const PLAIN = { nodal: [0, 1, 1, 0, 5, 5, 5, 5], rest: 9, held: [0, 0, 0, 0] };

test("what lies nearer to the eye hides what is behind it", () => {
  const nodes = seenBy(PLACES, 3, ONE);
  const fit = fitted(nodes, 100, 100, 0);
  const { ids, values } = rasterised(nodes, TRIANGLES, fit, 100, 100, PLAIN);
  assert.ok([0, 1].includes(ids[50 * 100 + 20]));
  assert.ok([2, 3].includes(ids[50 * 100 + 80]));
  assert.equal(values[50 * 100 + 80], 5);
  assert.ok(!ids.includes(-1), "the two squares cover the picture");
});

test("a quantity runs straight between the corners, and a held triangle is of one value", () => {
  const nodes = seenBy(PLACES, 3, ONE);
  const fit = fitted(nodes, 100, 100, 0);
  const { values } = rasterised(nodes, TRIANGLES.slice(0, 6), fit, 100, 100, PLAIN);
  assert.ok(Math.abs(values[50 * 100 + 25] - 0.255) < 1e-6);
  const held = rasterised(nodes, TRIANGLES.slice(0, 6), fit, 100, 100, { ...PLAIN, held: [1, 1] });
  assert.ok(held.values.every((v) => v === 9));
});

test("seen from the other side the other one is in front, and y goes up on the picture", () => {
  const back = [[-1, 0, 0], [0, 1, 0], [0, 0, -1]];
  const nodes = seenBy(PLACES, 3, back);
  const fit = fitted(nodes, 100, 100, 0);
  const { ids } = rasterised(nodes, TRIANGLES, fit, 100, 100, PLAIN);
  assert.ok(ids.every((t) => t < 2));
  assert.ok(fit.dy - nodes.y[2] * fit.scale < fit.dy - nodes.y[0] * fit.scale);
});

test("enlarged, the place asked for stands in the middle", () => {
  const nodes = seenBy(PLACES, 3, ONE);
  const fit = fitted(nodes, 100, 100, 10);
  const [x, y] = [nodes.x[2] * fit.scale + fit.dx, fit.dy - nodes.y[2] * fit.scale];
  const big = enlarged(fit, 4, [x, y], 100, 100);
  assert.ok(Math.abs(nodes.x[2] * big.scale + big.dx - 50) < 1e-9);
  assert.ok(Math.abs(big.dy - nodes.y[2] * big.scale - 50) < 1e-9);
});

test("a place beside the part finds the nearest triangle, one far off none", () => {
  const ids = new Int32Array(100).fill(-1);
  ids[5 * 10 + 5] = 7;
  assert.equal(near(ids, 10, 10, 4, 4, 2), 7);
  assert.equal(near(ids, 10, 10, 0, 0, 2), -1);
});

test("bands count from the light end: up for stretching, down for thinning", () => {
  assert.equal(bandOf(0.005, [0.01, 0.02], false), 0);
  assert.equal(bandOf(0.02, [0.01, 0.02], false), 2);
  assert.equal(bandOf(0.99, [0.6, 0.62], true), 0);
  assert.equal(bandOf(0.5, [0.6, 0.62], true), 2);
  assert.equal(bandOf(NaN, [1], false), -1);
  assert.deepEqual([...bandsOf([0, 1, NaN], [0.5], false)], [0, 1, -1]);
});

test("letters stand where a band has room, each patch once, and nowhere outside", () => {
  const [w, h] = [40, 20];
  const bands = new Int8Array(w * h).fill(-1);
  for (let y = 2; y < 18; y += 1) for (let x = 1; x < 39; x += 1) bands[y * w + x] = x < 20 ? 0 : 1;
  bands[10 * w + 30] = 2;
  const found = letterPlaces(bands, w, h, 4);
  assert.deepEqual(found.map((f) => f.band).sort(), [0, 1]);
  for (const f of found) assert.equal(bands[f.y * w + f.x], f.band);
  assert.deepEqual(letterPlaces(bands, w, h, 30), []);
  const coarse = letterPlaces(bands, w, h, 4, 24, 2);
  assert.deepEqual(coarse.map((f) => f.band).sort(), [0, 1]);
  for (const f of coarse) assert.equal(bands[f.y * w + f.x], f.band);
});
