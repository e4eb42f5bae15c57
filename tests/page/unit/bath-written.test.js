/** What a run has written down, on its way into the logs, without a browser: refused, tried again, and left on paper. */
import assert from "node:assert/strict";
import { test } from "node:test";
import { EXAMPLE } from "../../../www/settings.js";
import { beginning, NOTHING_DONE } from "../../../www/state.js";
import { written } from "../../../www/stations/bath/written.js";

const bitten = (bite) => /** @type {any} */ ({ at_ms: 1, note: "", kind: "bitten", bite, planned_s: 9, actual_s: 9, celsius: null });

/** A run just out of a dip of plate a with b and c; logs in `bad` refuse it. */
function dipped(bad) {
  const logs = /** @type {Record<string, any[]>} */ ({ a: [], b: [], c: [] });
  const sentences = /** @type {string[]} */ ([]);
  const into = async (id, log) => {
    if (bad.has(id)) throw new Error(`Not in ${id}.`);
    logs[id].push(...log);
  };
  const state = { ...beginning(), plan: {}, settings: EXAMPLE, planned: EXAMPLE, done: NOTHING_DONE, plannedDone: NOTHING_DONE, drawing: 1, plannedDrawing: 1 };
  const timing = { what: "rinsing", from: { steady: 0, wall: 0 }, length_ms: 60_000, spent_ms: 0 };
  const it = {
    logs, sentences,
    on: /** @type {any} */ ({ id: "a", phase: "out", number: 1, timing, words: { letter: "a" }, unlogged: bitten(1), mates: ["b", "c"].map((id) => ({ id, letter: id })), pending: ["b", "c"].map((id) => ({ id, letter: id, log: [bitten(1)] })) }),
    rest: () => new Promise((done) => { setTimeout(done, 5); }),
  };
  const goes = written(/** @type {any} */ ({ state }), /** @type {any} */ ({ add: (entry) => into("a", [entry]), into }), {
    get on() { return it.on; },
    taking: false, away: false, isOwn: () => true, touch() {}, again() {}, end() {},
    shown(part) { it.on = { ...it.on, ...part }; },
    tell: (sentence) => sentences.push(sentence),
  });
  return { it, goes };
}

test("a dip of several goes into each log, one after another, and nothing is left to be written", async () => {
  const { it, goes } = dipped(new Set());
  goes.tidy();
  await it.rest();
  assert.deepEqual([it.logs, it.on.unlogged, it.on.pending], [{ a: [bitten(1)], b: [bitten(1)], c: [bitten(1)] }, null, []]);
});

test("where its own log does not take it the others' wait, and go in once it is on paper", async () => {
  const { it, goes } = dipped(new Set(["a"]));
  goes.tidy();
  await it.rest();
  assert.deepEqual([it.logs, goes.refused, it.on.pending.length], [{ a: [], b: [], c: [] }, true, 2]);
  assert.match(it.sentences.at(-1), /^Not in a\. It is not in the log yet: bite 1, 9 s\./);
  goes.unlog();
  await it.rest();
  assert.deepEqual([it.logs, goes.refused, it.on.unlogged, it.on.pending], [{ a: [], b: [bitten(1)], c: [bitten(1)] }, false, null, []]);
});

test("a log beside that refuses holds up those after it until it is tried again, or left on paper; then its plate lay in no dip", async () => {
  const bad = new Set(["b"]);
  const { it, goes } = dipped(bad);
  goes.tidy();
  await it.rest();
  assert.deepEqual([it.logs, goes.refused, goes.refusedBeside], [{ a: [bitten(1)], b: [], c: [] }, false, true]);
  goes.afresh();
  goes.tidy();
  await it.rest();
  assert.equal(goes.refusedBeside, true, "tried again it is refused again");
  goes.unlog();
  await it.rest();
  assert.deepEqual([it.logs.b, it.logs.c, it.on.pending, it.on.mates.map(({ id }) => id), it.on.waits.map(({ id }) => id)], [[], [bitten(1)], [], ["c"], ["b"]]);
});
