/** When work is written, what of it, and which tab may. */
import assert from "node:assert/strict";
import { test } from "node:test";
import { Autosave } from "../../../www/keeping/autosave.js";
import { contentId } from "../../../www/keeping/content-id.js";
import { packed, surplus, unpacked } from "../../../www/keeping/store.js";
import { takePlace } from "../../../www/keeping/tabs.js";
import { moment, trouble } from "../../../www/keeping/words.js";
import { jobOf, projectOf, same, touches, untouched, workFrom, workOf, worthKeeping } from "../../../www/keeping/work.js";
import { beginning } from "../../../www/state.js";

/** A clock that is set by hand. */
function clockwork() {
  let time = 0;
  let timers = [];
  return {
    clock: {
      now: () => time,
      set: (work, ms) => { const timer = { work, at: time + ms }; timers.push(timer); return timer; },
      clear: (timer) => { timers = timers.filter((each) => each !== timer); },
    },
    async to(later) {
      for (;;) {
        const next = timers.filter((each) => each.at <= later).sort((a, b) => a.at - b.at)[0];
        if (!next) break;
        timers = timers.filter((each) => each !== next);
        time = next.at;
        next.work();
        await new Promise(setImmediate);
      }
      time = later;
      await new Promise(setImmediate);
    },
  };
}

/** A storage that takes its time and may refuse; whole records only. */
function fakeStore() {
  const store = { held: null, writes: [], refuse: null, pending: [], slow: false };
  store.write = async (what) => {
    store.writes.push(what);
    if (store.slow) await new Promise((resolve) => store.pending.push(resolve));
    if (store.refuse) throw store.refuse;
    store.held = what;
  };
  return store;
}

test("a change is written after a short quiet, and at the latest within a second however many follow", async () => {
  const { clock, to } = clockwork();
  const store = fakeStore();
  const failed = [];
  const autosave = new Autosave(store.write, (error) => failed.push(error), clock);
  autosave.changed("a");
  await to(100);
  assert.equal(store.held, null);
  await to(350);
  assert.equal(store.held, "a");
  // A drag: a change each 50 ms for five seconds.
  let oldest = 0;
  for (let at = 1000; at < 6000; at += 50) {
    await to(at);
    autosave.changed(at);
    await to(at + 49);
    oldest = Math.max(oldest, at - (typeof store.held === "number" ? store.held : 1000));
  }
  assert.ok(oldest <= 1000, `${oldest} ms behind`);
  await to(9000);
  assert.equal(store.held, 5950);
  assert.ok(autosave.idle && store.writes.length < 12 && failed.length === 0, `${store.writes.length} writes`);
});

test("one write at a time; what came meanwhile is written next, and only the latest", async () => {
  const { clock, to } = clockwork();
  const store = fakeStore();
  store.slow = true;
  const autosave = new Autosave(store.write, () => {}, clock);
  autosave.changed(1);
  await to(400);
  autosave.changed(2);
  await to(2000);
  autosave.changed(3);
  await to(4000);
  assert.deepEqual(store.writes, [1]);
  assert.equal(store.held, null, "the record is whole or not there");
  store.pending.shift()();
  await to(4001);
  assert.deepEqual(store.writes, [1, 3]);
  assert.equal(store.held, 1);
  store.pending.shift()();
  await to(4002);
  assert.equal(store.held, 3);
  assert.ok(autosave.idle);
});

test("a refusal is told, leaves the record before, and the next change tries again", async () => {
  const { clock, to } = clockwork();
  const store = fakeStore();
  const failed = [];
  const autosave = new Autosave(store.write, (error) => failed.push(error.name), clock);
  autosave.changed(1);
  await autosave.flush();
  store.refuse = new DOMException("full", "QuotaExceededError");
  autosave.changed(2);
  await to(1000);
  assert.deepEqual([store.held, failed], [1, ["QuotaExceededError"]]);
  store.refuse = null;
  autosave.changed(3);
  await to(2000);
  assert.equal(store.held, 3);
});

