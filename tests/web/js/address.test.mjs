import assert from "node:assert/strict";
import { test } from "node:test";
import { read, write } from "../../../src/ribwright/web/static/logic/address.js";

test("an address written is read back", () => {
  const place = { shop: "Detail works", part: "Q7-2102-1", screen: "forecast" };
  assert.deepEqual(read(write(place)), place);
});

test("an address that names no part is the start", () => {
  for (const hash of ["", "#", "#/", "#/shop", "#/%E0%A4%A", "#//x"]) assert.equal(read(hash).screen, "start");
});

test("a sheet that does not exist is the part", () => {
  assert.equal(read("#/s/p/nothing").screen, "part");
});
