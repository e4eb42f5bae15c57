/** The repair list: where the plan wants what the metal can't give any more. Shown only where there is such a place. */
import { h, say, table } from "../../dom.js";
import { count, number, patch, percent, sentence } from "../../format.js";
import { Picture } from "../../picture.js";
import { label } from "../painting/pointing.js";

/** @typedef {import("../../../web/types.d.ts").Place} Place */

/** So many places are numbered and listed, the largest: more of them would hide the picture. */
const LISTED = 24;

/** @param {import("../../state.js").Desk} desk */
export function repair(desk) {
  const has = (/** @type {import("../../state.js").State} */ { plan }) => !!plan && plan.standing.wishes.lighter_count + plan.standing.wishes.darker_count > 0;
  const picture = new Picture(desk, {
    wish: (s) => has(s) ? { kind: "repair", view: "plate" } : null,
    title: () => "Where plan and metal differ",
    note: () => "as the metal lies face up",
    label: () => "Where the plan wants what the metal can’t give: lighter hatched verdigris, darker hatched brown the other way",
  });
  picture.words.append(h("p", { class: "legend" }, ...[["lost-light", "LIGHTER: BURNISH"], ["lost-dark", "DARKER: REGRAIN, BITE AGAIN"], ["kept", "AS PLANNED"]].map(([kind, word]) =>
    h("span", null, h("i", { class: `swatch ${kind}`, "aria-hidden": "true" }), word))));
  const words = h("p", { class: "aside" });
  const list = h("div", { class: "scroll", tabindex: 0, role: "region", "aria-label": "Table of the places to repair" });
  const root = h("section", { class: "repair", "aria-labelledby": "h-repair" }, h("h3", { id: "h-repair" }, "Repair list"), words, h("div", { class: "repair-parts" }, picture.root, list));
  return {
    root,
    /** @param {import("../../state.js").State} state */
    update(state) {
      root.hidden = !has(state);
      picture.update(state);
      if (!state.plan || root.hidden) return;
      const { plan, units } = state;
      const { wishes } = plan.standing;
      const parts = [[wishes.lighter_count, wishes.lighter_share, "lighter than they are bitten: to burnish"], [wishes.darker_count, wishes.darker_share, "darker though they are covered: to grain and bite once more"]];
      say(words, `${parts.filter(([n]) => n).map(([n, share, what]) => `${count(/** @type {number} */ (n), "place")}, ${percent(/** @type {number} */ (share))} of the face, the plan wants ${what}`).join("; ")}. What is on the metal stays; nothing of this is done before a first proof. The list prints as a sheet of its own.`);
      const rows = [...wishes.lighter.map((place) => /** @type {const} */ ([place, "lighter: burnish"])), ...wishes.darker.map((place) => /** @type {const} */ ([place, "darker: regrain"]))];
      // As the sheet numbers them.
      rows.sort(([a], [b]) => b.area_mm2 - a.area_mm2);
      const mm = (/** @type {number} */ at) => number(at, 0);
      list.replaceChildren(table("Places, in plate view", ["", "what", "area", "from the left, mm", "from the top, mm"],
        rows.slice(0, LISTED).map(([place, what], i) => [String(i + 1), what, patch(place.area_mm2, units), mm(plan.face_mm.width - place.at[0]), mm(place.at[1])])));
      if (rows.length > LISTED) list.append(h("p", { class: "aside" }, `${sentence(count(rows.length - LISTED, "smaller place"))} more, hatched in the picture without a number.`));
      const numbered = rows.slice(0, LISTED).map(([place], i) => label(place.at, String(i + 1), { picked: false, face: plan.face_mm }));
      picture.marks.replaceChildren(...numbered);
    },
  };
}
