/** What another bite is worth. */
import { h } from "../../dom.js";

/** @param {import("../../state.js").Desk} _desk @returns {import("../../state.js").Part} */
export function worth(_desk) {
  return { root: h("div", null), update() {} };
}
