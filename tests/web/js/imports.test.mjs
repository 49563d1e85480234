import assert from "node:assert/strict";
import { test } from "node:test";
import { firstForm, lengthText, optionsOf, partName, pastedFile, sourceKind, standing } from "../../../src/ribwright/web/static/logic/imports.js";

test("a file is a table, a drawing or a solid by its ending", () => {
  assert.deepEqual(["a.CSV", "b.tsv", "c.txt", "d.dxf", "s.STEP", "t.stp", "e.pdf", "dxf"].map(sourceKind), ["table", "table", "table", "drawing", "solid", "solid", "", ""]);
});

test("a part's name is the file's, without what no name may have", () => {
  assert.equal(partName("Q7-2102.csv"), "Q7-2102");
  assert.equal(partName("rib (2)/final.dxf"), "rib -2-final");
  assert.equal(partName(".dxf"), "part");
  assert.equal(partName(`${"x".repeat(200)}.csv`).length, 80);
});

test("a known length is said whole or not at all", () => {
  const said = (kind, size, what, where = "") => lengthText(kind, { size, what, where });
  assert.equal(said("table", "50 in", "chord"), "50 in=chord");
  assert.equal(said("table", "3.9 in", "upper", "15 in"), "3.9 in=upper at 15 in");
  assert.equal(said("table", "3.9 in", "upper"), "");
  assert.equal(said("table", "50 in", ""), "");
  assert.equal(said("drawing", "36 in", "width"), "36 in = width");
  assert.equal(said("drawing", "0.25 in", "circle", "4,2"), "0.25 in = circle 4,2");
  assert.equal(said("drawing", "36 in", "points", "0,0 to 36,0"), "36 in = 0,0 to 36,0");
});

test("only what was said of this kind of file goes to the server", () => {
  const form = { ...firstForm("r.csv"), takes: { 1: "fits", 2: "3.938", 3: "" }, roles: { A1: "web" }, first: " 5 ", curves: true };
  assert.deepEqual(optionsOf("r.csv", form), { number: "r", take: "1\n2=3.938", first: "5" });
  const solid = { ...firstForm("r.step"), tooling: "3/16 in, 1/4 in", face: "heel", size: "36 in", what: "width", roles: { A1: "web" } };
  assert.deepEqual(optionsOf("r.step", solid), { number: "r", length: "36 in = width", face: "heel", tooling: "3/16 in\n1/4 in" });
  const drawn = { ...firstForm("r.dxf"), roles: { A1: "flange skin", A2: "" }, takes: { 1: "fits" }, curves: true, line: "inside-mold-line" };
  assert.deepEqual(optionsOf("r.dxf", drawn), { number: "r", role: "A1=flange skin", line: "inside-mold-line", curves: "yes" });
});

test("a part can be made when the import is done, whole and without a fault", () => {
  const done = (result, more = {}) => ({ job: { state: "done", faults: [], result, ...more } });
  assert.equal(standing(null).ready, false);
  assert.equal(standing({ job: { state: "running" } }).ready, false);
  assert.equal(standing(done({ text: "x", faults: [], findings: [1] })).ready, true);
  assert.deepEqual(standing(done({ text: "", faults: [{ say: "no" }], findings: [] })), { faults: [{ say: "no" }], findings: [], ready: false });
  assert.equal(standing({ job: { state: "failed", faults: [{ say: "lost" }] } }).faults.length, 1);
});

test("a pasted table is a file by its tabs, with the unit that was chosen in its head", () => {
  assert.deepEqual(pastedFile("x\ty\n1\t2", "mm"), { name: "pasted.tsv", text: "# units = mm\nx\ty\n1\t2\n" });
  assert.deepEqual(pastedFile("\n x,y\n1,2", ""), { name: "pasted.csv", text: " x,y\n1,2\n" });
});
