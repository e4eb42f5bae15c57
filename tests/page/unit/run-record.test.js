import assert from "node:assert/strict";
import { test } from "node:test";
import { beginsWith, goesOn, record } from "../../../www/run/record.js";
import { against, bare } from "../../../www/run/words.js";

/** A store as the Storage interface has it (HTML Standard, 12.2.1). */
function store() {
  const items = new Map();
  return { items, getItem: (name) => items.get(name) ?? null, setItem: (name, text) => { items.set(name, String(text)); }, removeItem: (name) => { items.delete(name); } };
}

/** A disk that holds a text. @param {string | null} [text] */
const disk = (text = null) => ({ get: async () => text, put: async (/** @type {string} */ next) => { text = next; } });
const none = { get: async () => { throw new Error("none"); }, put: async () => { throw new Error("none"); } };

const run = () => ({
  plate: "ice-house.jpg 160 × 180 mm", phase: "bite", number: 3, back: false, timing: { what: "bite", from: { steady: 5, wall: 7 }, length_ms: 10_000, spent_ms: 0 },
  planned_s: 10, before_s: 15, celsius: null, factor: 1, unlogged: null, conflict: null, words: { letter: "B", title: "Ice house", where: "bite 3 of 9", next: "", example: true }, log: [],
});

test("a run comes back as it was kept", () => {
  const own = store();
  const kept = record(() => own, none);
  assert.equal(kept.found(), null);
  assert.equal(kept.keep(run()), true);
  assert.deepEqual(record(() => own, none).found(), run());
  kept.forget();
  assert.equal(kept.found(), null);
});

test("what is torn, foreign or newer is no run", () => {
  const own = store();
  const kept = record(() => own, none);
  kept.keep(run());
  const name = [...own.items.keys()][0];
  const whole = own.items.get(name);
  for (const text of ["", "{", whole.slice(0, -20), whole.replace('"version":1', '"version":2'), whole.replace('"bite"', '"swim"'), whole.replace('"steady":5', '"steady":null'), whole.replace('"length_ms":10000', '"length_ms":"x"')]) {
    own.items.set(name, text);
    assert.equal(kept.found(), null, text);
  }
});

test("what is kept of a family comes back, and what of it is torn is left out without the clock", () => {
  const own = store();
  const kept = record(() => own, none);
  const timing = { what: "drying", from: { steady: 1, wall: 2 }, length_ms: null, spent_ms: 0 };
  const family = {
    id: "a1", mates: [{ id: "b2", letter: "C", from: 2, to: 3, set_s: 9, sets: [0, 4, 5] }], pending: [{ id: "b2", letter: "C", log: [] }],
    waits: [{ id: "c3", letter: "D", what: "dry", number: 2, timing }], others: [{ id: "b2", log: [] }],
  };
  kept.keep({ ...run(), ...family });
  assert.deepEqual(kept.found(), { ...run(), ...family });
  kept.keep({ ...run(), phase: "next", timing: null });
  assert.equal(kept.found()?.phase, "next");
  const torn = { id: 5, mates: [{ ...family.mates[0], set_s: null }, null, ...family.mates], pending: "x", waits: [{ ...family.waits[0], timing: { ...timing, from: null } }], others: [7] };
  kept.keep({ ...run(), .../** @type {any} */ (torn) });
  assert.deepEqual(kept.found(), { ...run(), mates: family.mates, pending: [], waits: [], others: [] });
});

test("a run of an older page has none of it, and is read as it was", () => {
  const own = store();
  record(() => own, none).keep(run());
  assert.deepEqual(Object.keys(record(() => own, none).found() ?? {}).sort(), Object.keys(run()).sort());
});

test("a store that refuses is told, not thrown", () => {
  const full = { getItem: () => null, setItem() { throw new Error("full"); }, removeItem() {} };
  assert.equal(record(() => full, none).keep(run()), false);
  assert.equal(record(() => { throw new Error("none"); }, none).keep(run()), false);
  assert.equal(record(() => null, none).keep(run()), false);
});

test("the later turn counts, wherever it was kept", async () => {
  // The machine went before the storage that answers at once was on the disk.
  const [own, held] = [store(), disk()];
  const first = record(() => own, held);
  first.keep(run());
  const early = new Map(own.items);
  first.keep({ ...run(), number: 4 });
  const again = (items) => record(() => Object.assign(store(), { getItem: (name) => items.get(name) ?? null }), held);
  for (const items of [early, new Map()]) {
    const kept = again(items);
    assert.equal(kept.found()?.number, items.size ? 3 : undefined);
    assert.equal((await kept.late()).number, 4);
    assert.equal(await kept.late(), undefined, "told once");
  }
  assert.equal(await again(own.items).late(), undefined, "nothing later than what is known");
  // Forgotten, and the machine went: it does not come back.
  await first.forget();
  const kept = again(early);
  assert.equal(kept.found().number, 3);
  assert.equal(await kept.late(), null);
  // Another tab wrote meanwhile: this one's next turn is later all the same.
  const [tab, other] = [record(() => own, held), record(() => own, held)];
  for (let n = 1; n < 5; n++) other.keep({ ...run(), number: n });
  tab.keep({ ...run(), number: 9 });
  assert.equal(record(() => own, held).found().number, 9);
  assert.equal((await again(new Map()).late()).number, 9);
  assert.equal(await record(() => own, none).late(), undefined);
  assert.equal(await record(() => own, disk("{")).late(), undefined);
});

test("a log goes on from another only by its own entries", () => {
  const [a, b] = [{ at_ms: 1, note: "", kind: "painted", stop_out: 1, minutes: 2 }, { at_ms: 2, note: "", kind: "painted", stop_out: 2, minutes: 2 }];
  assert.ok(goesOn([a, b], [a]));
  assert.ok(goesOn([a], []));
  assert.ok(!goesOn([a], [a]));
  assert.ok(!goesOn([b, a], [a]));
  assert.ok(!goesOn([], [a]));
  assert.ok(beginsWith([a, b], [a]));
  assert.ok(beginsWith([a], [a]));
  assert.ok(!beginsWith([a], [a, b]));
  assert.ok(!beginsWith([b, a], [a]));
});

test("words of a dip: within the hand's slack, over, short, and without a plan", () => {
  assert.match(against(26, 25, 2), /within your hand’s 2 s/);
  assert.match(against(45, 25, 2), /0:25: 20 s too long/);
  assert.match(against(5, 25, 2), /20 s too short/);
  assert.match(against(5, null, 2), /No strip/);
  assert.equal(bare(5, 9), "tones 5 to 9 are bare");
  assert.equal(bare(9, 9), "tone 9 alone is bare");
});
