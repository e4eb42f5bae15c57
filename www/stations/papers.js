/** Papers. */
import { h } from "../dom.js";

/** @param {import("../state.js").Desk} _desk @returns {import("../state.js").Part} */
export function papers(_desk) {
  const root = h("section", { class: "station papers", "aria-labelledby": "h-papers" },
    h("div", { class: "top" }, h("h2", { id: "h-papers" }, "Papers"), h("p", { class: "lead" }, "Thin papers laid under the ink: cut, laid and pressed while the paste is open.")));
  return { root, update() {} };
}
