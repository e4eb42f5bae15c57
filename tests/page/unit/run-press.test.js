import assert from "node:assert/strict";
import { test } from "node:test";
import { BOUNCE_MS, confirms, DOUBLE_MS, HELD_MS, Press } from "../../../www/run/press.js";

function hand({ lateTimers = false } = {}) {
  let time = 1000;
  let timers = [];
  const acts = [];
  const held = [];
  const press = new Press({
    now: () => ({ steady: time, wall: time }),
    later(work, ms) { const timer = { work, at: time + ms }; timers.push(timer); return timer; },
    never(timer) { timers = timers.filter((each) => each !== timer); },
    act: (at) => acts.push(at.steady),
    holding: (down) => held.push(down),
    half: () => held.push("half"),
  });
  return {
    press, acts, held,
    pass(ms) {
      time += ms;
      if (lateTimers) return;
      for (const timer of timers.filter((each) => each.at <= time)) {
        timers = timers.filter((each) => each !== timer);
        timer.work();
      }
    },
  };
}

test("a press held 0.8 s acts, and counts from the moment it began", () => {
  const { press, acts, held, pass } = hand();
  press.down(1);
  pass(HELD_MS - 1);
  assert.deepEqual(acts, []);
  pass(1);
  assert.deepEqual(acts, [1000]);
  press.up(1);
  assert.deepEqual([acts, held], [[1000], [true, false]]);
});

test("a press let go early, or taken away, is dropped", () => {
  const { press, acts, pass } = hand();
  press.down(1);
  pass(HELD_MS - 1);
  press.up(1);
  pass(5000);
  press.down(2);
  pass(300);
  press.drop();
  pass(5000);
  assert.deepEqual(acts, []);
});

test("a timer that comes late changes nothing: the clock says it was held", () => {
  const { press, acts, pass } = hand({ lateTimers: true });
  press.down(1);
  pass(950);
  press.up(1);
  assert.deepEqual(acts, [1000]);
});

test("a second finger neither starts nor ends the first one's press", () => {
  const { press, acts, pass } = hand();
  press.down(1);
  pass(400);
  press.down(2);
  press.up(2);
  pass(400);
  assert.deepEqual(acts, [1000]);
});

test("a key acts at once; where it must come twice, the first of the two counts", () => {
  const { press, acts, held, pass } = hand();
  press.key();
  assert.deepEqual(acts, [1000]);
  press.double = true;
  pass(2000);
  press.key();
  assert.deepEqual([acts, held.at(-1)], [[1000], "half"]);
  pass(DOUBLE_MS);
  press.key();
  assert.deepEqual(acts, [1000, 3000]);
});

test("two single keys far apart do not stop, nor does a bouncing pedal", () => {
  const { press, acts, pass } = hand();
  press.double = true;
  press.key();
  pass(BOUNCE_MS - 1);
  press.key();
  pass(DOUBLE_MS + 1);
  press.key();
  pass(DOUBLE_MS + 1);
  press.key();
  assert.deepEqual(acts, []);
});

test("another screen forgets what was begun on the one before", () => {
  const { press, acts, pass } = hand();
  press.double = true;
  press.key();
  press.down(1);
  press.clear();
  press.key();
  pass(5000);
  assert.deepEqual(acts, []);
});

test("keys of a pedal confirm; held ones, those with others, and letters don't", () => {
  for (const key of [" ", "Enter", "PageDown", "PageUp", "ArrowRight", "F13"]) assert.ok(confirms({ key }), key);
  assert.deepEqual([{ key: " ", repeat: true }, { key: "Enter", ctrlKey: true }, { key: "z" }, { key: "Tab" }, { key: "Escape" }].map(confirms), [false, false, false, false, false]);
});

test("a bounce is one on the next screen too, where once is enough", () => {
  const { press, acts, pass } = hand();
  press.key();
  press.clear();
  pass(BOUNCE_MS - 1);
  press.key();
  pass(BOUNCE_MS);
  press.key();
  assert.deepEqual(acts, [1000, 1000 + 2 * BOUNCE_MS - 1]);
});

test("only the touch that presses is taken away, and a press heard of late is held from when it began", () => {
  const { press, acts, pass } = hand();
  press.down(1);
  press.cancel(2);
  pass(HELD_MS);
  assert.deepEqual(acts, [1000]);
  press.down(3, { steady: 1000 + HELD_MS - 300, wall: 0 });
  pass(HELD_MS - 301);
  assert.equal(acts.length, 1);
  pass(1);
  assert.deepEqual(acts, [1000, 1000 + HELD_MS - 300]);
  press.down(4);
  press.cancel(4);
  pass(HELD_MS);
  assert.equal(acts.length, 2);
});
