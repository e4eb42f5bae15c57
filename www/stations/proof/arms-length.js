/**
 * What an eye at arm's length still tells apart: detail under one minute of arc at 0.6 m melts into one, in light and not in sRGB values. Pure.
 * @typedef {import("../../../web/types.d.ts").Picture} Picture
 */

/** 0.6 m · tan(1′), mm: the width at half height of what a point becomes. (0.6 m: an arm, estimate) */
export const MELT_MM = 600 * Math.tan(Math.PI / 180 / 60);
/** A Gaussian's width at half height in its standard deviations, 2·√(2·ln 2). */
const HALF_HEIGHT = 2 * Math.sqrt(2 * Math.LN2);
/** Standard deviations under this, px, change no pixel by a visible amount. */
const LEAST_PX = 0.2;

/** sRGB value to light 0–1 (IEC 61966-2-1). */
const LIGHT = Float32Array.from({ length: 256 }, (_, v) => (v / 255 <= 0.04045 ? v / 255 / 12.92 : ((v / 255 + 0.055) / 1.055) ** 2.4));
/** Light in 4096 parts to the sRGB value. */
const VALUE = Uint8ClampedArray.from({ length: 4097 }, (_, i) => 255 * (i / 4096 <= 0.0031308 ? 12.92 * i / 4096 : 1.055 * (i / 4096) ** (1 / 2.4) - 0.055));

/** @param {number} px_per_mm of the picture @returns {number} standard deviation, px */
export function meltPx(px_per_mm) {
  return MELT_MM / HALF_HEIGHT * px_per_mm;
}

/** The picture as seen from there; borders repeat their last pixel. @param {Picture} picture @param {number} sigma px @returns {Picture} */
export function melted(picture, sigma) {
  if (sigma < LEAST_PX) return picture;
  const { width, height, rgba } = picture;
  const reach = Math.ceil(4 * sigma);
  const kernel = Array.from({ length: 2 * reach + 1 }, (_, i) => Math.exp(-((i - reach) ** 2) / (2 * sigma * sigma)));
  const sum = kernel.reduce((a, b) => a + b, 0);
  const weights = Float32Array.from(kernel, (k) => k / sum);
  const out = new Uint8ClampedArray(rgba.length);
  const across = new Float32Array(width * height);
  for (let c = 0; c < 3; c++) {
    for (let y = 0; y < height; y++) {
      const row = y * width;
      for (let x = 0; x < width; x++) {
        let light = 0;
        for (let k = -reach; k <= reach; k++) light += weights[k + reach] * LIGHT[rgba[4 * (row + Math.min(width - 1, Math.max(0, x + k))) + c]];
        across[row + x] = light;
      }
    }
    for (let y = 0; y < height; y++) {
      for (let x = 0; x < width; x++) {
        let light = 0;
        for (let k = -reach; k <= reach; k++) light += weights[k + reach] * across[Math.min(height - 1, Math.max(0, y + k)) * width + x];
        out[4 * (y * width + x) + c] = VALUE[Math.round(4096 * light)];
      }
    }
  }
  for (let i = 3; i < out.length; i += 4) out[i] = rgba[i];
  return { ...picture, rgba: out };
}
