import assert from "node:assert/strict";
import { test } from "node:test";
import { fresh, makeStore, withJob } from "../../../src/ribwright/web/static/state.js";

test("watchers hear once of many changes, with what was before", () => {
  const due = [];
  const store = makeStore({ a: 1, b: 1 }, (f) => due.push(f));
  const heard = [];
  store.watch((now, before) => heard.push([now, before]));
  store.set({ a: 2 });
  store.set((now) => ({ b: now.a + 1 }));
  due.splice(0).forEach((f) => f());
  assert.deepEqual(heard, [[{ a: 2, b: 3 }, { a: 1, b: 1 }]]);
});

test("a change that changes nothing is not told", () => {
  const due = [];
  const store = makeStore({ a: 1 }, (f) => due.push(f));
  store.set({ a: 1 });
  assert.equal(due.length, 0);
});

test("a job's answer is out of date once the draft has changed", () => {
  const state = { jobs: {}, draft: { revision: 3 } };
  const after = { ...state, ...withJob(state, "plan", { revision: 3 }) };
  assert.equal(fresh(after, "plan"), true);
  assert.equal(fresh({ ...after, draft: { revision: 4 } }, "plan"), false);
  assert.equal(fresh(after, "forecast"), false);
});
