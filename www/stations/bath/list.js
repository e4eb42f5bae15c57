/** The run as a list, to read from a distance: what to paint and how long to bite, with what is done ticked off. */
import { h } from "../../dom.js";
import { biteWords, clock, clockedTotal, count, instead, minutes, sentence, times, totalWords } from "../../format.js";
import { painted } from "../../run/words.js";
import { biteName } from "../../together.js";

/** @param {import("../../../web/types.d.ts").Plan} plan @param {import("../../settings.js").Settings | null} planned */
export function rows(plan, planned) {
  const { standing, joins } = plan;
  // After its darkest tone the plate is out, and bites that join are one dip.
  const leaves = joins.dips.at(-1)?.[1] ?? 0;
  const joined = (/** @type {number} */ number) => joins.to_come.find(({ from, to }) => to > from && number >= from && number <= to);
  const list = plan.stopouts.filter(({ number }) => number <= Math.max(leaves, standing.bitten) && (joined(number)?.from ?? number) === number).map((stop) => {
    const tone = plan.tones[stop.number];
    const dip = joined(stop.number);
    const name = dip ? biteName(dip.from, dip.to) : biteName(stop.number, stop.number);
    const total = dip?.shown_total_s ? clock(dip.shown_total_s) : totalWords(plan, dip?.to ?? stop.number);
    const dropped = standing.dropped.includes(stop.number);
    const none = instead(plan, stop.number);
    const paint = dropped ? stop.number <= standing.painted ? "painted, and its bite left out" : "left out: neither painted nor bitten" : stop.new_share === 0 ? "nothing to paint"
      : `${painted(stop.number)}, ${count(stop.islands, "island")}, about ${minutes(stop.paint_min)}`;
    const ticked = stop.number <= standing.painted && !dropped;
    const bitten = stop.number <= standing.bitten && !dropped;
    const next = standing.next.kind === "paint" && standing.next.stop_out === stop.number || standing.next.kind === "bite" && standing.next.bite === stop.number;
    return h("li", { class: [bitten ? "done" : "", next && standing.painted > 0 ? "now" : "", dropped ? "dropped" : ""].filter(Boolean).join(" ") || null },
      h("span", { class: "paint" }, h("b", null, `Stop-out ${stop.number}`), paint, h("i", null, ticked ? "✓ painted: it stays" : dropped ? "" : "then let it dry")),
      h("span", { class: "bite" }, h("b", null, sentence(name)), h("strong", { class: none ? "none" : plan.bath.ratios ? "ratio" : null }, none ?? (dip ? dipWords(plan, dip) : biteWords(plan, tone.index))),
        h("i", null, dropped ? "its tone prints as the one before" : none ? "first choose how to go on: the run asks for it" : bitten ? `✓ bitten; total ${totalWords(plan, tone.index)}` : `total ${total}, then rinse and dry`)));
  });
  const first = [planned?.lines === "etched" ? "Before the grain: the etched-line stage, by the lines’ own picture." : "",
    plan.resist_share > 0 ? "Before stop-out 1: the lift drawing. The fixed resist stays on through every bite." : ""].filter(Boolean);
  if (first.length && standing.painted === 0) list.unshift(h("li", { class: "begin" }, h("span", null, first.join(" "))));
  const all = joins.to_come.at(-1)?.shown_total_s;
  if (leaves > 0) list.push(h("li", { class: "end" }, h("span", null, `After bite ${leaves}: rinse, dry, take off the varnish, then the grain. In the bath in all: ${all && !standing.due ? clock(all) : clockedTotal(plan, leaves)}.`)));
  return list;
}

/** What the clock is set to for bites in one dip; without a strip, as a multiple of the first total. @param {import("../../../web/types.d.ts").Plan} plan @param {{ from: number, to: number, set_s: number | null }} dip */
function dipWords({ bath: { ratios } }, { from, to, set_s }) {
  return ratios ? times(ratios[to - 1] - (ratios[from - 2] ?? 0)) : clock(set_s ?? 0);
}
