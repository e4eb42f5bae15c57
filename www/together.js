/**
 * The plates of a family as the bath takes them: what is still to come of each, and the day they make together. Pure, but for the worker that is
 * asked.
 * @typedef {import("./state.js").State} State
 * @typedef {import("../web/types.d.ts").FamilyDay} FamilyDay
 * @typedef {import("../web/types.d.ts").FamilyDayPlan} FamilyDayPlan
 * @typedef {import("../web/types.d.ts").StopOut} StopOut
 * @typedef {import("../web/types.d.ts").Standing} Standing
 * @typedef {{ from: number, to: number, set_s: number, paint_min: number | null }} Dip
 * @typedef {object} BathPlate
 * @property {string} id
 * @property {string} letter
 * @property {string} title
 * @property {boolean} hand whether it is the plate at hand
 * @property {[number, number]} size_mm
 * @property {StopOut[]} stopouts
 * @property {Standing} standing
 * @property {import("../web/types.d.ts").Joins} joins
 * @property {Dip[]} dips still to come
 */

/** Hours of a common working day, until the printer's own are there. @type {FamilyDay} */
const USUAL = { from_min: 540, to_min: 1080, dry_overnight: false, tray_mm: null, break_after: null };

/** @param {{ from: number, to: number, set_s: number }[]} dips @param {Standing} standing @param {StopOut[]} stopouts @returns {Dip[]} */
function withPainting(dips, { painted }, stopouts) {
  return dips.map(({ from, to, set_s }) => {
    const stop = stopouts[from - 1];
    return { from, to, set_s, paint_min: painted >= from ? null : stop && stop.new_share > 0 ? stop.paint_min : 0 };
  });
}

/**
 * All plates by their letters, and the letters of those that have no plan.
 * @param {Pick<State, "plan" | "letter" | "title" | "plateId" | "family">} state @returns {{ plates: BathPlate[], absent: string[] }}
 */
export function bathPlates({ plan, letter, title, plateId, family }) {
  const known = plan?.strip.kind !== "missing";
  /** @param {import("../web/types.d.ts").Joins} joins @param {Standing} standing @param {StopOut[]} stopouts */
  const dips = (joins, standing, stopouts) => withPainting(known ? joins.to_come
    : joins.dips.filter(([, to]) => to > standing.bitten).map(([from, to]) => ({ from: Math.max(from, standing.bitten + 1), to, set_s: 0 })), standing, stopouts);
  /** @type {BathPlate[]} */
  const plates = [];
  const absent = [];
  if (plan) {
    const { plate_mm, stopouts, standing, joins } = plan;
    plates.push({ id: plateId, letter, title, hand: true, size_mm: [plate_mm.width, plate_mm.height], stopouts, standing, joins, dips: dips(joins, standing, stopouts) });
  }
  for (const { id, work, facts, refused } of family) {
    // What a refused plate came to before is not what it is now.
    if (!facts || refused) {
      absent.push(work.job.letter);
      continue;
    }
    const { plate_mm, stopouts, standing, joins } = facts;
    plates.push({ id, letter: work.job.letter, title: work.job.title, hand: false, size_mm: [plate_mm.width, plate_mm.height], stopouts, standing, joins, dips: dips(joins, standing, stopouts) });
  }
  const order = new Intl.Collator("en", { numeric: true });
  return { plates: plates.sort((a, b) => order.compare(a.letter, b.letter)), absent };
}

/** The printer's hours and tray. @param {Pick<State, "day">} state @returns {FamilyDay} */
export function dayOf({ day }) {
  return day ?? USUAL;
}

/**
 * What the worker is asked for a day of these plates.
 * @param {BathPlate[]} plates @param {FamilyDay} day @param {number} [start_min]
 */
export function daySpec(plates, day, start_min = day.from_min) {
  return { start_min, day, plates: plates.map(({ letter, size_mm, dips }) => ({ letter, size_mm, dips })) };
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
 * @typedef {{ what: "paint" | "none" | "bite" | "dry" | "ready" | "out" | "rest", number: number, to: number, set_s: number }} Cell
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
      if (mine && dip) return /** @type {Cell} */ ({ what: kind, number: dip.from, to: dip.to, set_s: dip.set_s });
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
 * @param {{ from: number, to: number, set_s: number }} dip @param {number[]} sets what the clock would be set to for each bite alone, by tone
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
