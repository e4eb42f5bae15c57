/** The drawing laid over the pull and wiped away by a line: left of it the drawing, right of it the pull. Dragged, or moved by the arrow keys. */
import { assign, h } from "../../dom.js";
import { Asked } from "./asked.js";
import { proofOf } from "../papers/pieces.js";

/** What one press of an arrow key moves the line by, share of the width; with Shift the second. */
const BY = [0.02, 0.1];

/** @param {import("../../state.js").Desk} desk @param {import("../../picture.js").Picture & { melts(picture: import("../../../web/types.d.ts").Picture): number, size(): { width: number, height: number } }} pull */
export function wipe(desk, pull) {
  /** Share of the width that shows the drawing. */
  let share = 0.5;
  const root = h("div", { class: "wiped", hidden: true });
  const asked = new Asked(desk, { root, label: "The drawing, as it would print without loss", stage: "laying the drawing over it", melts: (picture) => pull.melts(picture), spec: (state) => {
    const { width, height } = pull.size();
    if (state.proofing.way !== "wipe" || width < 1) return null;
    return { kind: "wanted", view: state.proofing.view, width, height, proof: proofOf(state) };
  } });
  const line = h("button", { type: "button", class: "wipe-line", role: "slider", "aria-orientation": "horizontal", "aria-label": "Line between drawing and pull", "aria-valuemin": 0, "aria-valuemax": 100 }, h("i", { "aria-hidden": "true" }));
  root.append(asked.canvas, h("span", { class: "tag left", "aria-hidden": "true" }, "drawing"), h("span", { class: "tag right", "aria-hidden": "true" }, "pull"), line);
  pull.canvas.after(root);
  const words = h("p", { class: "aside", hidden: true }, "Left of the line the drawing as it would print without loss, right of it the pull. Drag the line, or use the arrow keys.");

  /** @param {number} next */
  function to(next) {
    share = Math.min(1, Math.max(0, next));
    root.style.setProperty("--wipe", String(share));
    const percent = Math.round(100 * share);
    assign(line, { "aria-valuenow": percent, "aria-valuetext": `the drawing over ${percent} % of the width, the pull over the rest` });
  }

  let held = false;
  let size = "";
  line.addEventListener("pointerdown", (event) => {
    if (event.button !== 0) return;
    event.preventDefault();
    event.stopPropagation();
    line.focus({ preventScroll: true });
    line.setPointerCapture(event.pointerId);
    held = true;
  });
  line.addEventListener("pointermove", (event) => {
    event.stopPropagation();
    if (!held) return;
    const box = pull.canvas.getBoundingClientRect();
    if (box.width > 0) to((event.clientX - box.left) / box.width);
  });
  for (const end of ["pointerup", "pointercancel"]) line.addEventListener(end, () => { held = false; });
  line.addEventListener("keydown", (event) => {
    if (event.altKey || event.ctrlKey || event.metaKey) return;
    const by = BY[event.shiftKey ? 1 : 0];
    const next = { ArrowLeft: share - by, ArrowDown: share - by, ArrowRight: share + by, ArrowUp: share + by, PageDown: share - BY[1], PageUp: share + BY[1], Home: 0, End: 1 }[event.key];
    if (next === undefined) return;
    event.preventDefault();
    event.stopPropagation();
    to(next);
  });
  to(share);

  return {
    words,
    /** @param {import("../../state.js").State} state */
    update(state) {
      const on = state.proofing.way === "wipe";
      root.hidden = words.hidden = !on;
      if (size === state.proofing.size) return;
      size = state.proofing.size;
      asked.again();
    },
  };
}
