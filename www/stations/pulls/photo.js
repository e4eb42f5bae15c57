/** A photograph of a pull, made small before it is kept: at most 1200 px along its longer side, a JPEG of at most 300 kB, and nothing of its file's own words. */
import { contentId } from "../../keeping/content-id.js";
import { MOST } from "./record.js";

/** Longest side kept, px. */
const LONGEST = 1200;
/** Qualities tried in turn, and how much smaller it is made when none is small enough. */
const QUALITIES = [0.86, 0.76, 0.64, 0.5];
const SMALLER = 0.7;
/** A file larger than this is no photograph of a pull, bytes. */
const LARGEST_FILE = 200e6;

const NONE = "is no picture that this browser can show: choose a photo as JPEG, PNG or WebP.";

/** @param {Blob} blob @returns {Promise<string>} base64 */
async function base64(blob) {
  const bytes = new Uint8Array(await blob.arrayBuffer());
  let text = "";
  for (let at = 0; at < bytes.length; at += 0x8000) text += String.fromCharCode(...bytes.subarray(at, at + 0x8000));
  return btoa(text);
}

/** @param {File} file @returns {Promise<{ id: string, jpeg: string }>} rejects with a sentence */
export async function reduced(file) {
  if (file.size > LARGEST_FILE) throw new Error(`“${file.name}” has ${Math.round(file.size / 1e6)} MB: choose a smaller photo.`);
  // Turned as the camera was held, by the file's own word.
  const picture = await createImageBitmap(file, { imageOrientation: "from-image" }).catch(() => { throw new Error(`“${file.name}” ${NONE}`); });
  try {
    for (let scale = Math.min(1, LONGEST / Math.max(picture.width, picture.height)); scale * Math.max(picture.width, picture.height) >= 1; scale *= SMALLER) {
      const canvas = document.createElement("canvas");
      canvas.width = Math.max(1, Math.round(picture.width * scale));
      canvas.height = Math.max(1, Math.round(picture.height * scale));
      const on = canvas.getContext("2d");
      if (!on) break;
      // What lets through is white as paper.
      on.fillStyle = "#fff";
      on.fillRect(0, 0, canvas.width, canvas.height);
      on.imageSmoothingQuality = "high";
      on.drawImage(picture, 0, 0, canvas.width, canvas.height);
      for (const quality of QUALITIES) {
        const blob = await new Promise((/** @type {(blob: Blob | null) => void} */ done) => canvas.toBlob(done, "image/jpeg", quality));
        if (blob && blob.type === "image/jpeg" && blob.size <= MOST.photo - 3) return { id: (await contentId(blob)).slice(0, 64), jpeg: await base64(blob) };
      }
    }
  } finally {
    picture.close();
  }
  throw new Error(`“${file.name}” can’t be made small enough to keep: choose another photo.`);
}
