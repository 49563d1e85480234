import assert from "node:assert/strict";
import { test } from "node:test";
import { byLine, caretAfter, lineOf, offsetOf } from "../../../src/ribwright/web/static/logic/text-marks.js";

const TEXT = `units = "in"
[web]
start = [0.0, 0.0]
[[web.edge]]
name = "lower"
[[web.edge]]  # the second
name = "rear"
spline = [
  [1.0, 2.0],
]
[flange."lower skin"]
width = 0.625
[[hole]]
name = "L1"
[[hole]]
at = [1, 2]
[[cutout]]
edge = [
  { name = "a" },
]
`;

test("a key is found on its line, an item of a table by its count", () => {
  assert.equal(lineOf(TEXT, "units"), 1);
  assert.equal(lineOf(TEXT, "web.edge[2].name"), 7);
  assert.equal(lineOf(TEXT, "web.edge[2].spline[1]"), 8);
  assert.equal(lineOf(TEXT, "flange.lower skin.width"), 12);
  assert.equal(lineOf(TEXT, "hole[2].at[2]"), 16);
});

test("what has no line of its own is shown at its table, what is not there nowhere", () => {
  assert.equal(lineOf(TEXT, "web.edge[1]"), 4);
  assert.equal(lineOf(TEXT, "hole[1].diameter"), 13);
  assert.equal(lineOf(TEXT, "cutout[1].edge[1].name"), 18);
  assert.equal(lineOf(TEXT, "hole[3]"), 0);
});

test("marks stand at the server's line, else at their key's", () => {
  const marks = byLine(TEXT, [{ n: 1, line: 3, key: "x" }, { n: 2, line: null, key: "hole[2].at" }, { n: 3, line: null, key: "" }]);
  assert.deepEqual([...marks.keys()], [3, 16]);
});

test("the caret stays before a change and moves along behind it", () => {
  assert.equal(caretAfter("abc def", "abc XX def", 2), 2);
  assert.equal(caretAfter("abc def", "abc XX def", 6), 9);
  assert.equal(caretAfter("abcdef", "abf", 6), 3);
  assert.equal(caretAfter("same", "same", 3), 3);
});

test("a line begins at its offset", () => {
  assert.equal(offsetOf("a\nbb\nc", 3), 5);
  assert.equal(offsetOf("a", 9), 0);
});
