/** A plate's step map in small, from what the worker made of it: the grey value of each point is its tone. */
import { greyOf } from "../../srgb.js";

/** Whole maps at most this many points across are kept for a card. */
const ACROSS = 132;

/** @param {string} base64 */
function bytes(base64) {
  return Uint8Array.from(atob(base64), (letter) => letter.charCodeAt(0));
}

/**
 * Draws it on a canvas, as the print reads.
 * @param {HTMLCanvasElement} canvas @param {Pick<import("../../../web/types.d.ts").KinFacts, "plate" | "tones" | "face_mm">} facts
 */
export function drawMap(canvas, facts) {
  const drawn = before.then(() => draw(canvas, facts));
  before = drawn.catch(() => {});
  return drawn;
}

/** The map drawn before: thirty of twenty megapixels are never unpacked at once. @type {Promise<void>} */
let before = Promise.resolve();

/** @param {Parameters<typeof drawMap>[0]} canvas @param {Parameters<typeof drawMap>[1]} facts */
async function draw(canvas, { plate, tones, face_mm }) {
  const across = Math.min(ACROSS, Math.round(ACROSS * face_mm.width / Math.max(face_mm.width, face_mm.height)) || 1);
  const down = Math.max(1, Math.round(across * face_mm.height / face_mm.width));
  // Tones are names, not lights: none lies between two of them.
  const bitmap = await createImageBitmap(new Blob([bytes(plate.map)], { type: "image/png" }), { colorSpaceConversion: "none", resizeWidth: across, resizeHeight: down, resizeQuality: "pixelated" });
  canvas.width = across;
  canvas.height = down;
  const context = canvas.getContext("2d", { willReadFrequently: true });
  if (!context) return;
  context.imageSmoothingEnabled = false;
  context.drawImage(bitmap, 0, 0, canvas.width, canvas.height);
  bitmap.close();
  const image = context.getImageData(0, 0, canvas.width, canvas.height);
  const greys = tones.map(({ lightness }) => greyOf(lightness));
  for (let at = 0; at < image.data.length; at += 4) {
    const shade = greys[Math.min(image.data[at], greys.length - 1)];
    image.data[at] = image.data[at + 1] = image.data[at + 2] = shade;
  }
  context.putImageData(image, 0, 0);
}
