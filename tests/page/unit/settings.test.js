import assert from "node:assert/strict";
import test from "node:test";
import * as s from "../../../www/settings.js";

const plan = /** @type {any} */ ({ breaks: [80, 60, 40, 20], ends: { paper: 95, black: 10 } });
const five = { ...s.EXAMPLE, tones: 5 };

test("a moved break stays between its neighbours and leaves the rest", () => {
  const moved = s.moveBreak(five, plan, 1, 55.4);
  assert.deepEqual(moved.breaks, [80, 55.4, 40, 20]);
  assert.deepEqual(s.moveBreak(five, plan, 1, 5).breaks, [80, 40 + s.GAP, 40, 20]);
  assert.deepEqual(s.moveBreak(five, plan, 1, 99).breaks, [80, 80 - s.GAP, 40, 20]);
  assert.deepEqual(s.moveBreak(five, plan, 0, 200).breaks, [95, 60, 40, 20], "not past the drawing's paper");
  assert.deepEqual(s.moveBreak(five, plan, 3, -5).breaks, [80, 60, 40, 10], "not past the drawing's black");
  assert.equal(five.breaks, "even", "the old settings are untouched");
});

test("breaks fall strictly after any row of moves", () => {
  let now = /** @type {import("../../../web/types.d.ts").Settings} */ (five);
  for (let i = 0; i < 400; i++) now = s.moveBreak(now, plan, (i * 7) % 4, (i * 37) % 101);
  const breaks = /** @type {number[]} */ (now.breaks);
  for (let i = 1; i < breaks.length; i++) assert.ok(breaks[i] < breaks[i - 1], String(breaks));
});

test("a bite is added or dropped at the dark end, breaks by hand stay", () => {
  const hand = { ...five, breaks: [80, 60, 40, 20] };
  const more = s.withTones(hand, plan, 6);
  assert.deepEqual(more.breaks, [80, 60, 40, 20, 15]);
  assert.deepEqual(s.withTones(more, plan, 5).breaks, [80, 60, 40, 20]);
  assert.equal(s.withTones(five, plan, 6).breaks, "even");
  assert.equal(s.withTones(five, plan, 40).tones, 16);
  assert.equal(s.withTones(five, plan, 0).tones, 2);
  assert.equal(s.withTones({ ...five, breaks: [80, 60, 40, 10.4] }, plan, 6).breaks, "even", "no room left at the dark end");
});

test("another drawing keeps the settings and takes its own size where it has one", () => {
  const info = /** @type {any} */ ({ width: 2400, height: 1200, px_per_mm: 12 });
  const sized = s.forDrawing(s.EXAMPLE, info);
  assert.equal(sized.sized, true);
  assert.deepEqual(sized.settings.plate, { width_mm: 200, height_mm: 100, bevel_mm: 1.5 });
  assert.deepEqual(s.forDrawing(s.EXAMPLE, { ...info, px_per_mm: null }).settings.plate, s.EXAMPLE.plate);
  assert.equal(s.forDrawing(s.EXAMPLE, { ...info, px_per_mm: 72 / 25.4 }).sized, false, "a screen's 72 dots an inch are no size");
  assert.equal(s.forDrawing(s.EXAMPLE, { ...info, width: 30000, px_per_mm: 5 }).sized, false, "a plate of six metres is no proposal");
});

test("when a tone is covered follows the rule: tone k is bare for bites 1 to k, covered at stop-out k+1", () => {
  const tone = (/** @type {number} */ index) => /** @type {any} */ ({ index });
  assert.match(s.whenCovered(tone(0), 10), /never bitten/);
  assert.equal(s.whenCovered(tone(4), 10), "bare for bites 1 to 4, covered at stop-out 5");
  assert.match(s.whenCovered(tone(9), 10), /never covered/);
  assert.equal(s.whenCovered(tone(1), 2), "bare for bite 1, never covered");
});

test("a logged time is kept once a stop-out, taken back by 0, and its pace goes on to the next plate", () => {
  const stop = (/** @type {number} */ edge_cm) => ({ edge_cm, new_share: 0.25, islands: 7 });
  const plan = /** @type {any} */ ({ face_mm: { width: 100, height: 80 }, stopouts: [stop(30), stop(20), stop(10)] });
  const [first, third] = [{ edge_cm: 30, area_cm2: 20, islands: 7 }, { edge_cm: 10, area_cm2: 20, islands: 7 }];
  const one = s.withPainted(s.withPainted(five, 3, 12, plan), 1, 20, plan);
  assert.deepEqual(one.painted, [{ number: 1, minutes: 20, done: first }, { number: 3, minutes: 12, done: third }]);
  assert.deepEqual(s.withPainted(one, 1, 25, plan).painted, [{ number: 1, minutes: 25, done: first }, { number: 3, minutes: 12, done: third }]);
  assert.deepEqual(s.withPainted(five, 9, 25, plan).painted, [{ number: 9, minutes: 25, done: null }]);
  assert.deepEqual(s.withPainted(s.withPainted(one, 1, 0, plan), 3, 0, plan).painted, []);
  assert.deepEqual(five.painted, [], "the old settings are untouched");
  const speed = { edge_cm_per_min: 21, area_cm2_per_min: 49, island_s: 8.6 };
  const next = s.withSameHand(one, /** @type {any} */ ({ pace: { factor: 1.43, from: [1], speed } }));
  assert.deepEqual([next.painted, next.hand_speed], [[], speed]);
  assert.equal(s.withSameHand(five, null), five);
});

test("another pair takes off what was applied for the old one; without a strip nothing that changes times stays", () => {
  const applied = { ...s.EXAMPLE, witness: { seconds: 60, lightness: 50 }, bath: { ...s.EXAMPLE.bath, metal: "zinc", strip_c: 21, today_c: 17, warmth_kj: 16.3 } };
  assert.equal(s.withBath(applied, { metal: "copper" }).bath.warmth_kj, null);
  assert.equal(s.withBath(applied, { today_c: 18 }).bath.warmth_kj, 16.3);
  const none = s.withoutStrip(applied);
  assert.deepEqual([none.strip, none.witness, none.bath.warmth_kj, none.bath.metal], ["none", null, null, "zinc"]);
  const own = { id: "14-B", readings: /** @type {[number, number][]} */ ([[0, 89], [5, 85], [10, 81]]) };
  assert.deepEqual([s.ownStrip(none), s.ownStrip(s.EXAMPLE), s.ownStrip(null), s.ownStrip({ ...s.EXAMPLE, strip: own })], [null, null, null, own]);
});
