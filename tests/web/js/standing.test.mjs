import assert from "node:assert/strict";
import { test } from "node:test";
import { belongs, standing } from "../../../src/ribwright/web/static/logic/standing.js";

const done = (model, pressure) => ({ state: "done", result: { inputs: { model }, block: { undercut_pressure_mpa: pressure } } });
const quick = done("closed-form", null);
const running = { state: "running", words: "section model: 2 of 9" };

test("the quick formula's answer stands until the section model's is there", () => {
  assert.equal(standing({ quick: null, plan: null, press: "P2" }).state, "none");
  assert.equal(standing({ quick: { state: "queued" }, plan: null, press: "P2" }).state, "planning");
  assert.equal(standing({ quick, plan: null, press: "P2" }).state, "quick");
  const now = standing({ quick, plan: running, press: "P2" });
  assert.deepEqual([now.state, now.job, now.words], ["quick", quick, "section model: 2 of 9"]);
  const plan = done("section", 8.9);
  assert.deepEqual([standing({ quick, plan, press: "P2" }).state, standing({ quick, plan, press: "P2" }).job], ["section", plan]);
});

test("it says why the quick formula stands alone", () => {
  assert.equal(standing({ quick: null, plan: quick, press: "" }).why, "no_press");
  assert.equal(standing({ quick, plan: quick, press: "P2" }).why, "shop");
  assert.equal(standing({ quick, plan: done("section", null), press: "P2" }).why, "law");
});

test("a section model that failed or was stopped leaves the quick answer, and says what happened", () => {
  const failed = { state: "failed", faults: [{ say: "It did not converge." }] };
  const now = standing({ quick, plan: failed, press: "P2" });
  assert.deepEqual([now.state, now.words], ["quick-left", "It did not converge."]);
  assert.equal(standing({ quick, plan: { state: "cancelled" }, press: "P2" }).state, "quick-left");
});

test("without any answer the fault is told", () => {
  const failed = { state: "failed", faults: [{ say: "No such press." }] };
  assert.equal(standing({ quick: failed, plan: null, press: "P9" }).words, "No such press.");
  assert.equal(standing({ quick: { state: "cancelled" }, plan: null, press: "P9" }).state, "stopped");
});

test("an answer of another press, method or revision does not belong", () => {
  const job = { revision: 4, options: { press: "P2", model: "", method: "" } };
  assert.equal(belongs(job, 4, { press: "P2", model: "", method: "" }), true);
  assert.equal(belongs(job, 5, { press: "P2", model: "", method: "" }), false);
  assert.equal(belongs(job, 4, { press: "P1", model: "", method: "" }), false);
  assert.equal(belongs(null, 4, {}), false);
});
