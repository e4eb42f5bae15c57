/** Times: a strip turned into bites. Five leaves: the ladder, the strip, the bath, another bite, and what if. */
import { h, say } from "../dom.js";
import { radios } from "../fields.js";
import { factorWords, number, sentence } from "../format.js";
import { ageWarning, ageWords } from "../kept.js";
import { EXAMPLE_STRIP, ownStrip } from "../settings.js";
import { ageDays } from "../shelf.js";
import { bath } from "./times/bath.js";
import { baths } from "./times/baths.js";
import { chart } from "./times/chart.js";
import { ladder } from "./times/ladder.js";
import { photo } from "./times/photo.js";
import { needsStrip, ratios } from "./times/ratios.js";
import { reading } from "./times/reading.js";
import { stripPlan } from "./times/strip-plan.js";
import { whatIf } from "./times/what-if.js";
import { worth } from "./times/worth.js";

/** @typedef {import("../state.js").State["leaf"]} Leaf */
/** @type {[Leaf, string][]} */
const LEAVES = [["ladder", "the bites"], ["strip", "your strip"], ["bath", "metal and bath"], ["worth", "another bite"], ["what_if", "what if"]];

/** @param {import("../state.js").Desk} desk @returns {import("../state.js").Part} */
export function times(desk) {
  const badge = h("p", { class: "example large" }, "EXAMPLE, NOT YOUR BATH");
  const said = h("p", { class: "lead" });
  const pair = h("span", null);
  const stopped = h("p", { class: "stopped", hidden: true }, h("strong", null, "STOP"), " ", pair, " ", h("button", { type: "button", onclick: () => desk.set({ leaf: "bath" }) }, "See why"));
  const leaves = radios("Show", LEAVES, (leaf) => desk.set({ leaf: /** @type {Leaf} */ (leaf) }));
  const own = reading(desk);
  /** @type {Record<Leaf, { root: HTMLElement, parts: import("../state.js").Part[] }>} */
  const shown = {
    ladder: leaf(ratios(desk), ...timed(chart(), ladder(desk))),
    strip: leaf(own, photo(desk, own.give), stripPlan(desk)),
    bath: leaf(bath(desk), baths(desk)),
    worth: leaf(needsStrip(desk), ...timed(worth(desk))),
    what_if: leaf(needsStrip(desk), ...timed(unlessStopped(whatIf(desk)))),
  };
  const root = h("section", { class: "station times", "aria-labelledby": "h-times" },
    h("div", { class: "top" }, h("h2", { id: "h-times" }, "Times"), said, badge), leaves.root, stopped,
    ...Object.values(shown).map((each) => each.root));
  return {
    root,
    update(state) {
      const held = root.contains(document.activeElement) ? /** @type {HTMLElement} */ (document.activeElement) : null;
      leaves.set(state.leaf);
      for (const [name, each] of Object.entries(shown)) each.root.hidden = name !== state.leaf;
      const { plan } = state;
      for (const part of shown[state.leaf].parts) part.update(state);
      if (!plan) return;
      const example = plan.strip.kind === "example";
      badge.hidden = !example;
      const stop = plan.bath.pair.verdict === "stop";
      stopped.hidden = !stop || state.leaf === "bath";
      if (stop) say(pair, `${sentence(plan.bath.pair.pair)}. Nothing here is a list to bite by.`);
      say(said, example && state.planned?.strip
        ? `These are the readings of the example strip ${EXAMPLE_STRIP}, so the times stay an example. Bite a strip of your own, grained with the plate, and type what you read.`
        : example
        ? "Strip 15-A is an example: it shows how times follow from a test strip. Bite a strip of your own, grained with the plate, and type its readings."
        : plan.strip.kind === "missing"
        ? "No strip yet, so no times are shown anywhere. Bite a strip of your own, grained with the plate, and read it."
        : about(plan.strip.id, ownStrip(state.planned)?.about, factorWords(plan)));
      // What held the keyboard is gone, and nothing has taken its place: it goes on from the leaf, not from the head of the page.
      if (held && held.offsetParent === null && [held, document.body].includes(/** @type {HTMLElement} */ (document.activeElement))) leaves.focus();
    },
  };
}

/** Whose times these are: the strip, its age and its bath. @param {string} id @param {import("../../web/types.d.ts").StripAbout} [known] @param {string} [today] what today does to its times */
function about(id, known = {}, today = "") {
  const days = ageDays(known.bitten, new Date());
  const warmth = known.celsius ?? null;
  const of = [`strip ${id}`, ageWords(days), known.bath, warmth === null ? "" : `${number(warmth)} °C`].filter(Boolean).join(", ");
  const eye = known.read === "by_eye" ? " It was read by eye against a grey scale, so its times are rough." : "";
  return `By ${of}.${eye} ${today ? `${today} ` : ""}${ageWarning(days) || "A strip speaks for its own bath, day and temperature."}`;
}

/** Parts that speak of times: hidden, and not asked, while there is no strip. @param {...import("../state.js").Part} parts @returns {import("../state.js").Part[]} */
function timed(...parts) {
  return parts.map((part) => ({
    root: part.root,
    update(state) {
      part.root.hidden = state.plan?.strip.kind === "missing";
      if (!part.root.hidden) part.update(state);
    },
  }));
}

/** Ways on that set a clock are none where nothing may be bitten. @param {import("../state.js").Part} part @returns {import("../state.js").Part} */
function unlessStopped(part) {
  const root = h("div", null, part.root);
  return {
    root,
    update(state) {
      part.root.hidden = state.plan?.bath.pair.verdict === "stop";
      if (!part.root.hidden) part.update(state);
    },
  };
}

/** @param {...import("../state.js").Part} parts */
function leaf(...parts) {
  return { root: h("div", { class: "leaf wide" }, ...parts.map((part) => part.root)), parts };
}
