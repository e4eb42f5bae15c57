/**
 * Strips kept in this browser, and how old they are. Pure but for the storage it is given: the page hands over its own, a test another.
 * @typedef {import("../web/types.d.ts").StripSettings} StripSettings
 * @typedef {StripSettings & { kept: string }} KeptStrip kept: the day, as YYYY-MM-DD
 */

const NAME = "stepbite.strips";
/** Written into the store, so that a later page can tell what it finds. */
const VERSION = 1;
/** A strip older than this is warned of: baths age and rooms cool. Estimate of ours, in days. */
export const OLD_DAYS = 30;
const DAY_MS = 86_400_000;

/** @param {() => Storage | null} storage gives the browser's own, or throws where there is none */
export function keptStrips(storage) {
  /** @returns {KeptStrip[]} */
  function all() {
    try {
      const found = JSON.parse(storage()?.getItem(NAME) ?? "null");
      return found?.version === VERSION && Array.isArray(found.strips) ? found.strips.filter(whole) : [];
    } catch {
      return [];
    }
  }
  /** @param {KeptStrip[]} strips whether they could be kept */
  function write(strips) {
    try {
      const store = storage();
      store?.setItem(NAME, JSON.stringify({ version: VERSION, strips }));
      return store !== null;
    } catch {
      return false;
    }
  }
  return {
    all,
    /** Keeps a strip under its name; one of the same name is replaced. @param {StripSettings} strip @param {Date} now */
    put: (strip, now) => write([{ ...strip, kept: day(now) }, ...all().filter((each) => each.id !== strip.id)]),
    /** @param {string} id */
    remove: (id) => write(all().filter((each) => each.id !== id)),
  };
}

/** What an older page or another hand left is not trusted. @param {any} strip @returns {strip is KeptStrip} */
function whole(strip) {
  return typeof strip?.id === "string" && typeof strip.kept === "string" && Array.isArray(strip.readings)
    && strip.readings.every((/** @type {any} */ pair) => Array.isArray(pair) && pair.length === 2 && pair.every(Number.isFinite));
}

/** The day of a moment, as it is here. @param {Date} now */
export function day(now) {
  return [now.getFullYear(), now.getMonth() + 1, now.getDate()].map((part) => String(part).padStart(2, "0")).join("-");
}

/** Whole days since a day, or null where there is none or it lies ahead. @param {string | undefined} bitten @param {Date} now */
export function ageDays(bitten, now) {
  const then = /^(\d{4})-(\d{2})-(\d{2})$/.exec(bitten ?? "");
  if (!then) return null;
  const at = Date.UTC(Number(then[1]), Number(then[2]) - 1, Number(then[3]));
  const days = Math.round((Date.UTC(now.getFullYear(), now.getMonth(), now.getDate()) - at) / DAY_MS);
  return days >= 0 && Number.isFinite(days) ? days : null;
}

/** An age in words. @param {number | null} days */
export function ageWords(days) {
  if (days === null) return "day not noted";
  if (days === 0) return "bitten today";
  if (days < 14) return `${days} ${days === 1 ? "day" : "days"} old`;
  if (days < 70) return `${Math.round(days / 7)} weeks old`;
  if (days < 730) return `${Math.round(days / 30.4)} months old`;
  return `${Math.floor(days / 365.25)} years old`;
}

/** What to mind about the age of a strip, or "". @param {number | null} days */
export function ageWarning(days) {
  if (days === null) return "";
  return days > OLD_DAYS ? `This strip is ${ageWords(days)}: baths age and rooms cool. Bite one known time first thing on the day, or a new strip.` : "";
}
