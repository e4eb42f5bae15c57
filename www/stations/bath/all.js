/**
 * What the run knows of the family's other plates: whether it takes them all, in which order their turns come by the day, and what each of those
 * that lie in a dip has written into its own log.
 * @typedef {import("../../run/record.js").Run} Run
 * @typedef {import("../../run/record.js").Mate} Mate
 * @typedef {import("../../run/record.js").Pending} Pending
 * @typedef {import("../../run/all.js").Turn} Turn
 * @typedef {import("../../together.js").BathPlate} BathPlate
 * @typedef {import("../../together.js").Row} Row
 * @typedef {import("../../../web/types.d.ts").LogEntry} LogEntry
 */
import { stale, stopped } from "../../family.js";
import { asks, lefts, nextTurn, turnOf } from "../../run/all.js";
import { now } from "../../run/clock.js";
import { settled } from "../../stale.js";
import { askDay, bathPlates, bitesTogether, dayKey, dipEntries, matrix, specOf } from "../../together.js";
import { dipOf } from "./log.js";

/** What is known of the turns to come; `turn` null: every plate has had its bites; `known` false: it is being worked out. @typedef {{ known: boolean, plates: BathPlate[], absent: string[], turn: Turn | null, said: string }} View */

/** @param {import("../../state.js").Desk} desk @param {() => void} changed the day is known, or refused */
export function allPlates(desk, changed) {
  let asked = "";
  /** @type {{ ids: string[], rows: Row[] } | null} */
  let found = null;
  let said = "";

  /** The day's turns of what is still to come; null: it has none; undefined: it is being worked out. @param {BathPlate[]} plates @returns {Row[] | null | undefined} */
  function rowsOf(plates) {
    const { state } = desk;
    if (state.plan?.strip.kind === "missing") {
      said = "No strip yet, so the day has no order: the plate that is least far comes.";
      return null;
    }
    const spec = specOf(state, plates);
    const also = dayKey(state);
    const ids = plates.map(({ id }) => id);
    const key = JSON.stringify([spec, also, ids]);
    if (key === asked) return found ? found.rows : said ? null : undefined;
    asked = key;
    found = null;
    said = "";
    askDay(desk, spec, also).then((day) => {
      if (key !== asked) return;
      found = { ids, rows: matrix(day, plates) };
    }, (error) => {
      if (key === asked) said = `The day could not be laid out, so the plate that is least far comes. ${error.message}`;
    }).finally(changed);
    return undefined;
  }

  return {
    /** Whether a run takes all plates in turn. @param {Run | null} run */
    takes: (run) => run !== null && run.id !== undefined && run.family !== false && bitesTogether(desk.state),
    /** Whether another plate than the one at hand has a turn to come, or may have one: it is not planned yet. */
    get others() {
      const { state } = desk;
      return state.family.some((kin) => stale(kin, state.settings)) || bathPlates(state).plates.some((plate) => !plate.hand && asks(plate));
    },
    /** @param {Run} run @param {string | null} chosen the plate that the printer would rather take @returns {View} */
    view(run, chosen) {
      const { state } = desk;
      const { plates, absent } = bathPlates(state);
      // One whose planning was stopped is not waited for: it is named as absent.
      const known = settled(state) && !state.family.some((kin) => stale(kin, state.settings) && !stopped(kin, state.settings));
      const rows = known ? rowsOf(plates) : undefined;
      const waits = lefts(run.waits ?? [], now());
      const own = plates.find(({ id }) => id === chosen);
      // Another may be taken before its order is known, but for what the log at hand does not say yet.
      const turn = own && settled(state) ? turnOf(own, plates, rows ?? null, waits) : rows === undefined ? null : nextTurn(plates, rows, waits);
      return { known: rows !== undefined, plates, absent, turn, said };
    },
    /** Those that lie in the dip with a turn's plate, as the record keeps them. @param {Turn} turn @returns {Mate[]} */
    mates: ({ mates }) => mates.map(({ id, letter, hand, dips: [{ from, to, set_s }] }) => {
      const { plan, family } = desk.state;
      const tones = hand ? plan?.tones : family.find((kin) => kin.id === id)?.facts?.tones;
      return { id, letter, from, to, set_s, sets: (tones ?? []).map((tone) => tone.set_s ?? 0) };
    }),
    /** A dip as it goes into the logs of those that lay in it beside its own plate. @param {Run} run @param {{ at_ms: number, actual_s: number }} was @returns {Pending[]} */
    dipped: ({ mates = [], back, celsius, factor, planned_s }, { at_ms, actual_s }) => mates.map(({ id, letter, from, to, set_s, sets }) => ({
      id, letter, log: back ? [/** @type {LogEntry} */ ({ at_ms, note: "", kind: "put_back", bite: to, planned_s: planned_s ?? 0, actual_s, celsius, factor })]
        : dipEntries({ from, to, set_s }, sets, { at_ms, actual_s, celsius, factor }),
    })),
    /** The last dip put right, for those that lay in it too. @param {Run} run @param {{ actual_s: number, celsius: number | null }} to @param {string} note @returns {Pending[]} */
    righted: ({ mates = [] }, { actual_s, celsius }, note) => mates.flatMap(({ id, letter }) => {
      const dip = dipOf(desk.state.family.find((kin) => kin.id === id)?.work.done.log ?? []);
      if (!dip) return [];
      const to = { kind: /** @type {const} */ ("dip"), actual_s: Math.max(0, Math.round(10 * (actual_s - (dip.before_s ?? 0))) / 10), celsius };
      return [{ id, letter, log: [/** @type {LogEntry} */ ({ at_ms: Date.now(), note, kind: "corrected", entry: dip.entry, to })] }];
    }),
  };
}
/** @typedef {ReturnType<typeof allPlates>} AllPlates */
