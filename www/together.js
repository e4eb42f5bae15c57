/**
 * The plates of a family as the bath takes them: what is still to come of each, and the day they make together. Pure, but for the worker that is
 * asked.
 * @typedef {import("./state.js").State} State
 * @typedef {import("../web/types.d.ts").FamilyDay} FamilyDay
 * @typedef {import("../web/types.d.ts").FamilyDayPlan} FamilyDayPlan
 * @typedef {import("../web/types.d.ts").StopOut} StopOut
 * @typedef {import("../web/types.d.ts").Standing} Standing
 * @typedef {{ from: number, to: number, set_s: number, paint_min: number | null }} Dip
 * @typedef {import("../web/types.d.ts").LogEntry} LogEntry
 * @typedef {object} BathPlate
 * @property {string} id
 * @property {string} letter
 * @property {string} title
 * @property {boolean} hand whether it is the plate at hand
 * @property {[number, number]} size_mm
 * @property {StopOut[]} stopouts
 * @property {Standing} standing
 * @property {import("../web/types.d.ts").Joins} joins
 * @property {Dip[]} dips still to come; without a strip of 0 s
 * @property {LogEntry[]} log
 */
import { byLetter, known, paced, stale, stopped } from "./family.js";
import { hourWords } from "./run/hours.js";

/** Hours of a common working day, until the printer's own are there. @type {FamilyDay} */
const USUAL = { from_min: 540, to_min: 1080, dry_overnight: false, tray_mm: null, break_after: null };

/** Two bites under a minute are never under way at once, as by the core, s. */
export const SHORT_S = 60;

/** @param {import("../web/types.d.ts").Joins["to_come"]} dips @param {Standing} standing @param {StopOut[]} stopouts @returns {Dip[]} */
function withPainting(dips, { painted }, stopouts) {
  return dips.map(({ from, to, set_s }) => {
    const stop = stopouts[from - 1];
    return { from, to, set_s: set_s ?? 0, paint_min: painted >= from ? null : stop && stop.new_share > 0 ? stop.paint_min : 0 };
  });
}

/** When the stop-out painted last was ticked, where nothing was bitten since; null: nothing dries. @param {LogEntry[]} log @param {Standing} standing */
export function paintedAt(log, standing) {
  if (standing.next.kind !== "bite") return null;
  return log.findLast((entry) => entry.kind === "painted" && entry.stop_out === standing.painted)?.at_ms ?? null;
}

/**
 * All plates by their letters, and the letters of those that have no plan of what is wanted now.
 * @param {Pick<State, "plan" | "letter" | "title" | "plateId" | "family" | "done" | "settings">} state @returns {{ plates: BathPlate[], absent: string[] }}
 */
export function bathPlates({ plan, letter, title, plateId, family, done, settings }) {
  /** @type {BathPlate[]} */
  const plates = [];
  const absent = [];
  if (plan) {
    const { plate_mm, stopouts, standing, joins } = plan;
    plates.push({ id: plateId, letter, title, hand: true, size_mm: [plate_mm.width, plate_mm.height], stopouts, standing, joins, log: done.log, dips: withPainting(joins.to_come, standing, stopouts) });
  }
  for (const kin of [...family].sort((a, b) => byLetter({ ...a.work.job, id: a.id }, { ...b.work.job, id: b.id }))) {
    const { id, work } = kin;
    // What a plate came to before, when it is refused or still to be planned anew, is not what it is now.
    const facts = known(kin, settings);
    if (!facts) {
      absent.push(`${work.job.letter}${stopped(kin, settings) ? " (its planning was stopped)" : stale(kin, settings) ? " (being planned)" : ""}`);
      continue;
    }
    const { plate_mm, standing, joins } = facts;
    const stopouts = paced(facts.stopouts, work, plan);
    plates.push({ id, letter: work.job.letter, title: work.job.title, hand: false, size_mm: [plate_mm.width, plate_mm.height], stopouts, standing, joins, log: work.done.log, dips: withPainting(joins.to_come, standing, stopouts) });
  }
  return { plates: plates.sort(byLetter), absent };
}

/** The printer's hours and tray. @param {Pick<State, "day">} state @returns {FamilyDay} */
export function dayOf({ day }) {
  return day ?? USUAL;
}

const DAY_MS = 86_400_000;

/** Midnight before a moment, by the clock on the wall. @param {Date} now */
const midnight = (now) => new Date(now).setHours(0, 0, 0, 0);

