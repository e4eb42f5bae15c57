import assert from "node:assert/strict";
import { test } from "node:test";
import { dipAt, entryWords, lastDone } from "../../../www/stations/bath/log.js";

const made = (what) => /** @type {any} */ ({ at_ms: 0, note: "", ...what });
const bitten = made({ kind: "bitten", bite: 1, planned_s: 7, actual_s: 16, celsius: null });
const put = (actual_s, celsius) => made({ kind: "corrected", entry: 1, to: { kind: "dip", actual_s, celsius } });
const painted = made({ kind: "painted", stop_out: 1, minutes: 2 });

test("a dip holds as it was put right last, so that another correction begins with that", () => {
  assert.equal(dipAt([painted, bitten], 1)?.actual_s, 16);
  const { actual_s, celsius } = dipAt([painted, bitten, put(7, null), put(7.5, 19)], 1) ?? {};
  assert.deepEqual([actual_s, celsius], [7.5, 19]);
  assert.equal(dipAt([painted, bitten], 0), null, "what is no dip has none");
  assert.equal(dipAt([], 3), null);
});

test("the last thing done that still stands", () => {
  const off = made({ kind: "corrected", entry: 1, to: { kind: "not_done" } });
  assert.equal(lastDone([painted, bitten]), 1);
  assert.equal(lastDone([painted, bitten, off]), 0);
  assert.equal(lastDone([]), -1);
});

test("entries in words", () => {
  assert.equal(entryWords(bitten), "Bite 1: 0:16 in the bath, clock set to 0:07");
  assert.equal(entryWords(put(7.5, 19)), "Entry 2 put right: 7.5 s, bath 19 °C");
});
