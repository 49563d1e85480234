import assert from "node:assert/strict";
import { test } from "node:test";
import { angle, force, length, plain, pressure, rounded, shown } from "../../../src/ribwright/web/static/logic/units.js";

test("a length shows both units, the one wanted first", () => {
  assert.equal(length(15.875, "in"), "0.625 in (15.88 mm)");
  assert.equal(length(15.875, "mm"), "15.88 mm (0.625 in)");
});

test("sixteenths keep their fourth decimal", () => {
  assert.equal(length(4.7625, "in"), "0.1875 in (4.76 mm)");
});

test("halves round away from zero and there is no minus before a zero", () => {
  assert.equal(plain(3.175, 2), "3.18");
  assert.equal(plain(-3.175, 2), "-3.18");
  assert.equal(plain(-0.0001, 2), "0.00");
  assert.equal(plain(1e-9, 2), "0.00");
});

test("pressures, forces and angles are rounded as on the papers", () => {
  assert.equal(pressure(5.3848055, "in"), "781 psi (5.38 MPa)");
  assert.equal(force(150 * 8896.443230521, "in"), "150 short ton (1334 kN)");
  assert.equal(angle(3.24), "3.2 deg");
});

test("what is not known says so", () => {
  assert.equal(shown(null, "mm", "in"), "not known");
  assert.equal(shown("converged", "", "in"), "converged");
});

test("a place dragged by hand is written as a drawing would say it", () => {
  assert.equal(rounded(1.23456, "in"), 1.235);
  assert.equal(rounded(31.3579, "mm"), 31.36);
});
