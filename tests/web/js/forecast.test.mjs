import assert from "node:assert/strict";
import { test } from "node:test";
import {
  askedOf, byOwner, handSteps, handWork, percentOf, placeKey, pointAlong, shrinks, spotOf, stationPaths, toleranceOf, verdictOf, worstOf,
} from "../../../src/ribwright/web/static/logic/forecast.js";

const at = (value, low = value - 1, high = value + 1) => ({ value, low, high, model: "" });
const station = (more) => ({ edge: "upper", along_mm: 10, bend_angle_deg: 90, closes: true, angle_released_deg: at(90, 89.5, 90.5), off_drawing_deg: 0, wrinkle: { likely: false }, edge_strain: at(0), ...more });
const CONTOUR = {
  edges: [
    { name: "upper", flange: "skin", along_mm: [100, 50, 0], points_mm: [[100, 50], [50, 50], [0, 50]], tolerance_deg: [1, 2] },
    { name: "rear", flange: null, along_mm: [0, 50], points_mm: [[100, 0], [100, 50]], tolerance_deg: null },
  ],
  holes: [{ name: "L1", at_mm: [50, 25], diameter_mm: 20, tolerance_deg: null, flanged: true }],
};

test("places are called as explain calls them: by name, and by number among those of one edge", () => {
  const rows = [station({}), station({ along_mm: 20 }), station({ edge: "rear" }), { hole: "L1" }];
  assert.deepEqual(stationPaths(rows), ["forecast.stations[upper][0]", "forecast.stations[upper][1]", "forecast.stations[rear]", "forecast.stations[L1]"]);
  assert.deepEqual(stationPaths([station({ edge: "7" })]), ["forecast.stations[0]"]);
});

test("a verdict goes by the drawing's own tolerance on either side", () => {
  const of = (value, more = {}) => verdictOf(station({ angle_released_deg: at(value, value - 0.2, value + 0.2), ...more }), [1, 2]);
  assert.equal(of(90.5), "inside");
  assert.equal(of(88.9), "open");
  assert.equal(of(91.9), "band-outside");
  assert.equal(of(92.1), "closed");
  assert.equal(of(85, { closes: false }), "stays-open");
});

test("without a tolerance nothing is judged, without an angle nothing is known", () => {
  assert.equal(verdictOf(station({ angle_released_deg: at(85) }), null), "not-judged");
  assert.equal(verdictOf(station({ angle_released_deg: at(90.01) }), null), "on-it");
  assert.equal(verdictOf(station({ angle_released_deg: null }), [1, 1]), "unknown");
});

test("the tolerance of a place is its edge's or its hole's", () => {
  assert.deepEqual(toleranceOf(station({}), CONTOUR), [1, 2]);
  assert.equal(toleranceOf({ hole: "L1" }, CONTOUR), null);
  assert.equal(toleranceOf(station({}), null), null);
});

test("a place along an edge is found as typed, also on one that is typed against the way it is travelled", () => {
  const spot = pointAlong(CONTOUR.edges[0], 75);
  assert.deepEqual(spot.at, [75, 50]);
  assert.deepEqual(spot.out.map((v) => v + 0), [0, 1], "out of the metal, which lies on the left");
  assert.deepEqual(spotOf({ edge: "upper" }, CONTOUR).at, [50, 50]);
  assert.equal(spotOf({ edge: "nowhere" }, CONTOUR), null);
  const hole = spotOf({ hole: ["L1"] }, CONTOUR);
  assert.ok(Math.abs(Math.hypot(hole.at[0] - 50, hole.at[1] - 25) - 10) < 1e-9);
});

test("stations are grouped by their edges in the order they come", () => {
  const groups = byOwner([station({}), station({ along_mm: 20 }), { hole: "L1" }]);
  assert.deepEqual(groups.map((g) => [g.owner.kind, g.owner.name, g.rows.length]), [["edge", "upper", 2], ["hole", "L1", 1]]);
  assert.equal(placeKey(station({})), "edge upper 10.00");
});

test("the worst place is the one farthest off the drawing", () => {
  assert.equal(worstOf([station({}), station({ off_drawing_deg: -3 }), station({ off_drawing_deg: 2 }), station({ off_drawing_deg: null })]), 1);
  assert.equal(worstOf([]), -1);
});

test("hand work is listed for what stays open, comes off outside or will wrinkle, the worst first", () => {
  const rows = handWork(
    [
      station({ off_drawing_deg: 0 }),
      station({ edge: "lower", angle_released_deg: at(87), off_drawing_deg: -3 }),
      { ...station({ closes: false, angle_released_deg: at(27), bend_angle_deg: 30, off_drawing_deg: -3 }), edge: undefined, hole: "L1" },
      station({ edge: "nose", wrinkle: { likely: true }, edge_strain: at(-0.06) }),
    ],
    [
      { code: "shrink-wrinkles", severity: "warn", where: { edge: "nose" }, say: "expect wrinkles", try: "flute" },
      { code: "not-compared", severity: "note", where: {}, say: "", try: "" },
      { code: "pressure-marginal", severity: "warn", where: { hole: "L2" }, say: "may stay open", try: "scrap first" },
    ],
    { ...CONTOUR, edges: [...CONTOUR.edges, { name: "lower", along_mm: [0, 1], points_mm: [[0, 0], [1, 0]], tolerance_deg: [1, 1] }] },
  );
  assert.deepEqual(rows.map((r) => r.key), ["hole L1", "edge lower", "edge nose", "hole L2"]);
  assert.equal(rows[2].wrinkle.edge, "nose");
});

test("nothing to do is an empty list", () => {
  assert.deepEqual(handWork([station({})], [], CONTOUR), []);
});

test("a thing to try is told once", () => {
  const steps = handSteps({ findings: [{ code: "a", say: "x", try: "more" }, { code: "b", say: "y", try: "more" }] });
  assert.deepEqual(steps.map((s) => s.todo), ["more", ""]);
});

test("a fluid needs no press, and what is typed goes as it is typed", () => {
  assert.deepEqual(askedOf({ by: "fluid", press: "P2", pressure: " 7 MPa ", undercut: "" }), { press: "", pressure: "7 MPa", undercut: "", forecast_model: "" });
  assert.equal(askedOf({ by: "press", press: "P2", pressure: "", undercut: "2.5" }).press, "P2");
});

test("a true strain is shown as the percent that a ruler would show", () => {
  assert.equal(percentOf(Math.log(1.05)), 5);
  assert.equal(percentOf(0), 0);
  assert.equal(percentOf(null), null);
});

test("an edge that gathers shrinks as far as its flat says, though its section is straight", () => {
  assert.equal(shrinks(station({ edge_strain: at(0), blank_edge_strain: -0.05 })), 0.05);
  assert.equal(shrinks(station({ edge_strain: at(0.02), blank_edge_strain: 0.03 })), 0);
});
