/** Plates of a family: their ladder, their letters, what they keep, and what they come to in words. */
import assert from "node:assert/strict";
import { test } from "node:test";
import { atPace, byLetter, kinOf, kinsOf, known, letters, newId, nextLetter, onLadder, otherMetal, paced, shared, SHARED, sharedKey, stale, stopped, twice, withKin } from "../../../www/family.js";
import { jobOf, same, workOf, workRead, writtenOf } from "../../../www/keeping/work.js";
import { drawingsOf, packed, unpacked } from "../../../www/keeping/store.js";
import { EXAMPLE } from "../../../www/settings.js";
import { beginning, NOTHING_DONE } from "../../../www/state.js";
import { givesWay } from "../../../www/stations/plates/add.js";
import { greyOf } from "../../../www/srgb.js";
import { joinsWords, platesLine, platesTrouble, standsWords, tonesWords } from "../../../www/stations/plates/words.js";

const workCalled = (letter, settings = EXAMPLE) => ({ name: `${letter}.png`, settings, good: null, done: NOTHING_DONE, job: { ...jobOf(beginning()), letter, id: `id${letter}` } });
const kin = (letter, settings) => kinOf(workCalled(letter, settings), new Blob([letter]), `id${letter}`);

test("what is shared is the ladder and the hands; a plate's own size, breaks and marks stay its own", () => {
  const hand = { ...EXAMPLE, tones: 7, reserve_l: 4, strip: "none", plate: { width_mm: 300, height_mm: 300, bevel_mm: 2 }, mark_mm: 2 };
  const own = { ...EXAMPLE, plate: { width_mm: 90, height_mm: 180, bevel_mm: 1.5 }, mark_mm: 0.5 };
  const on = onLadder(own, hand);
  for (const key of SHARED) assert.equal(on[key], hand[key], key);
  assert.deepEqual([on.plate, on.mark_mm, on.breaks], [own.plate, 0.5, "even"]);
  assert.deepEqual(onLadder(on, hand), on, "once is enough");
  assert.deepEqual(Object.keys(shared(hand)), [...SHARED]);
});

test("breaks by hand stay where they are: one is dropped at the dark end, more are added between them, or all are even where none finds room", () => {
  const breaks = [90, 80, 70, 60];
  assert.deepEqual(onLadder({ ...EXAMPLE, tones: 5, breaks }, { ...EXAMPLE, tones: 4 }).breaks, [90, 80, 70]);
  assert.deepEqual(onLadder({ ...EXAMPLE, tones: 5, breaks }, { ...EXAMPLE, tones: 5 }).breaks, breaks);
  // Two more stand between those that are there: none below the last, which may be the darkest light of that drawing.
  assert.deepEqual(onLadder({ ...EXAMPLE, tones: 5, breaks }, { ...EXAMPLE, tones: 7 }).breaks, [90, 80, 75, 70, 65, 60]);
  for (let tones = 6; tones <= 16; tones++) {
    const more = onLadder({ ...EXAMPLE, tones: 5, breaks }, { ...EXAMPLE, tones }).breaks;
    assert.equal(more.length, tones - 1);
    assert.ok(more.every((at, k) => k === 0 || at <= more[k - 1] - 0.5) && more[0] === 90 && more.at(-1) === 60, `${more}`);
    assert.ok(breaks.every((at) => more.includes(at)));
  }
  // What is painted is held fast by its first breaks: none comes between those.
  const done = { log: [{ at_ms: 1, note: "", kind: "painted", stop_out: 3, minutes: null }], kept: null };
  assert.deepEqual(onLadder({ ...EXAMPLE, tones: 5, breaks }, { ...EXAMPLE, tones: 7 }, done).breaks, [90, 80, 70, 65, 62.5, 60]);
  assert.equal(onLadder({ ...EXAMPLE, tones: 3, breaks: [50, 49.5] }, { ...EXAMPLE, tones: 4 }).breaks, "even", "no room");
  assert.equal(onLadder({ ...EXAMPLE, tones: 2, breaks: [50] }, { ...EXAMPLE, tones: 4 }).breaks, "even", "between one break there is nothing");
});

