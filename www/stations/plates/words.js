/**
 * What a plate of the family comes to, in words. Pure.
 * @typedef {import("../../../web/types.d.ts").KinFacts} KinFacts
 */
import { inOrder } from "../../family.js";
import { count, listed, percent, sentence, words } from "../../format.js";

/** Which of the ladder's tones it has. @param {{ index: number, share: number }[]} tones */
export function tonesWords(tones) {
  const lacking = tones.filter(({ share }) => share === 0).map(({ index }) => index);
  if (lacking.length === 0) return `All ${words(tones.length)} tones.`;
  const white = lacking[0] === 0 ? ": no paper white" : "";
  return lacking.length === 1 ? `${sentence(words(tones.length - 1))} tones; tone ${lacking[0]} is lacking${white}.` : `${sentence(count(tones.length - lacking.length, "tone"))}; tones ${listed(lacking)} are lacking${white}.`;
}

/**
 * What joins in one dip, what is not painted, and when it leaves, as sentences.
 * @param {{ joins: KinFacts["joins"], tones: { index: number, share: number }[] }} plate
 */
export function joinsWords({ joins: { dips, painted }, tones }) {
  const bites = tones.length - 1;
  const last = dips.at(-1)?.[1] ?? 0;
  if (last === 0) return ["It has no tone that is bitten, and never goes into the bath."];
  const said = [];
  const joined = dips.filter(([from, to]) => to > from);
  if (joined.length) {
    const fewer = joined.reduce((sum, [from, to]) => sum + to - from, 0);
    const each = joined.map(([from, to]) => to === from + 1 ? `${from} and ${to}` : `${from} to ${to}`);
    said.push(`Bites ${listed(each)} join in one dip${joined.length > 1 ? " each" : ""}: ${count(fewer, "restart")} fewer.`);
  }
  const skipped = [];
  for (let k = 2; k <= last; k++) if (!painted.includes(k)) skipped.push(k);
  if (skipped.length) said.push(`It skips stop-out${skipped.length > 1 ? "s" : ""} ${listed(skipped)}: the painting, not the bath.`);
  if (tones[0]?.share === 0) said.push("Its stop-out 1 is back and bevel alone, and still a tick.");
  if (last < bites) said.push(`Its darkest tone is ${last}: it leaves the bath after bite ${last}.`);
  return said;
}

/** Where it stands at the bath. @param {Pick<KinFacts["standing"], "painted" | "bitten" | "next" | "due">} standing */
export function standsWords({ painted, bitten, next, due }) {
  if (due) return `After bite ${due.after} there is something to be decided.`;
  if (painted === 0 && bitten === 0) return "Nothing is done to its metal yet.";
  return next.kind === "paint" ? `Next: stop-out ${next.stop_out}.` : next.kind === "bite" ? `Next: bite ${next.bite}.` : "All its bites are done.";
}

/** What the tones look like, for who can't see them. @param {{ index: number, share: number }[]} tones */
export function sharesWords(tones) {
  return tones.map(({ index, share }) => share === 0 ? `tone ${index} lacking` : `tone ${index} ${percent(share)}`).join(", ");
}

/** The line of the ticket. @param {readonly string[]} letters */
export function platesLine(letters) {
  return letters.length === 1 ? "one plate" : `${words(letters.length)} plates: ${inOrder(letters).join(" ")}`;
}

/** What is not well with the family, in few words. @param {readonly string[]} doubled letters @param {readonly string[]} refused letters */
export function platesTrouble(doubled, refused) {
  return [doubled.length && `two plates have the letter ${listed(doubled)}`, refused.length && (refused.length === 1 ? `plate ${refused[0]} makes no plan` : `plates ${listed(refused)} make no plan`)].filter(Boolean).join("; ");
}
