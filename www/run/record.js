/**
 * What a run needs to go on after the page was loaded again, in mid-bite too: small, and written at every turn of the run. Pure but for the
 * two storages it is given: one that answers at once, and one that holds when the whole machine goes. Each turn has a number, so that the later
 * of the two counts. The log is beside it, so that an entry written a moment before the page went is not lost.
 *
 * @typedef {import("./clock.js").Timing} Timing
 * @typedef {import("../../web/types.d.ts").LogEntry} LogEntry
 * @typedef {"check" | "paint" | "dry" | "ready" | "bite" | "asked" | "out" | "next" | "finished"} Phase
 * @typedef {{ id: string, letter: string, from: number, to: number, set_s: number, sets: number[] }} Mate another plate of the family in the same dip; `sets` as of `joins`
 * @typedef {{ id: string, letter: string, log: LogEntry[] }} Pending what is still to be written into another plate's log
 * @typedef {{ id: string, letter: string, what: "dry" | "rinse", number: number, timing: Timing }} Wait a stop-out that dries, or a plate that is rinsed and dries after a bite, while the hands are at another
 * @typedef {object} Run
 * @property {string} plate which plate it is of, by its drawing and size
 * @property {string} [id] which plate it is of; runs of older pages have none
 * @property {boolean} [family] false: this plate alone, though it has a family
 * @property {Mate[]} [mates]
 * @property {Pending[]} [pending]
 * @property {Wait[]} [waits]
 * @property {{ id: string, log: LogEntry[] }[]} [others] logs of other plates that were written of late, which may not be kept elsewhere yet
 * @property {Phase} phase
 * @property {number} number of the stop-out or bite; 0 before the first
 * @property {boolean} back whether the plate is put back for the same bite
 * @property {Timing | null} timing
 * @property {number | null} planned_s what the clock of this dip is set to; null: no strip, so it counts up
 * @property {number} before_s in the bath before this dip
 * @property {number | null} celsius
 * @property {number | null} factor of the bath as the bite began
 * @property {string | null} [agreed] what was said of a pair that needs the shop's sign-off, once it was given
 * @property {{ to: number, sets: number[] } | null} [joins] bites up to `to` are one dip with this one; what the clock would be set to for each alone, by tone
 * @property {LogEntry | null} unlogged written down, and not yet taken by the log
 * @property {{ at: import("./clock.js").Moment, steady_ms: number, wall_ms: number } | null} conflict the clocks disagreed when it was lifted
 * @property {{ letter: string, title: string, where: string, next: string, example: boolean }} words to show before the plan is there
 * @property {LogEntry[]} log as far as it was written
 */

const NAME = "stepbite.run";
const VERSION = 1;
/** @type {Phase[]} */
const PHASES = ["check", "paint", "dry", "ready", "bite", "asked", "out", "next", "finished"];

/** @param {unknown} x */
const finite = (x) => typeof x === "number" && Number.isFinite(x);

/** @param {any} timing */
const times = (timing) => finite(timing?.from?.steady) && finite(timing.from.wall) && finite(timing.spent_ms) && (timing.length_ms === null || finite(timing.length_ms));

/** What there is of the family, by what makes an item of it. @type {[keyof Run, (item: any) => boolean][]} */
const LISTS = [
  ["mates", ({ id, letter, from, to, set_s, sets }) => typeof id === "string" && typeof letter === "string" && [from, to, set_s].every(finite) && Array.isArray(sets)],
  ["pending", ({ id, letter, log }) => typeof id === "string" && typeof letter === "string" && Array.isArray(log)],
  ["waits", ({ id, letter, what, number, timing }) => typeof id === "string" && typeof letter === "string" && ["dry", "rinse"].includes(what) && finite(number) && times(timing)],
  ["others", ({ id, log }) => typeof id === "string" && Array.isArray(log)],
];

/** What is torn of the family is left out: it is no reason to lose the clock of a plate in the bath. @param {Run} run @returns {Run} */
function mended(run) {
  const made = /** @type {any} */ ({ ...run });
  for (const [name, is] of LISTS) {
    if (!(name in made)) continue;
    made[name] = Array.isArray(made[name]) ? made[name].filter((item) => Boolean(item) && is(item)) : [];
  }
  if ("id" in made && typeof made.id !== "string") delete made.id;
  return made;
}

/** @param {any} run @returns {run is Run} */
function whole(run) {
  const { timing } = run ?? {};
  const timed = timing === null || times(timing);
  return Boolean(run) && PHASES.includes(run.phase) && typeof run.plate === "string" && finite(run.number) && timed
    && (run.planned_s === null || finite(run.planned_s)) && finite(run.before_s) && typeof run.words?.where === "string" && Array.isArray(run.log)
    && (run.phase !== "bite" || timing !== null) && (run.phase !== "asked" || finite(run.conflict?.steady_ms));
}

/**
 * @typedef {{ put(text: string): Promise<void>, get(): Promise<string | null> }} Disk
 * @param {() => Storage | null} storage gives the browser's own, or throws where there is none
 * @param {Disk} disk
 */
export function record(storage, disk) {
  /** Of the last turn known of. */
  let number = 0;

  /** What a text holds: no run where it was forgotten; null: nothing that was written here. @param {string | null} text */
  function read(text) {
    try {
      const found = JSON.parse(text ?? "null");
      if (found?.version !== VERSION) return null;
      const turn = Number.isSafeInteger(found.number) ? found.number : 0;
      return { number: turn, run: /** @type {Run | null} */ (whole(found.run) ? mended(found.run) : null) };
    } catch {
      return null;
    }
  }

  function atOnce() {
    try {
      return read(storage()?.getItem(NAME) ?? null);
    } catch {
      return null;
    }
  }

  /** @param {Run | null} run @returns {{ kept: boolean, written: Promise<void> }} */
  function write(run) {
    // Another tab may have written since.
    number = Math.max(number, atOnce()?.number ?? 0) + 1;
    const text = JSON.stringify({ version: VERSION, number, run });
    const written = disk.put(text);
    // Without that storage the other one holds for a page that is loaded again, which is most of what happens.
    written.catch(() => {});
    try {
      const store = storage();
      store?.setItem(NAME, text);
      return { kept: store !== null, written };
    } catch {
      return { kept: false, written };
    }
  }

  return {
    /** @param {Run} run whether it could be kept */
    keep: (run) => write(run).kept,
    /** What answers at once. @returns {Run | null} */
    found() {
      const found = atOnce();
      number = Math.max(number, found?.number ?? 0);
      return found?.run ?? null;
    },
    /** What the disk has of a later turn: a run, or null where it was forgotten; undefined: nothing later. @returns {Promise<Run | null | undefined>} */
    async late() {
      const found = read(await disk.get().catch(() => null));
      if (!found || found.number <= Math.max(number, atOnce()?.number ?? 0)) return undefined;
      number = found.number;
      return found.run;
    },
    /** There is no run any more; done when the disk knows it, or can't. */
    forget: () => write(null).written.catch(() => {}),
  };
}

/** Whether a log begins with all entries of another. @param {LogEntry[]} log @param {LogEntry[]} other */
export function beginsWith(log, other) {
  return other.every((entry, i) => JSON.stringify(entry) === JSON.stringify(log[i]));
}

/** Whether a log goes on from another: begins with all its entries and has more. @param {LogEntry[]} longer @param {LogEntry[]} shorter */
export function goesOn(longer, shorter) {
  return longer.length > shorter.length && beginsWith(longer, shorter);
}
