/** A strip to bite, planned: bands, totals, dips. */
import { h } from "../../dom.js";

/** @param {import("../../state.js").Desk} _desk @returns {import("../../state.js").Part} */
export function stripPlan(_desk) {
  return { root: h("div", null), update() {} };
}
