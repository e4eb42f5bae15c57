import assert from "node:assert/strict";
import test from "node:test";
import { lightnessAt, nearestJoint, positions, tiers } from "../../../www/strip-places.js";

test("blocks fill the strip, in order, and none vanishes", () => {
  for (const shares of [[0.5, 0.5], [0, 0, 1], [0.01, 0.9, 0.05, 0.04], Array(16).fill(1 / 16)]) {
    for (const widths of /** @type {const} */ (["share", "even"])) {
      const places = positions(shares, widths);
      assert.equal(places.length, shares.length + 1);
      assert.equal(places[0], 0);
      assert.ok(Math.abs(places[places.length - 1] - 1) < 1e-12);
      for (let i = 1; i < places.length; i++) assert.ok(places[i] - places[i - 1] >= 0.4 / shares.length);
    }
  }
});

test("a place on the strip means a lightness: joints their breaks, ends the drawing's ends", () => {
  const places = [0, 0.25, 0.5, 1];
  const ends = { paper: 90, black: 10 };
  assert.equal(lightnessAt(places, [70, 40], ends, 0), 90);
  assert.equal(lightnessAt(places, [70, 40], ends, 0.25), 70);
  assert.equal(lightnessAt(places, [70, 40], ends, 0.375), 55);
  assert.equal(lightnessAt(places, [70, 40], ends, 0.5), 40);
  assert.equal(lightnessAt(places, [70, 40], ends, 1), 10);
  let before = Infinity;
  for (let x = 0; x <= 1; x += 0.01) {
    const l = lightnessAt(places, [70, 40], ends, x);
    assert.ok(l <= before);
    before = l;
  }
});

test("the nearest joint is taken, and only within reach", () => {
  const places = [0, 0.3, 0.34, 1];
  assert.equal(nearestJoint(places, 0.31, 0.05), 0);
  assert.equal(nearestJoint(places, 0.33, 0.05), 1);
  assert.equal(nearestJoint(places, 0.6, 0.05), -1);
});

test("labels of one row never meet while two rows can part them", () => {
  const places = positions(Array(16).fill(1 / 16), "even");
  const rows = tiers(places, 358, 40);
  const last = [-Infinity, -Infinity];
  rows.forEach((row, i) => {
    const x = places[i + 1] * 358;
    assert.ok(x - last[row] >= 40);
    last[row] = x;
  });
});
