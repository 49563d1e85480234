import assert from "node:assert/strict";
import { test } from "node:test";
import { bandOf, bendPath, rivetPlaces, tangentInside, valueAt } from "../../../src/ribwright/web/static/logic/beside.js";
import { boundsOf, drawnLoop, loopPath, meeting, moved, outlineOf } from "../../../src/ribwright/web/static/logic/outline.js";

const edge = (n, name, kind, points_mm, more = {}) => ({ path: `web.edge[${n}]`, name, kind, points_mm, flange: null, ordinates: null, tangent: null, ...more });
/** A sheet 100 by 50 mm, counter-clockwise, its first edge with a flange. */
const plate = (more = {}) => ({
  name: "web", path: "web", start_mm: [0, 0], closed: true,
  edges: [edge(1, "lower", "line", [[100, 0]], { flange: "skin" }), edge(2, "rear", "line", [[100, 50]]), edge(3, "upper", "line", [[0, 50]]), edge(4, "front", "line", [[0, 0]])], ...more,
});
const SKIN = { name: "skin", path: "flange.skin", width_mm: 16, bend_angle_deg: 90, bend_radius_mm: 2, turn: "down" };
const numbers = (d) => d.match(/-?\d+(\.\d+)?/g).map(Number);

test("a flange is laid out away from the material, whichever way the loop was typed", () => {
  const loop = drawnLoop(plate());
  const ys = (l) => numbers(bandOf(l.edges.find((e) => e.name === "lower"), l.outward, SKIN).free).filter((_, i) => i % 2);
  assert.ok(ys(loop).every((y) => Math.abs(y + 16) < 1e-6));
  const other = plate({ start_mm: [0, 0], edges: [edge(1, "front", "line", [[0, 50]]), edge(2, "upper", "line", [[100, 50]]), edge(3, "rear", "line", [[100, 0]]), edge(4, "lower", "line", [[0, 0]], { flange: "skin" })] });
  assert.ok(ys(drawnLoop(other)).every((y) => Math.abs(y + 16) < 1e-6));
});

test("a cutout's flange is laid out into the cutout", () => {
  const cutout = drawnLoop({ ...plate(), path: "cutout[1]" });
  assert.ok(numbers(bandOf(cutout.edges[0], cutout.outward, SKIN).free).filter((_, i) => i % 2).every((y) => Math.abs(y - 16) < 1e-6));
});

test("a width that varies is laid out so", () => {
  const loop = drawnLoop(plate());
  const free = numbers(bandOf(loop.edges[0], loop.outward, { ...SKIN, width_mm: [["fraction", 0, 10], ["fraction", 1, 20]] }).free);
  assert.deepEqual([free[1], free.at(-1)], [-10, -20]);
});

test("the bend's tangent line lies inside an outside mold line by (R + t) tan(angle / 2)", () => {
  assert.ok(Math.abs(tangentInside("outside-mold-line", 90, 2, 0.8) - 2.8) < 1e-12);
  assert.ok(Math.abs(tangentInside("inside-mold-line", 90, 2, 0.8) - 2) < 1e-12);
  assert.equal(tangentInside("bend-tangent-line", 90, 2, 0.8), 0);
  const loop = drawnLoop(plate());
  assert.ok(numbers(bendPath(loop.edges[0], loop.outward, SKIN, "outside-mold-line", 0.8)).filter((_, i) => i % 2).every((y) => Math.abs(y - 2.8) < 1e-3));
});

test("values along an edge are linear between their places and held outside", () => {
  const rows = [["mm", 20, 84], ["fraction", 1, 94]];
  assert.deepEqual([0, 20, 60, 100, 120].map((s) => valueAt(rows, s, 100)), [84, 84, 89, 94, 94]);
  assert.equal(valueAt(90, 5, 100), 90);
  assert.ok(Number.isNaN(valueAt(null, 5, 100)));
});

test("a spline takes its neighbour's direction as it is drawn now", () => {
  const loop = plate({ edges: [edge(1, "lower", "line", [[100, 0]]), edge(2, "nose", "spline", [[110, 25], [100, 50]], { tangent: "start" }), edge(3, "upper", "line", [[0, 50]]), edge(4, "front", "line", [[0, 0]])] });
  const first = (l) => drawnLoop(l).edges[1].walked[0];
  assert.ok(Math.abs(first(loop).ty) < 1e-9 && first(loop).tx > 0.999);
  const turned = moved({ loops: [loop] }, { "web.start": [0, -100], "web.edge[4].to": [0, -100] }).loops[0];
  assert.ok(Math.abs(first(turned).tx - Math.SQRT1_2) < 1e-9);
});

test("splines that ask each other are drawn natural and do not hang", () => {
  const loop = plate({ edges: [edge(1, "a", "spline", [[50, -5], [100, 0]], { tangent: "both" }), edge(2, "b", "spline", [[50, 40], [0, 0]], { tangent: "both" })] });
  assert.ok(drawnLoop(loop).edges.every((e) => e.d));
});

test("a point that moves copies its own loop only, and what did not move is not made again", () => {
  const sketch = { loops: [plate(), { ...plate(), path: "cutout[1]", edges: plate().edges.map((e) => ({ ...e, path: e.path.replace("web", "cutout[1]") })) }], holes: [{ path: "hole[1]", at_mm: [5, 5] }] };
  const after = moved(sketch, { "web.edge[2].to": [101, 51], "hole[1].at": [6, 6] });
  assert.notEqual(after.loops[0], sketch.loops[0]);
  assert.equal(after.loops[1], sketch.loops[1]);
  assert.deepEqual(after.holes[0].at_mm, [6, 6]);
  assert.deepEqual(sketch.loops[0].edges[1].points_mm, [[100, 50]]);
  assert.equal(outlineOf(after).loops[1], outlineOf(sketch).loops[1]);
});

test("the bisector at a corner points into the material", () => {
  const at = meeting([drawnLoop(plate())], ["lower", "rear"]);
  assert.deepEqual([at.x, at.y], [100, 0]);
  assert.ok(at.bx < 0 && at.by > 0);
  assert.equal(meeting([drawnLoop(plate())], ["lower", "upper"]), null);
});

test("rivets stand on their line outside the edge on the flange, inside on the web", () => {
  const loop = drawnLoop(plate());
  const row = { on: "flange", line_mm: 9, first_mm: 10, pitch_mm: 20, count: 9 };
  const places = rivetPlaces(row, loop.edges[0], loop.outward);
  assert.deepEqual(places.map((q) => [q.x, q.y]), [10, 30, 50, 70, 90].map((x) => [x, -9]));
  assert.equal(rivetPlaces({ ...row, on: "web" }, loop.edges[0], loop.outward)[0].y, 9);
});

test("an unfinished sketch is drawn as far as it goes", () => {
  const loop = drawnLoop(plate({ edges: [edge(1, "lower", "line", [[100, 0]]), edge(2, "rear", "line", [[null, null]]), edge(3, "x", "arc", [[10, 10]])] }));
  assert.equal(loop.closed, false);
  assert.deepEqual(loop.edges.map((e) => Boolean(e.d)), [true, false, false]);
  assert.ok(!loopPath(loop).endsWith("Z"));
  assert.equal(boundsOf(outlineOf({ loops: [] }), {}), null);
});
