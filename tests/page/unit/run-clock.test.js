import assert from "node:assert/strict";
import { test } from "node:test";
import { agreed, APART_MS, digits, left, leftSeconds, likely, momentAt, passed, reached, timing } from "../../../www/run/clock.js";

/** Two clocks as a machine has them: both go on, one can be set. */
function clocks() {
  const at = { steady: 1_700_000_000_000, wall: 1_700_000_000_000 };
  return {
    now: () => ({ ...at }),
    pass(ms) { at.steady += ms; at.wall += ms; },
    set(ms) { at.wall += ms; },
    sleep(ms) { at.wall += ms; },
  };
}

test("a moment that the wall clock noted is as long ago by both clocks", () => {
  const clock = clocks();
  clock.set(-3_600_000);
  clock.pass(500);
  const { wall } = clock.now();
  clock.pass(90_000);
  const drying = timing("drying", 1_200_000, momentAt(wall, clock.now()));
  assert.deepEqual(passed(drying, clock.now()), { kind: "sure", ms: 90_000 });
});

test("what has passed is a difference, however rarely anybody looks", () => {
  const clock = clocks();
  const bite = timing("bite", 25_000, clock.now());
  clock.pass(90_000);
  assert.deepEqual(passed(bite, clock.now()), { kind: "sure", ms: 90_000 });
  assert.equal(left(bite, 90_000), -65_000);
  assert.equal(left(timing("bite", null, clock.now()), 5), null, "no length, nothing left: it counts up");
});

test("small corrections of the wall clock pass, larger ones are a conflict with both told", () => {
  for (const by of [-APART_MS, -300, 0, 300, APART_MS]) {
    const clock = clocks();
    const bite = timing("bite", 25_000, clock.now());
    clock.pass(10_000);
    clock.set(by);
    assert.deepEqual(passed(bite, clock.now()), { kind: "sure", ms: 10_000 }, `${by}`);
  }
  // Set by an hour either way, as at the turn of summer time where somebody does it by hand; or slept with the steady clock standing still.
  for (const by of [3_600_000, -3_600_000, APART_MS + 1]) {
    const clock = clocks();
    const bite = timing("bite", 25_000, clock.now());
    clock.pass(10_000);
    clock.set(by);
    assert.deepEqual(passed(bite, clock.now()), { kind: "conflict", steady_ms: 10_000, wall_ms: 10_000 + by });
  }
});

test("an answer holds from then on, and a second conflict is asked about again", () => {
  const clock = clocks();
  let bite = timing("bite", 60_000, clock.now());
  clock.pass(10_000);
  clock.sleep(20_000);
  assert.equal(passed(bite, clock.now()).kind, "conflict");
  bite = agreed(bite, clock.now(), 30_000);
  clock.pass(5_000);
  assert.deepEqual(passed(bite, clock.now()), { kind: "sure", ms: 35_000 });
  clock.set(-7_200_000);
  assert.equal(passed(bite, clock.now()).kind, "conflict");
});

test("an answer that nobody can mean is not offered", () => {
  assert.deepEqual([-1, 0, 86_400_000, 86_400_001, NaN].map(likely), [false, true, true, false, false]);
});

test("digits of what is left: 0:00 only when nothing is left", () => {
  assert.deepEqual([25_000, 24_999, 1_000, 1, 0, -1, -999, -1_000, -61_500].map((ms) => digits(leftSeconds(ms))),
    ["0:25", "0:25", "0:01", "0:01", "0:00", "0:00", "0:00", "−0:01", "−1:01"]);
  assert.deepEqual([0, 59, 61, 3_599, 3_600, 36_061].map(digits), ["0:00", "0:59", "1:01", "59:59", "1:00:00", "10:01:01"]);
});

test("marks are told once, also those slept through", () => {
  const marks = [{ name: "ten", left_ms: 10_000 }, { name: "time", left_ms: 0 }];
  const names = (before, after) => reached(marks, before, after).map((mark) => mark.name);
  assert.deepEqual(names(10_100, 10_000), ["ten"]);
  assert.deepEqual(names(10_000, 9_900), []);
  assert.deepEqual(names(60_000, -5_000), ["ten", "time"]);
  assert.deepEqual(names(0, -100), []);
});
