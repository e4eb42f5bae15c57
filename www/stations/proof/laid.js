/** Thin papers laid under the ink (chine collé): whole or in pieces, cut or torn, the good side to the ink or not. */
import { assign, h, say } from "../../dom.js";
import { radios } from "../../fields.js";
import { another, changed, freshName, freshTear, inserted, MOST_LAID, moved, without } from "./choices.js";
import { checkbox, colourField, nameField, rangedField, rows } from "./fields.js";
import { fold } from "./fold.js";
import { placeFields, viewField } from "./outlines.js";
import { count } from "../../format.js";
import { piecesOf } from "../papers/pieces.js";
import { laidWords } from "./words.js";

/** @typedef {import("../../../web/types.d.ts").LaidPaper} LaidPaper */

/** A thin cream paper to begin with: an example, no paper of anybody's. */
const SOME = Object.freeze({ on_white: "#dfd5ba", on_black: "#8d8672" });
/** Weight that a paper known by it begins with, g/m²: about a tissue for laying in (common practice, no source). */
const SOME_GRAMS = 30;

/** @param {import("../../../web/types.d.ts").ProofSettings} proof @param {import("./choices.js").Point[] | null} outline @returns {Partial<import("../../../web/types.d.ts").ProofSettings>} */
export function withLaid({ laid: all }, outline) {
  return { laid: [...all, { name: freshName(all, "paper"), ...SOME, outline, edge: "cut", tear: freshTear(all), back: null, turned: false }] };
}

/** @typedef {ReturnType<typeof import("./ink-facts.js").inkFacts>} Facts */

/** @param {import("../../state.js").Desk} desk @param {ReturnType<typeof import("./outlines.js").outlines>} drawing @param {Facts} asked */
export function laid(desk, drawing, asked) {
  const list = h("ol", { class: "cards" });
  const whole = h("button", { type: "button", onclick: () => desk.setProof(withLaid(desk.state.proof, null)) }, "Over the whole face");
  const draw = h("button", { type: "button", class: "toggle", onclick: () => {
    if (desk.state.proofing.drawing?.of === "laid") drawing.end();
    else drawing.begin({ of: "laid", index: null });
  } });
  const add = h("button", { type: "button", onclick: () => desk.setProof(withLaid(desk.state.proof, drawing.middle())) }, "A rectangle");
  const view = viewField(desk);
  const hint = h("p", { class: "aside" }, "What is laid first on the inked plate ends nearest the eye: it stands first here. A paper is known by its colour over a white sheet and over black, or by the colour of a thick pad and its weight.");
  const acts = h("div", { class: "row" }, whole, draw, add);
  const planned = h("p", { class: "aside" }, "The pieces of this pull are planned one by one under ", h("a", { href: "#papers" }, "Papers"), ": the proof lays those, in the order they are laid there.");
  const cards = rows(list, (index) => card(desk, index, drawing, asked.answer));
  const part = fold("Papers laid in", (state) => piecesOf(state.papers).length ? `${count(piecesOf(state.papers).length, "piece")}, planned under Papers` : laidWords(state.proof), [planned, hint, acts, view.root, list], (state) => {
    const elsewhere = piecesOf(state.papers).length > 0;
    planned.hidden = !elsewhere;
    hint.hidden = acts.hidden = view.root.hidden = elsewhere;
    whole.disabled = draw.disabled = add.disabled = state.proof.laid.length >= MOST_LAID;
    const drawn = state.proofing.drawing?.of === "laid";
    assign(draw, { "aria-pressed": String(drawn) });
    say(draw, drawn ? "Drawing: go once round" : "Draw a piece");
    view.set(state.proofing.view);
    asked.answer.update(state);
    cards.update(state.proof.laid, state);
  });
  asked.join({ asks: (state) => part.root.open && state.proof.laid.length > 0, told: (state) => cards.update(state.proof.laid, state) });
  return part;
}

