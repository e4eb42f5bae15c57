/**
 * What a run needs to go on after the page was loaded again, in mid-bite too: small, and written at every turn of the run. Pure but for the
 * storage it is given. The log is beside it, so that an entry written a moment before the page went is not lost.
 *
 * @typedef {import("./clock.js").Timing} Timing
 * @typedef {import("../../web/types.d.ts").LogEntry} LogEntry
 * @typedef {"check" | "paint" | "dry" | "ready" | "bite" | "asked" | "out" | "finished"} Phase
 * @typedef {object} Run
 * @property {string} plate which plate it is of
 * @property {Phase} phase
 * @property {number} number of the stop-out or bite; 0 before the first
 * @property {boolean} back whether the plate is put back for the same bite
 * @property {Timing | null} timing
 * @property {number | null} planned_s what the clock of this dip is set to; null: no strip, so it counts up
 * @property {number} before_s in the bath before this dip
 * @property {number | null} celsius
 * @property {number | null} factor of the bath as the bite began
 * @property {string | null} [agreed] what was said of a pair that needs the shop's sign-off, once it was given
 * @property {LogEntry | null} unlogged written down, and not yet taken by the log
 * @property {{ at: import("./clock.js").Moment, steady_ms: number, wall_ms: number } | null} conflict the clocks disagreed when it was lifted
 * @property {{ letter: string, title: string, where: string, next: string, example: boolean }} words to show before the plan is there
 * @property {LogEntry[]} log as far as it was written
 */

const NAME = "stepbite.run";
const VERSION = 1;
/** @type {Phase[]} */
const PHASES = ["check", "paint", "dry", "ready", "bite", "asked", "out", "finished"];

/** @param {unknown} x */
const finite = (x) => typeof x === "number" && Number.isFinite(x);

/** @param {any} run @returns {run is Run} */
function whole(run) {
  const { timing } = run ?? {};
  const timed = timing === null || (finite(timing?.from?.steady) && finite(timing.from.wall) && finite(timing.spent_ms)
    && (timing.length_ms === null || finite(timing.length_ms)));
  return Boolean(run) && PHASES.includes(run.phase) && typeof run.plate === "string" && finite(run.number) && timed
    && (run.planned_s === null || finite(run.planned_s)) && finite(run.before_s) && typeof run.words?.where === "string" && Array.isArray(run.log)
    && (run.phase !== "bite" || timing !== null) && (run.phase !== "asked" || finite(run.conflict?.steady_ms));
}

/** @param {() => Storage | null} storage gives the browser's own, or throws where there is none */
export function record(storage) {
  return {
    /** @param {Run} run whether it could be kept */
    keep(run) {
      try {
        const store = storage();
        store?.setItem(NAME, JSON.stringify({ version: VERSION, run }));
        return store !== null;
      } catch {
        return false;
      }
    },
    /** @returns {Run | null} */
    found() {
      try {
        const found = JSON.parse(storage()?.getItem(NAME) ?? "null");
        return found?.version === VERSION && whole(found.run) ? found.run : null;
      } catch {
        return null;
      }
    },
    forget() {
      try {
        storage()?.removeItem(NAME);
      } catch { /* nothing was kept then */ }
    },
  };
}

/** Whether a log goes on from another: begins with all its entries and has more. @param {LogEntry[]} longer @param {LogEntry[]} shorter */
export function goesOn(longer, shorter) {
  return longer.length > shorter.length && shorter.every((entry, i) => JSON.stringify(entry) === JSON.stringify(longer[i]));
}
