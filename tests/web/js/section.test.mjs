import assert from "node:assert/strict";
import { test } from "node:test";
import { holeWidth, sectionOf, stance } from "../../../src/ribwright/web/static/logic/section.js";

const near = (got, want, within = 1e-6) => assert.ok(Math.abs(got - want) < within, `${got} for ${want}`);

test("under 90 deg from flat is open, over it closed, and by how much", () => {
  assert.deepEqual(stance(84), { word: "open", by: 6 });
  assert.deepEqual(stance(97), { word: "closed", by: 7 });
  assert.equal(stance(90).word, "square");
});

test("the width runs from where the outer faces meet to the free edge", () => {
  for (const angle of [60, 84, 90, 97]) {
    const cut = sectionOf({ angle, radius: 2, thickness: 1, width: 16, up: false });
    near(Math.hypot(cut.freeOuter[0] - cut.mold[0], cut.freeOuter[1] - cut.mold[1]), 16);
  }
});

test("a flange turned down stands below the web, one turned up above; closed leans back under the web", () => {
  const at = (angle, up) => sectionOf({ angle, radius: 2, thickness: 1, width: 16, up }).freeOuter;
  assert.ok(at(90, false)[1] < -10 && at(90, true)[1] > 8);
  assert.ok(at(97, false)[0] < at(90, false)[0] && at(84, false)[0] > at(90, false)[0]);
});

test("the metal keeps its thickness through the bend", () => {
  const { outline } = sectionOf({ angle: 90, radius: 2, thickness: 1, width: 16, up: false });
  const n = outline.length;
  for (let i = 0; i < n / 2; i += 1) near(Math.hypot(outline[i][0] - outline[n - 1 - i][0], outline[i][1] - outline[n - 1 - i][1]), 1);
});

test("a hole without a size has no width to sketch", () => {
  assert.ok(Number.isNaN(holeWidth({ diameter_mm: 50, bend_angle_deg: 30, bend_radius_mm: 2 }, 0.6)));
  assert.ok(holeWidth({ diameter_mm: 50, cut_diameter_mm: 40, bend_angle_deg: 30, bend_radius_mm: 2 }, 0.6) > 4);
});
