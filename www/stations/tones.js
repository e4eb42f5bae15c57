/** Tones: how many, where the drawing is parted, and what each has come to. */
import { h, say, table } from "../dom.js";
import { number, percent, sentence, totalWords, words } from "../format.js";
import { slider } from "../fields.js";
import { Picture } from "../picture.js";
import { breaksWay, FEWEST_TONES, MOST_TONES, whenCovered, withTones, withTypedTones } from "../settings.js";

const WAYS = {
  even: "Even: each place of the drawing goes to the nearest of the print's evenly spaced tones.",
  fitted: "Fitted: breaks stand where the tones stay closest to this drawing, the exact best, by its histogram.",
  hand: "By hand: breaks stand where you put them. Drag a joint of the strip, or use its arrow keys.",
};

/** @param {import("../state.js").Desk} desk @returns {import("../state.js").Part} */
export function tones(desk) {
  const before = new Picture(desk, {
    wish: () => ({ kind: "drawing", view: "print" }), title: () => "The drawing", note: (s) => s.title, label: (s) => `The drawing ${s.info?.name ?? ""}`,
  });
  const after = new Picture(desk, {
    wish: (s) => s.tone === null ? { kind: "tones", view: "print" } : { kind: "tone", tone: s.tone, view: "print" },
    title: (s) => s.tone === null ? `In ${words(s.settings.tones)} tones` : `Where tone ${s.tone} lies`,
    note: (s) => s.tone === null || !s.plan ? "as dark as they will print" : `${percent(s.plan.tones[s.tone].share)} of the face`,
    label: (s) => s.tone === null ? `The drawing in ${words(s.settings.tones)} flat tones` : `Tone ${s.tone} picked out`,
  });
  const how = slider(desk, "Tones", { min: FEWEST_TONES, max: MOST_TONES, step: 1, unit: "",
    words: (value) => `${words(value)} tones, ${words(value - 1)} bites`,
    take: (value, gesture) => {
      const next = withTones(desk.state.settings, desk.state.plan, value);
      if (next.tones !== desk.state.settings.tones) desk.change(`${words(next.tones)} tones`, next, gesture);
    },
    typed: (value) => {
      if (!Number.isSafeInteger(value)) {
        desk.notice(`Tones are counted: a whole number from ${FEWEST_TONES} to ${MOST_TONES} was expected, ${number(value, 2)} came. Type one without a fraction.`, "refused");
        return false;
      }
      desk.change(`${words(value)} tones`, withTypedTones(desk.state.settings, desk.state.plan, value));
    } });
  const way = h("p", { class: "lead" });
  const locked = h("p", { class: "aside" });
  const list = h("div", { class: "scroll", tabindex: 0, role: "region", "aria-label": "Table of the tones" });
  const root = h("section", { class: "station tones", "aria-labelledby": "h-tones" },
    h("div", { class: "top" }, h("h2", { id: "h-tones" }, "Tones"), way, locked, h("div", { class: "bar" }, how.root)),
    h("div", { class: "two" }, before.root, after.root), list);
  return {
    root,
    update(state) {
      before.update(state);
      after.update(state);
      const { plan } = state;
      how.set(state.settings.tones);
      say(way, WAYS[breaksWay(state.settings)]);
      say(locked, plan?.standing.locked.said ?? "");
      locked.hidden = !plan?.standing.locked.said;
      if (!plan) return;
      list.replaceChildren(table("The tones", ["Tone", "Prints L*", "Drawing, down to L*", "Share", "Total", "When"], plan.tones.map((tone, k) => [
        h("span", { class: "tone-cell" }, h("i", { class: "swatch", style: { background: tone.colour }, "aria-hidden": "true" }), String(k)),
        number(tone.lightness), k < plan.breaks.length ? number(plan.breaks[k]) : "its black", percent(tone.share),
        k ? totalWords(plan, k) : "paper", sentence(whenCovered(tone, plan.tones.length)),
      ])));
    },
  };
}
