import assert from "node:assert/strict";
import { test } from "node:test";
import { documentsOf, sizeOf, titleOf, zipOf } from "../../../src/ribwright/web/static/logic/packet.js";

const FILES = [
  "answers.json", "blank.dxf", "preview/job-card.svg", "blank-template.pdf", "job-card.pdf", "set-up-card.pdf", "block.step", "preview/blank-template.svg", "new-sheet.pdf", "packet.zip",
].map((name) => ({ name, bytes: 1234 }));

test("sheets come in the order of the bench, files for machines after them, previews and the zip not at all", () => {
  assert.deepEqual(documentsOf(FILES).map((d) => d.file), ["job-card.pdf", "set-up-card.pdf", "blank-template.pdf", "new-sheet.pdf", "answers.json", "blank.dxf", "block.step"]);
});

test("a sheet knows its preview, and which ones are true to size", () => {
  const by = Object.fromEntries(documentsOf(FILES).map((d) => [d.file, d]));
  assert.equal(by["job-card.pdf"].preview, "preview/job-card.svg");
  assert.equal(by["set-up-card.pdf"].preview, null);
  assert.equal(by["blank-template.pdf"].oneToOne, true);
  assert.equal(by["job-card.pdf"].oneToOne, false);
  assert.equal(by["blank.dxf"].preview, null);
});

test("the zip is found where there is one", () => {
  assert.equal(zipOf(FILES), "packet.zip");
  assert.equal(zipOf([]), null);
});

test("names and sizes are said as people say them", () => {
  assert.equal(titleOf("set-up-card"), "Set-up card");
  assert.equal(titleOf("job-card"), "Job card");
  assert.deepEqual([999, 84_300, 1_240_000].map(sizeOf), ["999 B", "84 kB", "1.2 MB"]);
});
