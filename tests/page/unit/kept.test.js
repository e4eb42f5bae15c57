import assert from "node:assert/strict";
import { test } from "node:test";
import { ageWarning, ageWords, bathAge, keptBaths, keptStrips, OLD_DAYS, otherNamed } from "../../../www/kept.js";
import { ageDays, day } from "../../../www/shelf.js";

/** A store as the Storage interface has it (HTML Standard, 12.2.1). */
function store() {
  const items = new Map();
  return { items, getItem: (name) => items.get(name) ?? null, setItem: (name, text) => { items.set(name, String(text)); } };
}

const strip = (id, last = 160) => ({ id, readings: [[0, 90], [20, 70], [last, 40]] });
const now = new Date(2026, 2, 1, 23, 30);

test("a strip is kept under its name, the latest first, and one of the same name is replaced", () => {
  const own = store();
  const strips = keptStrips(() => own);
  assert.deepEqual(strips.all(), []);
  assert.ok(strips.put(strip("7-C"), now) && strips.put(strip("8-A"), now) && strips.put(strip("7-C", 320), now));
  assert.deepEqual(strips.all().map((each) => [each.id, each.readings[2][0], each.kept]), [["7-C", 320, "2026-03-01"], ["8-A", 160, "2026-03-01"]]);
  assert.ok(strips.remove("7-C"));
  assert.deepEqual(strips.all().map((each) => each.id), ["8-A"]);
});

test("a strip of the same name and other readings is told before it is replaced", () => {
  const own = store();
  const strips = keptStrips(() => own);
  assert.equal(otherNamed(strips.all(), strip("from plate A")), null);
  strips.put(strip("from plate A"), now);
  assert.equal(otherNamed(strips.all(), strip("from plate A")), null, "the same again is no loss");
  assert.equal(otherNamed(strips.all(), strip("from plate B", 320)), null);
  assert.deepEqual(otherNamed(strips.all(), strip("from plate A", 320))?.kept, "2026-03-01");
});

test("what another hand left in the store does no harm", () => {
  for (const text of ["", "{", "null", "7", '{"version":9,"items":[]}', '{"version":1,"items":"x"}', '{"version":1,"items":[null,{"id":1},{"id":"a","kept":"b","readings":[[1]]},{"id":"a","kept":"b","readings":[["0",1]]}]}']) {
    const own = store();
    own.items.set("stepbite.strips", text);
    assert.deepEqual(keptStrips(() => own).all(), [], text);
  }
});

test("a browser that keeps nothing says so and throws nothing", () => {
  const full = { getItem: () => null, setItem: () => { throw new Error("QuotaExceededError"); } };
  assert.equal(keptStrips(() => full).put(strip("7-C"), now), false);
  const none = keptStrips(() => { throw new Error("SecurityError"); });
  assert.equal(none.put(strip("7-C"), now), false);
  assert.deepEqual(none.all(), []);
  assert.equal(keptStrips(() => null).put(strip("7-C"), now), false);
});

test("age is counted in days of the calendar, over months, leap days and the hour that summer time takes", () => {
  assert.equal(ageDays("2026-03-01", now), 0);
  assert.equal(ageDays("2026-02-28", now), 1);
  assert.equal(ageDays("2024-02-28", new Date(2024, 2, 1)), 2);
  assert.equal(ageDays("2026-03-28", new Date(2026, 2, 30, 0, 5)), 2);
  assert.equal(ageDays("2026-03-02", now), null, "a day ahead is a slip of the pen");
  for (const none of [undefined, "", "soon", "2026-3-1"]) assert.equal(ageDays(none, now), null);
  assert.equal(day(new Date(2026, 0, 5, 0, 1)), "2026-01-05");
});

test("old strips are warned of in words", () => {
  assert.deepEqual([0, 1, 13, 21, 80, 800].map(ageWords), ["bitten today", "1 day old", "13 days old", "3 weeks old", "3 months old", "2 years old"]);
  assert.equal(ageWords(null), "day not noted");
  assert.equal(ageWarning(OLD_DAYS), "");
  assert.match(ageWarning(OLD_DAYS + 1), /4 weeks old.*new strip\./);
});

test("baths are kept beside the strips, with the day they were mixed", () => {
  const own = store();
  const baths = keptBaths(() => own);
  const bath = { id: "blue tray", metal: "zinc", mordant: "copper sulphate and salt", before: null, litres: 4, strength_g_l: null, capacity_g_l: null, mixed: "2026-02-20" };
  assert.ok(baths.put(bath, now) && keptStrips(() => own).put(strip("7-C"), now));
  assert.deepEqual(baths.all(), [{ ...bath, kept: "2026-03-01" }]);
  own.items.set("stepbite.baths", JSON.stringify({ version: 1, items: [{ ...bath, kept: "2026-03-01", litres: "four" }] }));
  assert.deepEqual(baths.all(), []);
  assert.deepEqual(bathAge("2026-02-20", now), { words: "mixed 9 days ago", old: false });
  assert.ok(bathAge("2025-12-01", now).old);
  assert.deepEqual(bathAge("", now), { words: "day of mixing not noted", old: false });
});
