import assert from "node:assert/strict";
import { test } from "node:test";
import { drawnLoop } from "../../../src/ribwright/web/static/logic/outline.js";
import { handlesOf, nearestCorner, thingAt } from "../../../src/ribwright/web/static/logic/near.js";
import { labelsOf, shapesOf } from "../../../src/ribwright/web/static/logic/shapes.js";
import { fitted, meant, scaleBar, toMm, toPixels, zoomed } from "../../../src/ribwright/web/static/logic/view.js";

const close = (a, b) => a.forEach((v, i) => assert.ok(Math.abs(v - b[i]) < 1e-9, `${a} for ${b}`));

test("y points up: a higher place is nearer the top of the sheet", () => {
  const view = fitted([0, 0, 100, 50], 800, 500);
  assert.ok(toPixels(view, [0, 50])[1] < toPixels(view, [0, 0])[1]);
  close(toMm(view, toPixels(view, [12, 34])), [12, 34]);
});

test("a whole part lies inside the sheet with room round it", () => {
  const view = fitted([-10, -20, 300, 90], 800, 500);
  const [[l, b], [r, t]] = [toPixels(view, [-10, -20]), toPixels(view, [300, 90])];
  assert.ok(l >= 71 && r <= 729 && t >= 59 && b <= 397);
});

test("going nearer keeps the place under the pointer", () => {
  const view = fitted([0, 0, 100, 50], 800, 500);
  const at = toMm(view, [300, 200]);
  close(toPixels(zoomed(view, 2, [300, 200]), at), [300, 200]);
});

test("a scale bar is 1, 2 or 5 times a power of ten and fits", () => {
  const bar = scaleBar({ k: 1.3 }, "in", 150);
  assert.equal(bar.mm / 25.4, 2);
  assert.ok(bar.px <= 150);
});

const PLATE = { units: "in", line: "outside-mold-line", thickness_mm: 1, flanges: [], corners: [], rivets: [],
  holes: [{ path: "hole[1]", name: "L1", kind: "lightening", at_mm: [50, 25], diameter_mm: 20, cut_diameter_mm: 16 }, { path: "hole[2]", name: "P1", kind: "tooling", at_mm: [10, 10], diameter_mm: null }],
  loops: [{ name: "web", path: "web", start_mm: [0, 0], edges: [[100, 0], [100, 50], [0, 50], [0, 0]].map((to, i) => ({ path: `web.edge[${i + 1}]`, name: `e${i + 1}`, kind: "line", points_mm: [to], flange: null, ordinates: null, tangent: null })) }] };
const drawn = { sketch: PLATE, outline: { loops: PLATE.loops.map(drawnLoop) }, view: { k: 2, x: 0, y: 0 } };

test("a press means the point before the hole before the edge", () => {
  const points = [{ path: "web.edge[1].to", at: [100, 0] }];
  assert.equal(thingAt(drawn, [99, 1], points).path, "web.edge[1].to");
  assert.equal(thingAt(drawn, [60, 25], points).path, "hole[1]");
  assert.equal(thingAt(drawn, [50, 1], points).path, "web.edge[1]");
  assert.equal(thingAt(drawn, [30, 25], points), null);
  assert.equal(meant([{ path: "a", rank: 0, far: 15 }]), null);
});

test("a press near a place where two edges meet means their corner", () => {
  const pairs = [["e1", "e2"], ["e2", "e3"]];
  assert.deepEqual(nearestCorner(drawn, [98, 3], pairs), ["e1", "e2"]);
  assert.equal(nearestCorner(drawn, [50, 25], pairs), null);
  assert.equal(nearestCorner(drawn, [0, 0], pairs), null);
});

test("of an edge with many points only those at hand have handles", () => {
  const points_mm = Array.from({ length: 400 }, (_, i) => [i + 1, Math.sin(i / 9)]);
  const loop = drawnLoop({ path: "web", name: "web", start_mm: [0, 0], edges: [{ path: "web.edge[1]", name: "long", kind: "spline", points_mm, ordinates: null, tangent: null }] });
  const many = { outline: { loops: [loop] }, view: { k: 2 } };
  assert.equal(handlesOf(many, "web.edge[1]", "web.edge[1]", null).length, 2);
  const some = handlesOf(many, "web.edge[1]", "web.edge[1].spline[200]", [300, 0]);
  assert.ok(some.length > 40 && some.length < 80 && some.some((q) => q.path === "web.edge[1].spline[200]"));
});

test("a detail without sizes stands as a tick at its place, a bead as its line", () => {
  const others = [{ kind: "notch", path: "notch[1]", edge: "e1", at: ["fraction", 0.5] }, { kind: "joggle", path: "joggle[1]", edge: "e2", from: ["mm", 5], to: ["mm", 15] }, { kind: "bead", path: "bead[1]", points_mm: [[1, 1], [9, 9], [null, 2]] }, { kind: "flute", path: "flute[1]", edge: "gone", at: ["mm", 1] }];
  const shapes = shapesOf(drawn.outline, { ...PLATE, others }).others;
  assert.deepEqual(shapes.map((s) => s.key), ["notch[1]", "joggle[1]", "bead[1]"]);
  assert.equal(shapes[0].d, "M50.000 8.000L50.000 -8.000");
});

test("a hole without a diameter is a dashed cross, not a guess", () => {
  const { holes, edges, material } = shapesOf(drawn.outline, PLATE);
  assert.deepEqual(holes.filter((s) => s.key === "hole[2]").map((s) => s.part), ["unknown"]);
  assert.deepEqual(holes.filter((s) => s.key === "hole[1]").map((s) => s.part), ["bend", "rim", "centre"]);
  assert.equal(edges.length, 4);
  assert.ok(material.endsWith("Z"));
  assert.deepEqual(labelsOf(drawn.outline, PLATE).map((l) => l.text), ["e1", "e2", "e3", "e4", "L1", "P1"]);
});
