/** The printed strip read from a photograph or a scan. */
import { h } from "../../dom.js";

/** @param {import("../../state.js").Desk} _desk @param {(readings: { lightness: number }[], how: "photo" | "scan") => void} _give takes the L* of each band, the paper first @returns {import("../../state.js").Part} */
export function photo(_desk, _give) {
  return { root: h("div", null), update() {} };
}
