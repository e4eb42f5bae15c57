/** A plate that came already bitten: its bites are told once, as the first entry of the log. */
import { h } from "../../dom.js";
import { count, readTime } from "../../format.js";

/** @param {import("../../state.js").Desk} desk @param {import("./entries.js").Entries} entries */
export function begun(desk, entries) {
  const text = h("input", { type: "text", id: "begun-bites", class: "wide-field", autocomplete: "off", placeholder: "0:07, 0:08, 0:11" });
  const said = h("p", { class: "aside", role: "status" });
  const root = h("details", { class: "begun" }, h("summary", null, "This plate is already bitten so far"),
    h("p", { class: "aside" }, "Write how long each of its bites took, in their order: each bite alone, not the totals. What they covered is taken as this plan has it, and stays as it is from here on."),
    h("div", { class: "fields" }, h("div", { class: "number" }, h("label", { for: "begun-bites" }, "Bites so far, m:ss or seconds, a space or semicolon between"), text),
      h("button", { type: "button", onclick: keep }, "Begin the log with these")), said);

  async function keep() {
    if (!desk.state.plan) return;
    // A comma may be a decimal one: it only parts where a space follows.
    const parts = text.value.trim().split(/\s*;\s*|,\s+|\s+/).filter(Boolean);
    const bites_s = parts.map(readTime);
    const wrong = bites_s.findIndex((seconds) => seconds === null || !(seconds > 0));
    if (!parts.length || wrong >= 0) {
      said.textContent = parts.length ? `“${parts[wrong]}” is no time: write it like 0:25 or 25.` : "Write at least one bite, like 0:25.";
      text.focus();
      return;
    }
    try {
      await entries.add({ at_ms: Date.now(), note: "", kind: "begun", bites_s: /** @type {number[]} */ (bites_s), factor: desk.state.plan.bath.factor });
      said.textContent = `${count(parts.length, "bite")} in the log.`;
      text.value = "";
    } catch (error) {
      said.textContent = /** @type {Error} */ (error).message;
    }
  }

  return {
    root,
    /** @param {import("../../state.js").State} state */
    update({ done, plan }) {
      root.hidden = done.log.length > 0 || plan?.bath.pair.verdict === "stop";
    },
  };
}
