/** What the run knows of the turns to come, without a browser: while plates are planned, and where a planning was stopped. */
import assert from "node:assert/strict";
import { test } from "node:test";
import { kinOf, sharedKey } from "../../../www/family.js";
import { jobOf } from "../../../www/keeping/work.js";
import { EXAMPLE } from "../../../www/settings.js";
import { beginning, NOTHING_DONE } from "../../../www/state.js";
import { allPlates } from "../../../www/stations/bath/all.js";

const facts = /** @type {any} */ ({
  plate: { id: "map", letter: "B", title: "B" }, plate_mm: { width: 100, height: 80 }, stopouts: [{ number: 1, new_share: 0.2, islands: 4, paint_min: 6 }], tones: [],
  standing: { painted: 0, bitten: 0, due: null, next: { kind: "paint", stop_out: 1 } }, joins: { dips: [[1, 1]], to_come: [{ from: 1, to: 1, set_s: null }] },
});
/** A family of the plate at hand and two others, without a strip, so that no worker is asked for the order. */
function desk() {
  const kins = ["B", "C"].map((letter) => kinOf(/** @type {any} */ ({ name: `${letter}.png`, settings: EXAMPLE, good: null, done: NOTHING_DONE, job: { ...jobOf(beginning()), letter, title: letter, id: letter } }), new Blob([letter]), letter));
  const of = (/** @type {import("../../../www/family.js").Kin} */ kin) => ({ work: kin.work, shared: sharedKey(EXAMPLE) });
  const plan = { ...facts, strip: { kind: "missing" }, bath: { pair: { verdict: "safe" } } };
  const family = [{ ...kins[0], facts, of: of(kins[0]) }, kins[1]];
  return { stop: () => ({ ...family[1], stopped: of(family[1]) }), it: /** @type {any} */ ({ state: { ...beginning(), info: {}, drawing: 1, plannedDrawing: 1, planned: EXAMPLE, settings: EXAMPLE, plan, plannedDone: NOTHING_DONE, done: NOTHING_DONE, plateId: "A", letter: "A", family } }) };
}
const run = /** @type {any} */ ({ id: "A", phase: "next" });

test("while a plate is planned the turns are not known, and another may be taken all the same; one that was stopped is not waited for", () => {
  const { it, stop } = desk();
  const all = allPlates(it, () => {});
  const before = all.view(run, null);
  assert.deepEqual([before.known, before.turn, before.absent], [false, null, ["C (being planned)"]]);
  assert.equal(all.view(run, "B").turn?.plate.letter, "B", "chosen before the order is known");
  it.state = { ...it.state, family: [it.state.family[0], stop()] };
  const after = all.view(run, null);
  assert.deepEqual([after.known, after.turn?.plate.letter, after.absent], [true, "A", ["C (its planning was stopped)"]]);
});

test("what the log at hand does not say yet is waited for, whatever is chosen", () => {
  const { it } = desk();
  it.state = { ...it.state, plannedDone: null };
  assert.deepEqual([allPlates(it, () => {}).view(run, "B")].map(({ known, turn }) => [known, turn]), [[false, null]]);
});
