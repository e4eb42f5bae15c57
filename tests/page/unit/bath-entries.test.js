import assert from "node:assert/strict";
import { test } from "node:test";
import { CallError } from "../../../www/bridge.js";
import { onLadder } from "../../../www/family.js";
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

/** A desk with another plate beside, whose core refuses what `bad` says, and gives facts of what it planned. */
function two(log = []) {
  const it = desk();
  it.state = { ...it.state, plateId: "a", settings: { tones: 5, strip: "own" }, family: [{ id: "b", file: "its file", facts: null, refused: "x", of: null, work: { name: "b.png", settings: { tones: 4, own: 1, breaks: [80, 40, 20] }, done: { log, kept: null }, job: { letter: "C", title: "Cup", proof: { grain: "g" } } } }] };
  it.busy = (_name, work) => work;
  const { call } = it.bridge;
  it.bridge.call = async (name, given) => {
    if (name !== "kin_plan") return call(name, given);
    it.planned = given;
    await call("plan", given.settings);
    return { plate: { id: "b" }, log: given.settings.done.log.length };
  };
  return it;
}

test("a plate beside has its own log, planned with it on the family's ladder before it is written", async () => {
  const it = two([entry(1)]);
  const { done, family: [before] } = it.state;
  const second = { ...entry(3), stop_out: 2 };
  await entries(it).into("b", [entry(1), entry(2), second]);
  const [kin] = it.state.family;
  assert.deepEqual(kin.work.done.log.map((each) => each.at_ms), [1, 2, 3], "what was there is not there twice");
  assert.equal(it.state.done, done, "nothing of it is in the log of the plate at hand");
  assert.deepEqual([it.planned.file, it.planned.id, it.planned.settings.tones, it.planned.settings.own, it.planned.settings.strip], ["its file", "b", 5, 1, "own"]);
  // Where most room is, but behind the stop-out that is painted by the breaks before it: as it is planned for its card, and as it comes to hand.
  assert.deepEqual(it.planned.settings.breaks, onLadder(before.work.settings, it.state.settings, kin.work.done).breaks);
  assert.notDeepEqual(it.planned.settings.breaks, onLadder(before.work.settings, it.state.settings).breaks, "else this tells nothing");
  assert.deepEqual([kin.facts.log, kin.refused, kin.of.work === kin.work], [3, null, true], "and it is planned already");
  const asked = it.asked;
  await entries(it).into("b", [second]);
  assert.equal(it.asked, asked);
});

test("what the core refuses is in no log of another plate; all of a dip, or nothing", async () => {
  const it = two();
  const before = it.state.family;
  await assert.rejects(entries(it).into("b", [entry(1), entry(2, "bad")]), /Entry 1 of the log can't be/);
  assert.equal(it.state.family, before);
  await assert.rejects(entries(it).into("c", [entry(1)]), /no longer one of this family/);
});

test("a plate beside that is changed meanwhile is asked about anew, and other work opened meanwhile gets nothing", async () => {
  const it = two();
  let once = true;
  it.meanwhile = async () => {
    if (once) it.set({ family: it.state.family.map((kin) => ({ ...kin, work: { ...kin.work, done: { log: [entry(5)], kept: null } } })) });
    once = false;
  };
  await entries(it).into("b", [entry(6)]);
  assert.deepEqual(it.state.family[0].work.done.log.map((each) => each.at_ms), [5, 6]);
  it.meanwhile = async () => it.set({ plateNumber: 2 });
  await assert.rejects(entries(it).into("b", [entry(7)]), /Another plate was opened meanwhile/);
  assert.equal(it.state.family[0].work.done.log.length, 2);
});

test("the plate at hand is one of them, and a log that goes on is taken by whichever it belongs to", async () => {
  const it = two();
  await entries(it).into("a", [entry(1), entry(2)]);
  assert.deepEqual(it.state.done.log.map((each) => each.at_ms), [1, 2]);
  await entries(it).adopt([entry(8), entry(9)], "b");
  assert.equal(it.state.family[0].work.done.log.length, 2);
  await entries(it).adopt([entry(7)], "b");
  assert.equal(it.state.family[0].work.done.log.length, 2);
});

test("a worker that breaks off at an entry is started again, and what it only refuses is not", async () => {
  for (const [id, broken] of [["a", "plan"], ["b", "kin_plan"]]) {
    const it = two();
    /** @type {string[]} */
    const told = [];
    it.refused = (/** @type {CallError} */ error) => told.push(error.code);
    const { call } = it.bridge;
    it.bridge.call = async (name, given) => {
      if (name === broken) throw new CallError("crashed", "The working part of the page broke off.");
      return call(name, given);
    };
    await assert.rejects(entries(it).into(id, [entry(1)]), /broke off/);
    assert.deepEqual(told, ["crashed"], id);
    it.bridge.call = async () => { throw new CallError("log", "Entry 1 of the log can't be."); };
    await assert.rejects(entries(it).into(id, [entry(1)]), /can't be/);
    assert.deepEqual(told, ["crashed"]);
  }
});
