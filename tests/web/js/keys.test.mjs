import assert from "node:assert/strict";
import { test } from "node:test";
import { fieldPath, grouped } from "../../../src/ribwright/web/static/logic/keys.js";

const SKETCH = {
  holes: [{ name: "L1", path: "hole[1]" }, { name: "P 1", path: "hole[2]" }],
  loops: [{ name: "web", path: "web", edges: [{ name: "lower", path: "web.edge[1]" }] }, { name: "bay", path: "cutout[1]", edges: [{ name: "bay top", path: "cutout[1].edge[2]" }] }],
};

test("keys of one thing stand in one row, files apart", () => {
  const rows = grouped([
    { file: "part file", key: "hole[L1].at" }, { file: "part file", key: "hole[L1].diameter" }, { file: "part file", key: "flange.skin.width" },
    { file: "catalogue", key: 'material "2024-T3 clad".hardening.n' }, { file: "command line", key: "--method" }, { file: "part file", key: "hole[L1].at" },
  ]);
  assert.deepEqual(rows.map((f) => f.file), ["part file", "catalogue", "command line"]);
  assert.deepEqual(rows[0].rows.map((r) => [r.holder, r.keys.map((k) => k.last)]), [["hole[L1]", ["at", "diameter"]], ["flange.skin", ["width"]]]);
  assert.deepEqual(rows[1].rows[0], { holder: 'material "2024-T3 clad".hardening', keys: [{ last: "n", key: 'material "2024-T3 clad".hardening.n' }] });
  assert.deepEqual(rows[2].rows[0], { holder: "", keys: [{ last: "--method", key: "--method" }] });
});

test("a dot inside a name parts nothing", () => {
  assert.equal(grouped([{ file: "f", key: "web.edge[a.b]" }])[0].rows[0].keys[0].last, "edge[a.b]");
  assert.equal(grouped([{ file: "f", key: 'material "x.y".poisson' }])[0].rows[0].holder, 'material "x.y"');
});

test("what a number calls by name the Part sheet counts", () => {
  assert.equal(fieldPath("hole[P 1].diameter", SKETCH), "hole[2].diameter");
  assert.equal(fieldPath("web.edge[lower]", SKETCH), "web.edge[1]");
  assert.equal(fieldPath("web.edge[bay top].to", SKETCH), "cutout[1].edge[2].to");
  assert.equal(fieldPath("flange.skin.width", SKETCH), "flange.skin.width");
  assert.equal(fieldPath("hole[gone].at", SKETCH), "hole[gone].at");
  assert.equal(fieldPath("hole[L1].at", undefined), "hole[L1].at");
});
