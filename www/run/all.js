/**
 * Which turn comes for which plate of a family, and which plates lie in the tray with it. Pure: each plate's log says what may be done to it, the
 * day's rows in which order, and what still dries or is still rinsed puts a plate off.
 *
 * @typedef {import("../together.js").BathPlate} BathPlate
 * @typedef {import("../together.js").Row} Row
 * @typedef {import("./record.js").Run} Run
 * @typedef {import("./record.js").Wait} Wait
 * @typedef {import("./clock.js").Moment} Moment
 * @typedef {object} Turn
 * @property {"decide" | "paint" | "bite"} kind
 * @property {BathPlate} plate that is at hand for it
 * @property {BathPlate[]} mates that lie in the same dip
 * @property {number} number of the stop-out, or of the dip's first bite
 * @property {number} to the dip's last bite
 * @property {number | null} set_s what the clock is set to; null: no strip
 * @property {number} wait_ms until the last of them is dry; 0: they are; endless: nobody said how long it takes
 */
import { clock, count, listed, minutes, sentence } from "../format.js";
import { biteName } from "../together.js";
import { digits, left, leftSeconds, passed } from "./clock.js";
import { painted } from "./words.js";

/** What is ready within this, ms, is as good as ready: so long it takes to clear the bench and look to the bath. Estimate. */
export const SOON_MS = 60_000;
/** Dips that differ by less than this, s, are equally long: a clock is set to whole seconds. */
const ALIKE_S = 0.5;

/** What has passed of a wait, ms. Where the two clocks disagree the shorter time has: varnish taken for wetter than it is costs a wait. @param {Wait} wait @param {Moment} at */
function waited({ timing }, at) {
  const gone = passed(timing, at);
  return gone.kind === "sure" ? gone.ms : Math.max(0, Math.min(gone.steady_ms, gone.wall_ms));
}

/** What is left of a wait, ms; null: it counts up. @param {Wait} wait @param {Moment} at */
export function waitLeft(wait, at) {
  return left(wait.timing, waited(wait, at));
}

/** A wait in figures: what is left, "" once it is over; one without a length counts up, and is over when the printer says so. @param {Wait} wait @param {Moment} at */
export function waitFigures(wait, at) {
  const over = waitLeft(wait, at);
  if (over === null) return digits(Math.floor(waited(wait, at) / 1000));
  return over > 0 ? digits(leftSeconds(over)) : "";
}

/** What is left for each plate that waits, ms, by its id; one that has no length is ready when the printer says so, and anything else comes before it. @param {Wait[]} waits @param {Moment} at @returns {Map<string, number>} */
export function lefts(waits, at) {
  const all = new Map();
  for (const wait of waits) all.set(wait.id, Math.max(all.get(wait.id) ?? 0, waitLeft(wait, at) ?? Infinity));
  return all;
}

/** What a plate's own log asks for; null: it has left the bath. @param {BathPlate} plate @returns {Omit<Turn, "mates" | "wait_ms"> | null} */
export function asks(plate) {
  const { standing, dips } = plate;
  if (standing.due) return { kind: "decide", plate, number: standing.due.after, to: standing.due.after, set_s: null };
  if (!dips.length || standing.next.kind === "finished") return null;
  if (standing.next.kind === "paint") return { kind: "paint", plate, number: standing.next.stop_out, to: standing.next.stop_out, set_s: null };
  const [{ from, to, set_s }] = dips;
  return { kind: "bite", plate, number: from, to, set_s: set_s > 0 ? set_s : null };
}

/** The plates that still have a turn to come. @param {BathPlate[]} plates */
export function remaining(plates) {
  return plates.filter((plate) => asks(plate) !== null);
}

/**
 * The turn of one plate, with those that lie in its dip by the day.
 * @param {BathPlate} plate @param {BathPlate[]} plates @param {Row[] | null} rows @param {Map<string, number>} waits @returns {Turn | null}
 */
