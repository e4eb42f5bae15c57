/** The pull as a file: how fine, how large that is, and the button. */
import { assign, h, say } from "../../dom.js";
import { download } from "../../downloads.js";
import { radios } from "../../fields.js";
import { finenessWords, offers } from "./fineness.js";

/** @typedef {import("./fineness.js").Fineness} Fineness */

/** @param {import("../../state.js").Desk} desk @returns {import("../../state.js").Part} */
export function saving(desk) {
  /** @type {Fineness} */
  let chosen = "planned";
  let made = "";
  const which = h("div", null);
  const said = h("p", { class: "aside" });
  /** @type {ReturnType<typeof radios> | null} */
  let fields = null;
  const button = h("button", { type: "button", onclick: async () => {
    const { px_per_mm, id } = now(desk.state);
    assign(button, { "aria-disabled": "true" });
    await download(desk, "proof", id === "planned" ? null : px_per_mm);
    assign(button, { "aria-disabled": null });
  } }, "Save the pull (PNG)");
  const root = h("section", { class: "saving", "aria-label": "The pull as a file" }, which, said, h("div", { class: "row" }, button));

  /** @param {import("../../state.js").State} state */
  const all = ({ plan, planned }) => offers(plan?.face_mm ?? { width: 1, height: 1 }, planned?.px_per_mm ?? 1);
  /** The one chosen; the plan's own where a plate has no such. @param {import("../../state.js").State} state */
  const now = (state) => all(state).find((offer) => offer.id === chosen) ?? /** @type {import("./fineness.js").Offer} */ (all(state).find((offer) => offer.id === "planned"));

  return {
    root,
    update(state) {
      if (!state.plan) return;
      const choices = all(state).map(({ id, word }) => /** @type {[string, string]} */ ([id, word]));
      const key = JSON.stringify(choices);
      if (key !== made) {
        made = key;
        fields = radios("How fine", choices, (value) => {
          chosen = /** @type {Fineness} */ (value);
          say(said, finenessWords(now(desk.state), desk.state.units));
        });
        which.replaceChildren(fields.root);
      }
      fields?.set(now(state).id);
      say(said, finenessWords(now(state), state.units));
    },
  };
}
