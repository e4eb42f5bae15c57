/**
 * A picture of the plate or of the pull: a canvas that always says which of the two it is.
 * It knows what it wants to show; `live.js` fetches it when that has become stale.
 * @typedef {import("../web/types.d.ts").PictureSpec} PictureSpec
 * @typedef {import("./state.js").State} State
 */
import { assign, h, say, show, svg } from "./dom.js";
import { wanted } from "./stale.js";
import { proofOf } from "./stations/papers/pieces.js";

/** No canvas holds more device pixels than this. */
const MOST_PIXELS = 2.5e6;

/** @typedef {Exclude<PictureSpec, { kind: "source" | "straight" | "seam" | "row_print" }> extends infer S ? S extends PictureSpec ? Omit<S, "width" | "height"> : never : never} Wish */

/** The F that tells the two views apart. @param {"print" | "plate"} view @param {string} [words] what stands beside it */
export function sign(view, words = view === "plate" ? "PLATE VIEW" : "PRINT VIEW") {
  return h("span", { class: "sign", "data-view": view }, h("b", { "aria-hidden": "true" }, "F"), words);
}

export class Picture {
  /** @type {{ wish: (state: State) => Wish | null, title: (state: State) => string, note?: (state: State) => string, label: (state: State) => string, most?: (state: State) => number }} */
  #says;
  #state;
  #key = "";
  #draft = "";
  #box = { width: 0, height: 0 };
  #over;
  stage = "painting the picture";

