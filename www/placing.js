/**
 * Where the drawing lies and what is made of a photograph: how both begin, and every change as a function from settings to settings. Pure.
 * @typedef {import("../web/types.d.ts").Settings} Settings
 * @typedef {import("../web/types.d.ts").PlacingSettings} PlacingSettings
 * @typedef {import("../web/types.d.ts").PhotoSettings} PhotoSettings
 * @typedef {[number, number]} Point
 * @typedef {[Point, Point, Point, Point]} Corners
 */

/** Centred, upright, whole, the size that fits. @type {PlacingSettings} */
export const PLAIN_PLACING = Object.freeze({
  turn: 0, crop: Object.freeze({ left: 0, top: 0, right: 1, bottom: 1 }), offset_mm: /** @type {Point} */ (Object.freeze([0, 0])), scale: 1, true_size: false,
});

/** A picture to be straightened or cleaned, before anything is known of it. @type {PhotoSettings} */
export const NEW_PHOTO = Object.freeze({ corners: null, sheet_mm: null, spots: [], even: true, neutral: true, mix: "lightness" });

/** Least part of the drawing that a crop leaves by the handles, share of a side. */
const LEAST_CROP = 0.02;

/** @param {Settings} settings @param {Partial<PlacingSettings>} part @returns {Settings} */
export function withPlacing(settings, part) {
  return { ...settings, placing: { ...settings.placing, ...part } };
}

/** @param {Settings} settings @param {Partial<PhotoSettings>} part @returns {Settings} */
export function withPhoto(settings, part) {
  return { ...settings, photo: { ...(settings.photo ?? NEW_PHOTO), ...part } };
}

/** What the file is taken for: another picture is then placed, so the crop of the one before is given up. @param {Settings} settings @param {PhotoSettings | null} photo @returns {Settings} */
export function takenFor(settings, photo) {
  return { ...settings, photo, placing: { ...settings.placing, crop: PLAIN_PLACING.crop } };
}

/** @param {Settings} settings @returns {"plain" | "scan" | "photo"} */
export function kindOf(settings) {
  return !settings.photo ? "plain" : settings.photo.corners ? "photo" : "scan";
}

/** Turned by so many degrees more, kept from −180 to 180. @param {Settings} settings @param {number} by @returns {Settings} */
export function turnedBy(settings, by) {
  const turn = (((settings.placing.turn + by + 180) % 360) + 360) % 360 - 180;
  return withPlacing(settings, { turn: turn === -180 ? 180 : turn });
}

/** One corner of the crop put to a place, shares; the other stays, and a part is always left. @param {PlacingSettings["crop"]} crop @param {"first" | "last"} which @param {Point} at @returns {PlacingSettings["crop"]} */
export function cropTo(crop, which, [x, y]) {
  const clamp = (/** @type {number} */ v, /** @type {number} */ low, /** @type {number} */ high) => Math.round(Math.min(high, Math.max(low, v)) * 1e5) / 1e5;
  return which === "first"
    ? { ...crop, left: clamp(x, 0, crop.right - LEAST_CROP), top: clamp(y, 0, crop.bottom - LEAST_CROP) }
    : { ...crop, right: clamp(x, crop.left + LEAST_CROP, 1), bottom: clamp(y, crop.top + LEAST_CROP, 1) };
}

/** Corners to begin with where none are found: a tenth inside the picture. @param {number} width @param {number} height @returns {Corners} */
export function someCorners(width, height) {
  const [l, r, t, b] = [0.1 * width, 0.9 * width, 0.1 * height, 0.9 * height];
  return [[l, t], [r, t], [r, b], [l, b]];
}

/** One corner moved; it stays in the picture. @param {Corners} corners @param {number} index @param {Point} at @param {Point} size @returns {Corners} */
export function moveCorner(corners, index, at, size) {
  const moved = at.map((v, k) => Math.round(Math.min(size[k], Math.max(0, v)) * 10) / 10);
  return /** @type {Corners} */ (corners.map((corner, i) => (i === index ? moved : corner)));
}

/** A side of the sheet as typed; the other keeps the proportions while the size was only told from the picture. @param {Settings} settings @param {{ sheet_mm: Point, sized: boolean }} known @param {0 | 1} side @param {number} mm @returns {Settings} */
export function withSide(settings, known, side, mm) {
  const [width, height] = known.sheet_mm;
  if (known.sized) return withPhoto(settings, { sheet_mm: side === 0 ? [mm, height] : [width, mm] });
  const other = (/** @type {number} */ v) => Math.round(v * 10) / 10;
  return withPhoto(settings, { sheet_mm: side === 0 ? [mm, other(mm * height / width)] : [other(mm * width / height), mm] });
}

/** What lies where in words, for the ticket: "a photo, turned, cropped". @param {Settings} settings */
export function placedWords(settings) {
  const { placing, photo, fit } = settings;
  const { crop } = placing;
  const cropped = crop.left > 0 || crop.top > 0 || crop.right < 1 || crop.bottom < 1;
  const moved = placing.offset_mm[0] !== 0 || placing.offset_mm[1] !== 0;
  return [photo?.corners ? "straightened" : photo ? "cleaned" : "", placing.true_size ? "true size" : fit === "cover" ? "fills the face" : "whole, on paper",
    placing.scale !== 1 ? `× ${Math.round(placing.scale * 100)} %` : "", placing.turn !== 0 ? "turned" : "", cropped ? "cropped" : "", moved ? "moved" : ""].filter(Boolean).join(", ");
}
