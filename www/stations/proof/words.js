/**
 * What each part of the proof is set to, in one line. Pure.
 * @typedef {import("../../../web/types.d.ts").ProofSettings} ProofSettings
 * @typedef {import("../../../web/types.d.ts").ProofInk} ProofInk
 * @typedef {import("../../../web/types.d.ts").BroughtPlate} BroughtPlate
 * @typedef {import("../../format.js").Units} Units
 */
import { count, length, number, percent, sentence, words } from "../../format.js";
import { proofOf } from "../papers/pieces.js";
import { asTheStrip } from "./choices.js";

/** The ink that the strip was printed with, whatever it was. */
export const STRIPS_INK = "the strip’s own";

export const LAMPS = /** @type {const} */ ({ daylight: "daylight", booth: "booth", warm: "warm" });

/** Papers to pull on, as sRGB; the first is the strip's own. @type {[string, string][]} */
export const PAPERS = [["", "the strip’s own"], ["#ece6d8", "cream"], ["#dfd3bb", "buff"], ["#dfe3e1", "cool grey"]];

/** @param {ProofSettings} proof */
export function grainWords({ grain }) {
  return `${grain.kind === "rosin" ? "rosin" : "sprayed"}, ${typeof grain.median_um === "number" ? `half wider than ${number(2 * grain.median_um, 0)} µm` : grain.size}, ${grain.cover === null ? "cover as told" : `covers ${percent(grain.cover)}`}`;
}

/** @param {ProofSettings} proof @param {Units} units */
export function edgeWords({ edges }, units) {
  return edges ? `a hand’s, about ${length(edges.wander_mm, units)} ${units} either way` : "exactly as planned";
}

/** An ink by its place. @param {ProofSettings} proof @param {number | null} ink */
export function inkName({ inks }, ink) {
  return ink === null ? STRIPS_INK : inks[ink]?.name ?? STRIPS_INK;
}

/** @param {ProofSettings} proof */
export function inksWords({ inks }) {
  if (inks.length === 0) return `none of yours yet`;
  return inks.length > 3 ? count(inks.length, "ink") : inks.map((ink) => ink.name).join(", ");
}

/** @param {ProofInk} ink */
export function inkWords(ink) {
  const parts = ["pale" in ink.known ? "by two patches" : ink.known.opacity === 0 ? "transparent" : ink.known.opacity >= 1 ? "covers" : `${percent(ink.known.opacity)} opaque`];
  if (ink.thinned > 0) parts.push(`${percent(ink.thinned)} medium`);
  if (ink.strength !== 1) parts.push(`${number(ink.strength, 2)} times as strong`);
  return parts.join(", ");
}

/** @param {ProofSettings} proof @param {Units} units */
export function zonesWords({ zones, zone_border_mm }, units) {
  return zones.length === 0 ? "one ink over the whole plate" : `${count(zones.length, "zone")}, borders ${length(zone_border_mm, units)} ${units}`;
}

/** @param {ProofSettings} proof */
export function laidWords({ laid }) {
  return laid.length === 0 ? "none, on the sheet alone" : count(laid.length, "paper");
}

/** A plate by its letter; where another has the same, or it has none, by its title too, and where that is the same by its number. @param {string | null} plate @param {readonly BroughtPlate[]} plates @param {string} letter of the plate at hand */
export function plateName(plate, plates, letter) {
  const alone = (/** @type {string} */ own) => own !== "" && [letter, ...plates.map((each) => each.letter)].filter((each) => each === own).length === 1;
  if (plate === null) return alone(letter) ? letter : letter === "" ? "this plate" : `${letter} (this plate)`;
  const found = plates.find((each) => each.id === plate);
  if (!found) return "?";
  if (alone(found.letter)) return found.letter;
  const alike = plates.filter((each) => each.letter === found.letter && each.title === found.title);
  const title = `${found.title || "no title"}${alike.length > 1 ? `, ${alike.indexOf(found) + 1}` : ""}`;
  return found.letter === "" ? title : `${found.letter} (${title})`;
}

/** "B, then C". @param {ProofSettings} proof @param {readonly BroughtPlate[]} plates @param {string} letter */
export function orderWords({ printings }, plates, letter) {
  return printings.map((each) => plateName(each.plate, plates, letter)).join(", then ");
}

/** @param {ProofSettings} proof @param {readonly BroughtPlate[]} plates @param {string} letter */
export function platesWords(proof, plates, letter) {
  return proof.printings.length === 1 ? "this plate alone" : orderWords(proof, plates, letter);
}

/** What the picture stands on, as a sentence. @param {import("../../state.js").State} state */
export function basis({ plan, proof: own, papers, plates, letter }) {
  const proof = proofOf({ proof: own, papers });
  if (!plan) return "";
  const strip = plan.strip.kind === "missing" ? "as the example strip prints: there is no strip of yours yet" : `as strip ${plan.strip.id} prints`;
  const ink = asTheStrip(proof) ? "Ink, paper and plate tone are the strip’s." : `Your what-if: ${whatIf(proof, plates, letter)}.`;
  return `Made from ${proof.edges ? "the stop-outs as a hand may paint them" : "the stop-outs"} and the bites, ${strip}. ${ink} The grain is one such grain, not yours.`;
}

/** What is not as on the strip. @param {ProofSettings} proof @param {readonly BroughtPlate[]} plates @param {string} letter */
function whatIf(proof, plates, letter) {
  const parts = [];
  if (proof.paper !== null) parts.push(`paper ${PAPERS.find(([hex]) => hex === proof.paper)?.[1] ?? "of your colour"}`);
  if (proof.plate_tone > 0) parts.push(`plate tone ${number(proof.plate_tone, 2)} D`);
  const inks = new Set([...proof.printings, ...proof.zones].map((each) => each.ink).filter((ink) => ink !== null));
  if (inks.size > 0) parts.push([...inks].map((ink) => inkName(proof, ink)).join(" and "));
  if (proof.zones.length > 0) parts.push(count(proof.zones.length, "ink zone"));
  if (proof.laid.length > 0) parts.push(`${count(proof.laid.length, "thin paper")} laid in`);
  if (proof.papers) parts.push(`${count(proof.papers.pieces.length, "piece")} of thin paper`);
  if (proof.printings.length > 1) parts.push(`${words(proof.printings.length)} plates, ${orderWords(proof, plates, letter)}`);
  return parts.join(", ");
}

/** How far proof and drawing lie apart. @param {import("../../../web/types.d.ts").Difference} found */
export function differenceWords({ mean, most, over_six, worst_tone, worst_mean, said }) {
  const figures = `ΔE ${number(mean)} on average over the face (CIEDE2000), ${number(most)} at the most; ${over_six === 0 ? "nowhere" : `on ${percent(over_six)} of it`} over 6. Tone ${worst_tone} is farthest off, ${number(worst_mean)} on average.`;
  return [figures, ...said].join(" ");
}

/** A refusal of a number out of its range. @param {string} what "A plate tone" @param {[number, number]} range @param {string} unit @param {number} came @param {number} [places] */
export function outside(what, [low, high], unit, came, places = 2) {
  const with_unit = unit ? ` ${unit}` : "";
  return sentence(`${what} of ${number(low, places)} to ${number(high, places)}${with_unit} was expected, ${number(came, places)} came: type one within.`);
}
