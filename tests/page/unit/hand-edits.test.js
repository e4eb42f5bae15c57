import assert from "node:assert/strict";
import test from "node:test";
import * as hand from "../../../www/hand-edits.js";
import { EXAMPLE, forDrawing } from "../../../www/settings.js";
import { pictureKey, planStale } from "../../../www/stale.js";

/** @typedef {[number, number]} Point */

test("a line is thinned out and stays within 0.05 mm of what was drawn", () => {
  /** @type {Point[]} */
  const drawn = Array.from({ length: 800 }, (_, i) => [40 + 25 * Math.cos(i / 60) + i / 50, 60 + 18 * Math.sin(i / 41)]);
  const kept = hand.pathPoints(hand.pathText(drawn));
  assert.ok(kept.length < 200, `${kept.length} of 800`);
  for (const point of drawn) {
    const off = Math.min(...kept.slice(1).map((b, i) => hand.distance(point, kept[i], b)));
    assert.ok(off <= 0.05, `${off} mm`);
  }
  assert.equal(hand.pathText([[1, 2], [1.5, 2], [2, 2.001]]), "1,2 2,2");
  assert.equal(hand.pathText([[3.14159, 2]]), "3.14,2");
});

test("a speck and a straight line go round nothing", () => {
  assert.equal(hand.goesRound([[1, 1], [5, 5], [9, 9]]), false);
  assert.equal(hand.goesRound([[1, 1], [1.05, 1], [1.05, 1.05]]), false);
  assert.equal(hand.goesRound([[1, 1], [3, 1], [2, 3]]), true);
});

test("edits are added and taken back without touching the others", () => {
  const stroke = /** @type {const} */ ({ kind: "stroke", path: "1,1 2,2", width_mm: 2, tone: 3 });
  const two = hand.withEdit(hand.withEdit(EXAMPLE, stroke), { kind: "keep", at: [4, 5] });
  assert.deepEqual(EXAMPLE.hand, []);
  assert.equal(two.hand[0], stroke, "shared, not copied");
  assert.deepEqual(hand.withoutEdit(two, 0).hand, [{ kind: "keep", at: [4, 5] }]);
  assert.equal(hand.editWords(stroke), "brush 2 mm: tone 3");
  assert.equal(hand.editWords(stroke, 3), "brush 2 mm: tone 3, the plate's darkest is 2");
  const shaped = hand.withShape(hand.withShape(EXAMPLE, "1,1 2,2 3,1", true), "5,5 6,6 7,5", true);
  assert.deepEqual(hand.withoutShape(shaped, 0).resist, { kind: "drawn", shapes: ["5,5 6,6 7,5"], open_inside: true });
  assert.equal(hand.withoutShape(hand.withoutShape(shaped, 0), 0).resist, null);
});

test("what is set by hand makes the plan and the plate's pictures stale, and not the drawing's", () => {
  const spec = (/** @type {"stopout" | "drawing"} */ kind) => /** @type {any} */ ({ kind, number: 1, view: "plate", width: 9, height: 9 });
  const edited = hand.withEdit(EXAMPLE, { kind: "keep", at: [4, 5] });
  assert.equal(planStale(EXAMPLE, edited, 1, 1), true);
  assert.equal(planStale(edited, { ...edited }, 1, 1), false);
  assert.notEqual(pictureKey(spec("stopout"), edited, 1), pictureKey(spec("stopout"), EXAMPLE, 1));
  assert.equal(pictureKey(spec("drawing"), edited, 1), pictureKey(spec("drawing"), EXAMPLE, 1));
  assert.equal(pictureKey(spec("stopout"), hand.withoutEdit(edited, 0), 1), pictureKey(spec("stopout"), EXAMPLE, 1), "taken back, it is as it was");
});

test("another drawing gives up what was drawn on the one before", () => {
  const info = /** @type {any} */ ({ width: 100, height: 100, px_per_mm: null });
  const drawn = hand.withShape(hand.withEdit(EXAMPLE, { kind: "keep", at: [4, 5] }), "1,1 2,2 3,1", true);
  const next = forDrawing(drawn, info);
  assert.deepEqual([next.settings.hand, next.settings.resist, next.handed], [[], null, true]);
  assert.equal(forDrawing(EXAMPLE, info).handed, false);
  const outline = /** @type {any} */ ({ ...EXAMPLE, resist: { kind: "outline", darker_than: null } });
  assert.deepEqual(forDrawing(outline, info).settings.resist, outline.resist, "the next drawing has an outline too");
});
