/** Which turn of a family comes, with which plates in one dip, and what dries meanwhile. */
import assert from "node:assert/strict";
import { test } from "node:test";
import { absentWords, asks, doneWords, lefts, nextTurn, onPaper, remaining, SOON_MS, standsWords, turnOf, turnWords, waitFigures, waitLeft, waitsAfter, waitsBeside, waitsBut, waitsOf, waitWords, withWaits } from "../../../www/run/all.js";
import { comes } from "../../../www/run/comes.js";

const stopouts = [{ number: 1, new_share: 0.2, islands: 4, paint_min: 6 }, { number: 2, new_share: 0, islands: 0, paint_min: 0 }, { number: 3, new_share: 0.1, islands: 1, paint_min: 3 }];
/** @param {string} letter @param {object} standing @param {{ from: number, to: number, set_s: number }[]} dips */
const plate = (letter, standing, dips, hand = false) => /** @type {any} */ ({ id: letter, letter, hand, dips, stopouts, standing: { painted: 0, bitten: 0, due: null, next: { kind: "paint", stop_out: 1 }, ...standing } });
const dips = [{ from: 1, to: 1, set_s: 7 }, { from: 2, to: 3, set_s: 20 }];
const toPaint = (/** @type {string} */ letter, hand = false) => plate(letter, {}, dips, hand);
const toBite = (/** @type {string} */ letter, hand = false, own = dips) => plate(letter, { painted: 1, next: { kind: "bite", bite: 1 } }, own, hand);
const row = (/** @type {"paint" | "bite"} */ kind, /** @type {number[]} */ ...at) => /** @type {any} */ ({ kind, at, from_min: 0, cells: [] });
const none = new Map();
/** A turn in short: what, whose, with whom. @param {import("../../../www/run/all.js").Turn | null} turn */
const short = (turn) => turn && `${turn.kind} ${turn.plate.letter}${turn.mates.map(({ letter }) => `+${letter}`).join("")}`;
const at = { steady: 10_000, wall: 10_000 };
const wait = (/** @type {string} */ id, /** @type {number | null} */ length_ms, from = { steady: 0, wall: 0 }, what = "dry") => /** @type {any} */ ({ id, letter: id, what, number: 1, timing: { what: "drying", from, length_ms, spent_ms: 0 } });

test("a plate's own log says what may be done to it", () => {
  assert.deepEqual([asks(toPaint("A")), asks(toBite("A"))].map((turn) => turn && [turn.kind, turn.number, turn.to, turn.set_s]), [["paint", 1, 1, null], ["bite", 1, 1, 7]]);
  assert.equal(asks(plate("A", { bitten: 3, next: { kind: "finished" } }, [])), null);
  // A plate without the darkest tones leaves the bath before the ladder's end.
  assert.equal(asks(plate("A", { bitten: 2, next: { kind: "paint", stop_out: 3 } }, [])), null);
  assert.equal(asks(plate("A", { due: { after: 2 } }, dips))?.kind, "decide");
  assert.equal(asks(toBite("A", false, [{ from: 1, to: 1, set_s: 0 }]))?.set_s, null, "without a strip nothing is set");
  assert.deepEqual(remaining([toPaint("A"), plate("B", { next: { kind: "finished" } }, [])]).map(({ letter }) => letter), ["A"]);
});

test("the first of the day's turns comes, and plates of one dip come together, the one at hand leading", () => {
  const plates = [toBite("A"), toBite("B", true), toPaint("C")];
  assert.equal(short(nextTurn(plates, [row("bite", 0, 1), row("paint", 2)], none)), "bite B+A");
  assert.equal(short(nextTurn(plates, [row("paint", 2), row("bite", 0, 1)], none)), "paint C");
  assert.equal(short(nextTurn(plates, [row("bite", 0), row("bite", 1), row("paint", 2)], none)), "bite A");
  // Dips that are not equally long are none together, whatever a day says.
  assert.equal(short(turnOf(plates[0], [plates[0], toBite("B", false, [{ from: 1, to: 1, set_s: 9 }])], [row("bite", 0, 1)], none)), "bite A");
});

test("what dries is put off while hands would stand idle, and the soonest comes where none is ready", () => {
  const plates = [toBite("A", true), toBite("B"), toPaint("C")];
  const rows = [row("bite", 0, 1), row("paint", 2)];
  assert.equal(short(nextTurn(plates, rows, new Map([["B", SOON_MS + 1]]))), "paint C", "one of the two dries yet");
  assert.equal(short(nextTurn(plates, rows, new Map([["B", SOON_MS]]))), "bite A+B");
  const late = nextTurn(plates, rows, new Map([["A", 90_000], ["B", 300_000], ["C", 400_000]]));
  assert.deepEqual([short(late), late?.wait_ms], ["bite A+B", 300_000]);
  // A drying that nobody gave a time to puts its plate behind all others, and no further.
  assert.equal(short(nextTurn(plates.slice(0, 2), [row("bite", 0), row("bite", 1)], new Map([["A", Infinity]]))), "bite B");
  assert.equal(short(nextTurn(plates.slice(0, 1), [row("bite", 0)], new Map([["A", Infinity]]))), "bite A");
});

