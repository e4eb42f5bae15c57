/** Plates: the family, side by side, in one bath, on one bed. */
import { h } from "../dom.js";
import { day } from "./plates/day.js";
import { bed } from "./plates/bed.js";
import { members } from "./plates/members.js";
import { row } from "./plates/row.js";

/** @param {import("../state.js").Desk} desk @returns {import("../state.js").Part} */
export function plates(desk) {
  const parts = [members(desk), row(desk), bed(desk), day(desk)];
  const root = h("section", { class: "station plates", "aria-labelledby": "h-plates" },
    h("div", { class: "top" }, h("h2", { id: "h-plates" }, "Plates"), h("p", { class: "lead" }, "Several plates as one work: side by side, in one bath, on one bed.")),
    ...parts.map((part) => part.root));
  return { root, update: (state) => parts.forEach((part) => part.update(state)) };
}
