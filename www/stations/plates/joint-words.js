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

/** The two figures of a joint, short. @param {RowJoint} joint @param {import("../../format.js").Units} units */
export function briefly({ tone, shape_mm }, units) {
  return { tone: tone === null ? "—" : `${tenths(tone)} L*`, shape: shape_mm === null ? "no edges" : roughly(shape_mm, units) };
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
