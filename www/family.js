/**
 * The plates of a family: the one at hand and the others, each a whole work of its own, on one shared ladder of times. Pure.
 * @typedef {import("../web/types.d.ts").Settings} Settings
 * @typedef {import("../web/types.d.ts").KinFacts} KinFacts
 * @typedef {import("./keeping/work.js").Work} Work
 * @typedef {import("./state.js").State} State
 */
import { GAP, withTones } from "./settings.js";

/**
 * Another plate. `facts` are those of its plan, made for `of`; they stay, greyed, while a newer plan is made or refused. What its cards don't grey asks `known`.
 * @typedef {object} Kin
 * @property {string} id
 * @property {Work} work
 * @property {Blob} file its drawing's own bytes
 * @property {KinFacts | null} facts
 * @property {string | null} refused why it makes no plan, in whole sentences
 * @property {Planned | null} of what was planned, or refused, last
 * @property {Planned | null} [stopped] what was to be planned when it was stopped or broke off: that is not begun again by itself
 */
/** What a plan is made of. @typedef {{ work: Work, shared: string }} Planned */

/** The most plates of a family, the one at hand among them. */
export const MOST_PLATES = 30;

/** What the whole family has in common: what decides the ladder, and the hands and minutes of those who bite. @type {readonly (keyof Settings)[]} */
export const SHARED = Object.freeze(["tones", "reserve_l", "strip", "reading_error_l", "handling", "bath", "witness", "scatter_l", "bench", "hand_speed", "hand_error_mm", "strip_plan"]);

/** What of it no facts of another plate rest on: it is planned anew for none of these. @type {readonly (keyof Settings)[]} */
const APART = Object.freeze(["scatter_l", "bench", "hand_error_mm", "strip_plan"]);

/** A new plate's id. */
export function newId() {
  return [...crypto.getRandomValues(new Uint8Array(6))].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}

/** What of settings is the family's. @param {Settings} settings @returns {Partial<Settings>} */
export function shared(settings) {
  return Object.fromEntries(SHARED.map((key) => [key, settings[key]]));
}

/** What of it the plans of the others are made of, to be compared. @param {Settings} settings */
export function sharedKey(settings) {
  let key = keys.get(settings);
  if (key === undefined) keys.set(settings, key = JSON.stringify(SHARED.filter((name) => !APART.includes(name)).map((name) => settings[name])));
  return key;
}

/** Settings are never changed, only exchanged. @type {WeakMap<Settings, string>} */
const keys = new WeakMap();

/**
 * A plate's own settings on the family's ladder: those of the plate at hand rule what is shared. Its breaks set by hand stay, as many as the family's tones have;
 * where there are more now, they are added between those it has, where most room is, so that all stay within its own drawing's range.
 * @param {Settings} own @param {Settings} hand @param {import("../web/types.d.ts").Done | null} [done] to its metal: breaks it is painted by stay the first
 * @returns {Settings}
 */
export function onLadder(own, hand, done = null) {
  const settings = { ...own, ...shared(hand) };
  const { breaks, tones } = settings;
  if (!Array.isArray(breaks) || breaks.length === tones - 1) return settings;
  return breaks.length > tones - 1 ? withTones(settings, null, tones) : { ...settings, breaks: between(breaks, tones - 1, painted(done)) };
}

/** Whether it was ever said how long a stop-out of this plate took. @param {Work} work */
function timed({ settings, done }) {
  return settings.painted.length > 0 || done.log.some((entry) => entry.kind === "painted" && entry.minutes !== null);
}

/**
 * Settings of a plate that comes to hand: it is painted by the same hand, so that what the plate before taught of its pace holds for one of which no time is known.
 * @param {Settings} settings @param {Work} work of it @param {Pick<import("../web/types.d.ts").Plan, "pace"> | null} plan of the plate before @returns {Settings}
 */
export function atPace(settings, work, plan) {
  const taught = plan?.pace && !timed(work) && Math.abs(plan.pace.factor - 1) > SAME_PACE;
  return taught ? { ...settings, hand_speed: /** @type {NonNullable<typeof plan.pace>} */ (plan.pace).speed } : settings;
}

/** A pace that lies within this share of the family's is the family's: nothing is planned anew for less. */
const SAME_PACE = 0.01;

/**
 * Stop-outs of another plate with their minutes at the pace that was learned on the plate at hand, where its own says nothing. No plan is needed for that: one
 * factor corrects all.
 * @template {{ paint_min: number }} T @param {T[]} stopouts @param {Work} work of the other plate @param {Pick<import("../web/types.d.ts").Plan, "pace"> | null} plan of the plate at hand @returns {T[]}
 */
export function paced(stopouts, work, plan) {
  const factor = plan?.pace && !timed(work) ? plan.pace.factor : 1;
  return factor === 1 ? stopouts : stopouts.map((stop) => ({ ...stop, paint_min: stop.paint_min * factor }));
}

/** The last stop-out that was ever painted, by the log. @param {import("../web/types.d.ts").Done | null} done */
function painted(done) {
  return Math.max(0, ...(done?.log ?? []).map((entry) => entry.kind === "painted" ? entry.stop_out : entry.kind === "bitten" ? entry.bite : entry.kind === "begun" ? entry.bites_s.length : 0));
}

/**
 * So many breaks, those that are there among them: each more halves the widest gap, the darkest of equal ones. "even" where no gap has room.
 * @param {readonly number[]} there falling @param {number} count @param {number} first so many stay the first @returns {number[] | "even"}
 */
