/** How many pulls there are to be, and a warning band for wear. */
import { assign, h } from "../../dom.js";
import { MOST, recordOf } from "./record.js";

/** @typedef {import("../../../web/types.d.ts").RecordFacts} RecordFacts */

/** The three bands, each with its own hatch. @type {[RecordFacts["wear"]["band"], string][]} */
const BANDS = [["few", "few"], ["look", "look at the lights"], ["many", "the lights may be gone"]];

/** A whole number that may be left empty. @param {import("../../state.js").Desk} desk @param {string} label @param {"planned" | "edition" | "lifetime"} key @param {string} name of the step of Undo */
function whole(desk, label, key, name) {
  const id = `pulls-${key}`;
  const input = h("input", { type: "text", inputmode: "numeric", id, maxlength: 8, autocomplete: "off" });
  const now = () => recordOf(desk.state)[key];
  const write = () => { input.value = String(now() ?? ""); };
  input.addEventListener("change", () => {
    const text = input.value.trim();
    const value = text === "" ? null : /^\d+$/.test(text) ? Number(text) : NaN;
    if (value === now()) return write();
    if (value !== null && !(value >= 1 && value <= MOST.highest)) {
      desk.notice(`“${text}” is no number of pulls: write a whole number from 1 to ${MOST.highest}, or leave it empty.`, "refused");
      return write();
    }
    if (!desk.changeJob(value === null ? `${name} not said` : `${name}: ${value}`, { record: { ...recordOf(desk.state), [key]: value } })) write();
  });
  return { root: h("div", { class: "said-field short" }, h("label", { for: id }, label), input), update: () => { if (document.activeElement !== input) write(); } };
}

/** @param {import("../../state.js").Desk} desk */
export function wear(desk) {
  const fields = [
    whole(desk, "Size of the edition", "edition", "size of the edition"), whole(desk, "Pulls planned in all", "planned", "pulls planned"),
    whole(desk, "A past plate of yours stood, pulls", "lifetime", "pulls of a past plate"),
  ];
  const steps = BANDS.map(([band, word]) => ({ band, root: h("li", { class: `wear-${band}` }, h("i", { "aria-hidden": "true" }), h("span", null, word)) }));
  const words = h("div", { class: "wear-said" });
  const root = h("section", { class: "pull-wear", "aria-labelledby": "h-wear" }, h("h3", { id: "h-wear" }, "Edition and wear"), h("div", { class: "said-fields" }, ...fields.map((field) => field.root)),
    h("ol", { class: "wear-band", "aria-label": "Wear" }, ...steps.map((step) => step.root)), words);
  return {
    root,
    /** @param {RecordFacts | null} told */
    update(told) {
      for (const field of fields) field.update();
      if (!told) return;
      for (const { band, root: step } of steps) assign(step, { "aria-current": band === told.wear.band ? "true" : null });
      if (words.textContent !== told.wear.said.join("")) words.replaceChildren(...told.wear.said.map((text) => h("p", { class: "aside" }, text)));
    },
  };
}
