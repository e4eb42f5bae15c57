/** The family's row: who stands in it, what is asked about it, where its plates lie. */
import assert from "node:assert/strict";
import { test } from "node:test";
import { columnsOf, members, movedTo, ordered, ordersOf, pinsOf, placed, plainly, PLAIN_ROW, placeOf, rowOf, specOf, stands, withPlace } from "../../../www/row.js";
import { orderFigures, orderWords } from "../../../www/stations/plates/joint-words.js";

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
