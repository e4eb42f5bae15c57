// Expectations are arithmetic done by hand, and the definition of the inch (25.4 mm, 1959 agreement).
import assert from "node:assert/strict";
import test from "node:test";
import * as f from "../../../www/format.js";

test("seconds become m:ss and come back", () => {
  for (const [seconds, text] of [[0, "0:00"], [8, "0:08"], [65, "1:05"], [560, "9:20"], [3600, "60:00"]]) {
    assert.equal(f.clock(seconds), text);
    assert.equal(f.readTime(text), seconds);
  }
  assert.equal(f.clock(59.6), "1:00", "rounds over the minute");
});

test("times are read as seconds or m:ss, with comma or point", () => {
  assert.equal(f.readTime("95"), 95);
  assert.equal(f.readTime(" 95 s "), 95);
  assert.equal(f.readTime("1:35"), 95);
  assert.equal(f.readTime("1,5"), 1.5);
  assert.equal(f.readTime("0:07.5"), 7.5);
  assert.equal(f.readTime("1:02:03"), 3723);
  assert.equal(f.readTime("62:03"), 3723);
  for (const bad of ["", "x", "1:75", "-3", "1:2:3", "5 min", "1.2.3"]) assert.equal(f.readTime(bad), null, bad);
});

test("a list ends with and", () => {
  assert.deepEqual([f.listed([]), f.listed(["A"]), f.listed(["A", "B"]), f.listed([1, 2, 3])], ["", "A", "A and B", "1, 2 and 3"]);
});

test("numbers are read with comma or point", () => {
  assert.equal(f.readNumber("1,5"), 1.5);
  assert.equal(f.readNumber("1.5"), 1.5);
  assert.equal(f.readNumber(" −2 "), -2);
  for (const bad of ["", ".", "1e3", "one", "1,2,3", "Infinity", "NaN"]) assert.equal(f.readNumber(bad), null, bad);
});

test("lengths are mm inside, whatever is typed", () => {
  assert.equal(f.readLength("160", "mm"), 160);
  assert.equal(f.readLength("10", "in"), 254);
  assert.equal(f.readLength("10 in", "mm"), 254);
  assert.equal(f.readLength("16 cm", "in"), 160);
  assert.ok(Math.abs(/** @type {number} */ (f.readLength('6,3"', "mm")) - 160.02) < 1e-9);
  assert.equal(f.readLength("mm", "mm"), null);
  assert.equal(f.length(254, "in"), "10");
  assert.equal(f.size(160, 180, "mm"), "160 × 180 mm");
});

test("shares, areas and minutes in words", () => {
  assert.equal(f.percent(0.09), "9 %");
  assert.equal(f.percent(0.472), "47 %");
  assert.equal(f.percent(0), "0 %");
  assert.equal(f.percent(0.0001), "under 0.1 %", "something is never shown as nothing");
  assert.equal(f.area(0.09, { width: 157, height: 177 }, "mm"), "25 cm²");
  assert.equal(f.area(1, { width: 254, height: 254 }, "in"), "100 sq in");
  assert.equal(f.minutes(130), "2 h 10");
  assert.equal(f.minutes(125), "2 h 05");
  assert.equal(f.minutes(17.4), "17 min");
  assert.equal(f.minutes(0.2), "under 1 min");
  assert.equal(f.count(9, "stop-out"), "nine stop-outs");
  assert.equal(f.count(1, "bite"), "one bite");
  assert.equal(f.grouped(18211), "18\u202f211");
});

test("what is no figure is a dash, and without a strip times are multiples of the first", () => {
  assert.deepEqual([f.clock(NaN), f.number(NaN), f.minutes(NaN)], ["—", "—", "—"]);
  const tones = [0, 10, 19, 36].map((total, k) => ({ shown_total_s: total, set_s: [0, 10, 9, 17][k] }));
  const standing = { dropped: [], due: null };
  const timed = /** @type {any} */ ({ tones, standing, bath: { ratios: null }, strip: { id: "14-B", kind: "measured" } });
  assert.deepEqual([f.totalWords(timed, 2), f.biteWords(timed, 2), f.byStrip(timed)], ["0:19", "0:09", "by strip 14-B"]);
  const untimed = /** @type {any} */ ({ tones, standing, bath: { ratios: [1, 1.9, 36.2] }, strip: { id: "none yet", kind: "missing" } });
  assert.deepEqual([1, 2, 3].map((k) => `${f.totalWords(untimed, k)} ${f.biteWords(untimed, k)}`), ["× 1 × 1", "× 1.9 × 0.9", "× 36 × 34"]);
  assert.equal(f.byStrip(untimed), "as the example strip prints");
});

test("a bite left out and one that waits for a decision have words, never 0:00", () => {
  const tones = [0, 10, 10, 36].map((total, k) => ({ shown_total_s: total, set_s: [0, 10, 0, 26][k] }));
  const plan = (/** @type {any} */ standing) => /** @type {any} */ ({ tones, standing, bath: { ratios: null }, strip: { id: "14-B", kind: "measured" } });
  const words = (/** @type {any} */ of) => [1, 2, 3].map((k) => `${f.biteWords(of, k)}, ${f.totalWords(of, k)}, ${f.clockedTotal(of, k)}`);
  assert.deepEqual(words(plan({ dropped: [2], due: null })), ["0:10, 0:10, 0:10", "left out, left out, 0:10", "0:26, 0:36, 0:36"]);
  const open = "to be decided, to be decided, to be decided";
  assert.deepEqual(words(plan({ dropped: [], due: { after: 1 } })), ["0:10, 0:10, 0:10", open, open]);
});

test("a small place has its mm², in inches three decimals", () => {
  assert.deepEqual([0.01, 0.25, 4, 9.96, 99.4, 99.6, 450, 2345].map((mm2) => f.patch(mm2, "mm")), ["under 0.1 mm²", "0.3 mm²", "4 mm²", "10 mm²", "99 mm²", "1 cm²", "4.5 cm²", "23 cm²"]);
  assert.deepEqual([0.1, 4, 645.16].map((mm2) => f.patch(mm2, "in")), ["under 0.001 sq in", "0.006 sq in", "1 sq in"]);
});

test("figures that stand beside each other keep their decimal", () => {
  for (const [x, text] of [[2, "2.0"], [0, "0.0"], [-0.04, "0.0"], [-1.25, "−1.3"], [9.96, "10.0"]]) assert.equal(f.tenths(x), text);
});

test("temperatures in Celsius or Fahrenheit", () => {
  // Fixed points: water freezes at 32 °F and boils at 212 °F; the scales meet at −40.
  for (const [text, celsius] of [["19", 19], ["19,5 °C", 19.5], ["32 F", 0], ["212°F", 100], ["-40 f", -40], ["66 F", 18.89]]) assert.equal(f.readCelsius(text), celsius, text);
  for (const text of ["", "warm", "F", "19 K"]) assert.equal(f.readCelsius(text), null, text);
});
