import assert from "node:assert/strict";
import { test } from "node:test";
import { entries, holds } from "../../../www/stations/bath/entries.js";

/** A desk whose core takes a while, and refuses a log with a bad entry. */
function desk(log = []) {
  const it = /** @type {any} */ ({
    state: { settings: {}, plateNumber: 1, plan: { standing: { to_keep: false } }, done: { log, kept: null }, plannedDone: null },
    asked: 0,
    set(patch) { it.state = { ...it.state, ...patch }; },
    live: { alone: (work) => work() },
    bridge: { async call(name, given) {
      it.asked++;
      await new Promise((done) => setTimeout(done, 5));
      if (name === "freeze") return { id: "map", png: new Uint8Array() };
      if (given.done.log.some((entry) => entry.note === "bad")) throw new Error("Entry 1 of the log can't be.");
      await it.meanwhile?.();
    } },
  });
  return it;
}
const entry = (at_ms, note = "") => /** @type {any} */ ({ at_ms, note, kind: "painted", stop_out: 1, minutes: null });

test("entries written at once are all there, in their order", async () => {
  const it = desk();
  const log = entries(it);
  await Promise.all([1, 2, 3].map((n) => log.add(entry(n))));
  assert.deepEqual(it.state.done.log.map((each) => each.at_ms), [1, 2, 3]);
});

test("one that is there is not written twice, and one that is refused changes nothing and holds nothing up", async () => {
  const it = desk([entry(1)]);
  const log = entries(it);
  await log.add(entry(1));
  assert.equal(it.asked, 0);
  const before = it.state.done;
  const [refused, good] = await Promise.allSettled([log.add(entry(2, "bad")), log.add(entry(3))]);
  assert.equal(refused.status, "rejected");
  assert.equal(good.status, "fulfilled");
  assert.deepEqual(it.state.done.log, [...before.log, entry(3)]);
  assert.ok(holds(it.state.done.log, entry(3)) && !holds(it.state.done.log, entry(2, "bad")));
});

test("work opened while the core was asked is not written over", async () => {
  const it = desk([entry(1)]);
  let once = true;
  it.meanwhile = async () => {
    if (once) it.set({ done: { log: [entry(1), entry(2)], kept: null } });
    once = false;
  };
  await entries(it).add(entry(3));
  assert.deepEqual(it.state.done.log.map((each) => each.at_ms), [1, 2, 3]);
});

test("a tab that may not write says so", async () => {
  const it = desk();
  it.set = () => {};
  await assert.rejects(entries(it).add(entry(1)), /open in another tab/);
});

test("a longer log is taken only where it goes on from the one that is there", async () => {
  const it = desk([entry(1)]);
  const log = entries(it);
  await log.adopt([entry(1), entry(2)]);
  assert.equal(it.state.done.log.length, 2);
  await log.adopt([entry(7), entry(8), entry(9)]);
  assert.equal(it.state.done.log.length, 2);
});

test("a map comes with the entry it is painted by", async () => {
  const it = desk();
  await entries(it).add(entry(1), { freeze: true });
  assert.equal(it.state.done.kept.id, "map");
});
