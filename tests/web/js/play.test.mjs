import assert from "node:assert/strict";
import { test } from "node:test";
import { cornerOf, evenArrows, later, seconds, sheetAt, stepped, story, windowOf } from "../../../src/ribwright/web/static/logic/play.js";

/** A strip of 20 mm with its bend over the middle third, at an angle; straight elements of 1 mm. */
function frame(state, angle, pressure, to = pressure) {
  const n = 21;
  const slope = Array.from({ length: n }, (_, i) => angle * Math.min(Math.max((i - 7) / 6, 0), 1));
  const x = [-8];
  const y = [0.5];
  for (let i = 1; i < n; i += 1) {
    const a = (((slope[i] + slope[i - 1]) / 2) * Math.PI) / 180;
    x.push(x[i - 1] + Math.cos(a));
    y.push(y[i - 1] - Math.sin(a));
  }
  const half = Array(n).fill(0.5);
  return { state, angle_deg: angle, pressure_mpa: pressure, pressed_to_mpa: to, x_mm: x, y_mm: y, slope_deg: slope, outward_mm: half, inward_mm: half };
}
const FLAT = { ...frame("flat", 0, 0), x_mm: [-8, 12], y_mm: [0.5, 0.5], slope_deg: [0, 0], outward_mm: [0.5, 0.5], inward_mm: [0.5, 0.5] };
const FRAMES = [FLAT, frame("loaded", 30, 1), frame("on-block", 24, 0, 1), frame("released", 25, 0, 1), frame("loaded", 95, 7), frame("on-block", 89, 0, 7), frame("released", 90, 0, 7)];

test("the story leaves out what was let go from less than the last pressure", () => {
  assert.deepEqual(story(FRAMES).map((f) => [f.state, f.angle_deg]), [["flat", 0], ["loaded", 30], ["loaded", 95], ["on-block", 89], ["released", 90]]);
});

test("at a computed state the sheet stands where it was computed", () => {
  const told = story(FRAMES);
  const sheet = sheetAt(told, 2);
  FRAMES[4].x_mm.forEach((x, i) => {
    assert.ok(Math.abs(sheet.middle[i][0] - x) < 1e-9 && Math.abs(sheet.middle[i][1] - FRAMES[4].y_mm[i]) < 1e-9);
  });
  assert.equal(sheet.angle, 95);
  assert.equal(sheet.computed, true);
});

test("between two states no element is stretched, and the angle lies between theirs", () => {
  const told = story(FRAMES);
  for (const at of [0.3, 1.5, 1.9, 2.4]) {
    const { middle, angle, from, to, computed } = sheetAt(told, at);
    for (let i = 1; i < middle.length; i += 1) {
      const long = Math.hypot(middle[i][0] - middle[i - 1][0], middle[i][1] - middle[i - 1][1]);
      assert.ok(Math.abs(long - 1) < 1e-9, `${at}: ${long}`);
    }
    assert.ok(angle > Math.min(from.angle_deg, to.angle_deg) && angle < Math.max(from.angle_deg, to.angle_deg));
    assert.equal(computed, false);
  }
});

test("the flat sheet has as many nodes as the bent one and lies flat", () => {
  const { middle, outer, inner } = sheetAt(story(FRAMES), 0);
  assert.equal(middle.length, 21);
  assert.ok(middle.every(([, y]) => y === 0.5) && outer.every(([, y]) => y === 1) && inner.every(([, y]) => y === 0));
});

test("a story without a loaded state is the flat sheet alone", () => {
  const told = story([FLAT]);
  assert.equal(told.length, 1);
  assert.equal(sheetAt(told, 0).angle, 0);
});

test("time goes on to the end and stays there, as long as the flange turns", () => {
  const told = story(FRAMES);
  const times = seconds(told);
  const whole = times.reduce((a, b) => a + b, 0);
  assert.equal(later(told, 0, whole + 5), told.length - 1);
  assert.ok(Math.abs(later(told, 0, times[0] + times[1] / 2) - 1.5) < 1e-9);
  assert.ok(times[1] > times[2], "what turns far takes longer");
});

test("steps go from computed state to computed state", () => {
  const told = story(FRAMES);
  assert.equal(stepped(told, 1.4, 1), 2);
  assert.equal(stepped(told, 1.4, -1), 1);
  assert.equal(stepped(told, 2, 1), 3);
  assert.equal(stepped(told, 2, -1), 1);
  assert.equal(stepped(told, 0, -1), 0);
  assert.equal(stepped(told, 4, 1), 4);
});

test("arrows of an even pressure stand evenly, square on the outer face", () => {
  const sheet = sheetAt(story(FRAMES), 2);
  const arrows = evenArrows(sheet, 2);
  assert.ok(arrows.length >= 9);
  for (const { head, out } of arrows) {
    assert.ok(Math.abs(Math.hypot(...out) - 1) < 0.02);
    const near = Math.min(...sheet.outer.map(([x, y]) => Math.hypot(x - head[0], y - head[1])));
    assert.ok(near < 1);
  }
});

test("the corner of a right angle lies where web and flange would meet", () => {
  assert.equal(cornerOf(sheetAt(story(FRAMES), 0)), null);
  const c = cornerOf(sheetAt(story(FRAMES), 4));
  assert.ok(Math.abs(c.at[1] - 1) < 1e-9);
  assert.ok(Math.abs(c.at[0] - c.tip[0]) < 1e-6, "a flange at 90 deg stands under its corner");
});

test("every state fits into the window", () => {
  const told = story(FRAMES);
  const w = windowOf(told, [[-20, 0], [0, 0], [1, -12]], 2);
  told.forEach((_, k) => {
    for (const [x, y] of sheetAt(told, k).outer) if (x >= w.left) assert.ok(x < w.right && y < w.top && y > w.low);
  });
});
