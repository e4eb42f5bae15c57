/** What the run says at each of its turns. Pure. Everything about safety defers to the shop, the safety data sheet and local codes. */
import { clock, count, minutes } from "../format.js";

/** @typedef {import("../../web/types.d.ts").Plan} Plan */

/** The usual cautions at the moment they are for. */
export const CAUTIONS = {
  check: "Your shop’s rules, the safety data sheet of what is in your tray, and local codes come first. Exhaust on, goggles, acid gloves, apron; the eyewash within reach; never bite alone. Keep this screen in its sleeve, away from splash.",
  paint: "Varnish and solvent: air the room, keep both from flames, hot plates and acid; rags into a closed metal can. Don’t rub the grain, and no bare fingers on it: grease keeps the acid off, and rosin dust harms lungs.",
  dry: "No heat to hurry it: warm air melts rosin and softens varnish, and solvent vapour burns. Wet varnish lifts in the bath.",
  ready: "Goggles, gloves, exhaust on. Back, edges and bevel covered, varnish dry, clip or tray ready, nobody in the way.",
  out: "Rinse as your shop does. Rinse water may hold metal and acid: where it goes is for your shop and local codes to say. Dry without heat, then look for pinholes and touch them up.",
  finished: "Varnish off first, then the grain, each with its own solvent as your shop does it, away from flames and hot plates. Spent bath and rinse water are waste by local codes, never simply drain.",
};

/** "tones 5 to 9 are bare". @param {number} bite @param {number} last tone */
export function bare(bite, last) {
  return bite === last ? `tone ${last} alone is bare` : bite === last - 1 ? `tones ${bite} and ${last} are bare` : `tones ${bite} to ${last} are bare`;
}

/** "bite 7", or "bites 7 and 8" where they are one dip. @param {{ number: number, joins?: { to: number } | null }} run */
export function bites({ number, joins }) {
  return !joins ? `bite ${number}` : joins.to === number + 1 ? `bites ${number} and ${joins.to}` : `bites ${number} to ${joins.to}`;
}

/** What stop-out j paints. @param {number} number */
export function painted(number) {
  return number === 1 ? "the whites" : `tone ${number - 1}`;
}

/** What comes after a bite, for whoever stands at the bath. @param {Plan} plan @param {number} bite @param {number | null} rinse_min @param {number | null} dry_min */
export function afterBite(plan, bite, rinse_min, dry_min) {
  const rinse = rinse_min ? `rinse and dry ${minutes(rinse_min)}` : "rinse, dry";
  const next = nextAfter(plan, bite);
  if (next === null) return `${rinse}, then the varnish comes off`;
  const stop = plan.stopouts[next - 1];
  const what = stop.new_share === 0 ? "nothing to paint" : `${painted(next)}, ${count(stop.islands, "island")}${dry_min ? `, dry ${minutes(dry_min)}` : ""}`;
  return `${rinse}, stop-out ${next} (${what})`;
}

/** The bite after one, dropped ones left out; null after the last. @param {Plan} plan @param {number} bite */
export function nextAfter(plan, bite) {
  for (let next = bite + 1; next < plan.tones.length; next++) if (!plan.standing.dropped.includes(next)) return next;
  return null;
}

/** How long it was in, against the plan. @param {number} actual_s @param {number | null} planned_s @param {number} slack_s */
export function against(actual_s, planned_s, slack_s) {
  if (planned_s === null) return "No strip, so nothing was planned: the seconds are logged.";
  const over = Math.round(10 * (actual_s - planned_s)) / 10;
  if (Math.abs(over) <= slack_s) return `Planned ${clock(planned_s)}: within your hand’s ${slack_s} s.`;
  return over > 0 ? `Planned ${clock(planned_s)}: ${Math.round(over)} s too long.` : `Planned ${clock(planned_s)}: ${Math.round(-over)} s too short.`;
}

/** When to lift, by the printer's own drag-out. @param {number} drag_s @param {boolean} dark whether the bite counts up */
export function lift(drag_s, dark) {
  if (dark) return "";
  return drag_s > 0 ? `Lift at 0:00: the ${drag_s} s it bites on as it drains are off the clock already` : "Lift at 0:00";
}
