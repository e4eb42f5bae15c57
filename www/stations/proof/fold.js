/** A part of the proof that is folded away behind its name and one line that says what it is set to. */
import { h, say } from "../../dom.js";

/** @typedef {import("../../state.js").State} State */

/**
 * @param {string} name @param {(state: State) => string} line what it is set to
 * @param {HTMLElement[]} children @param {(state: State) => void} update called while it is open
 */
export function fold(name, line, children, update) {
  const said = h("span", { class: "line" });
  const body = h("div", { class: "folded" }, ...children);
  const root = h("details", { class: "fold-part" }, h("summary", null, h("b", null, name), said), body);
  /** @type {State | null} */
  let last = null;
  root.addEventListener("toggle", () => {
    if (!root.open) return;
    if (last) update(last);
    // Where the pull becomes small and stays above, what was pressed would slip beneath it.
    requestAnimationFrame(() => root.scrollIntoView({ block: "nearest" }));
  });
  return {
    root,
    open() {
      root.open = true;
    },
    /** @param {State} state */
    update(state) {
      last = state;
      say(said, line(state));
      if (root.open) update(state);
    },
  };
}
