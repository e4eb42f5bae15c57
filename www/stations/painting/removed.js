/** What clean-up took away, as a picture to toggle and as pieces to point at. */
import { Answer, ofRegions } from "../../answer.js";
import { assign, h, say } from "../../dom.js";
import { count, percent } from "../../format.js";
import { size } from "./islands.js";
import { places, showPictures } from "./places.js";
import { box, label } from "./pointing.js";

/** @typedef {import("../../../web/types.d.ts").RemovedList["pieces"][number]} Piece */

/**
 * @param {import("../../state.js").Desk} desk @param {() => void} redraw the marks
 * @param {(piece: Piece) => Node | null} [keep] a button beside a lost highlight
 */
export function removed(desk, redraw, keep = () => null) {
  const looked = new Answer(desk, "removed", () => null, (state) => {
    update(state);
    redraw();
  }, ofRegions);
  const words = h("p", { class: "aside" });
  const show = h("button", { type: "button", class: "toggle", onclick: () => {
    const { looking } = desk.state;
    desk.set({ tone: null, looking: { ...looking, beside: looking.beside === "removed" ? "print" : "removed" } });
    showPictures();
  } }, "Show what was removed");
  const piece = (/** @type {Piece} */ p) => `${size(p)}: would be tone\u00a0${p.was}, is tone\u00a0${p.now}`;
  const list = places(desk, "highlights", "Lost lights, those missed most first", piece, keep);
  const darks = places(desk, "darks", "Lost darks, those missed most first", piece);
  const lights = h("h4", null, "Lost lights");
  const shades = h("h4", null, "Lost darks");
  const root = h("section", { "aria-labelledby": "h-removed" }, h("h3", { id: "h-removed" }, "What clean-up removed"), words, show, lights, ...list.nodes, shades, ...darks.nodes);

  /** @param {import("../../state.js").State} state */
  function update(state) {
    looked.update(state);
    const { found } = looked;
    assign(show, { "aria-pressed": String(state.looking.beside === "removed") });
    list.draw(found?.highlights.pieces ?? none, state);
    darks.draw(found?.darks.pieces ?? none, state);
    lights.hidden = !found?.highlights.count;
    shades.hidden = !found?.darks.count;
    show.hidden = !found || found.highlights.count + found.darks.count === 0;
    if (!found) return say(words, looked.trouble || "Being compared.");
    say(words, show.hidden ? "Clean-up changed nothing: the regions are the plain thresholds."
      : `Light went from ${percent(found.highlights.share)} of the face, ${wide(found.highlights)}; dark from ${percent(found.darks.share)}, ${wide(found.darks)}. The rest is specks and edges moved by a hair.`);
  }

  return {
    root, update,
    /** @param {import("../../state.js").State} state @returns {SVGElement[]} */
    marks(state) {
      const { at } = state.looking;
      if (!looked.found || !looked.current || !state.plan || (at?.of !== "highlights" && at?.of !== "darks")) return [];
      const place = looked.found[at.of].pieces[at.index];
      return place ? [box(place.bounds), label(place.at, String(at.index + 1), { picked: true, face: state.plan.face_mm })] : [];
    },
  };
}

/** @param {import("../../../web/types.d.ts").RemovedList} list */
const wide = (list) => `${count(list.wide, "place")} of it as wide as half the mark`;

/** @type {Piece[]} */
const none = [];

/** Swatches of the picture, and the words beside them. */
export function removedLegend() {
  return [["lost-light", "LOST LIGHT"], ["lost-dark", "LOST DARK"], ["kept", "AS DRAWN"]].map(([kind, word]) =>
    h("span", null, h("i", { class: `swatch ${kind}`, "aria-hidden": "true" }), word));
}
