/** All plates at one bath, without a browser: dips as the log takes them, rows in time order. */
import assert from "node:assert/strict";
import { test } from "node:test";
import { kinOf, sharedKey } from "../../../www/family.js";
import { EXAMPLE } from "../../../www/settings.js";
import { bathPlates, biteName, daySpec, dipEntries, driedBy, matrix, startOf, tooEarly, wholeDip } from "../../../www/together.js";
import { lacking } from "../../../www/downloads.js";
import { jobOf } from "../../../www/keeping/work.js";
import { beginning, NOTHING_DONE } from "../../../www/state.js";
import { bites } from "../../../www/run/words.js";
import { comes } from "../../../www/run/comes.js";

const was = { at_ms: 5, celsius: 19, factor: 1 };

test("a dip of one bite is one entry, and bites in one dip are one each with the tick between", () => {
  assert.deepEqual(dipEntries({ from: 3, to: 3, set_s: 10 }, [], { ...was, actual_s: 11.2 }),
    [{ at_ms: 5, note: "", kind: "bitten", bite: 3, planned_s: 10, actual_s: 11.2, celsius: 19, factor: 1 }]);
  const joined = dipEntries({ from: 7, to: 8, set_s: 113 }, [0, 7, 7, 10, 15, 20, 30, 46, 67, 97], { ...was, actual_s: 115 });
  assert.deepEqual(joined.map((entry) => entry.kind), ["bitten", "painted", "bitten"]);
  const [first, tick, second] = /** @type {any[]} */ (joined);
  assert.deepEqual([first.bite, first.planned_s, first.actual_s, first.joined], [7, 46, 46, undefined]);
  assert.deepEqual([tick.stop_out, second.bite, second.planned_s, second.actual_s, second.joined], [8, 8, 67, 69, true]);
  assert.deepEqual(wholeDip(joined), { planned_s: 113, actual_s: 115 });
  // Out early: what was set for the first is its, and nothing is left for the second.
  const early = /** @type {any[]} */ (dipEntries({ from: 7, to: 8, set_s: 113 }, [0, 7, 7, 10, 15, 20, 30, 46, 67], { ...was, actual_s: 40 }));
  assert.deepEqual([early[0].actual_s, early[2].actual_s], [40, 0]);
});

test("names of bites say which are one dip", () => {
  assert.deepEqual([biteName(4, 4), biteName(7, 8), biteName(5, 8)], ["bite 4", "bites 7+8", "bites 5 to 8"]);
  assert.deepEqual([bites({ number: 4 }), bites({ number: 7, joins: { to: 8 } }), bites({ number: 5, joins: { to: 8 } })], ["bite 4", "bites 7 and 8", "bites 5 to 8"]);
});

/** @param {string} letter @param {{ from: number, to: number, set_s: number, paint_min: number | null }[]} dips */
const plate = (letter, dips) => /** @type {any} */ ({ id: letter, letter, dips, size_mm: [100, 100], log: [], standing: { painted: 0, bitten: 0, due: null, next: { kind: "paint", stop_out: 1 } } });

test("rows follow the hands, a cell a plate, and plates of one dip share a row", () => {
  const dips = [{ from: 1, to: 1, set_s: 60, paint_min: 10 }, { from: 2, to: 3, set_s: 120, paint_min: 10 }];
  const plates = [plate("A", dips), plate("B", dips.slice(0, 1))];
  /** @param {string} kind @param {number} p @param {number} number @param {number} from_min @param {number} to_min */
  const work = (kind, p, number, from_min, to_min, to = number) => /** @type {any} */ ({ kind, plate: p, number, to, from_min, to_min });
  const day = /** @type {any} */ ({ nights: [], stretches: [work("paint", 0, 1, 0, 10), work("paint", 1, 1, 10, 20), work("dry", 0, 1, 10, 30), work("dry", 1, 1, 20, 40),
    work("bite", 0, 1, 40, 41), work("bite", 1, 1, 40, 41), work("paint", 0, 2, 50, 60), work("dry", 0, 2, 60, 80), work("bite", 0, 2, 80, 82, 3)] });
  const rows = matrix(day, plates);
  assert.deepEqual(rows.map((row) => row.cells.map((cell) => cell.what)), [["paint", "rest"], ["dry", "paint"], ["bite", "bite"], ["paint", "out"], ["bite", "out"]]);
  assert.deepEqual([rows[2].at, rows[4].cells[0].number, rows[4].cells[0].to, rows[4].cells[0].set_s], [[0, 1], 2, 3, 120]);
  assert.equal(daySpec(plates, { from_min: 540, to_min: 1080, dry_overnight: false, tray_mm: null, break_after: null }).start_min, 540);
});

