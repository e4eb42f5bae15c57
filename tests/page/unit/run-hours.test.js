import assert from "node:assert/strict";
import { test } from "node:test";
import { hourWords, readHour } from "../../../www/run/hours.js";

test("times of day as people write them", () => {
  const cases = { 9: 540, "9:30": 570, "9.30": 570, "9h05": 545, "9:30 pm": 1290, "12 am": 0, "12:15 pm": 735, "0:00": 0, "24:00": 1440 };
  for (const [text, min] of Object.entries(cases)) assert.equal(readHour(text), min, text);
  for (const text of ["", "banana", "9:60", "25", "24:01", "-1", "13 pm", "0 am", "9:5"]) assert.equal(readHour(text), null, text);
});

test("minutes of any day as a time of day", () => {
  assert.deepEqual([0, 545, 1439, 1440, 1500, 544.6].map(hourWords), ["0:00", "9:05", "23:59", "0:00", "1:00", "9:05"]);
});
