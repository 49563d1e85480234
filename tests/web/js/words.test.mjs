import assert from "node:assert/strict";
import { readdirSync, readFileSync } from "node:fs";
import { test } from "node:test";
import { WORDS, say } from "../../../src/ribwright/web/static/words.js";

const STATIC = new URL("../../../src/ribwright/web/static/", import.meta.url);
const FILES = ["app.js", ...["components", "controllers"].flatMap((d) => readdirSync(new URL(`${d}/`, STATIC)).map((f) => `${d}/${f}`))].filter((f) => f.endsWith(".js"));

test("every word asked for is there", () => {
  for (const file of FILES) {
    const code = readFileSync(new URL(file, STATIC), "utf8");
    for (const [, key] of code.matchAll(/\bsay\("([a-z_]+\.[a-z_]+)"/g)) {
      const [section, name] = key.split(".");
      assert.equal(typeof WORDS[section]?.[name], "string", `${file} asks for ${key}`);
    }
  }
});

test("every kind of job has its word", () => {
  const listed = readFileSync(new URL("../../../src/ribwright/work/jobs/__init__.py", import.meta.url), "utf8");
  const kinds = [...listed.slice(listed.indexOf("ANSWERS ="), listed.indexOf("# the file")).matchAll(/"([a-z-]+)"/g)].map((m) => m[1]);
  assert.ok(kinds.length > 8, listed);
  for (const kind of kinds) assert.equal(typeof WORDS.jobs[kind.replaceAll("-", "_")], "string", kind);
});

test("a word that wants a value is not said without it", () => {
  assert.throws(() => say("frame.faults"), /wants n/);
  assert.equal(say("frame.faults", { n: 3 }), "3 faults");
  assert.throws(() => say("frame.nothing"), /no words/);
});
