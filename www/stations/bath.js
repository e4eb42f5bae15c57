/** At the bath: the bites in order, to read from a distance. There is no clock here yet, and the page says so. */
import { h, say } from "../dom.js";
import { biteWords, count, factorWords, minutes, totalWords } from "../format.js";
import { check } from "./bath/check.js";
import { verdict } from "./times/bath.js";

/** @param {import("../state.js").Desk} desk @returns {import("../state.js").Part} */
export function bath(desk) {
  const painted = check(desk);
  const badge = h("p", { class: "example large" }, "EXAMPLE, NOT YOUR BATH");
  const panel = verdict();
  const none = h("p", { class: "lead" }, "No strip yet, so no times: bites stand as multiples of the first. ", h("a", { href: "#times" }, "Plan a strip to bite"));
  const scaled = h("p", { class: "lead" });
  const list = h("ol", { class: "run" });
  const root = h("section", { class: "station bath", "aria-labelledby": "h-bath" },
    h("div", { class: "top" }, h("h2", { id: "h-bath" }, "At the bath"),
      h("p", { class: "lead" }, "The run in order, to read. A clock that runs with the bath comes later: until then, work from the ", h("a", { href: "#sheets" }, "printed run sheet"), " and a timer of your own."), badge), panel.root, none, scaled, list, painted.root);
  return {
    root,
    update(state) {
      painted.update(state);
      const { plan, planned } = state;
      if (!plan) return;
      const stop = plan.bath.pair.verdict === "stop";
      badge.hidden = plan.strip.kind !== "example" || stop;
      panel.root.hidden = !plan.bath.named && !stop;
      panel.set(plan.bath);
      // What must not be bitten has no list to bite by.
      list.hidden = stop;
      say(scaled, factorWords(plan));
      scaled.hidden = stop || plan.strip.kind === "missing" || plan.bath.factor === 1;
      none.hidden = stop || plan.strip.kind !== "missing";
      if (stop) return list.replaceChildren();
      list.replaceChildren(...plan.stopouts.map((stop) => {
        const tone = plan.tones[stop.number];
        const paint = stop.new_share === 0 ? "nothing to paint" : `${stop.number === 1 ? "the whites" : `tone ${stop.number - 1}`}, ${count(stop.islands, "island")}, about ${minutes(stop.paint_min)}`;
        return h("li", null,
          h("span", { class: "paint" }, h("b", null, `Stop-out ${stop.number}`), paint, h("i", null, "then let it dry")),
          h("span", { class: "bite" }, h("b", null, `Bite ${stop.number}`), h("strong", { class: plan.bath.ratios ? "ratio" : null }, biteWords(plan, tone.index)), h("i", null, `total ${totalWords(plan, tone.index)}, then rinse and dry`)));
      }));
      const first = [planned?.lines === "etched" ? "Before the grain: the etched-line stage, by the lines’ own picture." : "",
        plan.resist_share > 0 ? "Before stop-out 1: the lift drawing. The fixed resist stays on through every bite." : ""].filter(Boolean);
      if (first.length) list.prepend(h("li", { class: "begin" }, h("span", null, first.join(" "))));
      const last = plan.tones[plan.tones.length - 1];
      list.append(h("li", { class: "end" }, h("span", null, `After bite ${last.index}: rinse, dry, take off the varnish, then the grain. In the bath in all: ${totalWords(plan, last.index)}.`)));
    },
  };
}
