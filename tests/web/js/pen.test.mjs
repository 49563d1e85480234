import assert from "node:assert/strict";
import { test } from "node:test";
import { back, changed, close, endSpline, newPen, penLoop, penOps, put, toStart, withKind } from "../../../src/ribwright/web/static/logic/pen.js";

const draw = (pen, ...points) => points.reduce(put, pen);

test("straight edges from point to point; the start closes", () => {
  const pen = draw(newPen("web"), [0, 0], [10, 0], [10, 4], [0, 0]);
  assert.equal(pen.closed, true);
  assert.deepEqual(pen.edges.map((e) => [e.name, e.kind, e.points]), [["edge 1", "line", [[10, 0]]], ["edge 2", "line", [[10, 4]]], ["edge 3", "line", [[0, 0]]]]);
  assert.equal(put(pen, [5, 5]), pen);
});

test("an arc takes a point it passes and its end", () => {
  const pen = draw(withKind(draw(newPen("web"), [0, 0]), "arc"), [5, 1], [10, 0]);
  assert.deepEqual(pen.edges[0], { name: "edge 1", kind: "arc", points: [[5, 1], [10, 0]] });
});

test("a spline ends at its last point pressed again, or on the start", () => {
  const half = draw(withKind(draw(newPen("web"), [0, 0]), "spline"), [5, 1], [10, 0], [10, 0]);
  assert.deepEqual(half.edges[0].points, [[5, 1], [10, 0]]);
  const whole = draw(half, [5, -5], [0, 0]);
  assert.equal(whole.closed, true);
  assert.deepEqual(endSpline(draw(withKind(draw(newPen("web"), [0, 0]), "spline"), [1, 1])).edges[0].points, [[1, 1]]);
});

test("one step back takes the last point, then the last edge, then the start", () => {
  let pen = draw(withKind(draw(newPen("web"), [0, 0], [10, 0]), "arc"), [12, 2]);
  pen = back(pen);
  assert.equal(pen.pending.length, 0);
  pen = back(pen);
  assert.equal(pen.edges.length, 0);
  assert.equal(back(pen).start, null);
});

test("closing adds the straight edge that is missing", () => {
  const pen = close(draw(newPen("web"), [0, 0], [10, 0], [10, 4]));
  assert.deepEqual([pen.closed, pen.edges.at(-1).points], [true, [[0, 0]]]);
  assert.equal(close(draw(newPen("web"), [0, 0])).closed, false);
});

test("numbers typed over a point change it, and open the loop again when the last one no longer meets the start", () => {
  const pen = changed(draw(newPen("web"), [0, 0], [10, 0], [0, 0]), 1, { points: [[0, 1]] });
  assert.equal(pen.closed, false);
});

test("a new outline takes the old edges out, last first, and adds its own in order", () => {
  const ops = penOps(draw(newPen("web"), [0, 0], [10, 0], [10, 4], [0, 0]), 2);
  assert.deepEqual(ops.map((o) => `${o.op} ${o.path}`), ["remove web.edge[2]", "remove web.edge[1]", "set web.start", "add web.edge", "add web.edge", "add web.edge"]);
  assert.deepEqual(ops[3].table, { name: "edge 1", to: [10, 0] });
});

test("a new cutout is one table with its edges", () => {
  const [op] = penOps(draw(newPen("cutout", "bay"), [0, 0], [1, 0], [0, 1], [0, 0]), 4);
  assert.equal(op.path, "cutout");
  assert.deepEqual(op.table.edge[0], { name: "bay 1", to: [1, 0] });
});

test("what is drawn so far is a loop like any other", () => {
  const loop = penLoop(draw(withKind(draw(newPen("web"), [0, 0], [10, 0]), "spline"), [12, 1]), (p) => p.map((c) => c * 25.4));
  assert.deepEqual(loop.edges.map((e) => e.kind), ["line", "spline"]);
  assert.equal(penLoop(newPen("web"), (p) => p), null);
});

test("an outline of four edges that nobody named has the names of a rib's sides, however it was gone round", () => {
  const names = (...points) => draw(newPen("web"), ...points, points[0]).edges.map((e) => e.name);
  assert.deepEqual(names([0, 0], [20, 0], [20, 4], [0, 5]), ["lower", "rear", "upper", "front"]);
  assert.deepEqual(names([0, 0], [0, 5], [-20, 4], [-20, 0]), ["front", "upper", "rear", "lower"]);
  assert.deepEqual(names([0, 0], [20, 0], [20, 4]), ["edge 1", "edge 2", "edge 3"]);
});

test("the pen knows how far it is from where it began", () => {
  assert.equal(toStart(newPen("web")), null);
  assert.equal(toStart(draw(newPen("web"), [1, 1])), null);
  assert.equal(toStart(draw(newPen("web"), [0, 0], [3, 0], [3, 4])), 5);
});