export function turnOf(plate, plates, rows, waits) {
  const own = asks(plate);
  if (!own) return null;
  const row = own.kind === "bite" ? rows?.find(({ at }) => at.some((i) => plates[i] === plate)) : null;
  const mates = row?.kind === "bite" ? row.at.map((i) => plates[i]).filter((mate) => {
    const theirs = mate === plate ? null : asks(mate);
    return theirs?.kind === "bite" && theirs.set_s !== null && own.set_s !== null && Math.abs(theirs.set_s - own.set_s) < ALIKE_S;
  }) : [];
  return { ...own, mates, wait_ms: Math.max(0, ...[plate, ...mates].map(({ id }) => waits.get(id) ?? 0)) };
}

/**
 * The turn that comes: what is to be decided first; then the first of the day's turns whose plates are ready, so that no hands stand idle; else the
 * one that is ready soonest. Without a day the plate that is least far. null: every plate has had its bites.
 * @param {BathPlate[]} plates @param {Row[] | null} rows @param {Map<string, number>} waits @returns {Turn | null}
 */
export function nextTurn(plates, rows, waits) {
  const at = (/** @type {BathPlate[]} */ some) => some.find(({ hand }) => hand) ?? some[0];
  const due = plates.filter(({ standing }) => standing.due);
  if (due.length) return turnOf(at(due), plates, rows, waits);
  /** @type {BathPlate[]} */
  const turn = [];
  const seen = new Set();
  for (const row of rows ?? []) {
    const some = row.at.map((i) => plates[i]);
    // What comes later for a plate comes after its own first turn.
    if (some.some(({ id }) => seen.has(id))) {
      for (const { id } of some) seen.add(id);
      continue;
    }
    for (const { id } of some) seen.add(id);
    // A stop-out that paints nothing has no time in the day, but is ticked before its bite.
    const unlike = some.filter((plate) => asks(plate)?.kind !== row.kind && asks(plate) !== null);
    turn.push(at(unlike.length ? unlike : some));
  }
  const first = turn.flatMap((plate) => turnOf(plate, plates, rows, waits) ?? []);
  const rest = remaining(plates).filter((each) => !first.some(({ plate, mates }) => plate === each || mates.includes(each))).sort((a, b) => a.standing.bitten - b.standing.bitten);
  const all = [...first, ...rest.flatMap((plate) => turnOf(plate, plates, rows, waits) ?? [])];
  return all.find(({ wait_ms }) => wait_ms <= SOON_MS) ?? all.reduce((/** @type {Turn | null} */ best, each) => best && best.wait_ms <= each.wait_ms ? best : each, null);
}

/** A turn in words: what it is, and what is to be known of it. @param {Turn} turn @param {BathPlate[]} plates @returns {{ title: string, sub: string }} */
export function turnWords({ kind, plate, mates, number, to, set_s }, plates) {
  const { letter, stopouts } = plate;
  if (kind === "decide") return { title: `Plate ${letter}: decide how to go on`, sub: `It came out of bite ${number} otherwise than planned. Nothing more is painted or bitten on it before that.` };
  if (kind === "paint") {
    const stop = stopouts[number - 1];
    if (!stop || stop.new_share === 0) return { title: `Plate ${letter}: stop-out ${number} paints nothing`, sub: "It is only ticked, and its bite may follow." };
    return { title: `Plate ${letter}: paint stop-out ${number}`, sub: `${sentence(painted(number))}, ${count(stop.islands, "island")}, about ${minutes(stop.paint_min)}.` };
  }
  const inside = [plate, ...mates].sort((a, b) => plates.indexOf(a) - plates.indexOf(b));
  const letters = inside.map((each) => each.letter);
  const stay = remaining(plates).filter((each) => !inside.includes(each)).map((each) => each.letter);
  const leave = inside.filter(({ dips }) => dips.length === 1).map((each) => each.letter);
  return {
    title: mates.length ? `Plates ${listed(letters)} together: ${biteName(number, to)}` : `Plate ${letter} alone: ${biteName(number, to)}`,
    sub: [set_s === null ? "No strip, so the clock counts up." : `The clock is set to ${clock(set_s)}.`, stay.length ? `${listed(stay)} ${stay.length === 1 ? "stays" : "stay"} out.` : "",
      leave.length ? `After it ${listed(leave)} ${leave.length === 1 ? "leaves" : "leave"} the bath for good.` : ""].filter(Boolean).join(" "),
  };
}

/** That nothing is left to do, for all of which that is known. @param {string[]} absent letters of plates without a plan */
export function doneWords(absent) {
  return `Every plate ${absent.length ? "with a plan " : ""}has had its bites`;
}

