/** The glass: a round window on the grain, at plate scale or enlarged, that follows the pointer or its ring's keys. */
import { assign, h, say } from "../../dom.js";
import { radios } from "../../fields.js";
import { length, percent } from "../../format.js";
import { sign } from "../../picture.js";
import { Asked } from "./asked.js";
import { proofOf } from "../papers/pieces.js";

/** CSS pixels in a millimetre of the sheet. (CSS Values and Units 3, section 6.2) */
export const CSS_PX_PER_MM = 96 / 25.4;

/** @typedef {import("../../state.js").State} State */

/** @param {import("../../state.js").Desk} desk @param {import("../../picture.js").Picture} pull that it moves over @param {(picture: import("../../../web/types.d.ts").Picture) => void} [then] hears what it shows */
export function glass(desk, pull, then) {
  const lens = h("div", { class: "lens" });
  const asked = new Asked(desk, { root: lens, then, label: "The grain through the glass, print view", stage: "looking through the glass", spec: (state) => {
    const ratio = window.devicePixelRatio || 1;
    const side = Math.round(lens.clientWidth * ratio);
    return { kind: "glass", view: "print", width: side, height: side, px_per_mm: CSS_PX_PER_MM * ratio * state.glass.zoom, centre_mm: state.glass.at, proof: proofOf(state) };
  } });
  lens.append(asked.canvas);
  const scale = h("p", { class: "aside" });
  const zoom = radios("It shows", [["1", "plate scale"], ["4", "4 times"], ["10", "10 times"]], (value) => desk.set({ glass: { ...desk.state.glass, zoom: /** @type {any} */ (Number(value)) } }));
  const root = h("figure", { class: "glass", "aria-labelledby": "h-glass" }, lens,
    h("div", { class: "beside-lens" }, h("div", { class: "over" }, h("h3", { id: "h-glass" }, "The glass"), h("span", { class: "signs" }, sign("print"))), zoom.root, scale));

  const ring = h("button", { type: "button", class: "ring", role: "slider", "aria-orientation": "horizontal", "aria-label": "The glass on the pull",
    "aria-description": "Arrow keys move it by a millimetre, with Shift by ten; Home and End to the sides.", onkeydown: keys });
  pull.sheet.append(ring);
  pull.sheet.addEventListener("pointermove", follow);
  pull.sheet.addEventListener("pointerdown", follow);

  /** @param {PointerEvent} event */
  function follow(event) {
    if (ring.hidden || (event.pointerType === "touch" && event.type === "pointermove" && !event.isPrimary)) return;
    const at = pull.at(event);
    if (at) to(...at);
  }

  /** @param {number} x @param {number} y */
  function to(x, y) {
    const { plan, glass: now } = desk.state;
    if (!plan) return;
    const at = /** @type {[number, number]} */ ([Math.min(plan.face_mm.width, Math.max(0, x)), Math.min(plan.face_mm.height, Math.max(0, y))]);
    desk.set({ glass: { ...now, at } });
  }

  /** @param {KeyboardEvent} event */
  function keys(event) {
    if (event.altKey || event.ctrlKey || event.metaKey) return;
    const by = event.shiftKey ? 10 : 1;
    const far = desk.state.plan?.face_mm.width ?? 0;
    const way = { ArrowLeft: [-by, 0], ArrowRight: [by, 0], ArrowUp: [0, -by], ArrowDown: [0, by], PageUp: [0, -10], PageDown: [0, 10], Home: [-far, 0], End: [far, 0] }[event.key];
    if (!way) return;
    event.preventDefault();
    const [x, y] = desk.state.glass.at;
    // The ring goes the way the key points, so on the plate view the other way across the face.
    to(x + (pull.root.dataset.view === "plate" ? -way[0] : way[0]), y + way[1]);
  }

  return {
    root,
    /** @param {State} state */
    update(state) {
      const { plan, glass: now, units } = state;
      zoom.set(String(now.zoom));
      ring.hidden = state.proofing.drawing !== null;
      const mm = lens.clientWidth / (CSS_PX_PER_MM * now.zoom);
      say(scale, `${length(Math.round(mm * 10) / 10, units)} ${units} of the plate across, ${now.zoom === 1 ? "at its own size on this screen" : `enlarged ${now.zoom} times: more of the same grain, never bigger dots`}.`);
      if (!plan) return;
      const [x, y] = now.at;
      const seen = mm / plan.face_mm.width;
      const across = x / plan.face_mm.width;
      pull.sheet.style.setProperty("--x", String(state.proofing.view === "plate" ? 1 - across : across));
      pull.sheet.style.setProperty("--y", String(y / plan.face_mm.height));
      pull.sheet.style.setProperty("--seen", String(seen));
      assign(ring, { "aria-valuemin": 0, "aria-valuemax": Math.round(plan.face_mm.width), "aria-valuenow": Math.round(x),
        "aria-valuetext": `${length(x, units)} ${units} from the left, ${length(y, units)} ${units} from the top; it shows ${percent(seen)} of the width` });
    },
  };
}
