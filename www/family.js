/**
 * The plates of a family: the one at hand and the others, each a whole work of its own, on one shared ladder of times. Pure.
 * @typedef {import("../web/types.d.ts").Settings} Settings
 * @typedef {import("../web/types.d.ts").KinFacts} KinFacts
 * @typedef {import("./keeping/work.js").Work} Work
 * @typedef {import("./state.js").State} State
 */
import { withTones } from "./settings.js";

/**
 * Another plate. `facts` are those of its plan, made for `of`; they stay, greyed, while a newer plan is made or refused.
 * @typedef {object} Kin
 * @property {string} id
 * @property {Work} work
 * @property {Blob} file its drawing's own bytes
 * @property {KinFacts | null} facts
 * @property {string | null} refused why it makes no plan, in whole sentences
 * @property {{ work: Work, shared: string } | null} of what was planned, or refused, last
 */

/** The most plates of a family, the one at hand among them. */
export const MOST_PLATES = 30;

/** What the whole family has in common: what decides the ladder, and the hands and minutes of those who bite. @type {readonly (keyof Settings)[]} */
export const SHARED = Object.freeze(["tones", "reserve_l", "strip", "reading_error_l", "handling", "bath", "witness", "scatter_l", "bench", "hand_speed", "hand_error_mm", "strip_plan"]);

/** A new plate's id. */
export function newId() {
  return [...crypto.getRandomValues(new Uint8Array(6))].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}

/** What of settings is the family's. @param {Settings} settings @returns {Partial<Settings>} */
export function shared(settings) {
  return Object.fromEntries(SHARED.map((key) => [key, settings[key]]));
}

/** The same, to be compared. @param {Settings} settings */
export function sharedKey(settings) {
  let key = keys.get(settings);
  if (key === undefined) keys.set(settings, key = JSON.stringify(shared(settings)));
  return key;
}

/** Settings are never changed, only exchanged. @type {WeakMap<Settings, string>} */
const keys = new WeakMap();

/**
 * A plate's own settings on the family's ladder: those of the plate at hand rule what is shared. Its breaks set by hand stay, as many as the family's tones have.
 * @param {Settings} own @param {Settings} hand @returns {Settings}
 */
export function onLadder(own, hand) {
  const settings = { ...own, ...shared(hand) };
  const unlike = Array.isArray(settings.breaks) && settings.breaks.length !== settings.tones - 1;
  return unlike ? withTones(settings, null, settings.tones) : settings;
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
  return { id, work, file, facts: null, refused: null, of: null };
}

/** Whether a plate's facts, or its refusal, are of something else than what is wanted now. @param {Kin} kin @param {Settings} settings of the plate at hand */
export function stale(kin, settings) {
  if (kin.of === null || kin.of.shared !== sharedKey(settings)) return true;
  const [now, then] = [kin.work, kin.of.work];
  return now !== then && (now.settings !== then.settings || now.done !== then.done || now.job.letter !== then.job.letter || now.job.title !== then.job.title || now.job.proof.grain !== then.job.proof.grain);
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
