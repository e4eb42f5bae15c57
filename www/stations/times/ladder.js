/** The ladder of times: each bite as it is set on the clock, and the total it leads to. */
import { h, table } from "../../dom.js";
import { numberField } from "../../fields.js";
import { clock, number, readNumber } from "../../format.js";

/** @param {import("../../state.js").Desk} desk @returns {import("../../state.js").Part} */
export function ladder(desk) {
  const bites = h("div", { class: "scroll", tabindex: 0, role: "region", "aria-label": "Table of the bites" });
  const reserve = numberField("Reserve", {
    read: readNumber, write: (value) => number(value, 2), unit: "L*",
    take: (value) => desk.change("reserve", { ...desk.state.settings, reserve_l: value }), refuse: (sentence) => desk.notice(sentence, "refused"),
  });
  const root = h("div", null,
    h("div", { class: "reserve" }, reserve.root, h("p", { class: "aside" }, "Lightness kept back from the strip's darkest reading, 0 to 20: a larger reserve ends on a lighter black and shortens the last bite.")),
    bites);
  return {
    root,
    update(state) {
      const { plan } = state;
      reserve.set(state.settings.reserve_l);
      if (!plan) return;
      const ranged = plan.tones.some((tone) => tone.range_s);
      bites.replaceChildren(table(plan.strip.kind === "example" ? "The bites, by the example strip" : `The bites, by strip ${plan.strip.id}`,
        ["Tone", "Set the clock to", "Total", "Bite", "L*", ...(ranged ? ["Range of total"] : [])],
        plan.tones.map((tone, k) => [String(k), k ? h("strong", null, clock(tone.set_s)) : "—", k ? clock(tone.shown_total_s) : "paper", k ? `${number(tone.bite_s)} s` : "—",
          number(tone.lightness),
          ...(ranged ? [tone.range_s ? `${clock(tone.range_s[0])} to ${clock(tone.range_s[1])}` : "—"] : [])])));
    },
  };
}
