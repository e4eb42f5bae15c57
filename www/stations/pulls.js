/** Pulls. */
import { h } from "../dom.js";

/** @param {import("../state.js").Desk} _desk @returns {import("../state.js").Part} */
export function pulls(_desk) {
  const root = h("section", { class: "station pulls", "aria-labelledby": "h-pulls" },
    h("div", { class: "top" }, h("h2", { id: "h-pulls" }, "Pulls"), h("p", { class: "lead" }, "What was pulled, and how.")));
  return { root, update() {} };
}
