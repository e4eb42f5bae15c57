/** The whole row as one print: every plate as it is pulled in the proof, side by side with the gaps that their bevels leave. Asked for once it is opened. */
import { assign, h, say, show } from "../../dom.js";
import { sign } from "../../picture.js";
import { members, rowOf } from "../../row.js";
import { proofOf } from "../papers/pieces.js";
import { Latest, ofPlan } from "./latest.js";

/** The most points across, and down. */
const MOST = [1600, 900];

/** @param {import("../../state.js").Desk} desk */
export function rowPrint(desk) {
  const canvas = h("canvas", { role: "img", width: 8, height: 8 });
  const words = h("p", { class: "aside" });
  const trouble = h("p", { class: "row-trouble", role: "status" });
  const figure = h("figure", { class: "row-print-picture", "data-view": "print" }, h("div", { class: "over" }, sign("print")), canvas, words);
  const root = h("details", { class: "row-print" }, h("summary", null, "See the row as one print"), trouble, figure);
  /** What it was last asked about: opening it asks again. @type {() => void} */
  let again = () => {};
  const picture = new Latest(desk, "picture", () => {
    say(trouble, picture.trouble);
    figure.hidden = picture.trouble !== "";
    figure.classList.toggle("stale", !picture.current);
    if (picture.found) show(canvas, picture.found);
  });
  root.addEventListener("toggle", () => again());

  return {
    root,
    /** @param {import("../../state.js").State} state @param {import("../../../web/types.d.ts").RowSpec | null} spec null: nothing can be shown now */
    update(state, spec) {
      again = () => {
        if (!root.open) return;
        if (!spec) {
          figure.classList.add("stale");
          return;
        }
        const { gap_mm, gap_down_mm, plates } = rowOf(state.row, members(state));
        const px = Math.min(2, globalThis.devicePixelRatio || 1);
        const width = Math.min(MOST[0], Math.round(Math.max(300, root.clientWidth) * px));
        picture.ask({ kind: "row_print", width, height: MOST[1], print: { row: spec, gap_mm, gap_down_mm, proof: proofOf(state) } }, ofPlan(state));
        const old = members(state).some(({ id, old: before }) => before && plates.some((each) => each.id === id && !each.out));
        figure.classList.toggle("stale", old || !picture.current);
        assign(canvas, { "aria-label": `The row as one print, print view: ${spec.plates.map(({ letter, turned }) => `${letter}${turned ? " turned" : ""}`).join(", ")}.` });
        say(words, "As the proof pulls it, without grain: the first ink of the proof on every plate, its sheet and its lamp. Zones of ink and thin papers show on the plate at hand alone.");
      };
      again();
    },
  };
}