test("a later turn of a plate never comes before its own first", () => {
  const plates = [toBite("A"), toPaint("B")];
  const rows = [row("bite", 0), row("paint", 0), row("bite", 0, 1), row("paint", 1)];
  assert.equal(short(nextTurn(plates, rows, new Map([["A", 600_000]]))), "paint B", "B is not bitten beside A before it is painted");
});

test("what is to be decided comes first; a stop-out that paints nothing is ticked before its dip; without a day the plate least far comes", () => {
  assert.equal(short(nextTurn([toBite("A"), plate("B", { due: { after: 1 }, bitten: 1 }, dips)], [row("bite", 0)], none)), "decide B");
  const nothing = plate("B", { painted: 1, bitten: 1, next: { kind: "paint", stop_out: 2 } }, dips);
  assert.equal(short(nextTurn([toBite("A", true), nothing], [row("bite", 0, 1)], none)), "paint B");
  assert.equal(short(nextTurn([plate("A", { bitten: 1, painted: 1, next: { kind: "paint", stop_out: 3 } }, dips), toPaint("B")], null, none)), "paint B");
  assert.equal(nextTurn([plate("A", { next: { kind: "finished" } }, [])], [], none), null);
});

test("a wait is what is left of it; where the clocks disagree it is the longer", () => {
  assert.equal(waitLeft(wait("A", 12_000), at), 2_000);
  assert.equal(waitLeft(wait("A", null), at), null);
  assert.equal(waitLeft(wait("A", 12_000, { steady: 0, wall: 5_000 }), at), 7_000, "the wall clock was set on");
  assert.equal(waitLeft(wait("A", 12_000, { steady: 0, wall: 50_000 }), at), 12_000, "or back");
  assert.deepEqual([wait("A", 12_000), wait("A", 10_000), wait("A", null)].map((each) => waitFigures(each, at)), ["0:02", "", "0:10"]);
  // Nobody said that it is dry: it counts on by the clock that has gone less, however far they are apart.
  assert.deepEqual([5_000, 50_000, 10_000].map((wall) => waitFigures(wait("A", null, { steady: 0, wall }), at)), ["0:05", "0:00", "0:00"]);
  assert.deepEqual([...lefts([wait("A", 12_000), wait("B", 4_000), wait("C", null)], at)], [["A", 2_000], ["B", 0], ["C", Infinity]]);
});

test("a turn leaves what dries behind, for all that lay in the dip, and a plate waits for one thing at a time", () => {
  const timing = { what: "rinsing", from: at, length_ms: 300_000, spent_ms: 0 };
  const run = /** @type {any} */ ({ id: "a", phase: "out", number: 4, timing, words: { letter: "A" }, mates: [{ id: "b", letter: "B" }] });
  assert.deepEqual(waitsOf(run).map(({ id, letter, what, number }) => [id, letter, what, number]), [["a", "A", "rinse", 4], ["b", "B", "rinse", 4]]);
  assert.deepEqual(waitsOf({ ...run, phase: "dry" }).map(({ id, what }) => [id, what]), [["a", "dry"]]);
  for (const part of [{ phase: "paint" }, { timing: null }, { timing: { ...timing, length_ms: null } }, { id: undefined }]) assert.deepEqual(waitsOf({ ...run, ...part }), []);
  assert.deepEqual(withWaits([wait("a", 1), wait("c", 2)], waitsOf(run)).map(({ id }) => id), ["c", "a", "b"]);
});

test("what a plate still waits for is left until it goes in, whatever is done to it before", () => {
  const lengths = (/** @type {any[]} */ waits) => waits.map(({ id, what, timing }) => `${id} ${what} ${timing.length_ms}`);
  const waits = [wait("a", 60_000, at, "rinse"), wait("c", 90_000)];
  // It is decided how to go on, or it is painted, before it is dry.
  for (const phase of ["out", "paint"]) {
    const run = /** @type {any} */ ({ id: "a", phase, number: 1, timing: phase === "paint" ? { what: "painting", from: at, length_ms: null, spent_ms: 0 } : null, words: { letter: "a" }, waits });
    assert.deepEqual(waitsAfter(run), waits, phase);
    assert.deepEqual(waitsBeside(run), waits);
  }
  assert.deepEqual(lengths(waitsBut(/** @type {any} */ ({ id: "a", mates: [], waits }))), ["c dry 90000"]);
  assert.deepEqual(lengths(waitsBut(/** @type {any} */ ({ id: "x", mates: [{ id: "c" }], waits }))), ["a rinse 60000"]);
});

