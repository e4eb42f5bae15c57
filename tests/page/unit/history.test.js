import assert from "node:assert/strict";
import test from "node:test";
import { DEPTH, empty, record, redo, settle, undo, without } from "../../../www/history.js";

test("undo and redo walk the same way back and forth", () => {
  let history = empty();
  let now = 0;
  for (let i = 1; i <= 5; i++) {
    history = record(history, `to ${i}`, now);
    now = i;
  }
  const names = [];
  for (let step = undo(history, now); step; step = undo(history, now)) {
    names.push(step.name);
    ({ history, value: now } = step);
  }
  assert.deepEqual(names, ["to 5", "to 4", "to 3", "to 2", "to 1"]);
  assert.equal(now, 0);
  for (let step = redo(history, now); step; step = redo(history, now)) ({ history, value: now } = step);
  assert.equal(now, 5);
});

test("one gesture is one step, until it is settled", () => {
  let history = record(empty(), "break 4 moved", "a", "drag 1");
  history = record(history, "break 4 moved", "b", "drag 1");
  assert.equal(history.past.length, 1);
  assert.equal(undo(history, "c")?.value, "a");
  history = record(settle(history), "break 4 moved", "c", "drag 1");
  assert.equal(history.past.length, 2);
});

test("a new change forgets what was undone", () => {
  let history = record(record(empty(), "one", 0), "two", 1);
  const back = undo(history, 2);
  assert.ok(back);
  history = record(back.history, "three", back.value);
  assert.equal(redo(history, 3), null);
});

test("a refused value is forgotten both ways", () => {
  const bad = { tones: 17 };
  const history = record(record(record(empty(), "one", { tones: 2 }), "bad", { tones: 3 }), "two", bad);
  assert.deepEqual(without(history, (value) => value === bad).past.map((step) => step.name), ["one", "bad"]);
  const back = undo(record(empty(), "bad", { tones: 2 }), bad);
  assert.ok(back);
  assert.equal(redo(without(back.history, (value) => value === bad), back.value), null);
});

test("at least 200 steps are kept, and not without end", () => {
  let history = empty();
  for (let i = 0; i < 1000; i++) history = record(history, `${i}`, i);
  assert.ok(DEPTH >= 200);
  assert.equal(history.past.length, DEPTH);
  assert.equal(undo(history, 1000)?.value, 999);
  assert.equal(undo(empty(), 0), null);
});
