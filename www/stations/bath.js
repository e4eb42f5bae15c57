/** At the bath: where the plate stands, the run as a list to read from a distance, and the way into the run itself, which takes the whole screen. */
import { h, say } from "../dom.js";
import { clock, factorWords } from "../format.js";
import { begun } from "./bath/begun.js";
import { check } from "./bath/check.js";
import { day } from "./bath/day.js";
import { entries } from "./bath/entries.js";
import { rows } from "./bath/list.js";
import { log } from "./bath/log.js";
import { repair } from "./bath/repair.js";
import { run } from "./bath/run.js";
import { together } from "./bath/together.js";
import { verdict } from "./times/bath.js";

/** @param {import("../state.js").Desk} desk @returns {import("../state.js").Part & { follow(state: import("../state.js").State): void }} */
export function bath(desk) {
  const overlook = check(desk);
  const badge = h("p", { class: "example large" }, "EXAMPLE, NOT YOUR BATH");
  const panel = verdict();
  const writing = entries(desk);
  const running = run(desk, writing);
  const none = h("p", { class: "lead" }, "No strip yet, so no times: bites stand as multiples of the first, and the clock counts up. ", h("a", { href: "#times" }, "Plan a strip to bite"));
  const scaled = h("p", { class: "lead" });
  const stands = h("p", { class: "stands" });
  const enter = h("button", { type: "button", class: "first begin-run", onclick: () => running.enter() });
  const way = h("div", { class: "way-in" }, h("div", null, stands, h("p", { class: "aside" },
    "The run takes the whole screen and leads turn by turn, by holding the screen, by keys or by a pedal. It goes on over a reload, and tells sound and flash 10 s before the end of a bite and at it.")), enter);
  const before = begun(desk, writing);
  const today = day(desk);
  const all = together(desk, writing);
  const written = log(writing);
  const repairs = repair(desk);
  const list = h("ol", { class: "run" });
  const root = h("section", { class: "station bath", "aria-labelledby": "h-bath" },
    h("div", { class: "top" }, h("h2", { id: "h-bath" }, "At the bath"),
      h("p", { class: "lead" }, "The run in order, to read or to follow with its own clock. A ", h("a", { href: "#sheets" }, "printed run sheet"), " beside it does no harm."), badge), panel.root, all.root, way, none, scaled, list, overlook.root, written.root, repairs.root, today.root, before.root);
  return {
    root,
    /** A run is followed wherever the page is. */
    follow: (state) => running.update(state),
    update(state) {
      before.update(state);
      overlook.update(state);
      today.update(state);
      all.update(state);
      written.update(state);
      repairs.update(state);
      const { plan, planned } = state;
      way.hidden = !plan;
      if (!plan) return;
      const stop = plan.bath.pair.verdict === "stop";
      badge.hidden = plan.strip.kind !== "example" || stop;
      panel.root.hidden = !plan.bath.named && !stop;
      panel.set(plan.bath);
      // What must not be bitten has no list to bite by, and no clock.
      way.hidden = list.hidden = stop;
      say(scaled, factorWords(plan));
      scaled.hidden = stop || plan.strip.kind === "missing" || plan.bath.factor === 1;
      none.hidden = stop || plan.strip.kind !== "missing";
      if (stop) return list.replaceChildren();
      const { next, painted, bitten, total_s, due } = plan.standing;
      say(stands, painted === 0 ? "Nothing is done to the metal yet." : next.kind === "finished" ? `All bites are done; in the bath in all ${clock(total_s)}.`
        : `Painted up to stop-out ${painted}, bitten up to bite ${bitten}; total so far ${clock(total_s)}.`);
      const others = running.others;
      say(enter, others && (next.kind === "finished" || running.on || painted > 0) ? "Go on: all plates in turn" : painted === 0 && !running.on ? "Begin the run" : due ? "Go on: decide how" : next.kind === "paint" ? `Go on: stop-out ${next.stop_out}` : next.kind === "bite" ? `Go on: bite ${next.bite}` : "The run is done");
      enter.disabled = next.kind === "finished" && !others;
      list.replaceChildren(...rows(plan, planned));
    },
  };
}
