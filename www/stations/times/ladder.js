/** The ladder of times: each bite as it is set on the clock, the total it leads to, how sure that is, and what rounding does. */
import { h, say } from "../../dom.js";
import { numberField } from "../../fields.js";
import { clock, instead, number, readNumber, readTime } from "../../format.js";

/** @typedef {import("../../../web/types.d.ts").Settings} Settings */
/** @typedef {import("../../../web/types.d.ts").Tone} Tone */

/** L* by which rounding may move a tone before it is flagged; the core's own notes begin there too. */
const ROUNDED = 1;

/** @param {import("../../state.js").Desk} desk @returns {import("../../state.js").Part} */
export function ladder(desk) {
  const caption = h("caption");
  const rows = h("tbody");
  const bites = h("div", { class: "scroll", tabindex: 0, role: "region", "aria-label": "Table of the bites" },
    h("table", { class: "ladder" }, caption,
      h("thead", null, h("tr", null, ...["Tone", "BITE: set the clock to", "TOTAL so far", "Range of the total", "L*", "Rounding", "Look out"].map((head, i) =>
        h("th", { scope: "col", class: ["", "bite", "total"][i] || null }, head)))),
      rows));
  const sums = h("p", { class: "aside" });
  const hidden = h("p", { hidden: true }, "The bites are not listed: what must not be bitten has no list to bite by.");
  /** @param {string} label @param {string} unit @param {(text: string) => number | null} read @param {(settings: Settings, value: number) => Settings} changed @param {string} [expected] where it is no plain number */
  const field = (label, unit, read, changed, expected) => numberField(label, {
    read, write: (value) => number(value, 2), unit,
    take: (value) => desk.change(label.toLowerCase(), changed(desk.state.settings, value)),
    refuse: (sentence) => desk.notice(expected ? sentence.replace(/a number\..*$/, expected) : sentence, "refused"),
  });
  const reserve = field("Reserve", "L*", readNumber, (settings, value) => ({ ...settings, reserve_l: value }));
  const error = field("Reading error", "L*", readNumber, (settings, value) => ({ ...settings, reading_error_l: value }));
  /** @param {string} label @param {keyof Settings["handling"]} key */
  const time = (label, key) => field(label, "s", readTime, (settings, value) => ({ ...settings, handling: { ...settings.handling, [key]: value } }), "a time. Type seconds or m:ss, as 2 or 0:02.");
  const [slack, lag, drag] = [time("Handling slack", "slack_s"), time("Restart lag", "lag_s"), time("Drag-out", "drag_s")];
  /** @param {{ root: HTMLElement }} what @param {string} words */
  const given = (what, words) => h("div", { class: "given" }, what.root, h("p", { class: "aside" }, words));
  const root = h("div", null, bites, sums, hidden,
    h("section", { class: "practice", "aria-labelledby": "h-practice" }, h("h3", { id: "h-practice" }, "How you read, and how you dip"),
      given(reserve, "L* kept back from the strip's darkest reading, 0 to 20. More ends on a lighter black and shortens the last bite."),
      given(error, "How far off one reading may be, as a standard deviation. It widens the range, and decides whether a later band counts as lighter."),
      given(slack, "How far your hand may be off in lifting and draining. Bites shorter than three times this are flagged."),
      given(lag, "What passes at each dip before it bites. Zero until you have tried: one dip of 60 s beside six of 10 s shows it."),
      given(drag, "How long the acid on the plate bites on after lifting. Zero until you have tried.")));
  return {
    root,
    update(state) {
      const { plan, settings } = state;
      reserve.set(settings.reserve_l);
      error.set(settings.reading_error_l);
      slack.set(settings.handling.slack_s);
      lag.set(settings.handling.lag_s);
      drag.set(settings.handling.drag_s);
      if (!plan || plan.strip.kind === "missing") return;
      const stop = plan.bath.pair.verdict === "stop";
      bites.hidden = sums.hidden = stop;
      hidden.hidden = !stop;
      say(caption, plan.strip.kind === "example" ? "The bites, by the example strip" : `The bites, by strip ${plan.strip.id}`);
      const { slack_s, lag_s, drag_s } = (state.planned ?? settings).handling;
      const none = plan.tones.map((_, k) => k ? instead(plan, k) : null);
      rows.replaceChildren(...plan.tones.map((tone, k) => h("tr", null,
        h("th", { scope: "row" }, h("span", { class: "tone-cell" }, h("i", { class: "swatch", style: { backgroundColor: tone.colour } }), String(k))),
        none[k] ? h("td", { class: "bite" }, none[k]) : h("td", { class: "bite" }, k ? h("strong", null, clock(tone.set_s)) : "not bitten", k ? h("small", null, `exactly ${number(tone.bite_s)} s`) : null),
        none[k] ? h("td", { class: "total" }, none[k]) : h("td", { class: "total" }, k ? h("b", null, clock(tone.shown_total_s)) : "paper", k ? h("small", null, `exactly ${number(tone.total_s)} s`) : null),
        h("td", null, k && tone.range_s ? `${spoken(tone.range_s[0])} to ${spoken(tone.range_s[1])}` : "—"),
        h("td", null, number(tone.lightness)),
        h("td", null, k ? rounding(tone) : "—"),
        h("td", null, flags(plan.tones, k, slack_s)))));
      say(sums, `The clock is set to the bite; the total is what the strip speaks of. ${plan.standing.due ? "Later bites are still to be decided, at the bath." : `The bites add up: ${clock(plan.tones.reduce((sum, tone) => sum + tone.set_s, 0))} in all.`}${
        lag_s || drag_s ? ` Each bite here is ${lag_s >= drag_s ? `${number(lag_s - drag_s)} s longer` : `${number(drag_s - lag_s)} s shorter`} than the time it is to bite, for ${number(lag_s)} s of lag and ${number(drag_s)} s of drag-out a dip.` : ""}`);
    },
  };
}

/** Under a minute tenths count, over it they do not. @param {number} seconds */
function spoken(seconds) {
  return seconds < 59.95 ? `${number(seconds)} s` : clock(seconds);
}

/** @param {Tone} tone */
function rounding(tone) {
  if (Math.abs(tone.rounding_l) < 0.05) return "as planned";
  return `${number(Math.abs(tone.rounding_l))} L* ${tone.rounding_l > 0 ? "lighter" : "darker"}`;
}

/** @param {Tone[]} tones @param {number} k @param {number} slack_s */
function flags(tones, k, slack_s) {
  const tone = tones[k];
  const range = tone.range_s;
  const next = tones[k + 1]?.range_s;
  const said = [
    tone.short && `bite under ${number(3 * slack_s)} s`,
    Math.abs(tone.rounding_l) > ROUNDED && "set the exact bite",
    k > 0 && range && next && range[1] > next[0] && `range overlaps tone ${k + 1}`,
  ].filter(Boolean);
  return said.length ? said.join(", ") : "—";
}
