/** A joint at true size: the two faces as they meet in the print, with what bevels and gap leave bare. */
import { assign, h, say, show } from "../../dom.js";
import { tenths } from "../../format.js";
import { sign } from "../../picture.js";
import { columnsOf } from "../../row.js";
import { Latest, ofPlan } from "./latest.js";
import { looksWords, roughly, shapeWords } from "./joint-words.js";

/** CSS pixels a millimetre, by the definition of CSS: a screen that is set to it shows true size. */
const CSS_PX_MM = 96 / 25.4;
/** How much of each plate is shown from the seam on, mm. */
const DEEP = 45;
/** Device pixels a CSS pixel, at most. */
const FINEST = 2;

/** @param {import("../../state.js").Desk} desk */
export function seam(desk) {
  const heading = h("h4", null);
  const figures = h("p", { class: "seam-figures" });
  const canvas = h("canvas", { role: "img", width: 8, height: 8 });
  const scale = h("div", { class: "seam-scale" }, h("i", null), h("span", null, "50 mm: lay a ruler on it; where it measures so, the seam is at true size."));
  const well = h("div", { class: "seam-well", tabindex: 0, role: "group" }, canvas);
  const close = h("button", { type: "button", class: "plain", onclick: () => shut() }, "Put it away");
  const root = h("figure", { class: "seam", hidden: true }, h("div", { class: "over" }, heading, sign("print"), close), figures, well, scale);
  const picture = new Latest(desk, "picture", () => {
    root.classList.toggle("stale", !picture.current);
    if (picture.found) show(canvas, picture.found);
  });
  let shut = () => {};
  let shown = "";

  return {
    root,
    /** @param {() => void} done */
    closes(done) {
      shut = done;
    },
    /**
     * @param {import("../../state.js").State} state @param {import("../../../web/types.d.ts").Row} row @param {import("../../row.js").Member[]} family
     * @param {import("../../../web/types.d.ts").RowSpec | null} spec @param {import("../../../web/types.d.ts").RowJoint | null} joint null: none is looked at
     */
    update(state, row, family, spec, joint) {
      root.hidden = joint === null || spec === null;
      if (!joint || !spec) {
        picture.ask(null);
        shown = "";
        return;
      }
      const [a, b] = joint.between.map((place) => /** @type {import("../../row.js").Member} */ (family.find(({ id }) => id === row.plates[place].id)));
      const pair = joint.down ? `${a.letter} over ${b.letter}` : `${a.letter} | ${b.letter}`;
      say(heading, `Joint ${pair}`);
      say(figures, figuresWords(joint, state.units));
      assign(well, { "aria-label": `Joint ${pair} at true size; it scrolls` });
      assign(canvas, { "aria-label": `Plates ${a.letter} and ${b.letter} as they meet in the print, print view. ${figuresWords(joint, state.units)}` });
      // Along the seam both plates whole, across it as much as there is room for.
      const gap = joint.down ? row.gap_down_mm : row.gap_mm;
      const room = (root.parentElement?.clientWidth ?? 400) / CSS_PX_MM;
      const side = joint.down ? 0 : 1;
      const reach = along(row, joint, [a, b], side);
      const deep = Math.min(2 * DEEP + gap + 6, joint.down ? 2 * DEEP + gap : room - 1);
      const [wide, high] = joint.down ? [reach, deep] : [deep, reach];
      const px = CSS_PX_MM * Math.min(FINEST, globalThis.devicePixelRatio || 1);
      const at = { width: Math.round(wide * px), height: Math.round(high * px) };
      assign(canvas, { style: { width: `${wide * CSS_PX_MM}px`, height: `${high * CSS_PX_MM}px` } });
      picture.ask({ kind: "seam", ...at, seam: { row: spec, place: joint.between[0], down: joint.down, gap_mm: gap, px_per_mm: px } }, ofPlan(state));
      root.classList.toggle("stale", !picture.current);
      const now = `${joint.between} ${joint.down}`;
      if (shown !== now && shown === "") root.scrollIntoView({ block: "nearest" });
      shown = now;
    },
  };
}

/** How long both plates are along their seam, mm. @param {import("../../../web/types.d.ts").Row} row @param {import("../../../web/types.d.ts").RowJoint} joint @param {import("../../row.js").Member[]} pair @param {number} side */
function along(row, joint, pair, side) {
  const lengths = pair.map(({ plate_mm }) => plate_mm[side]);
  if (joint.down) return Math.max(...lengths);
  const tops = joint.between.map((place, k) => {
    const { turned, horizon_mm } = row.plates[place];
    const horizon = horizon_mm ?? lengths[k] / 2;
    return row.align === "top" ? 0 : row.align === "foot" ? -lengths[k] : -(turned ? lengths[k] - horizon : horizon);
  });
  return Math.max(...tops.map((top, k) => top + lengths[k])) - Math.min(...tops);
}

/** @param {import("../../../web/types.d.ts").RowJoint} joint @param {import("../../format.js").Units} units */
function figuresWords(joint, units) {
  if (joint.tone === null) return "These two have no height in common: nothing meets.";
  const slip = joint.slip_mm === 0 ? "best as they lie" : `best with the second ${roughly(Math.abs(joint.slip_mm), units)} ${joint.down ? (joint.slip_mm > 0 ? "to the right" : "to the left") : joint.slip_mm > 0 ? "lower" : "higher"}, which is within what plates slip on the bed`;
  return `${looksWords(joint.looks)}: tones ${tenths(joint.tone)} L* apart on the mean, ${shapeWords(joint.shape_mm, units)}; ${slip}.`;
}

/** Whether there is a joint between those places. @param {import("../../../web/types.d.ts").Row} row @param {[number, number]} between @param {boolean} down */
export function isJoint(row, [first, second], down) {
  const columns = columnsOf(row);
  return second < row.plates.length && (down ? second === first + columns : second === first + 1 && second % columns !== 0);
}
