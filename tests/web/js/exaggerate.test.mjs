import assert from "node:assert/strict";
import { test } from "node:test";
import { aside, undercut } from "../../../src/ribwright/web/static/logic/exaggerate.js";

test("once is as it is: the method's own line, the block as it is cut", () => {
  assert.deepEqual(aside({ foot: [[1, 1], [2, 2]], off: [[0.5, 0], [0, -0.25]] }, 1), [[1.5, 1], [2, 1.75]]);
  const loop = { levels: [[[0, 0]], [[3, 4]]], square: [[[0, 0]], [[5, 4]]] };
  assert.deepEqual(undercut(loop, 1), loop.levels);
});

test("ten times is ten times the way from the reference", () => {
  assert.deepEqual(aside({ foot: [[1, 1]], off: [[0.1, -0.2]] }, 10), [[2, -1]]);
  assert.deepEqual(undercut({ levels: [[[3, 4]]], square: [[[5, 4]]] }, 10), [[[-15, 4]]]);
});

test("no times is the square wall", () => assert.deepEqual(undercut({ levels: [[[3, 4]]], square: [[[5, 4]]] }, 0), [[[5, 4]]]));
