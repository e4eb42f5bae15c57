/**
 * Joints in words. Pure.
 * @typedef {import("../../../web/types.d.ts").RowJoint} RowJoint
 * @typedef {import("../../../web/types.d.ts").RowOrder} RowOrder
 */
import { INCH_MM, number, tenths } from "../../format.js";

/** A distance that is no finer than edges are. @param {number} mm @param {import("../../format.js").Units} units */
export function roughly(mm, units) {
  return units === "in" ? `${number(mm / INCH_MM, 2)} in` : `${number(mm)} mm`;
}

/** @param {RowJoint["looks"]} looks */
export function looksWords(looks) {
  return { runs_on: "Runs on", shows: "A step shows", breaks: "Breaks" }[looks];
}

/** @param {number | null} shape_mm @param {import("../../format.js").Units} units */
export function shapeWords(shape_mm, units) {
  return shape_mm === null ? "no main edge crosses" : `main edges ${roughly(shape_mm, units)} apart`;
}

/** What counts of a joint, short: L* as it is weighed, and beside it what does not stand in that figure already. @param {RowJoint} joint @param {import("../../format.js").Units} units @param {"tone" | "both"} [weigh] */
export function briefly({ tone, shape_mm, cost }, units, weigh = "tone") {
  if (tone === null) return { tone: `${tenths(cost)} L*`, shape: "do not meet" };
  const edges = shape_mm === null ? "no edges" : roughly(shape_mm, units);
  return weigh === "both" ? { tone: `${tenths(cost)} L*`, shape: `tones ${tenths(tone)}, ${edges}` } : { tone: `${tenths(tone)} L*`, shape: edges };
}

/** What the figures are counted in. @param {"tone" | "both"} weigh @param {import("../../format.js").Units} units @param {number} apart how many joints do not meet */
export function weighWords(weigh, units, apart) {
  const both = weigh === "both" ? `Tones and shapes are counted in one unit, L*: main edges ${roughly(1.5, units)} apart count as 5 L*, for up to there neither is seen (estimates). ` : "";
  const none = apart ? `${apart === 1 ? "One joint does" : `${apart} joints do`} not meet at any height: such a joint counts as 100 L*, here and in the search.` : "";
  return (both + none).trim();
}

/** "C · A turned · B · D"; rows parted by a stroke. @param {RowOrder["order"]} order @param {(plate: number) => string} letter @param {number} columns */
export function orderWords(order, letter, columns) {
  return order.map(({ plate, turned }, k) => `${k === 0 ? "" : k % columns === 0 ? " / " : " · "}${letter(plate)}${turned ? " turned" : ""}`).join("");
}

/** "worst joint 1.1 (A | B), sum 2.8 L*". @param {RowOrder} found @param {(plate: number) => string} letter */
export function orderFigures({ order, joints, worst, sum, worst_between }, letter) {
  if (joints.length === 0) return "no joint";
  const between = worst_between?.map((place) => letter(order[place].plate)).join(" | ");
  return `worst joint ${tenths(worst)}${between ? ` (${between})` : ""}, sum ${tenths(sum)} L*`;
}
