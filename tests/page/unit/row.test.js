/** The family's row: who stands in it, what is asked about it, where its plates lie. */
import assert from "node:assert/strict";
import { test } from "node:test";
import { bedOf, columnsOf, members, movedTo, ordered, ordersOf, pinsOf, placed, plainly, PLAIN_ROW, placeOf, rowOf, specOf, standing, stands, takenOut, waitWords, withLeftOut, withPlace } from "../../../www/row.js";
import { sharedKey } from "../../../www/family.js";
import { fringeWords, timesOf } from "../../../www/stations/plates/fringe.js";
import { briefly, orderFigures, orderWords, weighWords } from "../../../www/stations/plates/joint-words.js";
import { Latest } from "../../../www/stations/plates/latest.js";

const member = (id, width, height = 180, ready = true) => ({ id, letter: id.toUpperCase(), title: id, plate: `map ${id}`, plate_mm: [width, height], face_mm: [width - 3, height - 3], ready });
const family = [member("b", 160), member("a", 120), member("c", 120), member("d", 90)];
const row = rowOf(null, family);

test("every plate of the family stands in the row once, new ones last, gone ones not", () => {
  assert.deepEqual(row.plates.map(({ id }) => id), ["a", "b", "c", "d"]);
  const kept = { ...PLAIN_ROW, plates: [placeOf("d"), placeOf("gone"), placeOf("b"), placeOf("d")] };
  assert.deepEqual(rowOf(kept, family).plates.map(({ id }) => id), ["d", "b", "a", "c"]);
  assert.equal(rowOf(null, family.slice(0, 1)).plates.length, 1);
});

test("members are the plate at hand and the others, ready once they have a plan", () => {
  const facts = { plate: { id: "map" }, plate_mm: { width: 90, height: 180 }, face_mm: { width: 87, height: 177 } };
  const work = { job: { letter: "D", title: "Gantry" }, settings: { plate: { width_mm: 91, height_mm: 181 } } };
  const state = { plateId: "x", letter: "B", title: "Ice house", plan: null, family: [{ id: "d", work, facts }, { id: "e", work, facts: null }] };
  const [own, other, waiting] = members(state);
  assert.deepEqual([own.ready, own.plate, other.ready, other.plate, other.plate_mm, waiting.ready, waiting.plate_mm], [false, null, true, "map", [90, 180], false, [91, 181]]);
  assert.equal(specOf(rowOf(null, members(state)), members(state)), null, "nothing is asked before all have a plan");
});

test("a moved plate takes its pins along, and what was found is taken in its order", () => {
  const pinned = withPlace(row, 3, { place_pinned: true, turned: true, turn_pinned: true });
  const moved = movedTo(pinned, 3, 0);
  assert.deepEqual(moved.plates.map(({ id }) => id), ["d", "a", "b", "c"]);
  const plain = plainly(moved, family);
  assert.deepEqual(plain.plates.map(({ id }) => id), ["a", "b", "c", "d"]);
  assert.deepEqual(pinsOf(moved, plain)[3], { place: 0, turned: true });
  assert.deepEqual(pinsOf(moved, plain)[0], { place: null, turned: null });
  const order = [2, 0, 1, 3].map((plate) => ({ plate, turned: plate === 1 }));
  const next = ordered(moved, plain, order);
  assert.deepEqual(next.plates.map(({ id, turned }) => [id, turned]), [["c", false], ["a", false], ["b", true], ["d", false]]);
  assert.ok(stands(next, plainly(next, family), order) && !stands(moved, plain, order));
  assert.equal(next.plates[3].place_pinned, true);
});

test("orders are counted as they are searched: a whole print turned is the same one", () => {
  const of = (patch, plates = family) => ordersOf({ ...rowOf(null, plates), ...patch }, plates);
  assert.deepEqual([of({}, family.slice(0, 1)), of({ turns: false }), of({}), of({ columns: 2 })], [1, 24, 192, 192]);
  // A last row that is shorter, or tops in line of plates of other heights, is another print from behind.
  assert.deepEqual([of({ columns: 3 }), of({ align: "top" }), of({ align: "top" }, [...family.slice(1), member("b", 160, 150)])], [384, 192, 384]);
  assert.equal(columnsOf({ ...row, columns: 9 }), 4);
});

