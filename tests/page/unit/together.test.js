/** All plates at one bath, without a browser: dips as the log takes them, rows in time order. */
import assert from "node:assert/strict";
import { test } from "node:test";
import { bathPlates, biteName, daySpec, dipEntries, matrix, wholeDip } from "../../../www/together.js";
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
const plate = (letter, dips) => /** @type {any} */ ({ id: letter, letter, dips, size_mm: [100, 100], standing: { painted: 0, bitten: 0, next: { kind: "paint", stop_out: 1 } } });

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
  const kin = (/** @type {string} */ letter, /** @type {any} */ has) => ({ id: letter, work: { job: { letter, title: "" } }, facts: has });
  const state = /** @type {any} */ ({ plateId: "x", letter: "C", title: "", plan: { ...facts, strip: { kind: "measured" }, standing: { ...facts.standing, painted: 1 } }, family: [kin("B", facts), kin("A", facts), kin("D", null)] });
  const { plates, absent } = bathPlates(state);
  assert.deepEqual([plates.map((each) => each.letter), absent], [["A", "B", "C"], ["D"]]);
  assert.deepEqual(plates[0].dips.map((dip) => dip.paint_min), [0, 9]);
  assert.equal(plates[2].dips[0].paint_min, null);
});

test("the run sets the clock once for bites that are one dip", () => {
  const plan = /** @type {any} */ ({ strip: { kind: "measured" }, tones: [0, 5, 10, 20].map((set_s) => ({ set_s })), standing: { next: { kind: "bite", bite: 2 }, due: null, total_s: 5 },
    joins: { to_come: [{ from: 2, to: 3, set_s: 29, shown_total_s: 34 }] } });
  const turn = comes(plan, { steady: 0, wall: 0 });
  assert.deepEqual([turn.phase, turn.number, turn.planned_s, turn.joins?.to], ["ready", 2, 29, 3]);
  plan.joins.to_come = [{ from: 2, to: 2, set_s: 10, shown_total_s: 15 }];
  assert.deepEqual([comes(plan, { steady: 0, wall: 0 }).planned_s, "joins" in comes(plan, { steady: 0, wall: 0 })], [10, false]);
});
