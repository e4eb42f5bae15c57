/**
 * A run that was on when the page went, or the tab that held it: taken up from its record, and held against what was opened again before it goes
 * on. What was written beside the run a moment before, and not yet into the work, is taken into the logs.
 * @typedef {import("../../run/record.js").Run} Run
 * @typedef {import("../../state.js").State} State
 */
import { momentAt, now } from "../../run/clock.js";
import { asPlanned, fits, justPainted } from "../../run/comes.js";
import { beginsWith, goesOn } from "../../run/record.js";

/** The disk is waited for so long, ms: some never answer. */
const DISK_MS = 5_000;

/**
 * What this needs of the run.
 * @typedef {object} Given
 * @property {Run | null} on
 * @property {string} said what the screen says now of trouble
 * @property {(of: Run) => boolean} isOwn whether a run is of the plate at hand
 * @property {() => { id: string, plate: string }} own the plate at hand
 * @property {(id: string) => LogEntry[] | undefined} logBy the log of a plate, at hand or beside
 * @property {(ids: string[]) => void} touch logs of others that are kept beside the run until they are kept elsewhere
 * @property {(of: Run) => void} takeUp the run is on again, and on the screen
 * @property {(part: Partial<Run>) => void} turn
 * @property {(part: Partial<Run>) => void} keep
 * @property {() => void} begin the turn that comes by the log
 * @property {(at: import("../../run/clock.js").Moment) => void} dries a stop-out was painted
 * @property {() => void} between
 * @property {(id: string, letter: string) => Promise<boolean>} fetch takes a plate to hand
 * @property {() => void} forget
 * @property {() => void} close
 * @property {(sentence: string) => void} tell
 * @typedef {import("../../../web/types.d.ts").LogEntry} LogEntry
 */

/**
 * @param {import("../../state.js").Desk} desk @param {import("./entries.js").Entries} entries
 * @param {ReturnType<typeof import("../../run/record.js").record>} kept @param {Given} run
 */
export function leftRun(desk, entries, kept, run) {
  /** The log kept beside the run may be longer than what was opened, until the run is left. */
  let restoring = false;
  let adopting = false;
  /** Whether it was seen to be a run of what is open. */
  let known = true;
  /** Whether the logs of others beside it are still to be held against what was opened again. */
  let held = false;
  /** Whether the work is another tab's. */
  let looked = false;
  /** Whether the disk is still asked. */
  let asked = true;

  /** @param {Run | null} [found] */
  function resume(found = kept.found()) {
    if (!found || found.phase === "check" || found.phase === "finished") return;
    restoring = true;
    held = Boolean(found.others?.length);
    known = false;
    run.takeUp(found);
  }

  // The machine itself may have gone: then the disk knows of a later turn.
  Promise.race([kept.late(), new Promise((done) => setTimeout(done, DISK_MS))]).then((found) => {
    asked = false;
    // Until now nothing was held against what is open.
    if (found === undefined) return void (run.on && desk.set({}));
    if (looked || desk.state.kept.looks) return;
    if (found) {
      resume(found);
      return void desk.set({});
    }
    run.on = null;
    run.close();
  });

  /** What the record knows and the work does not, of this plate or of others. @param {Run} on @param {boolean} own */
  function late(on, own) {
    const id = own ? desk.state.plateId : on.id;
    const logs = [...id === undefined ? [] : [{ id, log: on.log }], ...on.others ?? []];
    return logs.find((each) => goesOn(each.log, run.logBy(each.id) ?? each.log));
  }

  /** @param {{ id: string, log: LogEntry[] }} from */
  function adopt({ id, log }) {
    if (adopting) return;
    adopting = true;
    entries.adopt(log, id).catch((error) => {
      restoring = false;
      run.tell(`${error.message} What was logged last before the page went could not be taken into the log again: hold it against your notes.`);
    }).finally(() => { adopting = false; });
  }

  /** Holds the run against what is open, once that is there. @param {State} state @returns {boolean} whether it goes on */
  function recall(state) {
    if (asked || !run.on) return false;
    const own = run.isOwn(run.on);
    if (own && run.on.id !== undefined && run.on.id !== state.plateId) run.on = { ...run.on, id: state.plateId };
    const { on } = run;
    const more = late(on, own);
    if (more) {
      adopt(more);
      return false;
    }
    held = false;
    run.touch((on.others ?? []).map(({ id }) => id));
    if (known) return true;
    known = true;
    const beside = own ? undefined : state.family.find(({ id }) => id === on.id);
    if (beside) {
      // Between two turns any plate may be at hand.
      if (on.phase === "next") {
        restoring = false;
        run.turn(run.own());
      } else comesBack(beside.id, beside.work.job.letter);
      return true;
    }
    // A plate that is in the bath, or just came out of it, keeps its clock whatever is open.
    if (on.phase === "bite" || on.phase === "asked" || on.unlogged) return true;
    if (own && state.plan && fits(on, state.plan.standing)) {
      if (on.phase === "ready") run.turn(asPlanned(on, state.plan));
      return true;
    }
    // The page went between an entry and the turn that comes after it.
    if (own && state.plan && beginsWith(state.done.log, on.log)) {
      const entry = justPainted(on, state.plan, state.done.log);
      if (entry) run.dries(momentAt(entry.at_ms, now()));
      else run.begin();
      return true;
    }
    run.forget();
    run.close();
    return false;
  }

  /** The run's own plate comes to hand again, which was exchanged a moment before the page went. @param {string} id @param {string} letter */
  async function comesBack(id, letter) {
    if (await run.fetch(id, letter)) {
      // Whether its turn still fits is seen by its own log.
      known = false;
      desk.set({});
    } else if (run.on && run.on.phase !== "bite" && run.on.phase !== "asked" && !run.on.unlogged) {
      // Where it can't come, another may.
      const { said } = run;
      run.between();
      run.keep(run.own());
      run.tell(said);
    }
  }

  return {
    /** Whether the run was taken up, until it is left or goes on to another plate. */
    get on() { return restoring; },
    get held() { return held; },
    /** Whether it was not yet held against what is open. */
    get away() { return restoring && !known; },
    get busy() { return restoring && (adopting || !known); },
    over() { restoring = false; },
    looks() { looked = true; },
    /** The work is this tab's again: what was on in the other goes on here. @returns {boolean} whether it was looked for */
    holds() {
      if (!looked) return false;
      looked = false;
      if (run.on) return false;
      resume();
      return true;
    },
    resume, recall, comesBack,
  };
}
