/**
 * The clocks of a pull with papers: when each piece was pasted, and what is left of each until the press. Pure: it is handed moments, and counts no
 * ticks (see clock.js). Where the machine's two clocks disagree the longer time counts: paste that is taken for drier than it is costs a look.
 * @typedef {import("./clock.js").Moment} Moment
 * @typedef {object} ToLay
 * @property {number} number its turn
 * @property {string} name
 * @property {string} paper
 * @property {boolean} turned
 * @property {boolean} torn
 * @property {[number, number][] | null} outline mm of the face; null: a whole ground
 * @typedef {object} Laying
 * @property {"before" | "laying" | "press" | "done"} phase
 * @property {ToLay[]} pieces the first laid first
 * @property {number} open_s
 * @property {number} each_s
 * @property {Moment[]} pasted when each piece's paste went on, in turn
 * @property {Moment | null} pressed
 * @property {[number, number, number]} plate the face's width and height, and the bevel, mm
 * @property {{ letter: string, title: string }} words
 * @property {boolean} [left] the printer left the screen, and may go on
 * @property {string} [example] what is said of figures that are nobody's trial
 */
import { passed } from "./clock.js";

const NAME = "stepbite.laying";
const VERSION = 1;

/** What has passed between two moments, ms; and whether the clocks disagree on it. @param {Moment} from @param {Moment} at */
export function since(from, at) {
  const found = passed({ what: "paste", from, length_ms: null, spent_ms: 0 }, at);
  return found.kind === "sure" ? { ms: found.ms, sure: true } : { ms: Math.max(found.steady_ms, found.wall_ms, 0), sure: false };
}

/** What is left of each pasted piece, ms, the first pasted first; until the press, or now. @param {Laying} laying @param {Moment} at */
export function lefts(laying, at) {
  const until = laying.pressed ?? at;
  return laying.pasted.map((from) => laying.open_s * 1000 - since(from, until).ms);
}

/** Whether the clocks of the machine agree on what has passed. @param {Laying} laying @param {Moment} at */
export function agrees(laying, at) {
  return laying.pasted.every((from) => since(from, laying.pressed ?? at).sure);
}

/** The mean time of a piece so far, s; null before two are pasted. @param {Laying} laying */
export function paceOf({ pasted }) {
  return pasted.length < 2 ? null : since(pasted[0], pasted[pasted.length - 1]).ms / 1000 / (pasted.length - 1);
}

/** What the first pasted piece will have left at the press, s, at the pace so far, or before that as planned. @param {Laying} laying @param {Moment} at */
export function spare(laying, at) {
  const { pasted, pieces, open_s, each_s } = laying;
  if (!pasted.length) return open_s - pieces.length * each_s;
  const pace = paceOf(laying) ?? each_s;
  const gone = since(pasted[0], laying.pressed ?? at).ms / 1000;
  // Each of those still to be pasted takes the pace from now on, however long the one in hand has taken.
  return open_s - Math.max(pieces.length * pace, gone + (pieces.length - pasted.length) * pace);
}

/** Two presses nearer than this, ms, are one: nobody picks and pastes a piece so quickly, and a piece that is skipped has no clock. */
export const DEAD_MS = 700;

/** Whether a press comes too soon after the one before to be another. @param {Laying} laying @param {Moment} at */
export function tooSoon({ pasted, pressed }, at) {
  const last = pressed ?? pasted[pasted.length - 1];
  return last !== undefined && since(last, at).ms < DEAD_MS;
}

/** The next turn: another piece pasted, then the press; the same laying where the press is one with the one before. @param {Laying} laying @param {Moment} at @returns {Laying} */
export function turned(laying, at) {
  if (tooSoon(laying, at)) return laying;
  if (laying.phase === "press") return { ...laying, phase: "done", pressed: at };
  if (laying.phase === "done") return laying;
  const pasted = [...laying.pasted, at];
  return { ...laying, pasted, phase: pasted.length >= laying.pieces.length ? "press" : "laying" };
}

/** The last turn taken back. @param {Laying} laying @returns {Laying} */
export function back(laying) {
  if (laying.phase === "done") return { ...laying, phase: "press", pressed: null };
  const pasted = laying.pasted.slice(0, -1);
  return { ...laying, pasted, phase: pasted.length ? "laying" : "before" };
}

/** @param {unknown} x */
const finite = (x) => typeof x === "number" && Number.isFinite(x);

/** @param {any} laying @returns {laying is Laying} */
function whole(laying) {
  const moment = (/** @type {any} */ at) => finite(at?.steady) && finite(at?.wall);
  return Boolean(laying) && ["before", "laying", "press", "done"].includes(laying.phase) && Array.isArray(laying.pieces) && laying.pieces.length > 0
    && laying.pieces.every((/** @type {any} */ piece) => finite(piece?.number) && typeof piece.name === "string" && typeof piece.paper === "string")
    && Array.isArray(laying.pasted) && laying.pasted.length <= laying.pieces.length && laying.pasted.every(moment) && (laying.pressed === null || moment(laying.pressed))
    && finite(laying.open_s) && finite(laying.each_s) && Array.isArray(laying.plate) && laying.plate.every(finite) && typeof laying.words?.letter === "string";
}

/** Kept at every turn, so that a page loaded again goes on. @param {() => Storage | null} storage gives the browser's own, or throws where there is none */
export function layingRecord(storage) {
  return {
    /** @param {Laying} laying whether it could be kept */
    keep(laying) {
      try {
        const store = storage();
        store?.setItem(NAME, JSON.stringify({ version: VERSION, laying }));
        return store !== null;
      } catch {
        return false;
      }
    },
    /** @returns {Laying | null} */
    found() {
      try {
        const found = JSON.parse(storage()?.getItem(NAME) ?? "null");
        return found?.version === VERSION && whole(found.laying) ? found.laying : null;
      } catch {
        return null;
      }
    },
    forget() {
      try {
        storage()?.removeItem(NAME);
      } catch { /* nothing was kept there */ }
    },
  };
}
