/**
 * Which turn comes by the plan, and what it is called. Pure: the log alone says where a plate stands, and the plan says how long a bite is;
 * nothing of it is remembered by the run.
 *
 * @typedef {import("./record.js").Run} Run
 * @typedef {import("./clock.js").Moment} Moment
 * @typedef {import("../../web/types.d.ts").Plan} Plan
 * @typedef {import("../../web/types.d.ts").LogEntry} LogEntry
 */
import { timing } from "./clock.js";
import { bare, bites } from "./words.js";

/** What the clock is set to, and what was in the bath before. @param {Plan} plan @param {number} bite */
function biteOf(plan, bite) {
  const set = plan.strip.kind !== "missing" ? plan.tones[bite].set_s : NaN;
  const before_s = plan.standing.total_s;
  // Where tones are lacking between, bites are one dip.
  const dip = plan.joins?.to_come.find(({ from, to }) => from === bite && to > bite);
  if (dip) return { planned_s: dip.set_s, before_s, joins: { to: dip.to, sets: plan.tones.map((tone) => tone.set_s) } };
  return { planned_s: Number.isFinite(set) ? set : null, before_s };
}

/** The turn that comes. @param {Plan} plan @param {Moment} at @returns {Partial<Run>} */
export function comes(plan, at) {
  const { next, due } = plan.standing;
  const clean = { back: false, timing: null, conflict: null };
  // Nothing is painted or bitten before it is decided how to go on.
  if (due) return { ...clean, phase: "out", number: due.after };
  if (next.kind === "paint") return { ...clean, phase: "paint", number: next.stop_out, timing: timing("painting", null, at), planned_s: null };
  if (next.kind === "bite") return { ...clean, phase: "ready", number: next.bite, ...biteOf(plan, next.bite) };
  return { ...clean, phase: "finished" };
}

/** Whether a turn left half way is still the one the log asks for. @param {Run} left @param {Plan["standing"]} standing */
export function fits({ phase, number, back }, { next, bitten, painted, due }) {
  const bite = next.kind === "bite" && next.bite === number && !due;
  const out = bitten === number && painted === number;
  switch (phase) {
    case "paint": return next.kind === "paint" && next.stop_out === number && !due;
    case "dry": return bite;
    case "ready": return back ? out : bite;
    case "out": return out;
    // Between two turns of a family any of them may come.
    case "next": return true;
    default: return false;
  }
}

/**
 * The entry by which the stop-out of a turn is painted, where it has something to dry and the log has gone no further: the turn itself does not know of it.
 * @param {Run} left @param {Plan} plan @param {LogEntry[]} log
 */
export function justPainted({ phase, number }, { standing: { next, due }, stopouts }, log) {
  if (phase !== "paint" || due || next.kind !== "bite" || next.bite !== number || stopouts[number - 1]?.new_share === 0) return undefined;
  return log.findLast((entry) => entry.kind === "painted" && entry.stop_out === number);
}

/** The turn with the times of now: what a clock is set to may have changed since it was last shown. @param {Run} run @param {Plan} plan @returns {Partial<Run>} */
export function asPlanned(run, plan) {
  if (run.phase !== "ready") return {};
  if (!run.back) return biteOf(plan, run.number);
  const { back, total_s } = plan.standing;
  return back ? { planned_s: back.set_s, before_s: total_s } : {};
}

/** Where the run is. @param {Run} run @param {number} last tone */
export function where({ phase, number, back, joins }, last) {
  switch (phase) {
    case "check": return "before the run";
    case "finished": return "the last bite is done";
    case "next": return "between two turns";
    case "paint": case "dry": return `stop-out ${number} of ${last}`;
    default: return `${bites({ number, joins })} of ${last}${back ? ", once more" : ""}; ${bare(number, last)}`;
  }
}
