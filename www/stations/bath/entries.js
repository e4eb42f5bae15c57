/**
 * The way into the log: one entry after another, whoever writes it. An entry is written once the core has taken it; one that can't be is
 * refused in a sentence, and nothing has changed. None is written twice, and none is written over by another that was begun meanwhile.
 * So it is for every plate of a family: one that lies beside is planned with the longer log first, which it would be next in any case.
 *
 * @typedef {import("../../../web/types.d.ts").LogEntry} LogEntry
 * @typedef {import("../../../web/types.d.ts").Done} Done
 */
import { brokeOff } from "../../bridge.js";
import { sharedKey } from "../../family.js";
import { kinAsked } from "../../kin-plans.js";
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

  /** The worker's answer; one that broke off is started again, or every entry after this would wait for it. @template T @param {Promise<T>} answer @returns {Promise<T>} */
  const heard = (answer) => answer.catch((error) => {
    if (brokeOff(error)) desk.refused(error);
    throw error;
  });

  /** What is done, as it is to be after this; null: nothing is to be changed. @param {(done: Done) => Promise<Done | null>} next */
  async function change(next) {
    for (let i = 0; i < TRIES; i++) {
      const { done, settings } = desk.state;
      const to = await next(done);
      if (to === null) return;
      await heard(desk.bridge.call("plan", { ...settings, done: to }));
      // Other work may have been opened meanwhile.
      if (desk.state.done !== done) continue;
      desk.set({ done: to });
      if (desk.state.done !== to) throw new Error(LOOKS);
      return;
    }
    throw new Error("The work was changed meanwhile.");
  }

  /** As `change`, for another plate of the family. @param {string} id @param {(done: Done) => Promise<Done | null>} next */
  async function changeKin(id, next) {
    const { plateNumber } = desk.state;
    const find = () => desk.state.family.find((each) => each.id === id);
    for (let i = 0; i < TRIES; i++) {
      const kin = find();
      if (!kin) throw new Error("That plate is no longer one of this family: take it in again, and log its dip by hand.");
      const { settings } = desk.state;
      const to = await next(kin.work.done);
      if (to === null) return;
      const work = { ...kin.work, done: to };
      const facts = await desk.busy(`planning plate ${work.job.letter}`, heard(desk.bridge.call("kin_plan", kinAsked(kin, settings, to))));
      if (plateNumber !== desk.state.plateNumber) throw new Error("Another plate was opened meanwhile: this belongs to the one before.");
      const now = find();
      if (now?.work !== kin.work) continue;
      const family = desk.state.family.map((each) => each.id === id ? { ...now, work, facts, refused: null, of: { work, shared: sharedKey(settings) } } : each);
      desk.set({ family });
      if (desk.state.family !== family) throw new Error(LOOKS);
      return;
    }
    throw new Error("The work was changed meanwhile.");
  }

  /** @param {string | undefined} id of the plate; none: the one at hand @param {(done: Done) => Promise<Done | null>} next */
  const changeOf = (id, next) => id === undefined || id === desk.state.plateId ? change(next) : changeKin(id, next);

  return {
    /** @param {LogEntry} entry @param {{ freeze?: boolean }} [how] `freeze`: what is painted is kept as a map with it */
    add(entry, { freeze = false } = {}) {
      return inTurn(() => change(async (done) => {
        if (holds(done.log, entry)) return null;
        const kept = freeze ? await heard(desk.bridge.call("freeze", null)) : done.kept;
        return { ...done, kept, log: [...done.log, entry] };
      }));
    },
    /** All of them, or none, into the log of any plate of the family; those that are there already are left out. @param {string} id @param {LogEntry[]} added */
    into(id, added) {
      return inTurn(() => changeOf(id, async (done) => {
        const fresh = added.filter((entry) => !holds(done.log, entry));
        return fresh.length ? { ...done, log: [...done.log, ...fresh] } : null;
      }));
    },
    /** Entries that were written a moment before the page went, behind those that are there. @param {LogEntry[]} log @param {string} [id] of the plate; none: the one at hand */
    adopt(log, id) {
      return inTurn(() => changeOf(id, async (done) => goesOn(log, done.log) ? { ...done, log } : null));
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
