import assert from "node:assert/strict";
import { test } from "node:test";
import { freeName, listed, openCorners } from "../../../src/ribwright/web/static/logic/listing.js";
import { bareEdges, kindOps, newCorner, newFlange, newHole } from "../../../src/ribwright/web/static/logic/making.js";
import { rowsOf, rowsValue } from "../../../src/ribwright/web/static/logic/along.js";
import { fileKind, goodName, partBody } from "../../../src/ribwright/web/static/logic/start.js";
import { say } from "../../../src/ribwright/web/static/words.js";

test("the first hole of a kind has no sizes, the next has those of the last, as typed", () => {
  const first = newHole({ holes: [] }, { kind: "tooling" }, [1, 2]);
  assert.deepEqual(first.ops, [{ op: "add", path: "hole", table: { name: "P1", kind: "tooling", at: [1, 2] } }]);
  const sketch = { holes: [{ path: "hole[1]", kind: "tooling", name: "P1" }, { path: "hole[2]", kind: "plain", name: "D1" }], values: { "hole[1].diameter": { typed: "3/16 in" }, "hole[2].diameter": { typed: "0.50" } } };
  const next = newHole(sketch, { kind: "tooling" }, [3, 4]);
  assert.equal(next.path, "hole[3]");
  assert.deepEqual(next.ops.slice(1), [{ op: "set", path: "hole[3].diameter", typed: "3/16 in" }]);
  assert.equal(next.ops[0].table.name, "P2");
});

test("a new corner has the last one's relief, and only the keys that belong to it", () => {
  const values = { "corner[1].gap": { typed: "0.06" }, "corner[1].diameter": { typed: "0.19" } };
  assert.deepEqual(newCorner({ corners: [{ path: "corner[1]", relief: "notch" }], values }, ["a", "b"]).ops, [{ op: "add", path: "corner", table: { at: ["a", "b"], relief: "notch" } }, { op: "set", path: "corner[2].gap", typed: "0.06" }]);
});

test("a new flange says what was typed and no more, and is put on its edge", () => {
  const { ops } = newFlange("web.edge[1]", "skin", { width: "0.50", bend_angle: " ", turn: "up" });
  assert.deepEqual(ops.map((o) => [o.op, o.path]), [["add", "flange.skin"], ["set", "flange.skin.width"], ["set", "flange.skin.turn"], ["set", "web.edge[1].flange"]]);
});

test("an edge of another kind keeps its ends and loses the keys of the old kind", () => {
  const on = [[1, 1], [2, 1], [3, 1]];
  const line = { path: "web.edge[1]", kind: "line", points: [[0, 0], [4, 0]] };
  assert.deepEqual(kindOps(line, "arc", on), [{ op: "set", path: "web.edge[1].through", value: [2, 1] }]);
  assert.deepEqual(kindOps(line, "spline", on), [{ op: "remove", path: "web.edge[1].to" }, { op: "set", path: "web.edge[1].spline", value: [[1, 1], [3, 1], [4, 0]] }]);
  const spline = { path: "web.edge[1]", kind: "spline", points: [[0, 0], [2, 2], [4, 0]], tangent: "end", ordinates: null };
  assert.deepEqual(kindOps(spline, "line", on).map((o) => `${o.op} ${o.path}`), ["remove web.edge[1].spline", "remove web.edge[1].tangent", "set web.edge[1].to"]);
  assert.deepEqual(kindOps(line, "line", on), []);
});

test("corners that are not in the file are offered", () => {
  const sketch = { loops: [{ edges: [{ name: "a" }, { name: "b" }, { name: "c" }] }], corners: [{ at: ["b", "a"] }] };
  assert.deepEqual(openCorners(sketch), [["b", "c"], ["c", "a"]]);
});

test("the list names everything, the web's edges first", () => {
  const groups = listed({ loops: [{ path: "web", edges: [{ path: "web.edge[1]", name: "", kind: "line", flange: "skin" }] }], holes: [{ path: "hole[1]", name: "L1", kind: "lightening" }] }, say);
  assert.deepEqual(groups[0].items[0], { path: "web.edge[1]", name: "edge 1", about: "straight, flange skin" });
  assert.equal(groups[1].items[0].name, "L1");
  assert.equal(freeName("L", ["L1", "L3"]), "L2");
});

test("values along an edge are rows of place and value, lengths in the file's unit", () => {
  const stations = [["fraction", 0, 84], ["fraction", 0.4, 90], ["mm", 254, 95], ["fraction", 1, 97]];
  const rows = rowsOf(stations, (v, isPlace) => String(isPlace ? v / 25.4 : v));
  assert.deepEqual(rows, [["start", "84"], ["40 %", "90"], ["10", "95"], ["end", "97"]]);
  assert.deepEqual(rowsValue(rows), [["start", 84], ["40 %", 90], [10, 95], ["end", 97]]);
});

test("only files that belong in a shop are taken, only names that a folder takes", () => {
  assert.deepEqual(["a.part.toml", "shop.toml", "upper.csv", "a.toml", ".part.toml", "a.exe"].map(fileKind), ["part", "shop", "ordinates", "", "", ""]);
  assert.deepEqual(["Q7-2102-1", ".hidden", "a/b", "", "x".repeat(81), "Werk 2"].map(goodName), [true, false, false, false, false, true]);
});

test("a new part file says the title block, its thickness as typed", () => {
  const { name, text } = partBody({ number: 'A"1', revision: "-", title: "", hand: "left", units: "in", material: "2024-O", formed_in: "", final: "O", thickness: "0.0320" });
  assert.equal(name, 'A"1');
  assert.ok(text.includes('number = "A\\"1"') && text.includes("thickness = 0.0320\n") && !text.includes("title") && !text.includes("formed_in"));
  assert.ok(partBody({ number: "B", units: "mm", thickness: "0.8 mm" }).text.includes('thickness = "0.8 mm"'));
});

test("a flange may be put on every edge of the loop that has none", () => {
  const sketch = { loops: [{ edges: [{ path: "web.edge[1]", flange: null }, { path: "web.edge[2]", flange: "spar" }, { path: "web.edge[3]", flange: null }] }, { edges: [{ path: "cutout[1].edge[1]", flange: null }] }] };
  assert.deepEqual(bareEdges(sketch, "web.edge[1]"), ["web.edge[3]"]);
  const { ops } = newFlange("web.edge[1]", "skin", {}, ["web.edge[3]"]);
  assert.deepEqual(ops.slice(1).map((o) => o.path), ["web.edge[1].flange", "web.edge[3].flange"]);
});