test("facts are stale when the ladder, the plate's own settings or its log is another, and not otherwise", () => {
  const c = kin("C");
  assert.ok(stale(c, EXAMPLE));
  const planned = { ...c, of: { work: c.work, shared: sharedKey(EXAMPLE) } };
  assert.ok(!stale(planned, EXAMPLE));
  assert.ok(!stale(planned, { ...EXAMPLE, mark_mm: 3, plate: { width_mm: 20, height_mm: 20, bevel_mm: 1 } }), "what is the other plate's own");
  // Minutes at the bench, how well a hand keeps to a line and the plan of another strip are nothing that a plan of this plate rests on.
  for (const patch of [{ bench: { dry_min: 7, rinse_min: 3 } }, { scatter_l: 3 }, { hand_error_mm: 1 }, { strip_plan: { first_s: 1, last_s: 600, bands: 5 } }]) assert.ok(!stale(planned, { ...EXAMPLE, ...patch }));
  for (const patch of [{ tones: 9 }, { strip: "none" }, { hand_speed: { ...EXAMPLE.hand_speed, island_s: 9 } }, { bath: { ...EXAMPLE.bath, metal: "copper" } }, { reserve_l: 3 }, { reading_error_l: 2 }, { handling: { slack_s: 2, lag_s: 1, drag_s: 0 } }, { witness: { seconds: 30, lightness: 60 } }]) assert.ok(stale(planned, { ...EXAMPLE, ...patch }));
  const [notched] = withKin([planned], "idC", { job: { ...c.work.job, sheets: { ...c.work.job.sheets, notch: "foot_left" } } });
  assert.ok(!stale(notched, EXAMPLE), "a notch plans nothing");
  for (const patch of [{ job: { ...c.work.job, letter: "X" } }, { job: { ...c.work.job, title: "X" } }]) assert.ok(!stale(withKin([planned], "idC", patch)[0], EXAMPLE), "a name plans nothing");
  for (const patch of [{ done: { log: [], kept: null } }, { settings: { ...EXAMPLE } }, { job: { ...c.work.job, proof: { ...c.work.job.proof, grain: { ...c.work.job.proof.grain, seed: 2 } } } }]) assert.ok(stale(withKin([planned], "idC", patch)[0], EXAMPLE));
  assert.equal(withKin([planned], "another", { good: null })[0], planned);
});

test("what a plate comes to is known while it is planned as wanted, and not while that is to come, was stopped or is refused", () => {
  const c = kin("C");
  const facts = /** @type {any} */ ({ tones: [] });
  const of = { work: c.work, shared: sharedKey(EXAMPLE) };
  const other = { ...EXAMPLE, tones: 8 };
  assert.equal(known({ ...c, facts, of }, EXAMPLE), facts);
  assert.equal(known({ ...c, facts, of }, other), null);
  assert.equal(known({ ...c, facts, of, refused: "No." }, EXAMPLE), null);
  const halted = { ...c, facts, of, stopped: { work: c.work, shared: sharedKey(other) } };
  assert.ok(stopped(halted, other) && stale(halted, other) && known(halted, other) === null);
  assert.ok(!stopped(halted, EXAMPLE) && known(halted, EXAMPLE) === facts, "the ladder before is planned already");
  assert.ok(!stopped(halted, { ...EXAMPLE, tones: 7 }), "a third ladder is planned");
});

test("a plate that joins from its own file is told what gives way to the family's", () => {
  assert.deepEqual(givesWay(EXAMPLE, { ...EXAMPLE, mark_mm: 3, plate: { width_mm: 20, height_mm: 20, bevel_mm: 1 } }), []);
  const { bath } = EXAMPLE;
  assert.deepEqual(givesWay({ ...EXAMPLE, bath: Object.fromEntries(Object.entries(bath).reverse()) }, EXAMPLE), [], "the order of names says nothing");
  const own = { ...EXAMPLE, tones: 8, strip: { id: "12-A", readings: [[0, 89], [10, 80]] }, bath: { ...bath, metal: "copper" }, handling: { slack_s: 9, lag_s: 0, drag_s: 0 } };
  assert.deepEqual(givesWay(own, { ...EXAMPLE, strip: "none" }), ["number of tones (8 there, 10 here)", "strip (12-A there, none yet here)", "bath", "practice at the bath"]);
});

test("letters: the next one free, and those that are there twice", () => {
  assert.equal(nextLetter([]), "A");
  assert.equal(nextLetter(["A", "c", "B"]), "D");
  const all = Array.from({ length: 26 }, (_, k) => String.fromCharCode(65 + k));
  assert.equal(nextLetter(all), "AA");
  assert.equal(nextLetter([...all, "AA"]), "AB");
  assert.deepEqual(twice(["A", "B", "a", "C", "B", "A"]), ["A", "B"]);
  assert.deepEqual(letters({ letter: "B", family: [kin("A"), kin("C")] }), ["B", "A", "C"]);
  const sorted = (all) => all.map((letter, k) => ({ letter, id: String(k) })).sort(byLetter);
  assert.deepEqual(sorted(["AA", "", "B", "10", "Z", "A2", "2", " ", "A", "b", "A10", "B"]).map(({ letter, id }) => `${letter}${id}`), ["26", "103", "A8", "A25", "A1010", "B11", "B2", "b9", "Z4", "AA0", "1", " 7"]);
  // A real order, so that no two parts of the page sort otherwise: of any three, the first before the second before the third puts the first before the third.
  const many = sorted(["", "A", "B", "Z", "AA", "M1", "A1", "1A", "1", "10", "2", "é", "ÅB", "1A2"]);
  for (const a of many) for (const b of many) {
    assert.equal(Math.sign(byLetter(a, b)) + Math.sign(byLetter(b, a)), 0);
    for (const c of many) if (byLetter(a, b) < 0 && byLetter(b, c) < 0) assert.ok(byLetter(a, c) < 0, `${a.letter} ${b.letter} ${c.letter}`);
  }
});

