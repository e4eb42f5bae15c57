// The record of the pulls: what is added, put right and refused, without a page.
import assert from "node:assert/strict";
import { test } from "node:test";
import { added, bytesOf, corrected, counts, expected, isDay, MOST, nextCopy, NO_RECORD, spoken, today, weight, wrong } from "../../../www/stations/pulls/record.js";
import { beginning, PLAIN_PROOF } from "../../../www/state.js";

const said = (more = {}) => ({ day: "2026-03-14", kind: "proof", copy: null, plates: [{ letter: "B", turned: false, ink: "ochre" }], papers: [], sheet: "rag", damping: "", wiping: "", pressure: "", words: "", photo: null, struck: false, ...more });
const photo = (id, bytes = 30) => ({ id, jpeg: "A".repeat(bytes / 3 * 4) });
const deep = (value) => {
  if (value && typeof value === "object") Object.values(value).forEach(deep);
  return Object.freeze(value);
};

test("days are those of the calendar", () => {
  for (const day of ["2026-03-14", "2024-02-29"]) assert.ok(isDay(day), day);
  for (const day of ["2026-02-29", "2026-13-01", "", "14.3.2026", "1800-01-01"]) assert.ok(!isDay(day), day);
  assert.equal(today(new Date(2026, 2, 4, 23, 59)), "2026-03-04");
});

test("a pull gets the next number, and one that can't be is refused in a sentence", () => {
  let record = deep(NO_RECORD);
  for (const number of [1, 2, 3]) {
    record = deep(added(record, said({ words: `pull ${number}` }), null));
    assert.equal(record.pulls.at(-1).number, number);
  }
  for (const bad of [said({ day: "" }), said({ kind: "edition", copy: 0 }), said({ kind: "edition", copy: 1.5 }), said({ kind: "edition", copy: NaN }), said({ copy: 3 }), said({ sheet: "x".repeat(201) }), said({ words: "x".repeat(2001) })]) {
    assert.match(wrong(bad), /\.$/);
    assert.equal(added(record, bad, null), wrong(bad));
  }
  const full = deep({ ...NO_RECORD, pulls: Array.from({ length: MOST.pulls }, (_, k) => ({ number: k + 1, now: said(), corrections: [] })) });
  assert.match(added(full, said(), null), /holds 500 pulls/);
});

test("a correction keeps what stood there, and nothing changed is said", () => {
  const record = deep(added(NO_RECORD, said(), null));
  const next = deep(corrected(record, 1, said({ wiping: "rag" }), { day: "2026-03-15", note: "a slip" }, null));
  assert.deepEqual(next.pulls[0].corrections, [{ day: "2026-03-15", note: "a slip", was: said() }]);
  assert.equal(next.pulls[0].now.wiping, "rag");
  assert.match(corrected(next, 1, said({ wiping: "rag" }), { day: "2026-03-15", note: "" }, null), /Nothing is changed/);
  const struck = corrected(next, 1, said({ wiping: "rag", struck: true }), { day: "2026-03-16", note: "" }, null);
  assert.equal(struck.pulls.length, 1);
  assert.equal(counts(struck), "1 struck out");
  let often = record;
  for (let k = 0; k < MOST.corrections; k++) often = corrected(often, 1, said({ wiping: String(k) }), { day: "2026-03-15", note: "" }, null);
  assert.match(corrected(often, 1, said(), { day: "2026-03-15", note: "" }, null), /holds no more/);
});

test("a photo is kept once, stays while a correction speaks of it, and all together have their bound", () => {
  const first = deep(added(NO_RECORD, said({ photo: { id: "a", alt: "" } }), photo("a")));
  const twice = deep(added(first, said({ photo: { id: "a", alt: "" } }), photo("a")));
  assert.deepEqual(twice.photos.map(({ id }) => id), ["a"]);
  const other = corrected(first, 1, said({ photo: { id: "b", alt: "" } }), { day: "2026-03-15", note: "" }, photo("b"));
  assert.deepEqual(other.photos.map(({ id }) => id), ["a", "b"]);
  assert.equal(bytesOf(photo("a", 300_000)), 300_000);
  const heavy = { ...NO_RECORD, pulls: Array.from({ length: 80 }, (_, k) => ({ number: k + 1, now: said({ photo: { id: String(k), alt: "" } }), corrections: [] })), photos: Array.from({ length: 80 }, (_, k) => photo(String(k), 300_000)) };
  assert.equal(weight(heavy), MOST.photos);
  assert.match(added(heavy, said({ photo: { id: "one more", alt: "" } }), photo("one more", 300)), /24 MB/);
  assert.ok(JSON.stringify(spoken(heavy)).length < 60_000);
});

test("the next number of an edition is the lowest that is free", () => {
  const of = (...copies) => ({ ...NO_RECORD, edition: 3, pulls: copies.map((copy, k) => ({ number: k + 1, now: said({ kind: "edition", copy }), corrections: [] })) });
  assert.equal(nextCopy(of()), 1);
  assert.equal(nextCopy(of(1, 3)), 2);
  assert.equal(nextCopy(of(1, 2, 3)), null);
  const struck = of(1, 2, 3);
  struck.pulls[1].now.struck = true;
  assert.equal(nextCopy(struck), 2);
});

test("the form begins with what the page knows: plates in order, inks, papers, and the last pull's ways", () => {
  const inks = [{ name: "ochre", known: { full: "#b08030", opacity: 0 }, sheet: null, thinned: 0, strength: 1 }];
  const proof = { ...PLAIN_PROOF, inks, laid: [{ name: "kozo cream" }], zones: [{ name: "sky", ink: 0, outline: [] }], printings: [{ ...PLAIN_PROOF.printings[0], plate: "p" }, { ...PLAIN_PROOF.printings[0], plate: null, ink: 0 }] };
  const state = { ...beginning(), proof, letter: "A", plates: [{ id: "p", letter: "B" }], record: { ...NO_RECORD, pulls: [{ number: 1, now: said({ kind: "edition", copy: 1, wiping: "rag then hand" }), corrections: [] }] } };
  const next = expected(state, "2026-03-20");
  assert.deepEqual(next.plates, [{ letter: "B", turned: false, ink: "the strip’s own" }, { letter: "A", turned: false, ink: "ochre; sky in ochre" }]);
  assert.deepEqual([next.papers, next.kind, next.copy, next.wiping, next.sheet, next.day, next.words], [["kozo cream"], "edition", 2, "rag then hand", "rag", "2026-03-20", ""]);
  assert.equal(wrong(next), null);
  const papers = { stocks: [{ name: "kozo cream" }, { name: "gampi" }, { name: "unused" }], pieces: [{ stock: 0 }, { stock: 1 }, { stock: 0 }] };
  assert.deepEqual(expected({ ...state, papers }, "2026-03-20").papers, ["kozo cream, 2 pieces", "gampi"]);
});