/**
 * When the first day begins, minutes from midnight: as typed, or as a day does; where something was done today, not before that.
 * @param {Pick<State, "day" | "dayStart">} state @param {BathPlate[]} plates @param {Date} [now]
 */
export function startOf({ day, dayStart }, plates, now = new Date()) {
  const last = lastDone(plates, now);
  return last === null ? dayStart ?? dayOf({ day }).from_min : Math.max(last, dayStart ?? 0);
}

/** When something was done today last, by the logs, in whole minutes from midnight; null: nothing was. @param {BathPlate[]} plates @param {Date} now */
function lastDone(plates, now) {
  const begun = midnight(now);
  const today = plates.flatMap(({ log }) => log.map(({ at_ms }) => at_ms)).filter((at) => at >= begun && at < begun + DAY_MS);
  return today.length ? Math.ceil((Math.max(...today) - begun) / 60_000) : null;
}

/** Why the first day can't begin then, a sentence; "": it can. @param {number} start_min @param {BathPlate[]} plates @param {Date} [now] */
export function tooEarly(start_min, plates, now = new Date()) {
  const last = lastDone(plates, now);
  return last === null || start_min >= last ? "" : `By the log something was done to these plates at ${hourWords(last)} today, so that what is left begins then or later; ${hourWords(start_min)} came: type ${hourWords(last)} or a later time.`;
}

/**
 * Minutes that the stop-out painted last has dried, by the log, when today's work begins; null: nothing dries.
 * @param {LogEntry[]} log @param {Standing} standing @param {number} start_min @param {Date} [now]
 */
export function driedBy(log, standing, start_min, now = new Date()) {
  const at = paintedAt(log, standing);
  return at === null ? null : Math.max(0, (midnight(now) + 60_000 * start_min - at) / 60_000);
}

/**
 * What the worker is asked for a day of these plates. What is painted has dried since, by the log, until the day begins.
 * @param {BathPlate[]} plates @param {FamilyDay} day @param {number} [start_min] @param {Date} [now]
 */
export function daySpec(plates, day, start_min = day.from_min, now = new Date()) {
  /** @param {BathPlate} plate @param {Dip} dip */
  const dried = ({ log, standing }, { paint_min }) => {
    const min = paint_min === null ? driedBy(log, standing, start_min, now) : null;
    return min === null ? {} : { dried_min: min };
  };
  return {
    start_min, day,
    plates: plates.map((plate) => ({ letter: plate.letter, size_mm: plate.size_mm, undecided: plate.standing.due !== null, dips: plate.dips.map((dip) => ({ ...dip, ...dried(plate, dip) })) })),
  };
}

/** The day as every part of the page asks for it: one beginning, one set of hours. @param {State} state @param {BathPlate[]} [plates] */
export function specOf(state, plates = bathPlates(state).plates) {
  const now = new Date();
  return daySpec(plates, dayOf(state), startOf(state, plates, now), now);
}

/** The last answers, by what was asked: several parts of the page ask for the same day. @type {Map<string, Promise<FamilyDayPlan>>} */
const answers = new Map();

/** @param {import("./state.js").Desk} desk @param {ReturnType<typeof daySpec>} spec @param {string} also what else the answer hangs on */
export function askDay(desk, spec, also) {
  const key = JSON.stringify([spec, also]);
  let answer = answers.get(key);
  if (!answer) {
    answer = desk.bridge.call("family_day", spec);
    answers.set(key, answer);
    // What was refused may be asked anew, of another plan.
    answer.catch(() => answers.delete(key));
    if (answers.size > 6) answers.delete(/** @type {string} */ (answers.keys().next().value));
  }
  return answer;
}

/** What a day hangs on besides its plates: the ladder's slopes and the minutes at the bench. @param {State} state */
export function dayKey({ plan, settings }) {
  return JSON.stringify([settings.bench, settings.handling, plan?.tones.map((tone) => tone.effective_s), plan?.bath.pair.verdict, plan?.strip.kind]);
}

/** Whether the family may be bitten by what is known: several plates, a strip, and a pair of metal and mordant that may meet. @param {State} state */
export function bitesTogether({ plan, family }) {
  return family.length > 0 && plan !== null && plan.bath.pair.verdict !== "stop";
}

/** "bite 7", "bites 7+8", "bites 6 to 8". @param {number} from @param {number} to */
export function biteName(from, to) {
  return from === to ? `bite ${to}` : to === from + 1 ? `bites ${from}+${to}` : `bites ${from} to ${to}`;
}

