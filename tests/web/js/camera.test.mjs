import assert from "node:assert/strict";
import { test } from "node:test";
import { VIEWS, axes, looking, onKey, panned, placed, turned, zoomed } from "../../../src/ribwright/web/static/logic/camera.js";

const BOX = [-100, -20, -15, 300, 60, 5];
const dot = (a, b) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
const near = (a, b) => a.forEach((v, i) => assert.ok(Math.abs(v - b[i]) < 1e-9, `${a} is not ${b}`));

test("right, up and out stand square to each other, and right times up is out", () => {
  for (const [az, el] of [[0, 0], [30, 30], [123, -77], [0, 90], [200, -90]]) {
    const { right, up, out } = axes({ az, el });
    for (const [a, b] of [[right, up], [up, out], [out, right]]) assert.ok(Math.abs(dot(a, b)) < 1e-12);
    near([right[1] * up[2] - right[2] * up[1], right[2] * up[0] - right[0] * up[2], right[0] * up[1] - right[1] * up[0]], out);
  }
});

test("from the front x runs right and z up, from the top y runs up, from the side y runs right", () => {
  near(axes(VIEWS.front).right, [1, 0, 0]);
  near(axes(VIEWS.front).up, [0, 0, 1]);
  near(axes(VIEWS.top).up, [0, 1, 0]);
  near(axes(VIEWS.side).right, [0, 1, 0]);
});

test("every corner of the box is seen from everywhere, whatever the picture's shape", () => {
  for (const aspect of [0.4, 1, 2.6]) {
    for (let az = 0; az < 360; az += 35) {
      for (const el of [-90, -20, 0, 45, 90]) {
        const cam = turned(turned(looking("front"), az, 0), 0, el);
        const { target, half, at, far } = placed(cam, BOX, aspect);
        const { right, up, out } = axes(cam);
        for (let k = 0; k < 8; k++) {
          const c = [0, 1, 2].map((i) => BOX[k & (1 << i) ? i + 3 : i] - target[i]);
          assert.ok(Math.abs(dot(c, up)) <= half && Math.abs(dot(c, right)) <= half * aspect);
          const depth = dot(at.map((v, i) => v - target[i] - c[i]), out);
          assert.ok(depth > 0.1 && depth < far);
        }
      }
    }
  }
});

test("turning goes round but never past straight down", () => {
  assert.equal(turned(looking("front"), -90, 0).az, 270);
  assert.equal(turned(looking("top"), 0, 50).el, 90);
  assert.equal(turned(looking("front"), 0, -500).el, -90);
});

test("twice as near shows half as much", () => {
  const cam = looking("three_quarter");
  assert.ok(Math.abs(placed(zoomed(cam, 2), BOX, 1.5).half * 2 - placed(cam, BOX, 1.5).half) < 1e-9);
});

test("moved by a tenth of the picture's height, its middle moves by that much, near or far", () => {
  for (const times of [1, 4]) {
    const cam = zoomed(looking("front"), times);
    const [a, b] = [placed(cam, BOX, 1.5), placed(panned(cam, 0.1, 0), BOX, 1.5)];
    assert.ok(Math.abs(a.target[0] - b.target[0] - 0.1 * 2 * a.half) < 1e-9);
  }
});

test("arrows turn, with shift they move, signs zoom, Home fits, other keys do nothing", () => {
  const cam = { ...looking("three_quarter"), zoom: 3, pan: [0.2, 0.1] };
  assert.equal(onKey(cam, "ArrowRight", false).az, 40);
  assert.notDeepEqual(onKey(cam, "ArrowRight", true).pan, cam.pan);
  assert.ok(onKey(cam, "+", false).zoom > 3);
  assert.ok(onKey(cam, "-", false).zoom < 3);
  assert.deepEqual(onKey(cam, "Home", false), looking("three_quarter"));
  assert.equal(onKey(cam, "a", false), null);
});