test("a dip put off while its plates dry leaves each its own minutes", () => {
  const lengths = (/** @type {any[]} */ waits) => waits.map(({ id, what, timing }) => `${id} ${what} ${timing.length_ms}`).sort();
  const later = { steady: 5_000, wall: 5_000 };
  const waits = [wait("a", 60_000), wait("b", 60_000, later), wait("c", 90_000, at, "rinse")];
  const dry = /** @type {any} */ ({ id: "a", mates: [{ id: "b", letter: "b" }], phase: "dry", number: 1, timing: waits[1].timing, words: { letter: "a" }, waits });
  assert.deepEqual(waitsAfter(dry).map(({ id, timing }) => [id, timing.from.steady]).sort(), [["a", 0], ["b", 5_000], ["c", 10_000]]);
  assert.deepEqual(lengths(waitsAfter({ ...dry, timing: { ...dry.timing, length_ms: 120_000 } })), ["a dry 60000", "b dry 120000", "c rinse 90000"], "minutes added are of the one that the clock was of");
  const said = { ...dry.timing, from: { steady: 40_000, wall: 9 }, spent_ms: 30_000 };
  assert.deepEqual(waitsAfter({ ...dry, timing: said }).map(({ id, timing }) => [id, timing.spent_ms]).sort(), [["a", 30_000], ["b", 30_000], ["c", 0]], "what the printer said of it holds for all");
  // It has its own clock there: they are not told of twice.
  assert.deepEqual(lengths(waitsBeside(dry)), ["c rinse 90000"]);
  // A stop-out that was just painted has no wait yet.
  assert.deepEqual(lengths(waitsAfter({ ...dry, mates: [], waits: [waits[2]] })), ["a dry 60000", "c rinse 90000"]);
});

test("a plate whose log took no dip is none of those that lay in it, and is rinsed all the same", () => {
  const dip = (/** @type {string} */ id, /** @type {object} */ entry) => ({ id, letter: id, log: [{ at_ms: 1, note: "", ...entry }] });
  const bitten = { kind: "bitten", bite: 2, planned_s: 9, actual_s: 9, celsius: null };
  const run = /** @type {any} */ ({ id: "a", phase: "out", number: 2, timing: wait("a", 60_000).timing, words: { letter: "a" }, mates: [{ id: "b", letter: "b" }, { id: "c", letter: "c" }], pending: [dip("b", bitten), dip("c", bitten)], waits: [wait("d", 5_000)] });
  const then = onPaper(run);
  assert.deepEqual([then.mates, then.pending, then.waits].map((all) => all?.map(({ id }) => id)), [["c"], ["c"], ["d", "b"]]);
  assert.deepEqual(waitsAfter({ ...run, ...then }).map(({ id, what }) => `${id} ${what}`).sort(), ["a rinse", "b rinse", "c rinse", "d dry"]);
  // Its log has the dip, and only what was put right of it is on paper.
  const put = [dip("b", { kind: "corrected", entry: 3, to: { kind: "dip", actual_s: 8, celsius: null } })];
  assert.deepEqual(onPaper({ ...run, pending: put }), { pending: [] });
});

test("a turn in words, for whoever stands there with wet gloves", () => {
  const plates = [toBite("A", true, dips.slice(0, 1)), toBite("B"), toPaint("C"), plate("D", { bitten: 3, next: { kind: "finished" } }, [])];
  const both = turnWords(/** @type {any} */ (turnOf(plates[0], plates, [row("bite", 0, 1)], none)), plates);
  assert.deepEqual(both, { title: "Plates A and B together: bite 1", sub: "The clock is set to 0:07. C stays out. After it A leaves the bath for good." });
  assert.equal(turnWords(/** @type {any} */ (turnOf(plates[2], plates, [], none)), plates).title, "Plate C: paint stop-out 1");
  assert.deepEqual(plates.map((each) => standsWords(each, null)), ["bite 1", "bite 1", "paint stop-out 1", "out for good"]);
  assert.deepEqual([[], ["C (being planned)", "D"]].map((absent) => [doneWords(absent), absentWords(absent)]),
    [["Every plate has had its bites", ""], ["Every plate with a plan has had its bites", "Not in it, for want of a plan: C (being planned) and D."]]);
  assert.equal(standsWords(plates[1], "rinse"), "rinsed, drying", "a stop-out that painted nothing dries not");
  assert.equal(standsWords(plates[1], "dry"), "stop-out 1 dries");
  assert.match(waitWords(wait("C", 1)), /^Plate C: stop-out 1 has had its time to dry\.$/);
  assert.match(waitWords(wait("C", 1, at, "rinse")), /^Plate C: rinsing and drying after bite 1/);
  // The same bite is what the plate's own plan comes to.
  const plan = /** @type {any} */ ({ strip: { kind: "user" }, tones: [0, 7, 9].map((set_s) => ({ set_s })), standing: { ...plates[0].standing, total_s: 0 } });
  assert.deepEqual([comes(plan, at).number, comes(plan, at).planned_s], [1, asks(plates[0])?.set_s]);
});
