/** Without a strip: the ladder as ratios, and what stands where times would be needed. */
import { h, table } from "../../dom.js";
import { biteWords, number, totalWords } from "../../format.js";

/** @param {import("../../state.js").Desk} desk */
function ways(desk) {
  return h("div", { class: "acts" },
    h("button", { type: "button", class: "first", onclick: () => desk.set({ leaf: "strip" }) }, "Plan a strip to bite"),
    h("button", { type: "button", onclick: () => desk.change("the example strip", { ...desk.state.settings, strip: null }) }, "Show the example’s times"));
}

/** @param {import("../../state.js").Desk} desk @returns {import("../../state.js").Part} */
export function ratios(desk) {
  const list = h("div", { class: "scroll", tabindex: 0, role: "region", "aria-label": "Table of the bites as ratios" });
  const root = h("section", { class: "part ratios", hidden: true, "aria-labelledby": "h-ratios" }, h("h3", { id: "h-ratios" }, "Ratios, no times"),
    h("p", { class: "aside" }, "Totals spaced geometrically, each as a multiple of the first bite, over the span of the strip to bite. That tones come out about even so is common practice, and no more than a beginning: how long the first bite is, and where the blacks end, only a strip of yours can say."),
    ways(desk), list);
  return {
    root,
    update(state) {
      const { plan } = state;
      root.hidden = plan?.strip.kind !== "missing";
      if (!plan?.bath.ratios || root.hidden) return;
      // What must not be bitten has no list to bite by, in multiples neither.
      list.hidden = plan.bath.pair.verdict === "stop";
      list.replaceChildren(table("The bites as multiples of the first", ["Tone", "Bite", "Total"],
        plan.tones.map((tone, k) => [String(tone.index), k ? h("strong", null, biteWords(plan, k)) : "—", k ? totalWords(plan, k) : "paper"])),
        h("p", { class: "aside" }, plan.bath.ratios.length > 1 ? `Each total is ${number(plan.bath.ratios[1], 2)} times the one before.` : "There is only one bite."));
    },
  };
}

/** Where a time is needed and there is none. @param {import("../../state.js").Desk} desk @returns {import("../../state.js").Part} */
export function needsStrip(desk) {
  const root = h("section", { class: "part", hidden: true }, h("p", { class: "lead" }, "This needs a strip of yours: without one nobody knows what a minute does in your bath."), ways(desk));
  return {
    root,
    update(state) {
      root.hidden = state.plan?.strip.kind !== "missing";
    },
  };
}
