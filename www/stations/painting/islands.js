/** The islands of the stop-out at hand: counted, the smallest ones pointed at. */
import { Answer, ofRegions } from "../../answer.js";
import { assign, h, say } from "../../dom.js";
import { count, grouped, number, sentence } from "../../format.js";
import { places } from "./places.js";
import { apart, box, label } from "./pointing.js";

/** So many of the smallest are numbered on the picture. */
const POINTED = 5;

/** @param {import("../../state.js").Desk} desk @param {() => void} redraw the marks @param {() => number} scale of the picture, px a mm */
export function islands(desk, redraw, scale) {
  const looked = new Answer(desk, "islands", (state) => ({ number: state.stopout }), (state) => {
    update(state);
    redraw();
  }, ofRegions);
  const heading = h("h3", { id: "h-islands" });
  const words = h("p", { class: "aside" });
  const list = places(desk, "islands", "Islands, the smallest first", (island) => `${size(island)}, holds a disc of ${number(island.disc_mm)} mm`);
  const point = h("button", { type: "button", class: "toggle", onclick: () => desk.set({ looking: { ...desk.state.looking, smallest: !desk.state.looking.smallest, at: null } }) }, "Number the smallest on the picture");
  const root = h("section", { "aria-labelledby": "h-islands" }, heading, words, point, ...list.nodes);

  /** @param {import("../../state.js").State} state */
  function update(state) {
    looked.update(state);
    const found = ours(state);
    say(heading, `Islands of stop-out ${state.stopout}`);
    assign(point, { "aria-pressed": String(state.looking.smallest), hidden: !found || found.count === 0 });
    list.draw(found?.islands ?? none, state);
    if (!found) return say(words, looked.trouble || "Being counted.");
    const small = found.islands[0];
    say(words, found.count === 0 ? "Nothing to paint: no islands."
      : `${sentence(count(found.count, "island"))} to find and paint. The smallest has ${size(small)} and holds a disc of ${number(small.disc_mm)} mm${found.count > found.islands.length ? `; the smallest ${grouped(found.islands.length)} are listed` : ""}.`);
  }

  /** What was counted, where it is this stop-out's. @param {import("../../state.js").State} state */
  function ours(state) {
    return looked.found?.number === state.stopout ? looked.found : null;
  }

  return {
    root, update,
    /** @param {import("../../state.js").State} state @returns {SVGElement[]} */
    marks(state) {
      const found = looked.current ? ours(state) : null;
      if (!found || !state.plan || state.tone !== null) return [];
      const { at, smallest } = state.looking;
      const face = state.plan.face_mm;
      const picked = at?.of === "islands" ? at.index : -1;
      const shown = found.islands.map((island, i) => ({ island, i })).filter(({ i }) => i === picked || (smallest && at === null && i < POINTED && found.count > 1));
      const off = apart(shown.map(({ island }) => island.at), { face, scale: scale(), mirrored: state.view === "plate" });
      return shown.flatMap(({ island, i }, k) => [
        ...(i === picked ? [box(island.bounds)] : []), label(island.at, String(i + 1), { picked: i === picked, off: off[k] }),
      ]);
    },
  };
}

/** @type {import("../../../web/types.d.ts").Place[]} */
const none = [];

/** An area in mm² or cm². @param {{ area_mm2: number }} place */
export function size({ area_mm2 }) {
  if (area_mm2 < 0.05) return "under 0.1 mm²";
  return area_mm2 < 100 ? `${number(area_mm2, area_mm2 < 9.95 ? 1 : 0)} mm²` : `${number(area_mm2 / 100, 1)} cm²`;
}