  /**
   * @param {import("./state.js").Desk} desk
   * @param {{ wish: (state: State) => Wish | null, title: (state: State) => string, note?: (state: State) => string, label: (state: State) => string, most?: (state: State) => number, small?: boolean, level?: "h3" | "h4" }} says
   *   `most`: CSS pixels a millimetre that it is not shown beyond
   */
  constructor(desk, says) {
    this.#says = says;
    this.#state = () => desk.state;
    this.canvas = h("canvas", { role: "img", width: 8, height: 8 });
    /** Drawn over the picture in millimetres of the face, as the print reads; the plate view mirrors it by itself. */
    this.marks = svg("g", {});
    this.#over = svg("svg", { class: "marks", "aria-hidden": "true", preserveAspectRatio: "none" }, this.marks);
    this.sheet = h("div", { class: "sheet" }, h("div", { class: "face" }, this.canvas, this.#over), h("span", { class: "updating", "aria-hidden": "true" }, "updating"));
    this.well = h("div", { class: "well" }, this.sheet);
    this.heading = h(says.level ?? "h3", null);
    this.note = h("em", null);
    this.signs = h("span", { class: "signs" });
    this.words = h("figcaption", null);
    this.root = h("figure", { class: says.small ? "picture small" : "picture" },
      h("div", { class: "over" }, this.heading, this.note, says.small ? null : this.signs), this.well, says.small ? this.signs : null, this.words);
    new ResizeObserver(() => {
      this.fit();
      desk.live.refresh();
    }).observe(this.well);
    desk.live.add(this);
  }

  /** Words and frame follow the state. @param {State} state */
  update(state) {
    const wish = this.#says.wish(state);
    this.root.hidden = wish === null;
    if (!wish) return;
    say(this.heading, this.#says.title(state));
    say(this.note, this.#says.note?.(state) ?? "");
    if (this.root.dataset.view !== wish.view) {
      this.root.dataset.view = wish.view;
      this.signs.replaceChildren(sign(wish.view));
    }
    assign(this.canvas, { "aria-label": `${this.#says.label(state)}, ${wish.view} view` });
    this.fit();
  }

  /** The frame takes the plate's proportions before the picture comes. */
  fit() {
    const { plan } = this.#state();
    const wide = this.well.clientWidth - 2;
    const high = this.well.clientHeight - 2;
    if (!plan || wide < 1 || high < 1) return;
    const style = getComputedStyle(this.sheet);
    const margin = parseFloat(style.getPropertyValue("--margin")) || 0;
    const { width: plateW, height: plateH } = plan.plate_mm;
    const scale = Math.min((wide - 2 * margin) / plateW, (high - 2 * margin) / plateH, this.#says.most?.(this.#state()) ?? Infinity);
    const bevel = scale * (plateW - plan.face_mm.width) / 2;
    this.#box = { width: scale * plan.face_mm.width, height: scale * plan.face_mm.height };
    assign(this.sheet, { style: { padding: `${margin + bevel}px` } });
    this.sheet.style.setProperty("--bevel", `${bevel}px`);
    this.root.style.setProperty("--w", `${this.#box.width + 2 * (margin + bevel) + 2}px`);
    this.root.style.setProperty("--ratio", `${plateW} / ${plateH}`);
    const { width: faceW, height: faceH } = plan.face_mm;
    assign(this.canvas, { style: { width: `${this.#box.width}px`, height: `${this.#box.height}px` } });
    assign(this.#over, { viewBox: `0 0 ${faceW} ${faceH}` });
    assign(this.marks, { transform: this.root.dataset.view === "plate" ? `translate(${faceW} 0) scale(-1 1)` : "" });
    this.#over.style.setProperty("--mm", String(this.#box.width / faceW));
  }

  /** Where on the face a pointer is, mm from its top left as the print reads; what lies beside the face gives its edge. @param {{ clientX: number, clientY: number }} event @returns {[number, number] | null} */
  at(event) {
    const { plan } = this.#state();
    const box = this.canvas.getBoundingClientRect();
    if (!plan || box.width < 1 || box.height < 1) return null;
    const within = (/** @type {number} */ share) => Math.min(1, Math.max(0, share));
    const across = within((event.clientX - box.left) / box.width);
    const down = within((event.clientY - box.top) / box.height);
    return [(this.root.dataset.view === "plate" ? 1 - across : across) * plan.face_mm.width, down * plan.face_mm.height];
  }

  /** What it wants: the key it will have by the plan there is, and the one that is due. Null while hidden. */
  #wanted() {
    const state = this.#state();
    const wish = this.#says.wish(state);
    if (!wish || !state.planned || !this.root.isConnected || this.root.offsetParent === null || this.#box.width < 2) return null;
    const ratio = Math.min(window.devicePixelRatio || 1, Math.sqrt(MOST_PIXELS / (this.#box.width * this.#box.height)));
    const spec = /** @type {PictureSpec} */ ({ ...wish, width: Math.max(1, Math.round(this.#box.width * ratio)), height: Math.max(1, Math.round(this.#box.height * ratio)) });
    return wanted(spec, state);
  }

  /** Greys the old picture when a new one is due. */
  mark() {
    const wanted = this.#wanted();
    if (!wanted) return;
    this.root.classList.toggle("stale", wanted.due !== this.#key && wanted.due !== this.#draft);
    this.root.classList.toggle("draft", wanted.due !== this.#key && wanted.due === this.#draft);
  }

  /** What to fetch, or null. */
  stale() {
    const wanted = this.#wanted();
    return wanted && wanted.key !== this.#key ? wanted : null;
  }

  /** Whether the picture of that key is there without its grain. @param {string} key */
  drafted(key) {
    return this.#draft === key;
  }

  /** A draft has the tones right and its grain to come: it is not greyed. @param {import("../web/types.d.ts").Picture} picture @param {string} key @param {boolean} [draft] */
  put(picture, key, draft = false) {
    this.paint(picture);
    this.#draft = key;
    if (!draft) this.#key = key;
    this.mark();
  }

  /** @param {import("../web/types.d.ts").Picture} picture */
  paint(picture) {
    show(this.canvas, picture);
  }
}

/** The usual wish for the print: quick while something is being moved. @param {State} state @param {"print" | "plate"} [view] @returns {Wish} */
export function proofWish(state, view = "print") {
  return { kind: "proof", view, grain: !state.dragging, proof: proofOf(state) };
}
