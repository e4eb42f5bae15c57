/** Metal, bath and day: what is dangerous, how warm it is, what the plate takes out of the bath. */
import { h } from "../../dom.js";

/** @param {import("../../state.js").Desk} _desk @returns {import("../../state.js").Part} */
export function bath(_desk) {
  return { root: h("div", null), update() {} };
}
