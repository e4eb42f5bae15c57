import assert from "node:assert/strict";
import { test } from "node:test";
import { asPlanned, comes, fits, justPainted, where } from "../../../www/run/comes.js";

const at = { steady: 5, wall: 7 };
const plan = (standing, set_s = [0, 7, 8, 11]) => /** @type {any} */ ({
  strip: { kind: "user" }, tones: set_s.map((seconds) => ({ set_s: seconds })),
  standing: { painted: 0, bitten: 0, due: null, back: null, total_s: 0, next: { kind: "paint", stop_out: 1 }, ...standing },
});
const run = (part) => /** @type {any} */ ({ phase: "ready", number: 2, back: false, planned_s: 99, before_s: 99, ...part });

test("what comes follows from the log, and what is to be decided comes before anything is painted or bitten", () => {
  assert.deepEqual(comes(plan({}), at), { phase: "paint", number: 1, back: false, conflict: null, planned_s: null, timing: { what: "painting", from: at, length_ms: null, spent_ms: 0 } });
  assert.deepEqual(comes(plan({ painted: 2, bitten: 1, total_s: 7, next: { kind: "bite", bite: 2 } }), at), { phase: "ready", number: 2, back: false, conflict: null, timing: null, planned_s: 8, before_s: 7 });
  assert.equal(comes(plan({ painted: 2, bitten: 2, due: { after: 2 }, next: { kind: "paint", stop_out: 3 } }), at).phase, "out");
  assert.equal(comes(plan({ painted: 3, bitten: 3, next: { kind: "finished" } }), at).phase, "finished");
});

test("without a strip nothing is set, and the clock counts up", () => {
  const none = plan({ painted: 1, next: { kind: "bite", bite: 1 } }, [0, NaN, NaN, NaN]);
  assert.equal(comes(none, at).planned_s, null);
  none.strip.kind = "missing";
  none.tones[1].set_s = 7;
  assert.equal(comes(none, at).planned_s, null, "nor by a time that stands there all the same");
});

test("a turn left half way fits only where the log still asks for it", () => {
  const { standing } = plan({ painted: 2, bitten: 1, next: { kind: "bite", bite: 2 } });
  for (const [phase, number, yes] of [["ready", 2, true], ["dry", 2, true], ["ready", 1, false], ["paint", 2, false], ["out", 1, false], ["bite", 2, false]]) {
    assert.equal(fits(run({ phase, number }), standing), yes, `${phase} ${number}`);
  }
  const out = plan({ painted: 2, bitten: 2, next: { kind: "paint", stop_out: 3 } }).standing;
  assert.ok(fits(run({ phase: "out" }), out));
  assert.ok(fits(run({ back: true }), out));
  assert.ok(!fits(run({ phase: "paint", number: 3 }), { ...out, due: /** @type {any} */ ({ after: 2 }) }), "not before it is decided how to go on");
});

test("a stop-out that the log has and its turn does not is drying, unless there is nothing to dry or the log has gone on", () => {
  const painting = run({ phase: "paint", number: 2 });
  const log = [1, 2].map((stop_out) => /** @type {any} */ ({ kind: "painted", stop_out, at_ms: 10 * stop_out }));
  const planned = (standing, shares = [0.1, 0.2]) => /** @type {any} */ ({ ...plan({ painted: 2, bitten: 1, next: { kind: "bite", bite: 2 }, ...standing }), stopouts: shares.map((new_share) => ({ new_share })) });
  assert.equal(justPainted(painting, planned({}), log)?.at_ms, 20);
  assert.equal(justPainted(painting, planned({}, [0.1, 0]), log), undefined, "nothing to dry");
  assert.equal(justPainted(painting, planned({ next: { kind: "paint", stop_out: 3 } }), log), undefined, "bitten since");
  assert.equal(justPainted(painting, planned({ due: { after: 1 } }), log), undefined, "it is asked how to go on");
  assert.equal(justPainted(run({ phase: "out", number: 2 }), planned({}), log), undefined, "another turn");
});

test("a clock not started yet is set to the time of now", () => {
  assert.deepEqual(asPlanned(run({}), plan({ total_s: 7 })), { planned_s: 8, before_s: 7 });
  assert.deepEqual(asPlanned(run({ back: true }), plan({ total_s: 10, back: { bite: 2, set_s: 5 } })), { planned_s: 5, before_s: 10 });
  assert.deepEqual(asPlanned(run({ phase: "out" }), plan({})), {}, "what a clock was set to stays");
});

test("where the run is, in words", () => {
  assert.equal(where(run({ number: 9, back: true }), 9), "bite 9 of 9, once more; tone 9 alone is bare");
  assert.equal(where(run({ phase: "dry" }), 9), "stop-out 2 of 9");
});
