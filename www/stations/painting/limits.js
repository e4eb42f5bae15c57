/** What a brush can't do here: thin lines, soft passages, bands that may close, places under the mark. */
import { Answer, ofRegions } from "../../answer.js";
import { assign, h, say } from "../../dom.js";
import { numberField, radios } from "../../fields.js";
import { count, number, percent, readNumber, run, sentence } from "../../format.js";
import { size } from "./islands.js";
import { places, showPictures } from "./places.js";
import { box, label, ring, stretch } from "./pointing.js";

/** @typedef {import("../../../web/types.d.ts").Limits} Limits */

/** What a band is to the painter. */
const KINDS = { stroke: "one stroke", gap: "left bare between two edges", rung: "between a lighter and a darker tone" };

/** @param {import("../../state.js").Desk} desk @param {() => void} redraw the marks */
export function limits(desk, redraw) {
  const looked = new Answer(desk, "limits", () => null, (state) => {
    update(state);
    redraw();
  }, ofRegions);
  const lines = h("p", { class: "aside" });
  const show = h("button", { type: "button", class: "toggle", onclick: () => {
    const { looking } = desk.state;
    desk.set({ tone: null, looking: { ...looking, beside: looking.beside === "lines" ? "print" : "lines" } });
    showPictures();
  } }, "Show the lines");
  const choice = radios("Thin lines", [["stay", "stay in the tones"], ["etched", "etched first"]], (value) =>
    desk.change(value === "etched" ? "thin lines etched first" : "thin lines stay in the tones", { ...desk.state.settings, lines: /** @type {"stay" | "etched"} */ (value) }));
  const soft = h("p", { class: "aside" });
  const passages = places(desk, "soft", "Soft passages, the longest first", (/** @type {Limits["soft"]["passages"][number]} */ p) =>
    `${run(p.length_mm / 10, desk.state.units)} between tones ${p.lighter} and\u00a0${p.darker}, painted at stop-out\u00a0${p.lighter + 1}`);
  const bands = h("p", { class: "aside" });
  const error = numberField("An edge of mine wanders by", { read: readNumber, write: (value) => number(value, 2), unit: "mm",
    take: (value) => desk.change(`edges wander by ${number(value, 2)} mm`, { ...desk.state.settings, hand_error_mm: value }), refuse: (text) => desk.notice(text, "refused") });
  const narrow = places(desk, "bands", "Narrow bands, the likeliest to close first", (/** @type {Limits["bands"]["places"][number]} */ p) =>
    `tone ${p.tone}, ${number(p.width_mm)} mm at its narrowest, ${number(p.length_mm, 0)} mm long, ${KINDS[p.kind]}${p.kind === "stroke" ? "" : `: closes in ${percent(p.chance)} of cases`}`);
  const under = h("p", { class: "aside" });
  const tight = places(desk, "under", "Places under the mark, the largest first", (/** @type {Limits["under"]["places"][number]} */ p) =>
    `tone ${p.tone}, ${size(p)} that no mark reaches`);
  const root = h("section", { class: "limits", "aria-labelledby": "h-limits" }, h("h3", { id: "h-limits" }, "What a brush can’t do here"),
    h("div", { class: "four" },
      h("div", null, h("h4", null, "Thin dark lines"), lines, h("div", { class: "row" }, show, choice.root)),
      h("div", null, h("h4", null, "Soft passages"), soft, ...passages.nodes),
      h("div", null, h("h4", null, "Narrow bands"), bands, error.root, ...narrow.nodes),
      h("div", null, h("h4", null, "Too narrow for the mark"), under, ...tight.nodes)));

  /** @param {import("../../state.js").State} state */
  function update(state) {
    looked.update(state);
    const { found } = looked;
    choice.set(state.settings.lines);
    error.set(state.settings.hand_error_mm);
    assign(show, { "aria-pressed": String(state.looking.beside === "lines") });
    passages.draw(found?.soft.passages ?? noSoft, state);
    narrow.draw(found?.bands.places ?? noBands, state);
    tight.draw(found?.under.places ?? noUnder, state);
    for (const part of [show, choice.root]) part.hidden = !found || (found.lines.count === 0 && state.settings.lines === "stay");
    error.root.hidden = !found?.bands.count;
    if (!found) {
      for (const part of [lines, soft, bands, under]) say(part, looked.trouble || "Being looked for.");
      return;
    }
    const etched = state.settings.lines === "etched";
    say(lines, found.lines.count === 0 ? "None: nothing dark is thinner than the mark."
      : `${sentence(count(found.lines.count, "line"))}, ${run(found.lines.length_mm / 10, state.units)} in all, ${number(found.lines.width_mm)} mm wide on average. ${etched
        ? "They are left to an etched-line stage before the grain; the tones continue beneath."
        : "A brush can’t leave them bare through every stop-out: etch them before the grain, or clean-up decides."}`);
    say(soft, found.soft.count === 0 ? "None: every edge lies where the drawing has one."
      : `${sentence(count(found.soft.count, "stretch", "stretches"))} of edge, ${run(found.soft.length_mm / 10, state.units)} in all, cross a gentle slope. Stop-out gives steps only: they will show as rings. Move the break, add a tone there, or work them by hand.`);
    say(bands, found.bands.count === 0 ? `None under ${number(found.bands.narrow_mm)} mm.`
      : `${sentence(count(found.bands.count, "place"))} under ${number(found.bands.narrow_mm)} mm between two painted edges; about ${number(found.bands.expected, found.bands.expected < 9.95 ? 1 : 0)} of them will close up.`);
    const mark = `the ${number(found.under.mark_mm)} mm mark`;
    say(under, found.under.count === 0 ? `None: every region holds ${mark}.`
      : `${sentence(count(found.under.count, "place"))}, ${percent(found.under.share)} of the face, where a region still does not hold ${mark}.`);
  }

  return {
    root, update,
    /** @param {import("../../state.js").State} state @returns {SVGElement[]} */
    marks(state) {
      const { found } = looked;
      const { at } = state.looking;
      if (!found || !looked.current || !state.plan || !at) return [];
      const face = state.plan.face_mm;
      const text = String(at.index + 1);
      if (at.of === "soft") {
        const picked = found.soft.passages[at.index];
        if (!picked) return [];
        const others = found.soft.passages.filter((passage) => passage !== picked).map((passage) => stretch(passage.points, false));
        const middle = picked.points[Math.floor(picked.points.length / 2)];
        return [...others, stretch(picked.points, true), label(middle, text, { picked: true, face })];
      }
      if (at.of === "bands") {
        const place = found.bands.places[at.index];
        return place ? [box(place.bounds), label(place.at, text, { picked: true, face })] : [];
      }
      if (at.of === "under") {
        const place = found.under.places[at.index];
        return place ? [ring(place.at, Math.max(1.5, place.across_mm)), label(place.at, text, { picked: true, face })] : [];
      }
      return [];
    },
  };
}

/** @type {Limits["soft"]["passages"]} */
const noSoft = [];
/** @type {Limits["bands"]["places"]} */
const noBands = [];
/** @type {Limits["under"]["places"]} */
const noUnder = [];