test("what was refused is tried again by itself, and so is what came while it was being refused", async () => {
  const { clock, to } = clockwork();
  const store = fakeStore();
  const autosave = new Autosave(store.write, () => {}, clock);
  store.refuse = new DOMException("full", "QuotaExceededError");
  store.slow = true;
  autosave.changed("a");
  await to(400);
  // Its time comes while the write before is still under way, which then fails.
  autosave.changed("b");
  await to(2000);
  store.pending.shift()();
  await to(2001);
  assert.deepEqual([store.writes, autosave.idle], [["a"], false], "nothing is called written");
  store.slow = false;
  await to(12_500);
  assert.deepEqual(store.writes, ["a", "b"]);
  store.refuse = null;
  await to(23_000);
  assert.deepEqual([store.held, autosave.idle], ["b", true]);
  // Dropped: it is not written, however long one waits.
  autosave.changed("c");
  autosave.drop();
  await autosave.flush();
  await to(60_000);
  assert.deepEqual([store.held, autosave.idle], ["b", true]);
});

test("the latest twenty earlier states stay", () => {
  assert.deepEqual(surplus([]), []);
  assert.deepEqual(surplus(Array.from({ length: 20 }, (_, k) => k)), []);
  assert.deepEqual(surplus([22, 3, 9, 4].concat(Array.from({ length: 18 }, (_, k) => 30 + k))), [3, 4]);
});

const ready = () => ({ ...beginning(), info: { name: "ice-house.jpg" }, file: new Blob(["x"]), drawing: 1, plannedDrawing: 1 });

test("the work is what the printer chose and did, and goes to a file and back unchanged", () => {
  const state = ready();
  assert.equal(workOf(beginning()), null, "no drawing, no work");
  const png = new Uint8Array([1, 2]);
  const done = { log: [{ at_ms: 1, note: "", kind: "painted", stop_out: 1, minutes: null }], kept: { id: "k", png } };
  const work = workOf({ ...state, done, planned: state.settings });
  const there = JSON.parse(JSON.stringify(projectOf(work)));
  assert.deepEqual({ ...workFrom(there, png), family: [] }, work);
  assert.deepEqual(there.done.kept, { id: "k" }, "the map is a file of its own");
  assert.equal(JSON.stringify(there).includes("stopout"), false, "where one looks is no work");
  const other = { ...state.settings, tones: 4 };
  assert.equal(workOf({ ...state, settings: other, planned: state.settings }).good, state.settings, "the last settings with a plan are kept beside those without");
  assert.equal(workOf({ ...state, settings: other, planned: state.settings, plannedDrawing: 0 }).good, null, "not those of another drawing");
});

test("the untouched example is no work; any choice makes it one", () => {
  const work = workOf(ready());
  assert.ok(untouched(work, beginning(), "ice-house.jpg"));
  assert.ok(!untouched({ ...work, name: "mine.png" }, beginning(), "ice-house.jpg"));
  for (const patch of [{ title: "Mine" }, { ticks: { drawing: true } }, { settings: { ...beginning().settings, tones: 9 } }]) {
    assert.ok(!untouched(workOf({ ...ready(), ...patch }), beginning(), "ice-house.jpg"));
  }
  const state = ready();
  assert.ok(same(state, { ...state, station: "tones", stopout: 2 }) && !same(state, { ...state, units: "in" }) && !same(state, { ...state, done: { log: [], kept: null } }));
  assert.ok(touches({ done: state.done }) && touches({ title: "x" }) && !touches({ station: "bath", units: "in" }));
  assert.deepEqual(Object.keys(jobOf(state)), ["id", "title", "letter", "units", "proof", "plates", "row", "day", "record", "papers", "sheets", "ticks"]);
});

test("a dip in the log puts an earlier state by", () => {
  const log = [{ kind: "painted", stop_out: 1 }, { kind: "bitten", bite: 1 }, { kind: "put_back", bite: 1 }, { kind: "corrected", entry: 1 }].map((entry) => ({ at_ms: 0, note: "", ...entry }));
  const upTo = (n) => ({ log: log.slice(0, n), kept: null });
  assert.deepEqual([0, 1, 2, 3].map((n) => worthKeeping(upTo(n), upTo(n + 1))), [null, "bite 1 done", "put back for bite 1", null]);
});

/** Locks as the W3C has them, as far as one name goes. */
function fakeLocks() {
  let held = false;
  const queue = [];
  const grant = async (work) => { held = true; await work({}); held = false; const next = queue.shift(); if (next) next(); };
  return {
    request(_name, options, work = options) {
      if (!held) return grant(work);
      if (options.ifAvailable) return Promise.resolve(work(null));
      return new Promise((resolve) => queue.push(() => resolve(grant(work))));
    },
    /** The tab that holds it goes. */
    let_go() { held = false; queue.shift()?.(); },
  };
}

