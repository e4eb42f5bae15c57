import assert from "node:assert/strict";
import { test } from "node:test";
import { cropTo, kindOf, moveCorner, NEW_PHOTO, placedWords, PLAIN_PLACING, someCorners, takenFor, turnedBy, withPhoto, withPlacing, withSide } from "../../../www/placing.js";
import { EXAMPLE, forDrawing } from "../../../www/settings.js";

test("turns add up and stay within half a turn", () => {
  let settings = EXAMPLE;
  const seen = [];
  for (let i = 0; i < 5; i++) seen.push((settings = turnedBy(settings, 90)).placing.turn);
  assert.deepEqual(seen, [90, 180, -90, 0, 90]);
  assert.equal(turnedBy(withPlacing(EXAMPLE, { turn: 1.5 }), -90).placing.turn, -88.5);
});

test("a crop always leaves a part", () => {
  const crop = cropTo(PLAIN_PLACING.crop, "first", [0.3, -5]);
  assert.deepEqual(crop, { left: 0.3, top: 0, right: 1, bottom: 1 });
  assert.deepEqual(cropTo(crop, "last", [0.1, 0.5]), { left: 0.3, top: 0, right: 0.32, bottom: 0.5 });
});

test("what the file is taken for decides what it is, and gives up the crop", () => {
  const cropped = withPlacing(EXAMPLE, { crop: { left: 0.1, top: 0, right: 1, bottom: 1 }, turn: 90 });
  const photo = takenFor(cropped, { ...NEW_PHOTO, corners: someCorners(300, 400) });
  assert.deepEqual([kindOf(EXAMPLE), kindOf(photo), kindOf(withPhoto(photo, { corners: null }))], ["plain", "photo", "scan"]);
  assert.deepEqual(photo.placing, { ...PLAIN_PLACING, turn: 90 });
  assert.equal(placedWords(photo), "straightened, fills the face, turned");
});

test("a corner stays in the picture, the others stay", () => {
  const corners = someCorners(300, 400);
  const moved = moveCorner(corners, 2, [500, 123.456], [300, 400]);
  assert.deepEqual(moved[2], [300, 123.5]);
  assert.deepEqual([moved[0], moved[1], moved[3]], [corners[0], corners[1], corners[3]]);
});

test("a side typed keeps the proportions that the picture told, until both are known", () => {
  const photo = takenFor(EXAMPLE, NEW_PHOTO);
  assert.deepEqual(withSide(photo, { sheet_mm: [258.3, 297], sized: false }, 0, 200).photo.sheet_mm, [200, 230]);
  assert.deepEqual(withSide(photo, { sheet_mm: [200, 229.9], sized: true }, 1, 230).photo.sheet_mm, [200, 230]);
});

test("another drawing lies as it came", () => {
  const info = { name: "", format: "PNG", width: 10, height: 10, bits: 8, orientation: 1, px_per_mm: null, notes: [] };
  const next = forDrawing(takenFor(withPlacing(EXAMPLE, { turn: 3 }), NEW_PHOTO), info);
  assert.deepEqual([next.settings.placing, next.settings.photo, next.unplaced], [PLAIN_PLACING, null, true]);
  assert.equal(forDrawing(EXAMPLE, info).unplaced, false);
});
