import assert from "node:assert/strict";
import { test } from "node:test";
import { dropped, edges, edgeTo, merged, placeOf, reversed, shareOf, split } from "../../../www/strip-bands.js";

const BANDS = [[0, 0.25], [0.25, 0.5], [0.5, 1]];

test("bands are merged, split, dropped and turned, and the rest stays", () => {
  assert.deepEqual(merged(BANDS, 0), [[0, 0.5], [0.5, 1]]);
  assert.deepEqual(merged(BANDS, 2), BANDS);
  assert.deepEqual(split(BANDS, 2), [[0, 0.25], [0.25, 0.5], [0.5, 0.75], [0.75, 1]]);
  assert.deepEqual(split([[0, 0.01]], 0), [[0, 0.01]]);
  assert.deepEqual(dropped(BANDS, 1), [[0, 0.25], [0.5, 1]]);
  assert.deepEqual(reversed(BANDS), [[0, 0.5], [0.5, 0.75], [0.75, 1]]);
});

test("an edge between two bands is one, beside a dropped one there are two", () => {
  assert.deepEqual(edges(BANDS).map((edge) => edge.at), [0, 0.25, 0.5, 1]);
  assert.deepEqual(edges(dropped(BANDS, 1)).map((edge) => edge.at), [0, 0.25, 0.5, 1]);
  assert.deepEqual(edgeTo(BANDS, 1, 0.3), [[0, 0.3], [0.3, 0.5], [0.5, 1]]);
  assert.deepEqual(edgeTo(dropped(BANDS, 1), 1, 0.3), [[0, 0.3], [0.5, 1]]);
});

test("an edge never passes its neighbours, however far it is drawn", () => {
  for (let i = 0; i < 4; i++) {
    for (const share of [-5, 0, 0.1, 0.26, 0.499, 0.9, 7]) {
      const moved = edgeTo(BANDS, i, share);
      let before = 0;
      for (const [from, to] of moved) {
        assert.ok(from >= before && to - from > 0.01 && to <= 1, `${i} ${share} ${JSON.stringify(moved)}`);
        before = to;
      }
    }
  }
});

test("places and shares are each other's way back, and the known map of a square", () => {
  // P. Heckbert 1989, section 2.2.3: the square's corners to (0,0), (2,0), (3,2), (0,1) by (1.2u, 0.8v) / (1 - 0.4u - 0.2v).
  const corners = [[0, 0], [2, 0], [3, 2], [0, 1]];
  const [x, y] = placeOf(corners, [0.5, 0.5]);
  assert.ok(Math.abs(x - 0.6 / 0.7) < 1e-12 && Math.abs(y - 0.4 / 0.7) < 1e-12);
  for (const share of [[0.1, 0.9], [0.7, 0.3], [0, 1]]) {
    const back = shareOf(corners, placeOf(corners, share));
    assert.ok(Math.hypot(back[0] - share[0], back[1] - share[1]) < 1e-9);
  }
});
