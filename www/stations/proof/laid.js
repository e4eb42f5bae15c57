/** Thin papers laid under the ink (chine collé): whole or in pieces, cut or torn, the good side to the ink or not. */
import { assign, h, say } from "../../dom.js";
import { radios } from "../../fields.js";
import { changed, freshName, inserted, MOST_LAID, moved, without } from "./choices.js";
import { checkbox, colourField, nameField, rows } from "./fields.js";
import { fold } from "./fold.js";
import { placeFields, viewField } from "./outlines.js";
import { laidWords } from "./words.js";

/** @typedef {import("../../../web/types.d.ts").LaidPaper} LaidPaper */

/** A thin cream paper to begin with: an example, no paper of anybody's. */
const SOME = Object.freeze({ on_white: "#eadfc2", on_black: "#8d8672" });

/** @param {import("../../../web/types.d.ts").ProofSettings} proof @param {import("./choices.js").Point[] | null} outline @returns {Partial<import("../../../web/types.d.ts").ProofSettings>} */
export function withLaid({ laid: all }, outline) {
  return { laid: [...all, { name: freshName(all, "paper"), ...SOME, outline, edge: "cut", back: null, turned: false }] };
}

/** @param {import("../../state.js").Desk} desk @param {ReturnType<typeof import("./outlines.js").outlines>} drawing */
export function laid(desk, drawing) {
  const list = h("ol", { class: "cards" });
  const whole = h("button", { type: "button", onclick: () => desk.setProof(withLaid(desk.state.proof, null)) }, "Over the whole face");
  const draw = h("button", { type: "button", class: "toggle", onclick: () => {
    if (desk.state.proofing.drawing?.of === "laid") drawing.end();
    else drawing.begin({ of: "laid", index: null });
  } });
  const add = h("button", { type: "button", onclick: () => desk.setProof(withLaid(desk.state.proof, drawing.middle())) }, "A rectangle");
  const view = viewField(desk);
  const hint = h("p", { class: "aside" }, "What is laid first on the inked plate ends nearest the eye: it stands first here. A paper is known by its colour over the white sheet and over black.");
  const cards = rows(list, (index) => card(desk, index, drawing));
  return fold("Papers laid in", (state) => laidWords(state.proof), [hint, h("div", { class: "row" }, whole, draw, add), view.root, list], (state) => {
    whole.disabled = draw.disabled = add.disabled = state.proof.laid.length >= MOST_LAID;
    const drawn = state.proofing.drawing?.of === "laid";
    assign(draw, { "aria-pressed": String(drawn) });
    say(draw, drawn ? "Drawing: go once round" : "Draw a piece");
    view.set(state.proofing.view);
    cards.update(state.proof.laid, state);
  });
}

/** @param {import("../../state.js").Desk} desk @param {number} index @param {ReturnType<typeof import("./outlines.js").outlines>} drawing */
function card(desk, index, drawing) {
  const all = () => desk.state.proof.laid;
  /** @param {Partial<LaidPaper>} patch */
  const set = (patch) => desk.setProof({ laid: changed(all(), index, patch) });
  const name = nameField("Name", (text) => set({ name: text }));
  const on_white = colourField(desk, "On white", (hex) => set({ on_white: hex }));
  const on_black = colourField(desk, "On black", (hex) => set({ on_black: hex }));
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
    h("div", { class: "fields" }, on_white.root, on_black.root), extent.root, edge.root, where, two.root, h("div", { class: "fields" }, back.root, side.root), h("div", { class: "row acts-row" }, anew, down, remove));
  drawing.points(root, index);
  return {
    root,
    /** @param {LaidPaper} paper @param {import("../../state.js").State} state */
    update(paper, state) {
      swatch.style.background = `linear-gradient(90deg, ${paper.on_white} 50%, ${paper.on_black} 50%)`;
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
