/** How fine the saved pull is: for a screen, as the plan is worked, or so fine that its grain shows; never finer than a file goes. Pure. */
import { number } from "../../format.js";

/** A screen's longer side, pixels. Choice of ours. */
const SCREEN_PX = 2000;
/** So fine an office printer prints, pixels a mm: 600 an inch. */
const PRINTED = 600 / 25.4;
/** As the core has them: longest side, and pixels in all. (core/src/pull/export.rs) */
const LONGEST = 60_000;
const MOST_PIXELS = 400e6;

/** @typedef {"screen" | "planned" | "fine"} Fineness */
/** @typedef {{ id: Fineness, word: string, px_per_mm: number, width: number, height: number, held: boolean }} Offer `held`: finer was meant, and no file would take it */

/**
 * What is offered for a face, coarse to fine; one that would be the same as another is left out, the plan's own stays.
 * @param {{ width: number, height: number }} face mm @param {number} planned pixels a mm of the plan @returns {Offer[]}
 */
export function offers(face, planned) {
  const finest = Math.floor(100 * Math.min(LONGEST / Math.max(face.width, face.height), Math.sqrt(MOST_PIXELS / (face.width * face.height)))) / 100;
  /** @param {Fineness} id @param {string} word @param {number} meant @returns {Offer} */
  const offer = (id, word, meant) => {
    const px_per_mm = Math.min(meant, finest);
    const [width, height] = [face.width, face.height].map((mm) => Math.round(mm * px_per_mm));
    return { id, word, px_per_mm, width, height, held: px_per_mm < meant };
  };
  const screen = offer("screen", "for a screen", SCREEN_PX / Math.max(face.width, face.height));
  const own = offer("planned", "as planned", planned);
  const fine = offer("fine", "fine, the grain shows", Math.max(PRINTED, 2 * planned));
  return [...(screen.px_per_mm < own.px_per_mm ? [screen] : []), own, ...(fine.px_per_mm > own.px_per_mm ? [fine] : [])];
}

/** "1570 × 1770 pixels, 10 a mm." @param {Offer} offer @param {import("../../format.js").Units} units */
export function finenessWords({ width, height, px_per_mm, held }, units) {
  const across = units === "in" ? `${number(px_per_mm * 25.4, 0)} an inch` : `${number(px_per_mm, 1)} a mm`;
  return `${width} × ${height} pixels, ${across}, and beneath them the words it rests on.${held ? " Finer than this no file of it goes." : ""}`;
}