function between(there, count, first) {
  const breaks = [...there];
  while (breaks.length < count) {
    let widest = Math.max(0, first - 1);
    for (let k = widest + 1; k + 1 < breaks.length; k++) if (breaks[k] - breaks[k + 1] >= breaks[widest] - breaks[widest + 1]) widest = k;
    if (!(breaks[widest] - breaks[widest + 1] >= 2 * GAP)) return "even";
    breaks.splice(widest + 1, 0, Math.round((breaks[widest] + breaks[widest + 1]) / 2 * 100) / 100);
  }
  return breaks;
}

/**
 * Why a plate can't join a family in one bath: a mordant that is safe on one metal may be violent on another, so that nobody's metal is changed in silence. null: it can.
 * @param {string | null} own the plate's metal, in the printer's words @param {string | null} hand the family's
 */
export function otherMetal(own, hand) {
  const plain = (/** @type {string | null} */ metal) => (metal ?? "").trim().toLowerCase();
  if (plain(own) === "" || plain(own) === plain(hand)) return null;
  return plain(hand) === ""
    ? `is ${own}, and the metal of this family is not said: name it under Times, Bath, and add the plate again.`
    : `is ${own}, and this family is bitten as ${hand}: plates of two metals share no bath here. Keep it as work of its own.`;
}

/** A plate that has not been planned yet. @param {Work} work @param {Blob} file @param {string} [id] @returns {Kin} */
export function kinOf(work, file, id = newId()) {
  return { id, work, file, facts: null, refused: null, of: null, stopped: null };
}

/** Whether a plate's facts, or its refusal, are of something else than what is wanted now. @param {Kin} kin @param {Settings} settings of the plate at hand */
export function stale(kin, settings) {
  return !isOf(kin.of, kin, settings);
}

/** Whether it is to be planned anew, and that was stopped or broke off. @param {Kin} kin @param {Settings} settings of the plate at hand */
export function stopped(kin, settings) {
  return stale(kin, settings) && isOf(kin.stopped ?? null, kin, settings);
}

/** What it comes to now; null while that is planned, was stopped, or is refused. @param {Kin} kin @param {Settings} settings of the plate at hand @returns {KinFacts | null} */
export function known(kin, settings) {
  return kin.refused === null && !stale(kin, settings) ? kin.facts : null;
}

/** Whether a plan made of that is the one that is wanted now. A letter and a title are on its sheets, and plan nothing. @param {Planned | null} of @param {Kin} kin @param {Settings} settings */
function isOf(of, { work }, settings) {
  if (of === null || of.shared !== sharedKey(settings)) return false;
  const then = of.work;
  return work === then || (work.settings === then.settings && work.done === then.done && work.job.proof.grain === then.job.proof.grain);
}

/** The family with one of its other plates changed: `patch` of its work. @param {Kin[]} family @param {string} id @param {Partial<Work>} patch @returns {Kin[]} */
export function withKin(family, id, patch) {
  return family.map((kin) => kin.id === id ? { ...kin, work: { ...kin.work, ...patch } } : kin);
}

/** All letters, in the order of the plates: the one at hand first. @param {Pick<State, "letter" | "family">} state */
export function letters({ letter, family }) {
  return [letter, ...family.map(({ work }) => work.job.letter)];
}

/** The first letter that no plate has: A to Z, then AA and on. @param {readonly string[]} taken */
export function nextLetter(taken) {
  const used = new Set(taken.map((letter) => letter.toUpperCase()));
  for (let k = 0; k < 26 * 27; k++) {
    const first = k < 26 ? "" : String.fromCharCode(64 + Math.floor(k / 26));
    const letter = first + String.fromCharCode(65 + k % 26);
    if (!used.has(letter)) return letter;
  }
  return "?";
}

/**
 * The order of plates, everywhere: A before B, Z before AA, 2 before 10; a plate without a letter last; of one letter, by their ids.
 * @param {{ letter: string, id?: string }} a @param {{ letter: string, id?: string }} b
 */
export function byLetter(a, b) {
  const [one, other] = [a, b].map(({ letter }) => letter.trim().toUpperCase().match(/[0-9]+|[^0-9]+/g) ?? []);
  if (one.length === 0 || other.length === 0) return other.length - one.length || order(a.id ?? "", b.id ?? "");
  for (let k = 0; k < Math.min(one.length, other.length); k++) {
    // Of two numbers the lower, of two words the shorter; a number before a word.
    const numbers = [one[k], other[k]].map((part) => /[0-9]/.test(part));
    const by = numbers[0] && numbers[1] ? Number(one[k]) - Number(other[k]) : numbers[0] !== numbers[1] ? (numbers[0] ? -1 : 1) : one[k].length - other[k].length || order(one[k], other[k]);
    if (by !== 0) return by;
  }
  return one.length - other.length || order(a.id ?? "", b.id ?? "");
}

/** Letters of plates in their order. @param {readonly string[]} letters */
export function inOrder(letters) {
  return letters.map((letter) => ({ letter })).sort(byLetter).map(({ letter }) => letter);
}

/** @param {string} a @param {string} b */
function order(a, b) {
  return a < b ? -1 : a > b ? 1 : 0;
}

/** Letters that more than one plate has, each once. @param {readonly string[]} all */
export function twice(all) {
  const large = all.map((letter) => letter.toUpperCase());
  return [...new Set(large.filter((letter, k) => large.indexOf(letter) !== k))];
}

/**
 * The plates of a file or of the storage, each with an id of its own: one that is there already, or missing, is given another.
 * @param {{ id: string | null, work: Work, file: Blob }[]} plates @param {readonly string[]} there @returns {Kin[]}
 */
export function kinsOf(plates, there) {
  const ids = new Set(there);
  return plates.map(({ id, work, file }) => {
    const own = id === null || ids.has(id) ? newId() : id;
    ids.add(own);
    return kinOf({ ...work, job: { ...work.job, id: own } }, file, own);
  });
}
