/**
 * A picture that is not on the plate yet: the file as opened, or the sheet straightened. It has pixels for coordinates, lines drawn over it,
 * and handles; like every picture it is fetched by `live.js` when it has become stale.
 * @typedef {import("../web/types.d.ts").PictureSpec} PictureSpec
 * @typedef {import("./state.js").State} State
 * @typedef {[number, number]} Point
 */
import { assign, h, pixels, say, show, svg } from "./dom.js";
import { sign } from "./picture.js";
import { wanted } from "./stale.js";

/** No canvas holds more device pixels than this. */
const MOST_PIXELS = 1.5e6;
/** The magnified inset: its side, CSS pixels, and how much of the picture's longer side it shows. */
const GLASS = { side: 148, share: 0.016 };

export class RawPicture {
  #desk;
  #says;
  #key = "";
  #box = { width: 0, height: 0 };
  /** @type {Point} */
  #size = [1, 1];
  #glass;
  /** Where the inset is to look next; one request at a time. @type {Point | null} */
  #look = null;
  #looking = false;
  stage = "painting the picture";

  /**
   * @param {import("./state.js").Desk} desk
   * @param {{ sheet: (state: State) => boolean, title: (state: State) => string, note: (state: State) => string, label: (state: State) => string }} says `sheet`: the straightened sheet instead of the file
   */
  constructor(desk, says) {
    this.#desk = desk;
    this.#says = says;
    this.canvas = h("canvas", { role: "img", width: 8, height: 8 });
    /** Lines over the picture, in its pixels. */
    this.lines = svg("g", {});
    this.svg = svg("svg", { class: "marks", "aria-hidden": "true", preserveAspectRatio: "none" }, this.lines);
    /** Where handles go. */
    this.over = h("div", { class: "handles" });
    this.#glass = h("canvas", { width: 8, height: 8, "aria-hidden": "true" });
    this.glass = h("div", { class: "inset", hidden: true }, this.#glass);
    this.sheet = h("div", { class: "sheet bare" }, h("div", { class: "face" }, this.canvas, this.svg, this.over, this.glass), h("span", { class: "updating", "aria-hidden": "true" }, "updating"));
    this.well = h("div", { class: "well" }, this.sheet);
    this.heading = h("h3", null);
    this.note = h("em", null);
    this.root = h("figure", { class: "picture raw", "data-view": "print" },
      h("div", { class: "over" }, this.heading, this.note, h("span", { class: "signs" }, sign("print"))), this.well, h("figcaption", null));
    new ResizeObserver(() => {
      this.fit();
      desk.live.refresh();
    }).observe(this.well);
    desk.live.add(/** @type {any} */ (this));
  }

  /** @returns {Point} */
  size() {
    return this.#size;
  }

  /** @param {State} state */
  update(state) {
    const { info, plan } = state;
    if (!info) return;
    const straight = this.#says.sheet(state) && plan;
    this.#size = straight ? [plan.placed.drawing_px[0], plan.placed.drawing_px[1]] : [info.width, info.height];
    say(this.heading, this.#says.title(state));
    say(this.note, this.#says.note(state));
    assign(this.canvas, { "aria-label": `${this.#says.label(state)}, print view` });
    this.fit();
  }

  fit() {
    const [w, high] = this.#size;
    const wide = this.well.clientWidth - 2;
    const tall = this.well.clientHeight - 2;
    if (wide < 1 || tall < 1) return;
    const scale = Math.min(wide / w, tall / high);
    this.#box = { width: scale * w, height: scale * high };
    this.root.style.setProperty("--w", `${this.#box.width + 2}px`);
    this.root.style.setProperty("--ratio", `${w} / ${high}`);
    assign(this.canvas, { style: { width: `${this.#box.width}px`, height: `${this.#box.height}px` } });
    assign(this.svg, { viewBox: `0 0 ${w} ${high}` });
    this.svg.style.setProperty("--mm", String(scale));
  }

  /** Where in the picture a pointer is, pixels. @param {{ clientX: number, clientY: number }} event @returns {Point | null} */
  at(event) {
    const box = this.canvas.getBoundingClientRect();
    if (box.width < 1 || box.height < 1) return null;
    return [(event.clientX - box.left) / box.width * this.#size[0], (event.clientY - box.top) / box.height * this.#size[1]];
  }

  /** Magnifies about a point of the file while a corner is held; null puts the inset away. @param {Point | null} point */
  look(point) {
    this.#look = point;
    this.glass.hidden = point === null;
    if (!point) return;
    // Always in the quarter of the picture that the corner is not in.
    this.glass.dataset.at = `${point[1] < this.#size[1] / 2 ? "foot" : "top"} ${point[0] < this.#size[0] / 2 ? "right" : "left"}`;
    if (!this.#looking) this.#magnify();
  }

  async #magnify() {
    this.#looking = true;
    try {
      while (this.#look) {
        const at = this.#look;
        const reach = Math.max(8, GLASS.share * Math.max(...this.#size));
        const side = Math.round(GLASS.side * Math.min(2, window.devicePixelRatio || 1));
        const part = /** @type {[number, number, number, number]} */ ([at[0] - reach, at[1] - reach, at[0] + reach, at[1] + reach]);
        const shown = await this.#desk.bridge.call("picture", { kind: "source", part, width: side, height: side });
        // At the picture's edge only a part of the inset is filled; the cross stays on the point.
        this.#glass.width = side;
        this.#glass.height = side;
        const px = side / (2 * reach);
        const left = Math.max(0, -Math.trunc(part[0])) * px;
        const top = Math.max(0, -Math.trunc(part[1])) * px;
        this.#glass.getContext("2d")?.putImageData(pixels(shown), left, top);
        if (this.#look === at) break;
      }
    } catch {
      // The inset is a help only: what stopped the call is said where it was asked for.
    } finally {
      this.#looking = false;
    }
  }

  #wanted() {
    const state = this.#desk.state;
    if (!state.planned || !state.info || this.#box.width < 2 || !this.root.isConnected || this.root.offsetParent === null) return null;
    const ratio = Math.min(window.devicePixelRatio || 1, Math.sqrt(MOST_PIXELS / (this.#box.width * this.#box.height)));
    const width = Math.max(1, Math.round(this.#box.width * ratio));
    const height = Math.max(1, Math.round(this.#box.height * ratio));
    const straight = this.#says.sheet(state);
    const spec = /** @type {PictureSpec} */ (straight ? { kind: "straight", width, height } : { kind: "source", part: null, width, height });
    return wanted(spec, state);
  }

  /** Greys the old picture when a new one is due. */
  mark() {
    const wanted = this.#wanted();
    if (wanted) this.root.classList.toggle("stale", wanted.due !== this.#key);
  }

  stale() {
    const wanted = this.#wanted();
    return wanted && wanted.key !== this.#key ? wanted : null;
  }

  drafted() {
    return false;
  }

  /** @param {import("../web/types.d.ts").Picture} picture @param {string} key */
  put(picture, key) {
    show(this.canvas, picture);
    this.#key = key;
    this.mark();
  }
}
