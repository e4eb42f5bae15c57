/** What if a bite runs over or is cut short. */
import { h } from "../../dom.js";

/** @param {import("../../state.js").Desk} _desk @returns {import("../../state.js").Part} */
export function whatIf(_desk) {
  return { root: h("div", null), update() {} };
}