test("plates lie in line at what they are aligned at, and columns are as wide as their widest", () => {
  const mixed = [member("a", 100, 180), member("b", 80, 150), member("c", 60, 90)];
  const two = { ...rowOf(null, mixed), columns: 2, align: /** @type {const} */ ("foot") };
  const { boxes, rows, width } = placed(two, mixed, { gap: 4, band: 20 });
  assert.deepEqual(boxes[1], { x: 104, y: 30, width: 80, height: 150 });
  assert.deepEqual(boxes[2], { x: 20, y: 200, width: 60, height: 90 });
  assert.deepEqual([rows, width], [[{ top: 0, foot: 180 }, { top: 200, foot: 290 }], 184]);
  const horizons = placed(withPlace({ ...two, columns: null, align: "horizon" }, 0, { horizon_mm: 62, turned: true }), mixed, { gap: 0, band: 0 });
  assert.equal(horizons.boxes[1].y, 118 - 75);
});

test("orders are read out in words, rows parted", () => {
  const letter = (plate) => "ABCD"[plate];
  const order = [2, 0, 1, 3].map((plate) => ({ plate, turned: plate === 1 }));
  assert.equal(orderWords(order, letter, 4), "C · A · B turned · D");
  assert.equal(orderWords(order, letter, 2), "C · A / B turned · D");
  assert.equal(orderFigures({ order, joints: [0.6, 1.1, 1.1], worst: 1.1, sum: 2.8, worst_between: [1, 2] }, letter), "worst joint 1.1 (A | B), sum 2.8 L*");
  assert.equal(orderFigures({ order: [], joints: [], worst: 0, sum: 0, worst_between: null }, letter), "no joint");
});

test("a plate is taken out of the row and comes back as its last; what is asked leaves it out, and the bed has it alone", () => {
  const pinned = withPlace(row, 1, { place_pinned: true, turned: true, horizon_mm: 62 });
  const out = takenOut(pinned, "b", true);
  assert.deepEqual([standing(out).plates.map(({ id }) => id), out.plates.at(-1)], [["a", "c", "d"], { id: "b", turned: true, place_pinned: false, turn_pinned: false, horizon_mm: 62, out: true }]);
  assert.deepEqual(specOf(standing(out), family).plates.map(({ letter }) => letter), ["A", "C", "D"]);
  // The row is moved about without it, and it stays out.
  const moved = withLeftOut(movedTo(standing(out), 0, 2), out);
  assert.deepEqual(moved.plates.map(({ id, out: over }) => [id, Boolean(over)]), [["c", false], ["d", false], ["a", false], ["b", true]]);
  assert.deepEqual(rowOf(moved, family).plates.map(({ id }) => id), ["c", "d", "a", "b"]);
  const back = takenOut(moved, "b", false);
  assert.deepEqual([back.plates.at(-1).id, "out" in back.plates.at(-1), standing(back).plates.length], ["b", false, 4]);
});

test("what prints over others lies on the bed by itself, and all of it where none stands in the row", () => {
  const facts = (id) => ({ plate: { id }, plate_mm: { width: 90, height: 180 }, face_mm: { width: 87, height: 177 } });
  const kin = (id) => ({ id, work: { job: { letter: id.toUpperCase(), title: id }, settings: { plate: { width_mm: 90, height_mm: 180 } } }, facts: facts(id), refused: null });
  const state = { plateId: "a", letter: "A", title: "a", plan: { plate_mm: { width: 60, height: 40 }, face_mm: { width: 57, height: 37 } }, family: [kin("b"), kin("c")], row: null };
  assert.ok(!("over" in bedOf(state)), "a row of all plates is asked as it always was");
  const some = bedOf({ ...state, row: takenOut(rowOf(null, members(state)), "b", true) });
  assert.deepEqual([some.row.plates, some.over].map((list) => list.map(({ letter }) => letter)), [["A", "C"], ["B"]]);
  const none = ["a", "b", "c"].reduce((kept, id) => takenOut(kept, id, true), rowOf(null, members(state)));
  const alone = bedOf({ ...state, row: none });
  assert.deepEqual([alone.row.plates, alone.over].map((list) => list.map(({ letter }) => letter)), [["A"], ["A", "B", "C"]]);
  assert.equal(bedOf({ ...state, plan: null }), null);
});

