import assert from "node:assert/strict";
import { test } from "node:test";
import * as rows from "../../../src/ribwright/web/static/logic/rows.js";
import { say } from "../../../src/ribwright/web/static/words.js";

const range = (min, max = min) => ({ min, max });
const predicted = (value) => ({ value, low: value - 1, high: value + 2, model: "m" });
const ANSWER = {
  blank: {
    edges: [
      { name: "lower", bend_allowance_mm: range(4), setback_mm: range(2.9), flat_width_mm: range(16.9, 17), edge_strain: range(-0.02, 0), thickness_mm: range(0.6) },
      { name: "rear", bend_allowance_mm: null, setback_mm: null, flat_width_mm: null, edge_strain: null, thickness_mm: null },
    ],
    holes: [
      { name: "L1", kind: "lightening", cut_diameter_mm: 50, rim_diameter_mm: 52, flange_height_mm: 3, edge_strain: 0.03, slot_mm: 0 },
      { name: "P2", kind: "tooling", cut_diameter_mm: 5, rim_diameter_mm: null, flange_height_mm: null, edge_strain: null, slot_mm: 2.5 },
    ],
    corners: [{ at: ["lower", "rear"], relief: "hole", diameter_mm: 4.5, set_back_mm: 0.8, gap_mm: 0, by: "the rule" }],
    size_mm: [800, 180], area_mm2: 1e5, cut_line: { lines: 11, arcs: 24, fit_mm: 0.009 },
  },
  block: {
    undercut: [{ edge: "lower", along_mm: 0, bend_angle_deg: 90, deg: predicted(8), wall_angle_deg: 98, setback_mm: 2.8, edge_radius_mm: 2, released_angle_deg: null }],
    recesses: [{ name: "L1", depth_mm: 6, diameter_mm: 62, bottom_diameter_mm: 43, wall_angle_deg: 33, undercut_deg: predicted(2.7), vent_diameter_mm: 3 }],
    rings: [], pins: [{ name: "P2", at_mm: [1, 2], diameter_mm: 4.7, hole_diameter_mm: 4.8, slot_mm: 0 }],
    stock: { rough_mm: [790, 160], weight_kg: null }, height_mm: 19, edge_radii_mm: range(2, 2.2), material: null, bearing_area_mm2: 9e4,
    undercut_says: "it follows", undercut_pressure_mpa: null, comes_off: "lifts", slides_toward: "",
  },
  setup: {
    press: { id: "P2", name: "power press" }, needed_pressure_mpa: predicted(7.5), governed_by: { hole: "L3" }, available_pressure_mpa: 12, available_by: "rated pressure",
    pump_to_gauge_psi: 3500, pump_to_gauge_force_n: null, pump_to_pressure_mpa: 9, never_past_gauge_psi: 4995, never_past_force_n: null, never_past_by: "the pad",
    gauge_limit_by: "", pad_margin_mm: 64, table_margin_mm: 51, off_centre_mm: 18, turned_deg: 0, daylight_margin_mm: 220, block_pressure_limit_mpa: 34,
    lay_up: [{ what: "press table", note: "clean" }],
    flanges: [
      { edge: "lower", closing_pressure_mpa: 0.5, needed_pressure_mpa: predicted(4), at_pressure_mpa: 9, closes: true, reaches_deg: predicted(98), left_open_deg: predicted(0), margin: 0.5 },
      { hole: "L3", closing_pressure_mpa: 3, needed_pressure_mpa: predicted(12), at_pressure_mpa: 9, closes: false, reaches_deg: predicted(30), left_open_deg: predicted(3), margin: -0.2 },
      { edge: "rear", closing_pressure_mpa: null, needed_pressure_mpa: null, at_pressure_mpa: 9, closes: null, reaches_deg: null, left_open_deg: null, margin: null },
    ],
  },
  margins: [
    { quantity: "edge_strain", where: { edge: "lower" }, value: 0.01, limit: 0.1, margin: 0.9, unit: "engineering strain", source: "a" },
    { quantity: "bend_radius", where: { edge: "rear", along_mm: 12.4 }, value: 2.2, limit: null, margin: null, unit: "mm", source: "b" },
    { quantity: "bend_radius", where: { edge: "front" }, value: 2.2, limit: 2.3, margin: -0.04, unit: "mm", source: "c" },
  ],
};
const numbers = (cells) => cells.flat(2).filter((c) => c && typeof c === "object" && "path" in c);
const at = (path) => path.split(/[.[\]]+/).filter(Boolean).reduce((v, k) => v?.[k], ANSWER);

test("every number of every table stands at its path in the answer, and says what it is", () => {
  const { pressure, place } = rows.setup(ANSWER, say);
  const tables = [pressure, place, ...["edges", "holes", "corners", "blankSizes", "undercut", "recesses", "pins", "blockBody", "closing", "margins"].map((t) => rows[t](ANSWER, say))];
  let count = 0;
  for (const table of tables) {
    for (const row of table.rows) {
      for (const n of numbers(row.cells)) {
        assert.equal(at(n.path), n.value, n.path);
        assert.equal(typeof n.value, "number", n.path);
        assert.ok(n.label, n.path);
        count += 1;
      }
    }
  }
  assert.ok(count > 60, `${count}`);
});

test("a width that varies shows its least and its largest, one that does not is one number", () => {
  const [lower, rear] = rows.edges(ANSWER, say).rows;
  assert.equal(numbers([lower.cells[1]]).length, 2);
  assert.equal(numbers([lower.cells[2]]).length, 1);
  assert.equal(rear.cells[1], "no flange");
});

test("what is missing is not known, never a zero", () => {
  assert.equal(rows.undercut(ANSWER, say).rows[0].cells[7], "not known");
  assert.ok(rows.closing(ANSWER, say).rows.find((r) => r.cells[0] === "edge rear").cells.slice(4).every((c) => c === "not known"));
  assert.ok(!rows.blockBody(ANSWER, say).rows.some((r) => r.key === "weight"));
});

test("what stays open comes first, and so does the least margin; those without a margin last", () => {
  assert.deepEqual(rows.closing(ANSWER, say).rows.map((r) => [r.cells[0], Boolean(r.bad)]), [["hole L3", true], ["edge lower", false], ["edge rear", false]]);
  assert.deepEqual(rows.margins(ANSWER, say).rows.map((r) => r.cells[1]), ["edge front", "edge lower", "edge rear, 12 mm along"]);
  assert.equal(rows.margins(ANSWER, say).rows[0].bad, true);
});

test("without a press there is no set-up", () => assert.equal(rows.setup({ ...ANSWER, setup: undefined }, say), null));

test("a slotted hole says so", () => assert.match(rows.holes(ANSWER, say).rows[1].cells[1], /slotted/));

test("a place is said in words, names as they stand", () => {
  assert.equal(rows.where({ edge: "upper_1", tolerance: "flange_angle" }), "edge upper_1, tolerance flange angle");
  assert.equal(rows.where({ hole: ["P1", "P2"], at_mm: [1, 2] }), "hole P1 / P2");
});