test("plates stand by their letters, what is painted is not painted again, and what has no plan is named", () => {
  const stopouts = [{ number: 1, new_share: 0 }, { number: 2, new_share: 0.2, paint_min: 9 }, { number: 3, new_share: 0.1, paint_min: 7 }];
  const joins = { dips: [[1, 1], [2, 3]], painted: [1, 2], to_come: [{ from: 1, to: 1, set_s: 5, shown_total_s: 5 }, { from: 2, to: 3, set_s: 20, shown_total_s: 25 }], said: null };
  const facts = { plate_mm: { width: 100, height: 80 }, stopouts, joins, standing: { painted: 0, bitten: 0, next: { kind: "paint", stop_out: 1 } } };
  const settings = EXAMPLE;
  const kin = (/** @type {string} */ letter, /** @type {any} */ has, /** @type {any} */ more = {}) => {
    const work = { settings, done: { kept: null, log: [] }, job: { letter, title: "", proof: { grain: null } } };
    return { id: letter, work, facts: has, refused: null, of: { work, shared: sharedKey(settings) }, ...more };
  };
  const state = /** @type {any} */ ({ settings, done: { kept: null, log: [] }, plateId: "x", letter: "C", title: "", plan: { ...facts, strip: { kind: "measured" }, standing: { ...facts.standing, painted: 1 } }, family: [kin("B", facts), kin("A", facts), kin("D", null), kin("F", facts, { of: null }), kin("E", facts, { refused: "It makes no plan." })] });
  const { plates, absent } = bathPlates(state);
  assert.deepEqual([plates.map((each) => each.letter), absent], [["A", "B", "C"], ["D", "E", "F (being planned)"]]);
  // On another ladder what they came to is of the one before: none is counted.
  assert.deepEqual(bathPlates({ ...state, settings: { ...EXAMPLE, tones: 8 } }).plates.map((each) => each.letter), ["C"]);
  assert.deepEqual(plates[0].dips.map((dip) => dip.paint_min), [0, 9]);
  assert.equal(plates[2].dips[0].paint_min, null);
});

test("without a strip bites join as they do with one, and their dips have no times", () => {
  const joins = { dips: [[1, 1], [2, 3]], painted: [1, 2], to_come: [{ from: 2, to: 3, set_s: null, shown_total_s: null }], said: null };
  const standing = { painted: 2, bitten: 1, due: null, next: { kind: "bite", bite: 2 } };
  const state = /** @type {any} */ ({ plateId: "x", letter: "A", title: "", family: [], done: { kept: null, log: [] },
    plan: { plate_mm: { width: 100, height: 80 }, stopouts: [1, 2, 3].map((number) => ({ number, new_share: 0.1, paint_min: 5 })), joins, standing, strip: { kind: "missing" }, tones: [0, 1, 2, 3].map(() => ({ set_s: null })) } });
  assert.deepEqual(bathPlates(state).plates[0].dips, [{ from: 2, to: 3, set_s: 0, paint_min: null }]);
  const turn = comes({ ...state.plan, standing: { ...standing, total_s: 7 } }, { steady: 0, wall: 0 });
  assert.deepEqual([turn.phase, turn.number, turn.planned_s, turn.joins?.to], ["ready", 2, null, 3]);
  // The clock counted up: the whole time is the last bite's, and nothing was planned.
  const entries = /** @type {any[]} */ (dipEntries({ from: 2, to: 3, set_s: 0 }, turn.joins?.sets ?? [], { ...was, actual_s: 80 }));
  assert.deepEqual(entries.map((entry) => [entry.kind, entry.planned_s, entry.actual_s]), [["bitten", 0, 0], ["painted", undefined, undefined], ["bitten", 0, 80]]);
});

/** By the clock on the wall, wherever that is. @param {number} day @param {number} hour @param {number} minute */
const at = (day, hour, minute) => new Date(2026, 2, day, hour, minute);
/** @param {Date} when @param {number} stop_out */
const tick = (when, stop_out) => ({ at_ms: when.getTime(), note: "", kind: "painted", stop_out, minutes: null });

test("the first day begins where it is told to, and not before what was done today", () => {
  const day = { from_min: 540, to_min: 1080, dry_overnight: false, tray_mm: null, break_after: null };
  const [a, b] = [plate("A", []), plate("B", [])];
  const now = at(5, 14, 0);
  assert.equal(startOf({ day, dayStart: null }, [a, b], now), 540);
  assert.equal(startOf({ day, dayStart: 615 }, [a, b], now), 615);
  // Yesterday's work says nothing of today's beginning.
  a.log = [tick(at(4, 16, 0), 1)];
  assert.equal(startOf({ day, dayStart: null }, [a, b], now), 540);
  b.log = [tick(at(5, 11, 20), 1)];
  assert.equal(startOf({ day, dayStart: null }, [a, b], now), 680);
  assert.equal(startOf({ day, dayStart: 615 }, [a, b], now), 680);
  assert.equal(startOf({ day, dayStart: 700 }, [a, b], now), 700);
  // What is typed and can't be is refused in a sentence.
  assert.match(tooEarly(615, [a, b], now), /at 11:20 today, .* 10:15 came: type 11:20 or a later time\.$/);
  assert.deepEqual([680, 700].map((min) => tooEarly(min, [a, b], now)), ["", ""]);
  assert.equal(tooEarly(0, [a], now), "", "nothing was done today");
  // Early hours are hours too.
  b.log = [tick(at(5, 6, 0), 1)];
  assert.equal(startOf({ day, dayStart: null }, [a, b], now), 360);
});