/** Which plates have no turns, for want of a plan; "" where all have. @param {string[]} absent their letters */
export function absentWords(absent) {
  return absent.length ? `Not in it, for want of a plan: ${listed(absent)}.` : "";
}

/** What a plate stands at, in a few words. @param {BathPlate} plate @param {Wait["what"] | null} waits what it waits for yet */
export function standsWords(plate, waits) {
  const own = asks(plate);
  if (!own) return plate.standing.bitten ? "out for good" : "nothing to bite";
  if (own.kind === "decide") return "decide first";
  if (own.kind === "paint") return waits ? "rinsed, drying" : `paint stop-out ${own.number}`;
  return waits === "rinse" ? "rinsed, drying" : waits ? `stop-out ${plate.standing.painted} dries` : biteName(own.number, own.to);
}

/** A wait in words. @param {Wait} wait */
export function waitWords({ letter, what, number }) {
  return what === "dry" ? `Plate ${letter}: stop-out ${number} has had its time to dry.` : `Plate ${letter}: rinsing and drying after bite ${number} has had its time.`;
}

/** What a turn leaves behind to dry, for its plate and those that lay with it. @param {Run} run @returns {Wait[]} */
export function waitsOf({ id, phase, number, timing, words, mates = [] }) {
  const what = phase === "dry" ? "dry" : phase === "out" ? "rinse" : null;
  if (!what || !timing || id === undefined || (what === "rinse" && timing.length_ms === null)) return [];
  return [{ id, letter: words.letter }, ...(what === "rinse" ? mates : [])].map((plate) => ({ id: plate.id, letter: plate.letter, what, number, timing }));
}

/** Waits with some more: a plate waits for one thing at a time. @param {Wait[]} waits @param {Wait[]} more @returns {Wait[]} */
export function withWaits(waits, more) {
  return [...waits.filter(({ id }) => !more.some((each) => each.id === id)), ...more];
}

/**
 * The run once the first of what is still to be written is on paper instead: a plate whose log has no such dip is one of those that lay in it no
 * more, so that what is put right of this dip is none of an earlier one's. It is wet all the same.
 * @param {Run} run @returns {Partial<Run>}
 */
export function onPaper(run) {
  const [gone, ...pending] = run.pending ?? [];
  if (!gone?.log.some((entry) => "actual_s" in entry)) return { pending };
  const waits = withWaits(run.waits ?? [], waitsOf(run).filter(({ id }) => id === gone.id));
  return { pending, waits, mates: (run.mates ?? []).filter(({ id }) => id !== gone.id) };
}

/** Whether a plate lies in the dip of a turn. @param {Run} run @param {string} id */
const inside = (run, id) => id === run.id || (run.mates ?? []).some((mate) => mate.id === id);

/**
 * All that waits once the hands leave a turn for another plate. One clock stands for all that dry for a dip, the slowest one's: that plate has it
 * back with what was added to it, and the others keep their own.
 * @param {Run} run @returns {Wait[]}
 */
export function waitsAfter(run) {
  const { phase, timing, waits = [] } = run;
  const drying = phase === "dry" && timing ? waits.filter(({ id, what }) => what === "dry" && inside(run, id)) : [];
  if (!timing || !drying.length) return withWaits(waits, waitsOf(run));
  const own = drying.filter((wait) => wait.timing.spent_ms === timing.spent_ms && wait.timing.from.steady === timing.from.steady && wait.timing.from.wall === timing.from.wall);
  // Where the printer has said what had passed it is none's any more: none of them is dry before it.
  return withWaits(waits, (own.length ? own : drying).map((wait) => ({ ...wait, timing })));
}

/** What waits of the others as a dip's plates go in, or are said to be dry. @param {Run} run @returns {Wait[]} */
export function waitsBut(run) {
  return (run.waits ?? []).filter(({ id }) => !inside(run, id));
}

/** What waits and is told of beside a turn: what dries for its own dip has the turn's own clock. @param {Run} run @returns {Wait[]} */
export function waitsBeside(run) {
  const { phase, waits = [] } = run;
  return phase === "dry" || phase === "ready" ? waits.filter(({ id, what }) => what !== "dry" || !inside(run, id)) : waits;
}
