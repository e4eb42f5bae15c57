/**
 * A change of the proof in words, as Undo has it, and what a change does to how the proof is looked at. Pure.
 * @typedef {import("../../../web/types.d.ts").ProofSettings} ProofSettings
 * @typedef {import("../../../web/types.d.ts").PrintingChoice} PrintingChoice
 * @typedef {import("../../state.js").Proofing} Proofing
 */
import { number } from "../../format.js";
import { LAMPS } from "./words.js";

/** What a list is called when its order changes. */
const LISTS = /** @type {const} */ ({ inks: "inks", zones: "zones of ink", laid: "papers laid in" });

/** @param {unknown} a @param {unknown} b */
const alike = (a, b) => JSON.stringify(a) === JSON.stringify(b);

/** What was changed, "zone 1 drawn otherwise"; null where nothing was. @param {ProofSettings} before @param {ProofSettings} after @returns {string | null} */
export function changeName(before, after) {
  for (const key of /** @type {(keyof typeof LISTS)[]} */ (Object.keys(LISTS))) {
    const said = before[key] === after[key] ? null : listChange(before[key], after[key], LISTS[key]);
    if (said) return said;
  }
  const printed = before.printings === after.printings ? null : printingsChange(before.printings, after.printings);
  if (printed) return printed;
  if (before.paper !== after.paper) return "paper of the proof";
  if (before.plate_tone !== after.plate_tone) return after.plate_tone === 0 ? "no plate tone" : `plate tone ${number(after.plate_tone, 2)}`;
  if (!alike(before.edges, after.edges)) return after.edges === null ? "edges as planned" : before.edges === null ? "edges as a hand paints them" : "edges of the proof";
  if (!alike(before.grain, after.grain)) return before.grain.seed === after.grain.seed ? "grain of the proof" : "another such grain";
  if (before.lamp !== after.lamp) return `light: ${LAMPS[after.lamp]}`;
  if (before.zone_border_mm !== after.zone_border_mm) return "borders of the zones";
  return before.zone_minutes === after.zone_minutes ? null : "minutes to ink a zone";
}

/** @param {readonly any[]} before @param {readonly any[]} after @param {string} list */
function listChange(before, after, list) {
  if (after.length > before.length) return `${after.find((item) => !before.includes(item)).name} added`;
  if (after.length < before.length) return `${before.find((item, i) => !alike(item, after[i])).name} taken away`;
  const other = before.flatMap((item, i) => (alike(item, after[i]) ? [] : [i]));
  if (other.length === 0) return null;
  const [was, is] = [before[other[0]], after[other[0]]];
  if (other.length > 1) return `order of the ${list}`;
  if (was.name !== is.name) return `${was.name} named ${is.name}`;
  if (alike(was.outline, is.outline)) return `${is.name} changed`;
  return is.outline === null ? `${is.name} over the whole face` : was.outline === null ? `${is.name} as a piece` : `${is.name} drawn otherwise`;
}

/** @param {readonly PrintingChoice[]} before @param {readonly PrintingChoice[]} after */
function printingsChange(before, after) {
  if (after.length > before.length) return "a plate brought in";
  if (after.length < before.length) return "a plate taken away";
  if (before.some(({ plate }, i) => plate !== after[i].plate)) return "order of the plates";
  const i = before.findIndex((each, k) => !alike(each, after[k]));
  if (i < 0) return null;
  const { ink, trap } = before[i];
  return ink !== after[i].ink ? "ink of a plate" : trap !== after[i].trap ? "trap of a plate" : "misfit of a plate";
}

/** A way of looking that there is no picture for any more is left, and so is an outline that is not there. @param {Proofing} proofing @param {ProofSettings} proof @returns {Proofing} */
export function fitting(proofing, proof) {
  const { way, drawing } = proofing;
  const blind = (way === "chance" && proof.edges === null) || (way === "orders" && proof.printings.length < 2);
  const list = drawing?.of === "zone" ? proof.zones : proof.laid;
  const gone = drawing !== null && drawing.index !== null && drawing.index >= list.length;
  return blind || gone ? { ...proofing, way: blind ? "pull" : way, drawing: gone ? null : drawing } : proofing;
}