/**
 * A cell of the matrix: what one plate has at one row.
 * @typedef {{ what: "paint" | "none" | "bite" | "dry" | "ready" | "out" | "rest", number: number, to: number, set_s: number, undecided?: boolean }} Cell `undecided`: its time is none to bite by
 * @typedef {{ from_min: number, at: number[], cells: Cell[], kind: "paint" | "bite" }} Row a row of the matrix; `at`: the plates that the hands are at
 */

/**
 * Rows in time order, a cell a plate: what the hands are at, what dries, what waits, what has left the bath.
 * @param {FamilyDayPlan} day @param {BathPlate[]} plates @returns {Row[]}
 */
export function matrix(day, plates) {
  const works = day.stretches.filter(({ kind }) => kind === "paint" || kind === "bite");
  // A dip of no length is no stretch, where there is no strip: then the order of the ladder serves.
  /** @type {Row[]} */
  const rows = [];
  const done = plates.map(() => 0);
  const dry = plates.map(() => 0);
  let at = 0;
  while (at < works.length) {
    const { kind, from_min } = works[at];
    const group = [works[at]];
    while (kind === "bite" && at + group.length < works.length && works[at + group.length].kind === "bite" && Math.abs(works[at + group.length].from_min - from_min) < 1e-6) group.push(works[at + group.length]);
    at += group.length;
    const cells = plates.map((plate, i) => {
      const mine = group.find((work) => work.plate === i);
      const dip = plate.dips[done[i]];
      if (mine && dip) return /** @type {Cell} */ ({ what: kind, number: dip.from, to: dip.to, set_s: dip.set_s, undecided: Boolean(plate.standing.due) });
      if (!dip) return /** @type {Cell} */ ({ what: "out", number: 0, to: 0, set_s: 0 });
      return /** @type {Cell} */ ({ what: dry[i] === 0 ? "rest" : dry[i] > from_min + 1e-6 ? "dry" : "ready", number: dip.from, to: dip.to, set_s: 0 });
    });
    rows.push({ from_min, at: group.map(({ plate }) => plate), cells, kind: /** @type {"paint" | "bite"} */ (kind) });
    for (const { plate, to_min } of group) {
      if (kind === "paint") {
        const drying = day.stretches.find((each) => each.kind === "dry" && each.plate === plate && each.from_min >= to_min - 1e-6);
        dry[plate] = drying && Math.abs(drying.from_min - to_min) < 1e-6 ? drying.to_min : to_min;
      } else {
        done[plate]++;
        dry[plate] = 0;
      }
    }
  }
  return rows;
}

/**
 * A dip of a plate as its log takes it: bites that were joined in it are an entry each, with the tick of the stop-out that paints nothing between.
 * What was set for the bites before the last counts as theirs; the rest is the last one's.
 * @param {{ from: number, to: number, set_s: number }} dip @param {(number | null)[]} sets what the clock would be set to for each bite alone, by tone
 * @param {{ at_ms: number, actual_s: number, celsius: number | null, factor: number | null }} was
 * @returns {import("../web/types.d.ts").LogEntry[]}
 */
export function dipEntries({ from, to, set_s }, sets, { at_ms, actual_s, celsius, factor }) {
  const tenths = (/** @type {number} */ seconds) => Math.round(10 * seconds) / 10;
  let [planned, actual] = [set_s, actual_s];
  /** @type {import("../web/types.d.ts").LogEntry[]} */
  const entries = [];
  for (let bite = from; bite <= to; bite++) {
    const mine = bite === to ? planned : Math.min(planned, sets[bite] ?? 0);
    const was = bite === to ? tenths(actual) : Math.min(actual, mine);
    if (bite > from) entries.push({ at_ms, note: "", kind: "painted", stop_out: bite, minutes: null });
    entries.push({ at_ms, note: "", kind: "bitten", bite, planned_s: mine, actual_s: was, celsius, factor, ...(bite > from ? { joined: true } : {}) });
    planned = Math.max(0, planned - mine);
    actual = Math.max(0, actual - was);
  }
  return entries;
}

/** The last dip of a log, with all the bites that were joined in it. @param {import("../web/types.d.ts").LogEntry[]} log */
export function wholeDip(log) {
  let [planned_s, actual_s] = [0, 0];
  for (const entry of [...log].reverse()) {
    if (entry.kind === "painted") continue;
    if (entry.kind !== "bitten") break;
    planned_s += entry.planned_s;
    actual_s += entry.actual_s;
    if (!entry.joined) break;
  }
  return { planned_s, actual_s };
}
