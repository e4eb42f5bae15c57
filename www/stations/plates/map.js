/** A plate's step map in small, from what the worker made of it: the grey value of each point is its tone. */

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
export async function drawMap(canvas, { plate, tones, face_mm }) {
  const bitmap = await createImageBitmap(new Blob([bytes(plate.map)], { type: "image/png" }), { colorSpaceConversion: "none" });
  const across = Math.min(ACROSS, Math.round(ACROSS * face_mm.width / Math.max(face_mm.width, face_mm.height)) || 1);
  canvas.width = across;
  canvas.height = Math.max(1, Math.round(across * face_mm.height / face_mm.width));
  const context = canvas.getContext("2d", { willReadFrequently: true });
  if (!context) return;
  // Tones are names, not lights: none lies between two of them.
  context.imageSmoothingEnabled = false;
  context.drawImage(bitmap, 0, 0, canvas.width, canvas.height);
  bitmap.close();
  const image = context.getImageData(0, 0, canvas.width, canvas.height);
  const greys = tones.map(({ lightness }) => grey(lightness));
  for (let at = 0; at < image.data.length; at += 4) {
    const shade = greys[Math.min(image.data[at], greys.length - 1)];
    image.data[at] = image.data[at + 1] = image.data[at + 2] = shade;
  }
  context.putImageData(image, 0, 0);
}

/** sRGB of a neutral of that lightness (CIE 15, 8.2.1; IEC 61966-2-1). @param {number} lightness */
export function grey(lightness) {
  const f = (lightness + 16) / 116;
  const y = f > 6 / 29 ? f ** 3 : 3 * (6 / 29) ** 2 * (f - 4 / 29);
  const byte = y <= 0.0031308 ? 12.92 * y : 1.055 * y ** (1 / 2.4) - 0.055;
  return Math.round(255 * Math.min(1, Math.max(0, byte)));
}
