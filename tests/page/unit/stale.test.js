import assert from "node:assert/strict";
import test from "node:test";
import { EXAMPLE } from "../../../www/settings.js";
import { pictureKey, planStale } from "../../../www/stale.js";

const proof = { paper: null, plate_tone: 0 };
/** @type {Record<string, any>} */
const specs = {
  drawing: { kind: "drawing", view: "print", width: 10, height: 10 },
  tones: { kind: "tones", view: "print", width: 10, height: 10 },
  stopout: { kind: "stopout", number: 3, view: "plate", width: 10, height: 10 },
  removed: { kind: "removed", view: "print", width: 10, height: 10 },
  lines: { kind: "lines", view: "print", width: 10, height: 10 },
  proof: { kind: "proof", view: "print", width: 10, height: 10, grain: true, proof },
};
/** @param {any} settings @param {number} [drawing] */
const changed = (settings, drawing = 1) => Object.keys(specs).filter((kind) => pictureKey(specs[kind], settings, drawing) !== pictureKey(specs[kind], EXAMPLE, 1));

test("only what a change touches is asked for again", () => {
  assert.deepEqual(changed({ ...EXAMPLE }), []);
  assert.deepEqual(changed({ ...EXAMPLE, mark_mm: 2 }), ["tones", "stopout", "removed", "lines", "proof"]);
  assert.deepEqual(changed({ ...EXAMPLE, lines: "etched" }), ["tones", "stopout", "removed", "lines", "proof"]);
  assert.deepEqual(changed({ ...EXAMPLE, painted: [{ number: 1, minutes: 9, done: null }] }), [], "minutes are in no picture");
  assert.deepEqual(changed({ ...EXAMPLE, strip: { id: "2", readings: [[0, 90], [10, 50], [20, 30]] } }), ["tones", "removed", "proof"]);
  assert.deepEqual(changed({ ...EXAMPLE, fit: "contain" }), ["drawing", "tones", "stopout", "removed", "lines", "proof"]);
  assert.deepEqual(changed(EXAMPLE, 2), ["drawing", "tones", "stopout", "removed", "lines", "proof"]);
});

test("another view, number or size is another picture", () => {
  for (const part of [{ view: "print" }, { number: 4 }, { width: 11 }]) {
    assert.notEqual(pictureKey({ ...specs.stopout, ...part }, EXAMPLE, 1), pictureKey(specs.stopout, EXAMPLE, 1));
  }
});

test("the plan is made again for other settings or another drawing only", () => {
  assert.equal(planStale(null, EXAMPLE, -1, 1), true);
  assert.equal(planStale(EXAMPLE, { ...EXAMPLE }, 1, 1), false);
  assert.equal(planStale(EXAMPLE, { ...EXAMPLE, tones: 9 }, 1, 1), true);
  assert.equal(planStale(EXAMPLE, EXAMPLE, 1, 2), true);
});

test("what is done to the metal makes what it holds fast stale, and nothing else", () => {
  const done = { log: [{ at_ms: 0, note: "", kind: "painted", stop_out: 1, minutes: null }], kept: null };
  const stale = Object.keys(specs).filter((kind) => pictureKey(specs[kind], EXAMPLE, 1, done) !== pictureKey(specs[kind], EXAMPLE, 1, { log: [], kept: null }));
  assert.deepEqual(stale, ["tones", "stopout", "removed", "lines", "proof"]);
  assert.equal(pictureKey(specs.stopout, EXAMPLE, 1, done), pictureKey(specs.stopout, EXAMPLE, 1, done));
});
