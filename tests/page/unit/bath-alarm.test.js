/** What of several waits is laid ahead, so that it is heard in time where the page's timers are slowed down. Without sound: what the card is told. */
import assert from "node:assert/strict";
import { test } from "node:test";
import { alarm } from "../../../www/stations/bath/alarm.js";

/** The page's device, which does not shake here. */
globalThis.navigator ??= /** @type {any} */ ({});

/** An alarm on a clock that stands until it is moved, ms. */
function bench(t) {
  let time = 0;
  t.mock.method(performance, "now", () => time);
  t.mock.method(Date, "now", () => performance.timeOrigin + time);
  /** @type {unknown[]} */
  const told = [];
  const silent = () => {};
  const it = alarm(/** @type {any} */ ({ lay: (calls) => told.push(calls.map(({ call, in_s }) => `${call} in ${Math.round(in_s)}`).join()), due: (call) => told.push(`${call} now`) }),
    { flash: silent, rung: silent, call: silent, away: silent });
  return { it, told, to: (ms) => { time = ms; } };
}
const from = { steady: performance.timeOrigin, wall: performance.timeOrigin };
const timing = (length_ms) => ({ what: "drying", from, length_ms, spent_ms: 0 });
const wait = (id, length_ms) => ({ id, letter: id, what: "dry", number: 1, timing: timing(length_ms) });

test("when one of several has rung the next is laid ahead, once its notes are over", (t) => {
  const { it, told, to } = bench(t);
  const run = /** @type {any} */ ({ id: "A", phase: "next", number: 0, timing: null, waits: [wait("A", 60_000), wait("B", 90_000), wait("C", 200_000)] });
  const look = (ms) => { to(ms); it.rest(run); return told.splice(0); };
  it.begin(run);
  assert.deepEqual(look(100), ["done in 60"]);
  assert.deepEqual(look(60_000), ["done now"]);
  assert.deepEqual(look(60_100), [], "they would be cut off");
  assert.deepEqual(look(63_000), ["done in 27"]);
  assert.deepEqual([look(64_000), look(91_000), look(94_000), look(95_000)], [[], ["done now"], ["done in 106"], []]);
});

test("nothing of the others is laid while a plate is in the bath, and what dries for a dip rings by the dip's own clock alone", (t) => {
  const { it, told, to } = bench(t);
  const run = /** @type {any} */ ({ id: "A", phase: "dry", number: 1, timing: timing(60_000), mates: [{ id: "B" }], waits: [wait("A", 60_000), wait("B", 30_000), wait("C", 80_000)] });
  const look = (ms) => { to(ms); it.rest(run); it.look(run, { kind: "sure", ms }); return told.splice(0); };
  it.begin(run);
  assert.deepEqual([look(100), look(30_500), look(60_000), look(62_500), look(80_100)], [["done in 60"], [], ["done now"], ["done in 18"], ["done now"]]);
  it.begin(/** @type {any} */ ({ ...run, phase: "bite", timing: timing(120_000) }));
  assert.deepEqual(told.splice(0), ["ten in 30,time in 40"]);
});