/** @param {import("../../state.js").Desk} desk @param {number} index @param {ReturnType<typeof import("./outlines.js").outlines>} drawing @param {Facts["answer"]} facts */
function card(desk, index, drawing, facts) {
  const all = () => desk.state.proof.laid;
  /** @param {Partial<LaidPaper>} patch */
  const set = (patch) => desk.setProof({ laid: changed(all(), index, patch) });
  const mine = () => all()[index];
  const name = nameField("Name", (text) => set({ name: text }));
  const on_white = colourField(desk, "On white", (hex) => set({ on_white: hex }));
  const on_black = colourField(desk, "On black", (hex) => set({ on_black: hex }));
  const known = radios("Known by", [["patches", "two patches"], ["weight", "its weight"]], (value) => set(value === "weight" ? { weight: { pad: mine().on_white, grams: SOME_GRAMS }, back: null, turned: false } : { weight: null }));
  const pad = colourField(desk, "A thick pad of it", (hex) => set({ weight: { grams: SOME_GRAMS, ...mine().weight, pad: hex } }));
  const grams = rangedField(desk, "Weight", { what: "A weight", range: [2, 300], unit: "g/m²", places: 1, take: (value) => set({ weight: { pad: mine().on_white, ...mine().weight, grams: value } }) });
  const guess = h("p", { class: "aside" }, "How much a weight hides is an estimate for unfilled papers; patches tell better.");
  const beside = checkbox("Its patch lay on another sheet than the strip’s paper", (on) => set({ sheet: on ? desk.state.proof.paper ?? "#f6f3ea" : null }));
  const sheet = colourField(desk, "That sheet", (hex) => set({ sheet: hex }));
  const told = h("p", { class: "aside" });
  const tear = h("button", { type: "button", class: "plain", onclick: () => set({ tear: another(mine().tear ?? 1) }) }, "Tear it otherwise");
  const extent = radios("Covers", [["whole", "the whole face"], ["piece", "a piece of it"]], (value) => set({ outline: value === "whole" ? null : drawing.middle() }));
  const edge = radios("Edge", [["cut", "cut"], ["torn", "torn"]], (value) => set({ edge: /** @type {any} */ (value) }));
  const place = placeFields(desk, () => all()[index]?.outline ?? drawing.middle(), (outline) => set({ outline }));
  const where = h("details", null, h("summary", null, "Place and size"), place.root);
  const two = checkbox("Its other side has another colour", (on) => set({ back: on ? all()[index].on_white : null, turned: false }));
  const back = colourField(desk, "Other side, on white", (hex) => set({ back: hex }));
  const side = radios("To the ink", [["good", "the good side"], ["other", "the other side"]], (value) => set({ turned: value === "other" }));
  const anew = h("button", { type: "button", class: "plain", onclick: () => drawing.begin({ of: "laid", index }) }, "Draw it anew");
  const down = h("button", { type: "button", class: "plain", onclick: () => desk.setProof({ laid: moved(all(), index, 1) }) }, "Lay it after the next");
  const remove = h("button", { type: "button", class: "plain", onclick: () => {
    const gone = all()[index];
    if (!desk.setProof({ laid: without(all(), index) })) return;
    desk.notice(`${gone.name} is taken away.`, "said", { label: "Put it back", press: () => {
      if (all().length >= MOST_LAID) return desk.notice(`There are ${MOST_LAID} papers again: take one away first.`, "refused");
      desk.setProof({ laid: inserted(all(), index, gone) });
      desk.notice(`${gone.name} is back.`);
    } });
  } }, "Take it away");
  const swatch = h("i", { class: "ink-swatch", "aria-hidden": "true" });
  const root = h("li", { class: "card" }, h("div", { class: "head" }, h("b", { class: "numbered" }, String(index + 1)), swatch, name.root),
    known.root, h("div", { class: "fields" }, on_white.root, on_black.root, pad.root, grams.root), guess, h("div", { class: "row" }, beside.root, sheet.root), told, extent.root, edge.root, where, two.root,
    h("div", { class: "fields" }, back.root, side.root), h("div", { class: "row acts-row" }, anew, tear, down, remove));
  drawing.points(root, index);
  return {
    root,
    /** @param {LaidPaper} paper @param {import("../../state.js").State} state */
    update(paper, state) {
      const weight = paper.weight ?? null;
      swatch.style.background = weight ? weight.pad : `linear-gradient(90deg, ${paper.on_white} 50%, ${paper.on_black} 50%)`;
      known.set(weight ? "weight" : "patches");
      on_white.root.hidden = on_black.root.hidden = beside.root.hidden = two.root.hidden = weight !== null;
      pad.root.hidden = grams.root.hidden = guess.hidden = weight === null;
      if (weight) {
        pad.set(weight.pad);
        grams.set(weight.grams);
      }
      beside.set(Boolean(paper.sheet));
      sheet.root.hidden = !paper.sheet || weight !== null;
      if (paper.sheet) sheet.set(paper.sheet);
      say(told, facts.trouble || (facts.current ? facts.found?.laid[index] ?? "" : ""));
      told.hidden = told.textContent === "";
      tear.hidden = paper.outline === null || paper.edge !== "torn";
      name.set(paper.name);
      on_white.set(paper.on_white);
      on_black.set(paper.on_black);
      extent.set(paper.outline ? "piece" : "whole");
      edge.set(paper.edge);
      edge.root.hidden = where.hidden = anew.hidden = paper.outline === null;
      if (paper.outline) place.update();
      two.set(paper.back !== null);
      back.root.hidden = side.root.hidden = paper.back === null;
      if (paper.back) back.set(paper.back);
      side.set(paper.turned ? "other" : "good");
      down.hidden = index === state.proof.laid.length - 1;
    },
  };
}