test("the first tab works, the second looks on and works when the first goes", async () => {
  const locks = fakeLocks();
  const told = [];
  const tab = (name) => ({ works: (waited) => told.push(`${name} works${waited ? " now" : ""}`), looks: () => told.push(`${name} looks`) });
  await takePlace(locks, tab("a"));
  await takePlace(locks, tab("b"));
  assert.deepEqual(told, ["a works", "b looks"]);
  locks.let_go();
  await new Promise(setImmediate);
  assert.deepEqual(told.at(-1), "b works now");
  await takePlace(undefined, tab("c"));
  assert.equal(told.at(-1), "c works");
  await takePlace({ request: async () => { throw new DOMException("no", "SecurityError"); } }, tab("d"));
  assert.equal(told.at(-1), "d works", "locks that are refused hold nobody up");
});

test("a drawing's name is its content's", async () => {
  const a = await contentId(new Blob(["abc"]));
  assert.equal(a, await contentId(new Blob(["a", "bc"])));
  assert.notEqual(a, await contentId(new Blob(["abd"])));
  // SHA-256 of SHA-256("abc"): printf abc | openssl dgst -sha256 -binary | openssl dgst -sha256
  assert.equal(a, "4f8b42c22dd3729b519ba6f68d2da7cc5b2d606d05daed5ad5128cc03e6c6358");
  assert.match(await contentId(new Blob(["abc"]), { getRandomValues: (bytes) => bytes.fill(7) }), /^chance-(07){16}$/);
});

test("what goes wrong is said in a sentence that says what to do", () => {
  for (const name of ["QuotaExceededError", "NotFoundError", "SecurityError", "InvalidStateError", "VersionError", "TimeoutError", "UnknownError"]) {
    const said = trouble(new DOMException("it failed", name));
    assert.match(said, /save the work as a file.*\.$/);
  }
  assert.match(trouble(new DOMException("", "QuotaExceededError")), /full/);
  assert.match(trouble(new DOMException("", "SecurityError")), /private window/);
  assert.equal(moment(Date.UTC(2026, 1, 3, 9, 5), "UTC"), "3 February, 09:05");
});

test("maps of plates are kept beside what holds them, and come back; what was kept with them in it stays as it is", () => {
  const plates = [{ id: "a", letter: "C", map: "AAAA" }, { id: "b", letter: "D", map: "BBBB" }];
  const entry = { at: 1, drawing: "x", work: { name: "n", job: { title: "t", plates } } };
  const { entry: kept, maps } = packed(entry);
  assert.doesNotMatch(JSON.stringify(kept), /AAAA|BBBB/);
  assert.deepEqual([kept.maps, [...maps]], [["a", "b"], [["a", "AAAA"], ["b", "BBBB"]]]);
  assert.deepEqual(entry.work.job.plates[0].map, "AAAA", "what the page holds is not touched");
  assert.deepEqual(unpacked(kept, maps).work, entry.work);
  assert.deepEqual(unpacked(kept, new Map([["a", "AAAA"]])).work.job.plates.map(({ id, map }) => [id, map]), [["a", "AAAA"], ["b", ""]]);
  assert.equal(unpacked(entry, new Map()).work.job.plates[1].map, "BBBB");
  const record = { pulls: [], touches: [], photos: [{ id: "a", jpeg: "JJJJ" }] };
  const pulled = { at: 1, drawing: "x", work: { name: "n", job: { title: "t", plates, record } } };
  const { entry: held, maps: large } = packed(pulled);
  assert.doesNotMatch(JSON.stringify(held), /JJJJ/);
  assert.deepEqual([held.maps, large.get("photo a"), large.get("a")], [["a", "b", "photo a"], "JJJJ", "AAAA"], "a photo and a map of one id are two things");
  assert.deepEqual(unpacked(held, large).work, pulled.work);
  assert.deepEqual(unpacked(held, new Map()).work.job.record.photos, [{ id: "a", jpeg: "" }], "one that is gone is still spoken of");
  const old = { at: 1, drawing: "x", work: { name: "n", job: { title: "before there were plates" } } };
  assert.equal(unpacked(old, new Map()), old);
  assert.deepEqual(packed(old).entry.maps, []);
});