test("every plate has an id of its own: one that is there already, or none, is exchanged", () => {
  assert.match(newId(), /^[0-9a-f]{12}$/);
  const plates = ["a", "hand", "a", null].map((id) => ({ id, work: workCalled("A"), file: new Blob(["x"]) }));
  const kins = kinsOf(plates, ["hand"]);
  assert.equal(kins[0].id, "a");
  assert.equal(new Set([...kins.map(({ id }) => id), "hand"]).size, 5);
  for (const { id, work } of kins) assert.equal(work.job.id, id);
});

const ready = (family) => ({ ...beginning(), info: { name: "ice-house.jpg" }, file: new Blob(["x"]), drawing: 1, plannedDrawing: 1, plateId: "hand", family });

test("a family goes to a file and back; each other plate is a whole work, with no others in it", () => {
  const state = ready([kin("A"), kin("C")]);
  const work = workOf(state);
  assert.deepEqual(work.family.map(({ id, file }) => [id, file]), state.family.map(({ id, file }) => [id, file]));
  const written = writtenOf(work, state.file);
  assert.deepEqual(JSON.parse(written.project).family, ["plates/01.stepbite.zip", "plates/02.stepbite.zip"]);
  assert.deepEqual(written.family.map(({ project }) => [JSON.parse(project).family, JSON.parse(project).job.id]), [[[], "idA"], [[], "idC"]]);
  const read = (plate) => ({ project: JSON.parse(plate.project), drawing: plate.file, kept: plate.kept });
  assert.deepEqual(workRead({ ...read(written), family: written.family.map(read) }), work);
});

test("what the others come to is no change of the work; another plate, or another of its choices, is", () => {
  const state = ready([kin("A")]);
  assert.ok(same(state, { ...state, family: [{ ...state.family[0], facts: {}, refused: "no" }] }));
  for (const family of [[], [kin("A")], withKin(state.family, "idA", { good: null }), [...state.family, kin("C")]]) assert.ok(!same(state, { ...state, family }));
  assert.ok(!same(state, { ...state, row: {} }));
});

test("in the browser's storage each drawing is there once, and the maps of every plate lie beside", () => {
  const map = { id: "m", letter: "M", title: "", face_mm: { width: 1, height: 1 }, tones: 2, example: false, facts: "{}", map: "AAAA" };
  const other = workCalled("A");
  const entry = { work: workCalled("B"), at: 1, drawing: "d1", family: [{ id: "idA", work: { ...other, job: { ...other.job, plates: [map] } }, drawing: "d2" }, { id: "idC", work: workCalled("C"), drawing: "d1" }] };
  const { entry: kept, maps } = packed(entry);
  assert.deepEqual([kept.kin, kept.maps, [...maps]], [["d2", "d1"], ["m"], [["m", "AAAA"]]]);
  assert.equal(kept.family[0].work.job.plates[0].map, "");
  assert.deepEqual(unpacked(kept, maps).family, entry.family);
  assert.deepEqual(drawingsOf(entry), ["d1", "d2"]);
  assert.deepEqual(drawingsOf({ work: other, at: 0, drawing: "d" }), ["d"]);
});

const tones = (lacking, count = 10) => Array.from({ length: count }, (_, index) => ({ index, share: lacking.includes(index) ? 0 : 0.1 }));

