/** What a printer asks first of a pull: which ink, which paper, how cleanly wiped. */
import { h, say } from "../../dom.js";
import { number } from "../../format.js";
import { radios, slider } from "../../fields.js";
import { inkedWith, ownInk, withNewInk } from "./choices.js";
import { colourField, inkChoices, inkOf, inkValue, listField } from "./fields.js";
import { outside, PAPERS } from "./words.js";

/** The thickest film offered, density: half the light of the paper. Choice of ours. */
const THICKEST = 0.3;
/** What another ink is asked for by. */
const ANOTHER = "another";
/** What another paper begins as. */
const SOME_PAPER = "#f0e4c8";

/** @param {import("../../state.js").Desk} desk @param {() => void} toInks opens the part where inks are made known @returns {import("../../state.js").Part} */
export function first(desk, toInks) {
  const ink = listField("Ink of this plate", (value) => {
    const { proof } = desk.state;
    if (value !== ANOTHER) return desk.setProof(inkedWith(proof, inkOf(value)));
    const made = withNewInk(proof);
    desk.setProof({ ...made, ...inkedWith(proof, proof.inks.length) });
    toInks();
  });
  const paper = radios("Paper", [...PAPERS, [ANOTHER, "another"]], (value) => desk.setProof({ paper: value === ANOTHER ? SOME_PAPER : value || null }));
  const own = colourField(desk, "Its colour", (hex) => desk.setProof({ paper: hex }));
  const film = slider(desk, "Plate tone", { min: 0, max: THICKEST, step: 0.01, unit: "D", words: (value) => value === 0 ? "none beyond the strip's own" : `density ${number(value, 2)} beyond the strip's own`,
    take: (value) => desk.setProof({ plate_tone: Math.max(0, value) }), typed });
  const wiped = h("p", { class: "aside" });
  const root = h("section", { class: "first-asked", "aria-label": "Ink, paper, plate tone" }, ink.root, paper.root, own.root, film.root, wiped);

  /** @param {number} plate_tone */
  function typed(plate_tone) {
    if (plate_tone >= 0 && plate_tone <= THICKEST) return desk.setProof({ plate_tone });
    desk.notice(outside("A film of plate tone", [0, THICKEST], "D", plate_tone), "refused");
    return false;
  }

  return {
    root,
    update(state) {
      const { proof } = state;
      ink.set(inkValue(ownInk(proof)), [...inkChoices(proof), [ANOTHER, "another ink …"]]);
      const known = proof.paper === null || PAPERS.some(([hex]) => hex === proof.paper);
      paper.set(known ? proof.paper ?? "" : ANOTHER);
      own.root.hidden = known;
      if (!known && proof.paper) own.set(proof.paper);
      film.set(proof.plate_tone);
      say(wiped, proof.plate_tone === 0 ? "Wiped as the strip was." : `The film leaves ${number(100 * 10 ** -proof.plate_tone, 0)} % of the paper’s light in the whites${proof.printings.length > 1 || proof.printings.some((each) => each.ink !== null) ? ", of each plate in its strip’s own ink; as thick in any other" : ""}.`);
    },
  };
}
