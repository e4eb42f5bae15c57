/**
 * The way into the log: one entry after another, whoever writes it. An entry is written once the core has taken it; one that can't be is
 * refused in a sentence, and nothing has changed. None is written twice, and none is written over by another that was begun meanwhile.
 *
 * @typedef {import("../../../web/types.d.ts").LogEntry} LogEntry
 * @typedef {import("../../../web/types.d.ts").Done} Done
 */
import { LOOKS } from "../../keeping/words.js";
import { goesOn } from "../../run/record.js";

/** So often an entry is tried where the work is changed under it. */
const TRIES = 4;

/** Whether the log has this very entry. @param {LogEntry[]} log @param {LogEntry} entry */
export function holds(log, entry) {
  const words = JSON.stringify(entry);
  return log.some((each) => each.at_ms === entry.at_ms && JSON.stringify(each) === words);
}

/** @param {import("../../state.js").Desk} desk */
export function entries(desk) {
  /** @type {Promise<unknown>} */
  let before = Promise.resolve();

  /** @template T @param {() => Promise<T>} work @returns {Promise<T>} */
  function inTurn(work) {
    const { plateNumber } = desk.state;
    const turn = before.then(() => desk.live.alone(() => {
      // Its entry must not come into the log of another.
      if (plateNumber !== desk.state.plateNumber) throw new Error("Another plate was opened meanwhile: this belongs to the one before.");
      return work();
    }));
    before = turn.catch(() => {});
    return turn;
  }

  /** What is done, as it is to be after this; null: nothing is to be changed. @param {(done: Done) => Promise<Done | null>} next */
  async function change(next) {
    for (let i = 0; i < TRIES; i++) {
      const { done, settings } = desk.state;
      const to = await next(done);
      if (to === null) return;
      await desk.bridge.call("plan", { ...settings, done: to });
      // Other work may have been opened meanwhile.
      if (desk.state.done !== done) continue;
      desk.set({ done: to });
      if (desk.state.done !== to) throw new Error(LOOKS);
      return;
    }
    throw new Error("The work was changed meanwhile.");
  }

  return {
    /** @param {LogEntry} entry @param {{ freeze?: boolean }} [how] `freeze`: what is painted is kept as a map with it */
    add(entry, { freeze = false } = {}) {
      return inTurn(() => change(async (done) => {
        if (holds(done.log, entry)) return null;
        const kept = freeze ? await desk.bridge.call("freeze", null) : done.kept;
        return { ...done, kept, log: [...done.log, entry] };
      }));
    },
    /** Entries that were written a moment before the page went, behind those that are there. @param {LogEntry[]} log */
    adopt(log) {
      return inTurn(() => change(async (done) => goesOn(log, done.log) ? { ...done, log } : null));
    },
    /** What is painted is kept as a map, where an entry came without one. */
    freeze() {
      return inTurn(async () => {
        if (!desk.state.plan?.standing.to_keep || desk.state.plannedDone !== desk.state.done) return;
        const { done } = desk.state;
        const map = await desk.bridge.call("freeze", null);
        if (desk.state.done === done) desk.set({ done: { ...done, kept: map } });
      });
    },
  };
}
/** @typedef {ReturnType<typeof entries>} Entries */
