import assert from "node:assert/strict";
import { test } from "node:test";
import { readFileSync } from "node:fs";
import { arcThrough, atWay, curveOf, direction, nearestOn, svgPath, walk } from "../../../src/ribwright/web/static/logic/curves.js";

// made by tests/page_curves.py from geometry/curve.py
const { curves } = JSON.parse(readFileSync(new URL("curves.json", import.meta.url)));
const near = (got, want, within, what) => assert.ok(Math.abs(got - want) <= within, `${what}: ${got}, the calculation says ${want}`);

for (const { name, kind, points, start_dir, end_dir, length, knots, at, tangent_start, tangent_end } of curves) {
  test(`${name} is the curve that the calculation draws`, () => {
    const curve = curveOf(kind, points, start_dir, end_dir);
    for (const [atEnd, want] of [[false, tangent_start], [true, tangent_end]]) {
      direction(curve, atEnd).forEach((c, i) => near(c, want[i], 1e-9, "direction"));
    }
    const walked = walk(curve, 64);
    near(walked.at(-1).s, length, 1e-4 * length, "length");
    for (const [x, y] of at) assert.ok(nearestOn(walked, [x, y]).far < 0.011, `(${x}, ${y}) lies on it`);
    for (const [x, y] of knots) assert.ok(nearestOn(walked, [x, y]).far < 1e-9, "it passes its points");
  });

  test(`${name} as an SVG path passes the same places`, () => {
    const drawn = fromPath(svgPath(curveOf(kind, points, start_dir, end_dir)));
    for (const [x, y] of at) assert.ok(nearestOn(drawn, [x, y]).far < 0.002, `(${x}, ${y}) lies on it`);
  });
}

test("points that make no curve have none", () => {
  assert.equal(curveOf("arc", [[0, 0], [1, 1], [2, 2]]), null);
  assert.equal(curveOf("line", [[0, 0], [0, 0]]), null);
  assert.equal(curveOf("spline", [[0, 0], [1, null]]), null);
  assert.equal(curveOf("line", [[0, 0]]), null);
});

test("an arc turns the way its middle point lies", () => {
  assert.ok(arcThrough([1, 0], [0, 1], [-1, 0]).sweep > 0);
  assert.ok(arcThrough([1, 0], [0, -1], [-1, 0]).sweep < 0);
});

test("a place along an arc is at its true way", () => {
  const walked = walk(curveOf("arc", [[10, 0], [0, 10], [-10, 0]]));
  const q = atWay(walked, 5 * Math.PI);
  near(q.x, 0, 0.01, "x");
  near(q.y, 10, 0.01, "y");
});

/** Places along a path of M, L, A and C in absolute numbers. */
function fromPath(d) {
  const out = [];
  let at = [0, 0];
  for (const [, letter, rest] of d.matchAll(/([MLAC])([^MLAC]*)/g)) {
    const v = rest.trim().split(/[\s,]+/).map(Number);
    const end = v.slice(-2);
    if (letter === "L") for (let t = 0; t <= 1; t += 1 / 256) out.push([at[0] + t * (end[0] - at[0]), at[1] + t * (end[1] - at[1])]);
    if (letter === "C") {
      for (let t = 0; t <= 1; t += 1 / 64) {
        out.push([0, 1].map((i) => (1 - t) ** 3 * at[i] + 3 * (1 - t) ** 2 * t * v[i] + 3 * (1 - t) * t ** 2 * v[i + 2] + t ** 3 * v[i + 4]));
      }
    }
    if (letter === "A") {
      const [r, , , large, sweep] = v;
      const mid = [(at[0] + end[0]) / 2, (at[1] + end[1]) / 2];
      const half = Math.hypot(end[0] - at[0], end[1] - at[1]) / 2;
      const h = Math.sqrt(Math.max(0, r * r - half * half)) * (large === sweep ? -1 : 1);
      const c = [mid[0] - (h * (end[1] - at[1])) / (2 * half), mid[1] + (h * (end[0] - at[0])) / (2 * half)];
      const a = Math.atan2(at[1] - c[1], at[0] - c[0]);
      let turn = Math.atan2(end[1] - c[1], end[0] - c[0]) - a;
      if (sweep && turn < 0) turn += 2 * Math.PI;
      if (!sweep && turn > 0) turn -= 2 * Math.PI;
      for (let t = 0; t <= 1; t += 1 / 512) out.push([c[0] + r * Math.cos(a + t * turn), c[1] + r * Math.sin(a + t * turn)]);
    }
    at = end;
  }
  return out.map(([x, y]) => ({ x, y, s: 0 }));
}
