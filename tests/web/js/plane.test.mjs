import assert from "node:assert/strict";
import { test } from "node:test";
import { around, fit, pathData, scaleBar, shifted, slotData, toPlane, toScreen, zoomed } from "../../../src/ribwright/web/static/logic/plane.js";

const ROOM = { left: 100, right: 60, above: 50, below: 90 };
const near = (a, b) => a.forEach((v, i) => assert.ok(Math.abs(v - b[i]) < 1e-9, `${a} is not ${b}`));

test("a fitted box lies inside its room, to one scale, and touches it on two sides", () => {
  const view = fit([-50, 10, 250, 60], 900, 500, ROOM);
  const [l, b] = toScreen(view, [-50, 10]);
  const [r, t] = toScreen(view, [250, 60]);
  near([l, r], [100, 840]);
  assert.ok(t >= 50 && b <= 410);
  assert.ok(Math.abs((r - l) / 300 - (b - t) / 50) < 1e-9);
});

test("up in the part is up on the screen, and a pixel is found back", () => {
  const view = fit([0, 0, 10, 10], 400, 400, ROOM);
  assert.ok(toScreen(view, [5, 9])[1] < toScreen(view, [5, 1])[1]);
  near(toPlane(view, toScreen(view, [3.25, 7.5])), [3.25, 7.5]);
});

test("what lies under the pointer stays there while zooming, and moving moves everything", () => {
  const view = fit([0, 0, 10, 10], 400, 400, ROOM);
  const at = [120, 77];
  near(toPlane(zoomed(view, 3, at), at), toPlane(view, at));
  near(toScreen(shifted(view, 5, -7), [1, 1]), [toScreen(view, [1, 1])[0] + 5, toScreen(view, [1, 1])[1] - 7]);
});

test("zooming ends at its limits without moving the picture", () => {
  const view = { scale: 400, x: 10, y: 20 };
  assert.deepEqual(zoomed(view, 5, [100, 100]), view);
});

test("a box of no width is shown all the same", () => {
  const view = fit([1, 1, 1, 1], 300, 300, ROOM);
  assert.ok(Number.isFinite(view.scale) && view.scale > 0);
});

test("the scale's bar is a round length that fits, in either unit", () => {
  for (const scale of [0.03, 0.4, 1, 7.7, 90]) {
    for (const unit of ["in", "mm"]) {
      const { mm, words } = scaleBar(scale, unit, 160);
      assert.ok(mm * scale <= 160 && mm * scale > 60, `${scale} ${unit}`);
      assert.match(words, /^[0-9.]+ (in|mm)$/);
      assert.match(words.replace(/[.0]|\D/g, ""), /^[125]$/);
    }
  }
});

test("path data closes a ring and is empty without points", () => {
  assert.equal(pathData([[0, 0], [1, 2]], true), "M0 0L1 2Z");
  assert.equal(pathData([]), "");
});

test("a slot of no length along x reaches its width and nothing more", () => {
  assert.equal(slotData([0, 0], 4, 0, 0), "M0 -2L0 -2A2 2 0 0 1 0 2L0 2A2 2 0 0 1 0 -2Z");
});

test("the box around boxes holds both", () => assert.deepEqual(around([0, 1, 2, 3], [-1, 2, 1, 9]), [-1, 1, 2, 9]));
