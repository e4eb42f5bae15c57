/**
 * What an eye at arm's length still tells apart: detail under one minute of arc at 0.6 m melts into one, in light and not in sRGB values. Pure.
 * @typedef {import("../../../web/types.d.ts").Picture} Picture
 */
import { lightOf, valueOf } from "../../srgb.js";

/** 0.6 m · tan(1′), mm: the width at half height of what a point becomes. (0.6 m: an arm, estimate) */
export const MELT_MM = 600 * Math.tan(Math.PI / 180 / 60);
/** A Gaussian's width at half height in its standard deviations, 2·√(2·ln 2). */
const HALF_HEIGHT = 2 * Math.sqrt(2 * Math.LN2);
/** Standard deviations under this, px, change no pixel by a visible amount. */
const LEAST_PX = 0.2;

/** sRGB value to light 0–1. */
const LIGHT = Float32Array.from({ length: 256 }, (_, v) => lightOf(v));
/** Light in 4096 parts to the sRGB value. */
const VALUE = Uint8ClampedArray.from({ length: 4097 }, (_, i) => valueOf(i / 4096));

/** @param {number} px_per_mm of the picture @returns {number} standard deviation, px */
export function meltPx(px_per_mm) {
  return MELT_MM / HALF_HEIGHT * px_per_mm;
}

/** Rows between two places where the work may be laid down for a while. */
const ROWS = 8;

/**
 * The picture as seen from there, some rows at a time; borders repeat their last pixel.
 * @param {Picture} picture @param {number} sigma px @returns {Generator<undefined, Picture>}
 */
export function* melting(picture, sigma) {
  if (sigma < LEAST_PX) return picture;
  const { width, height, rgba } = picture;
  const reach = Math.ceil(4 * sigma);
  const taps = 2 * reach + 1;
  const kernel = Array.from({ length: taps }, (_, i) => Math.exp(-((i - reach) ** 2) / (2 * sigma * sigma)));
  const sum = kernel.reduce((a, b) => a + b, 0);
  const weights = Float32Array.from(kernel, (k) => k / sum);
  const out = new Uint8ClampedArray(rgba.length);
  const wide = 3 * width;
  /** One row in light, with the border beyond both its ends. */
  const light = new Float32Array(wide + 6 * reach);
  /** As many rows as the kernel is high, each melted across; row y lies at y mod taps. */
  const across = Array.from({ length: taps }, () => new Float32Array(wide));
  let next = 0;

  /** @param {number} y */
  function acrossRow(y) {
    for (let x = -reach, i = 0; x < width + reach; x++) {
      const at = 4 * (y * width + Math.min(width - 1, Math.max(0, x)));
      for (let c = 0; c < 3; c++) light[i++] = LIGHT[rgba[at + c]];
    }
    const row = across[y % taps];
    for (let i = 0; i < wide; i++) {
      let seen = 0;
      for (let k = 0, at = i; k < taps; k++, at += 3) seen += weights[k] * light[at];
      row[i] = seen;
    }
  }

  for (let y = 0; y < height; y++) {
    for (const last = Math.min(height - 1, y + reach); next <= last; next++) acrossRow(next);
    const rows = Array.from({ length: taps }, (_, k) => across[Math.min(height - 1, Math.max(0, y + k - reach)) % taps]);
    for (let x = 0, i = 0, at = 4 * y * width; x < width; x++, at += 4) {
      for (let c = 0; c < 3; c++, i++) {
        let seen = 0;
        for (let k = 0; k < taps; k++) seen += weights[k] * rows[k][i];
        out[at + c] = VALUE[Math.round(4096 * seen)];
      }
      out[at + 3] = rgba[at + 3];
    }
    if (y % ROWS === ROWS - 1) yield;
  }
  return { ...picture, rgba: out };
}

/** The same at once. @param {Picture} picture @param {number} sigma px @returns {Picture} */
export function melted(picture, sigma) {
  const work = melting(picture, sigma);
  for (;;) {
    const { done, value } = work.next();
    if (done) return /** @type {Picture} */ (value);
  }
}
