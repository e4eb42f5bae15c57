/**
 * Strips and baths kept in this browser, and what to mind about their age.
 * @typedef {import("../web/types.d.ts").StripSettings} StripSettings
 * @typedef {{ id: string, metal: string | null, mordant: string | null, before: string | null, litres: number | null, strength_g_l: number | null, capacity_g_l: number | null, mixed: string }} KeptBath mixed: the day, as YYYY-MM-DD, or ""
 */
import { ageDays, shelf, span } from "./shelf.js";

/** A strip or a bath older than this is warned of: baths age and rooms cool. Estimate of ours, in days. */
export const OLD_DAYS = 30;

/** @param {() => Storage | null} storage */
export function keptStrips(storage) {
  return /** @type {ReturnType<typeof shelf<StripSettings>>} */ (shelf(storage, "stepbite.strips", (strip) => Array.isArray(strip.readings)
    && strip.readings.every((/** @type {any} */ pair) => Array.isArray(pair) && pair.length === 2 && pair.every(Number.isFinite))));
}

/** The strip that is kept under the name of another, with other readings; null where none would be lost. @template {StripSettings} T @param {T[]} kept @param {StripSettings} strip */
export function otherNamed(kept, strip) {
  return kept.find((each) => each.id === strip.id && JSON.stringify(each.readings) !== JSON.stringify(strip.readings)) ?? null;
}

/** @param {() => Storage | null} storage */
export function keptBaths(storage) {
  const words = ["metal", "mordant", "before"];
  const figures = ["litres", "strength_g_l", "capacity_g_l"];
  return /** @type {ReturnType<typeof shelf<KeptBath>>} */ (shelf(storage, "stepbite.baths", (bath) => typeof bath.mixed === "string"
    && words.every((key) => bath[key] === null || typeof bath[key] === "string") && figures.every((key) => bath[key] === null || Number.isFinite(bath[key]))));
}

/** The age of a strip in words. @param {number | null} days */
export function ageWords(days) {
  return days === null ? "day not noted" : days === 0 ? "bitten today" : `${span(days)} old`;
}

/** What to mind about the age of a strip, or "". @param {number | null} days */
export function ageWarning(days) {
  return days !== null && days > OLD_DAYS
    ? `This strip is ${span(days)} old: baths age and rooms cool. Bite one known time first thing on the day, or a new strip.` : "";
}

/** The age of a bath in words, with what to mind. @param {string} mixed @param {Date} now */
export function bathAge(mixed, now) {
  const days = ageDays(mixed, now);
  if (days === null) return { words: "day of mixing not noted", old: false };
  return days > OLD_DAYS ? { words: `mixed ${span(days)} ago: bite a witness or a new strip before you trust its times`, old: true }
    : { words: days === 0 ? "mixed today" : `mixed ${span(days)} ago`, old: false };
}
