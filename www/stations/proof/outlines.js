/** Outlines drawn on the pull: of ink zones, and of thin papers laid under the ink. In print or plate view; kept as the print reads. */
import { h, say, svg } from "../../dom.js";
import { drawn } from "../../drawn.js";
import { radios } from "../../fields.js";
import { goesRound, hundredths, thinned } from "../../hand-edits.js";
import { label } from "../painting/pointing.js";
import { bounds, intoBox, rectangle } from "./choices.js";
import { rangedLength } from "./fields.js";

/** @typedef {import("./choices.js").Point} Point */
/** @typedef {{ of: "zone" | "laid", index: number | null }} What */

/** Longest side of a plate, mm: no box is larger. */
const LONGEST_MM = 2000;

/**
 * @param {import("../../state.js").Desk} desk @param {import("../../picture.js").Picture} pull
 * @param {(what: What, outline: Point[]) => void} done
 */
export function outlines(desk, pull, done) {
  const shown = svg("g", { class: "outlines" });
  pull.marks.append(shown);
  const heard = h("p", { class: "hidden", role: "status" });
  /** Which list is shown. @type {"zone" | "laid" | null} */
  let open = null;
  /** The one whose card has the pointer or the keyboard: its line shows, of the others the numbers alone. @type {number | null} */
  let pointed = null;
  const draws = drawn(pull, {
    shape: () => (desk.state.proofing.drawing ? "round" : null), width: () => 1, face: () => desk.state.plan?.face_mm ?? null, said: (text) => say(heard, text),
    done(points) {
      const { drawing } = desk.state.proofing;
      if (!drawing) return;
      if (!goesRound(points)) return desk.notice("That line goes round nothing: draw once round the area, and let go where you began.", "refused");
      end();
      done(drawing, /** @type {Point[]} */ (thinned(points).map((point) => point.map(hundredths))));
    },
  });

  function end() {
    desk.set({ proofing: { ...desk.state.proofing, drawing: null } });
  }

  // Escape ends it also while nothing is drawn yet.
  pull.sheet.addEventListener("keydown", (event) => {
    if (event.key === "Escape" && desk.state.proofing.drawing && !event.defaultPrevented) end();
  });

  return {
    heard, end,
    /** A card that its outline is shown for while it is looked at. @param {HTMLElement} card @param {number} index */
    points(card, index) {
      const to = (/** @type {number | null} */ next) => {
        if (next === pointed) return;
        pointed = next;
        this.update(desk.state);
      };
      for (const event of ["pointerenter", "focusin"]) card.addEventListener(event, () => to(index));
      for (const event of ["pointerleave", "focusout"]) card.addEventListener(event, () => to(card.contains(document.activeElement) && event === "pointerleave" ? index : null));
    },
    /** @param {"zone" | "laid" | null} which */
    shows(which) { open = which; },
    /** @param {What} what */
    begin(what) {
      const { proofing } = desk.state;
      desk.set({ proofing: { ...proofing, drawing: what, way: ["difference", "chance", "wipe"].includes(proofing.way) ? "pull" : proofing.way } });
      pull.sheet.focus({ preventScroll: true });
      pull.root.scrollIntoView({ block: "nearest" });
    },
    /** The middle of the face, for those who type. @returns {Point[]} */
    middle() {
      const face = desk.state.plan?.face_mm ?? { width: 100, height: 100 };
      return rectangle(0.3 * face.width, 0.3 * face.height, 0.4 * face.width, 0.4 * face.height);
    },
    /** @param {import("../../state.js").State} state */
    update(state) {
      const { proofing: { drawing }, proof, plan } = state;
      draws.update("Draw once round the area. By keys: the arrows move a cross, Enter begins and closes the line, Escape drops it.");
      const which = drawing?.of ?? open;
      const all = which === "zone" ? proof.zones.map((zone) => zone.outline) : which === "laid" ? proof.laid.map((paper) => paper.outline) : [];
      shown.replaceChildren(...all.flatMap((outline, i) => outline === null || !plan || (drawing && drawing.index === i) ? [] : [
        ...(drawing || i === pointed ? [svg("polygon", { class: "casing", points: outline.join(" ") }), svg("polygon", { points: outline.join(" ") })] : []),
        label(middle(outline), String(i + 1), { face: plan.face_mm, off: [0, 0] })]));
    },
  };
}

/** Middle of its box. @param {readonly Point[]} outline @returns {Point} */
function middle(outline) {
  const box = bounds(outline);
  return [box.left + box.width / 2, box.top + box.height / 2];
}

/** Four lengths that say where an outline lies and how large it is. @param {import("../../state.js").Desk} desk @param {() => Point[]} now @param {(outline: Point[]) => void} take */
export function placeFields(desk, now, take) {
  const field = (/** @type {string} */ name, /** @type {"left" | "top" | "width" | "height"} */ side, /** @type {[number, number]} */ range) =>
    rangedLength(desk, name, { what: side === "left" || side === "top" ? "A place" : "A size", range, take: (mm) => take(intoBox(now(), { ...bounds(now()), [side]: mm })) });
  const left = field("From the left", "left", [-LONGEST_MM, LONGEST_MM]);
  const top = field("From the top", "top", [-LONGEST_MM, LONGEST_MM]);
  const width = field("Width", "width", [0.1, LONGEST_MM]);
  const height = field("Height", "height", [0.1, LONGEST_MM]);
  return {
    root: h("div", { class: "fields" }, left.root, top.root, width.root, height.root),
    update() {
      const box = bounds(now());
      left.set(box.left);
      top.set(box.top);
      width.set(box.width);
      height.set(box.height);
    },
  };
}

/** Which way round the pull is drawn on. @param {import("../../state.js").Desk} desk */
export function viewField(desk) {
  return radios("Drawn in", [["print", "print view"], ["plate", "plate view"]], (value) => desk.set({ proofing: { ...desk.state.proofing, view: /** @type {any} */ (value) } }));
}