test("a plate whose plan is of before says so, whether it is planned again or refused", () => {
  const settings = { plate: { width_mm: 91, height_mm: 181 }, pending: 1 };
  const facts = { plate: { id: "map" }, plate_mm: { width: 90, height: 180 }, face_mm: { width: 87, height: 177 } };
  const work = { job: { letter: "D", title: "Gantry", proof: { grain: null } }, settings, done: null };
  const kin = (patch) => ({ id: "d", work, facts, refused: null, of: { work, shared: sharedKey(settings) }, ...patch });
  const state = (patch, other = {}) => ({ plateId: "x", letter: "B", title: "Ice house", plan: { plate_mm: { width: 60, height: 40 }, face_mm: { width: 57, height: 37 } }, settings, planned: settings, drawing: 1, plannedDrawing: 1, family: [kin(other)], ...patch });
  const old = (...all) => members(state(...all)).map((each) => each.old);
  assert.deepEqual(old({}), [false, false]);
  assert.equal(waitWords(members(state({}))), "");
  assert.deepEqual(old({ planned: { ...settings } }), [true, false]);
  assert.deepEqual(old({ plannedDrawing: 0 }), [true, false]);
  assert.deepEqual(old({}, { of: null }), [false, true]);
  assert.match(waitWords(members(state({}, { of: null }))), /^Plate D is being planned anew: what is greyed is of the plan before\.$/);
  assert.match(waitWords(members(state({}, { refused: "It makes no plan." }))), /^Plate D makes no plan as wanted now/);
  assert.match(waitWords(members(state({}, { facts: null, refused: "It makes no plan." }))), /^Plate D makes no plan; the card above says why/);
  assert.match(waitWords(members(state({ plan: null }, { facts: null }))), /^Plates B, D are still being planned: joints come when all have a plan\.$/);
  assert.match(waitWords(members(state({}, { facts: null, refused: "It makes no plan." })), "the bed comes"), /says why\. The bed comes when all have a plan\.$/);
  // Stopped, nobody plans it.
  const halted = { of: null, stopped: { work, shared: sharedKey(settings) } };
  assert.match(waitWords(members(state({}, halted))), /^The planning of plate D was stopped, and goes on when that is asked for above: what is greyed is of the plan before\.$/);
  assert.match(waitWords(members(state({}, { ...halted, facts: null })), "the bed comes"), /^The planning of plate D was stopped, .*: the bed comes when all have a plan\.$/);
  assert.match(waitWords(members(state({}, { ...halted, stopped: { work, shared: "" } }))), /being planned anew/, "what was stopped is not what is wanted now");
  // By their letters, whichever is at hand.
  assert.match(waitWords(members(state({ letter: "E", plan: null }, { facts: null }))), /^Plates D, E are still/);
});

test("a joint's figure is in the unit that is counted, and what does not meet says what it counts as", () => {
  const joint = { between: [0, 1], down: false, tone: 4.1, slip_mm: 0, shape_mm: 3, cost: 14.1, looks: "breaks" };
  assert.deepEqual(briefly(joint, "mm", "tone"), { tone: "4.1 L*", shape: "3 mm" });
  assert.deepEqual(briefly(joint, "mm", "both"), { tone: "14.1 L*", shape: "tones 4.1, 3 mm" });
  assert.deepEqual(briefly({ ...joint, tone: null, shape_mm: null, cost: 100 }, "mm"), { tone: "100.0 L*", shape: "do not meet" });
  assert.equal(weighWords("tone", "mm", 0), "");
  assert.match(weighWords("both", "mm", 0), /1\.5 mm apart count as 5 L\*/);
  assert.match(weighWords("tone", "mm", 2), /2 joints do not meet.*counts as 100 L\*, here and in the search/);
});

test("a fringe says its widths, and is drawn as many times broader as can still be seen", () => {
  const of = (edges, width = 120) => ({ letter: "A", plate: { x: 0, y: 0, width, height: 180 }, before: { x: 0, y: 0, width, height: 180 }, edges });
  const mm = (value) => `${value.toFixed(2)} mm`;
  assert.equal(fringeWords(of([-1.2, 0.001, -0.18, 0.18]), mm), "A: 1.20 mm at the left, 0.18 mm at the top, 0.18 mm at the foot");
  assert.equal(fringeWords(of([0, 0, 0, 0]), mm), "A: none");
  // 16 % of 120 mm are 19.2: ten times 1.2, and one time 15.
  assert.deepEqual([timesOf([of([-1.2, 0, 0, 0])]), timesOf([of([15, 0, 0, 0])]), timesOf([of([0, 0, 0, 0])])], [10, 1, 1]);
});

test("a long question shows its progress, and tells when it was stopped", async () => {
  const stopped = Object.assign(new Error("Stopped."), { code: "stopped" });
  let calls = 0;
  const seen = [];
  const desk = { busy: (stage, work) => { seen.push(stage); return work((_stage, share) => seen.push(share)); }, bridge: { call: async (_call, _args, told) => { calls += 1; told?.("orders", 0.5); throw stopped; } } };
  let ended = 0;
  const found = new Latest(/** @type {any} */ (desk), "rows_find", () => {}, { stage: "looking through the orders", stopped: () => { ended += 1; } });
  found.ask(/** @type {any} */ ({ most: 1 }));
  await new Promise((done) => setTimeout(done, 0));
  assert.deepEqual([calls, ended, found.busy, seen], [1, 1, false, ["looking through the orders", 0.5]]);
});