test("a plate that lacks tones skips the painting and not the bath, and that is said", () => {
  assert.equal(tonesWords(tones([])), "All ten tones.");
  assert.equal(tonesWords(tones([8])), "Nine tones; tone 8 is lacking.");
  assert.equal(tonesWords(tones([0, 7])), "Eight tones; tones 0 and 7 are lacking: no paper white.");
  const all = { dips: Array.from({ length: 9 }, (_, k) => [k + 1, k + 1]), painted: [1, 2, 3, 4, 5, 6, 7, 8, 9] };
  assert.deepEqual(joinsWords({ joins: all, tones: tones([]) }), []);
  // The worked family's plate C has no paper white and no 7, D no 8 (handed to the core's own test of `family::dips`).
  const c = { dips: [[1, 1], [2, 2], [3, 3], [4, 4], [5, 5], [6, 6], [7, 8], [9, 9]], painted: [1, 2, 3, 4, 5, 6, 7, 9] };
  assert.deepEqual(joinsWords({ joins: c, tones: tones([0, 7]) }), ["Bites 7 and 8 join in one dip: one restart fewer.", "It skips stop-out 8: the painting, not the bath.", "Its stop-out 1 is back and bevel alone, and still a tick."]);
  const early = { dips: [[1, 3], [4, 5]], painted: [1, 4] };
  assert.deepEqual(joinsWords({ joins: early, tones: tones([1, 2, 4, 6, 7, 8, 9]) }), ["Bites 1 to 3 and 4 and 5 join in one dip each: three restarts fewer.", "It skips stop-outs 2, 3 and 5: the painting, not the bath.", "Its darkest tone is 5: it leaves the bath after bite 5."]);
  assert.deepEqual(joinsWords({ joins: { dips: [], painted: [] }, tones: tones([1, 2], 3) }), ["It has no tone that is bitten, and never goes into the bath."]);
});

test("the line of the ticket, and what is not well", () => {
  assert.deepEqual([platesLine(["B"]), platesLine(["B", "A", "AA"])], ["one plate", "three plates: A B AA"]);
  assert.deepEqual([platesTrouble([], []), platesTrouble(["A"], []), platesTrouble(["A"], ["C", "D"])], ["", "two plates have the letter A", "two plates have the letter A; plates C and D make no plan"]);
  const at = { painted: 2, bitten: 1, due: null, next: { kind: "bite", bite: 2 } };
  assert.deepEqual([standsWords({ ...at, painted: 0, bitten: 0 }), standsWords(at), standsWords({ ...at, next: { kind: "paint", stop_out: 3 } }), standsWords({ ...at, next: { kind: "finished" } }), standsWords({ ...at, due: { after: 4 } })],
    ["Nothing is done to its metal yet.", "Next: bite 2.", "Next: stop-out 3.", "All its bites are done.", "After bite 4 there is something to be decided."]);
});

test("a lightness is the grey that standard tables have for it", () => {
  // CIE 15:2018, 8.2.1 with IEC 61966-2-1: L* 0, 50 and 100, and 89 and 38 of the example, by colour-science 0.4.
  assert.deepEqual([0, 38, 50, 89, 100].map(greyOf), [0, 89, 119, 223, 255]);
});

test("a plate of another metal does not join the family's bath, and none has its metal changed in silence", () => {
  assert.equal(otherMetal(null, "zinc"), null);
  assert.equal(otherMetal("", null), null);
  assert.equal(otherMetal("Zinc ", "zinc"), null);
  assert.match(otherMetal("aluminium", "zinc"), /is aluminium, and this family is bitten as zinc: .*work of its own\.$/);
  assert.match(otherMetal("copper", null), /is copper, and the metal of this family is not said: .*\.$/);
});

test("the pace that the plate at hand taught holds for plates of which no time is known", () => {
  const { work } = kin("C");
  const plan = { pace: { speed: { ...EXAMPLE.hand_speed, island_s: 12 }, factor: 2, from: [1] } };
  assert.deepEqual(paced([{ paint_min: 7 }], work, plan), [{ paint_min: 14 }]);
  assert.deepEqual(atPace(EXAMPLE, work, plan).hand_speed, plan.pace.speed);
  assert.equal(atPace(EXAMPLE, work, { pace: null }), EXAMPLE);
  assert.equal(atPace(EXAMPLE, work, { pace: { ...plan.pace, factor: 1.001 } }), EXAMPLE, "for nothing the others would be planned anew");
  const typed = { ...work, settings: { ...EXAMPLE, painted: [{ number: 1, minutes: 9, done: null }] } };
  const ticked = (minutes) => ({ ...work, done: { log: [{ at_ms: 1, note: "", kind: "painted", stop_out: 1, minutes }], kept: null } });
  for (const own of [typed, ticked(9)]) {
    assert.deepEqual(paced([{ paint_min: 7 }], own, plan), [{ paint_min: 7 }], "its own times taught its own");
    assert.equal(atPace(EXAMPLE, own, plan), EXAMPLE);
  }
  assert.deepEqual(paced([{ paint_min: 7 }], ticked(null), plan), [{ paint_min: 14 }], "a tick without minutes says nothing");
});
