/** Plates. */
import { h } from "../dom.js";

/** @param {import("../state.js").Desk} _desk @returns {import("../state.js").Part} */
export function plates(_desk) {
  const root = h("section", { class: "station plates", "aria-labelledby": "h-plates" },
    h("div", { class: "top" }, h("h2", { id: "h-plates" }, "Plates"), h("p", { class: "lead" }, "Several plates as one work: side by side, in one bath, on one bed.")));
  return { root, update() {} };
}