test("what has dried by the log, dries no longer", () => {
  const day = { from_min: 540, to_min: 1080, dry_overnight: false, tray_mm: null, break_after: null };
  const dips = [{ from: 2, to: 2, set_s: 30, paint_min: null }, { from: 3, to: 3, set_s: 40, paint_min: 10 }];
  const a = plate("A", dips);
  a.standing = { painted: 2, bitten: 1, due: null, next: { kind: "bite", bite: 2 } };
  a.log = [tick(at(5, 11, 0), 2)];
  const [first, second] = daySpec([a], day, 680, at(5, 14, 0)).plates[0].dips;
  assert.deepEqual([first.dried_min, "dried_min" in second], [20, false]);
  // Over a night, too; and before it was painted nothing dries.
  assert.equal(driedBy(a.log, a.standing, 540, at(6, 8, 0)), 22 * 60);
  assert.equal(driedBy(a.log, a.standing, 600, at(5, 8, 0)), 0);
  assert.equal(driedBy(a.log, { ...a.standing, next: { kind: "paint", stop_out: 2 } }, 680, at(5, 14, 0)), null);
});

test("a plate of which it is not decided how to go on has no times to bite by", () => {
  const dips = [{ from: 2, to: 2, set_s: 60, paint_min: null }];
  const [a, b] = [plate("A", dips), plate("B", dips)];
  b.standing = { ...b.standing, due: { after: 1, dropped: null, respaced: null } };
  const work = (/** @type {number} */ p, /** @type {number} */ from_min) => ({ kind: "bite", plate: p, number: 2, to: 2, from_min, to_min: from_min + 1 });
  const rows = matrix(/** @type {any} */ ({ nights: [], stretches: [work(0, 10), work(1, 20)] }), [a, b]);
  assert.deepEqual([rows[0].cells[0].undecided, rows[1].cells[1].undecided], [false, true]);
  assert.deepEqual(daySpec([a, b], { from_min: 540, to_min: 1080, dry_overnight: false, tray_mm: null, break_after: null }).plates.map((each) => each.undecided), [false, true]);
});

test("what sheets of all plates are without is said where such sheets are among them, and of the bed only while it can't be drawn", () => {
  const kin = (/** @type {string} */ letter) => kinOf({ name: letter, settings: EXAMPLE, good: null, done: NOTHING_DONE, job: { ...jobOf(beginning()), letter, title: letter, id: letter } }, new Blob([letter]), letter);
  const size = { width: 90, height: 180 };
  const facts = /** @type {any} */ ({ plate: { id: "map" }, plate_mm: size, face_mm: size });
  // Of a plan before: it lies on the bed as it did.
  const older = { ...kin("D"), facts };
  const state = /** @type {any} */ ({ ...beginning(), settings: EXAMPLE, plan: { plate_mm: size, face_mm: size, stopouts: [], standing: { painted: 0 }, joins: { to_come: [] } }, family: [older] });
  const sheets = (/** @type {string[]} */ kinds, /** @type {object} */ rest = {}) => /** @type {any} */ ({ kinds, bed: {}, together: null, ...rest });
  assert.equal(lacking(state, sheets(["cover", "run"])), "", "no sheet of all plates is among them");
  assert.equal(lacking(state, sheets(["bed"])), "");
  assert.match(lacking(state, sheets(["together"], { together: {} })), /^The sheets of all plates are without plate D \(being planned\), which has no plan now: save them again when it is planned\.$/);
  const fresh = { ...state, family: [kin("F"), kin("C"), older], row: { registration: {}, plates: [] } };
  assert.equal(lacking(fresh, sheets(["cover"], { bed: null })), "");
  assert.match(lacking(fresh, sheets(["bed"], { bed: null })), /^There is no bed diagram among the sheets: plates C, F have no plan yet\./);
  assert.match(lacking(fresh, sheets(["bed", "registration"], { bed: null })), /^There is no bed diagram and no registration template among/);
  assert.equal(lacking({ ...fresh, family: [] }, sheets(["bed"], { bed: null })), "", "a plate alone has none");
});

test("the run sets the clock once for bites that are one dip", () => {
  const plan = /** @type {any} */ ({ strip: { kind: "measured" }, tones: [0, 5, 10, 20].map((set_s) => ({ set_s })), standing: { next: { kind: "bite", bite: 2 }, due: null, total_s: 5 },
    joins: { to_come: [{ from: 2, to: 3, set_s: 29, shown_total_s: 34 }] } });
  const turn = comes(plan, { steady: 0, wall: 0 });
  assert.deepEqual([turn.phase, turn.number, turn.planned_s, turn.joins?.to], ["ready", 2, 29, 3]);
  plan.joins.to_come = [{ from: 2, to: 2, set_s: 10, shown_total_s: 15 }];
  assert.deepEqual([comes(plan, { steady: 0, wall: 0 }).planned_s, "joins" in comes(plan, { steady: 0, wall: 0 })], [10, false]);
});
