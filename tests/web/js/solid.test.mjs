import assert from "node:assert/strict";
import { test } from "node:test";
import { borders, boxOf, circle, face, joined, ringLines, seams, turnedBody, wall } from "../../../src/ribwright/web/static/logic/solid.js";
import * as THREE from "../../../src/ribwright/web/static/vendor/three/three.module.js";

const SQUARE = [[0, 0], [10, 0], [10, 10], [0, 10]];
const triangulate = (ring, openings) => {
  const v = (p) => p.map(([x, y]) => new THREE.Vector2(x, y));
  return THREE.ShapeUtils.triangulateShape(v(ring), openings.map(v));
};
const at = (body, i) => body.positions.slice(3 * i, 3 * i + 3);
/** Signed volume inside triangles that look outward. */
function volume(body) {
  let sum = 0;
  for (let k = 0; k < body.index.length; k += 3) {
    const [a, b, c] = [0, 1, 2].map((i) => at(body, body.index[k + i]));
    sum += (a[0] * (b[1] * c[2] - b[2] * c[1]) + a[1] * (b[2] * c[0] - b[0] * c[2]) + a[2] * (b[0] * c[1] - b[1] * c[0])) / 6;
  }
  return sum;
}
function area(body) {
  let sum = 0;
  for (let k = 0; k < body.index.length; k += 3) {
    const [a, b, c] = [0, 1, 2].map((i) => at(body, body.index[k + i]));
    sum += ((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])) / 2;
  }
  return sum;
}

test("wall, face and foot of a box close it: its volume is that of the box, seen from outside", () => {
  const box = joined(wall([SQUARE, SQUARE], [0, -5]), face(SQUARE, [], 0, triangulate), face(SQUARE, [], -5, triangulate, true));
  assert.ok(Math.abs(volume(box) - 500) < 1e-9);
});

test("an opening is no metal, also where rings repeat their corners", () => {
  const doubled = (ring) => ring.flatMap((p) => [p, [...p]]).concat([[...ring[0]]]);
  const opening = [[2, 2], [2, 4], [4, 4], [4, 2]];
  assert.ok(Math.abs(area(face(SQUARE, [opening], 0, triangulate)) - 96) < 1e-9);
  assert.ok(Math.abs(area(face(doubled(SQUARE), [doubled(opening), circle([7, 7], 1)], 0, triangulate)) - 96 + 24 * Math.sin(Math.PI / 24)) < 1e-9);
});

test("a face that looks down turns its triangles over", () => {
  assert.ok(area(face(SQUARE, [], 0, triangulate, true)) < 0);
});

test("a turned body follows its meridian", () => {
  const cone = turnedBody([[4, 0], [2, 3]], [1, 1], 10, 12);
  assert.deepEqual(at(cone, 0), [5, 1, 10]);
  assert.deepEqual(at(cone, 12), [3, 1, 7]);
});

test("seams run where a bend meets web or flange and nowhere else", () => {
  const triangles = [[0, 1, 2], [2, 1, 3], [2, 3, 4]];
  assert.deepEqual(seams(triangles, [0, 1, 1]), [[2, 1]]);
  assert.deepEqual(seams(triangles, [1, 1, 1]), []);
});

test("borders close every loop, rings of lines too", () => {
  assert.deepEqual(borders([[4, 5, 6]]), [[4, 5], [5, 6], [6, 4]]);
  assert.equal(ringLines(SQUARE, 1).length, 4 * 6);
});

test("the box of positions holds them all", () => assert.deepEqual(boxOf([1, 2, 3, -4, 5, 0]), [-4, 2, 0, 1, 5, 3]));
