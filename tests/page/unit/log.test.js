import assert from "node:assert/strict";
import test from "node:test";

/** The page's elements, as far as the module asks for them when it is loaded. */
globalThis.document ??= /** @type {any} */ ({ createElement: () => ({}) });
const { dipAt, dipOf, entryWords } = await import("../../../www/stations/bath/log.js");

/** @param {any} what @returns {any} */
const entry = (what) => ({ at_ms: 0, note: "", ...what });
const painted = (stop_out) => entry({ kind: "painted", stop_out, minutes: null });
const bitten = (bite, actual_s) => entry({ kind: "bitten", bite, planned_s: 24, actual_s, celsius: 19 });
const off = (at) => entry({ kind: "corrected", entry: at, to: { kind: "not_done" } });

test("every entry has its words, with times to the second or the tenth", () => {
  const words = [
    entry({ kind: "begun", bites_s: [7, 8] }), entry({ kind: "painted", stop_out: 3, minutes: 14 }), bitten(3, 25.5),
    entry({ kind: "put_back", bite: 3, planned_s: 5, actual_s: 5, celsius: null }), entry({ kind: "way", bite: 4, rungs: [], joined: [5, 6] }),
    entry({ kind: "way", bite: 4, rungs: [{}], joined: [] }), entry({ kind: "bitten", bite: 1, planned_s: 0, actual_s: 9, celsius: null }), off(2), entry({ kind: "corrected", entry: 2, to: { kind: "dip", actual_s: 61, celsius: null } }),
  ].map(entryWords);
  assert.deepEqual(words, [
    "The plate came bitten: bite 1 0:07, bite 2 0:08", "Stop-out 3 painted, 14 min", "Bite 3: 25.5 s in the bath, clock set to 0:24, bath 19 °C",
    "Put back for bite 3: 0:05, clock set to 0:05", "After bite 4: two bites dropped (5, 6)", "After bite 4: the rest spaced anew", "Bite 1: 0:09 in the bath, no time planned", "Entry 3 did not happen",
    "Entry 3 put right: 1:01",
  ]);
});

test("a dip holds as it was put right last, so that another correction begins with that", () => {
  const put = (actual_s, celsius) => entry({ kind: "corrected", entry: 1, to: { kind: "dip", actual_s, celsius } });
  const log = [painted(1), bitten(1, 16)];
  const of = (more) => { const { actual_s, celsius } = dipAt([...log, ...more], 1) ?? {}; return [actual_s, celsius]; };
  assert.deepEqual([of([]), of([put(7, null)]), of([put(7, null), put(7.5, 18)])], [[16, 19], [7, null], [7.5, 18]]);
  assert.equal(dipAt(log, 0), null, "what is no dip has none");
  assert.equal(dipAt([], 3), null);
});

test("the last dip has what the clock was set to for all its bites, and a plate put back only for that", () => {
  const joined = { ...bitten(2, 30.5), joined: true };
  const log = [painted(1), bitten(1, 20), painted(2), joined];
  assert.deepEqual(dipOf(log), { entry: 3, planned_s: 48, actual_s: 50.5, celsius: 19, before_s: 20 });
  assert.deepEqual(dipOf([...log, entry({ kind: "put_back", bite: 2, planned_s: 5, actual_s: 6, celsius: null })]), { entry: 4, planned_s: 5, actual_s: 6, celsius: null });
  assert.equal(dipOf([painted(1)]), null);
});
