/**
 * The picture of a printed strip: all of it or the strip's part, with lines over it and handles. It has pixels of the picture for
 * coordinates, and is fetched whenever its size or part changes.
 * @typedef {import("./strip-bands.js").Point} Point
 * @typedef {[number, number, number, number]} Part left, top, right, bottom
 */
import { assign, h, show, svg } from "./dom.js";

/** No canvas holds more device pixels than this. */
const MOST_PIXELS = 1.5e6;

export class StripPicture {
  #get;
  /** @type {Part} */
  #part = [0, 0, 1, 1];
  #box = { width: 0, height: 0 };
  #key = "";
  #opened = 0;
  #fetching = false;

  /**
   * @param {import("./state.js").Desk} desk @param {() => void} fitted after its size has changed
   * @param {(spec: { part: Part, width: number, height: number }) => Promise<import("../web/types.d.ts").Picture>} [fetch] where the picture comes from, the strip's if none
   */
  constructor(desk, fitted, fetch) {
    this.#get = fetch ?? ((spec) => desk.bridge.call("strip_photo_picture", spec));
    this.canvas = h("canvas", { role: "img", width: 8, height: 8 });
    this.lines = svg("g", {});
    this.svg = svg("svg", { class: "marks", "aria-hidden": "true", preserveAspectRatio: "none" }, this.lines);
    this.over = h("div", { class: "handles" });
    this.sheet = h("div", { class: "sheet bare" }, h("div", { class: "face" }, this.canvas, this.svg, this.over));
    this.well = h("div", { class: "well" }, this.sheet);
    this.root = h("figure", { class: "picture raw strip-photo" }, this.well, h("figcaption", null));
    new ResizeObserver(() => {
      this.fit();
      fitted();
    }).observe(this.well);
  }

  /** The picture's pixels on the screen. */
  get scale() {
    return this.#box.width / (this.#part[2] - this.#part[0]);
  }

  /** Size of the part, its pixels: what handles are placed by. @returns {Point} */
  size() {
    return [this.#part[2] - this.#part[0], this.#part[3] - this.#part[1]];
  }

  /** From the picture's pixels to the part's. @param {Point} at @returns {Point} */
  within([x, y]) {
    return [x - this.#part[0], y - this.#part[1]];
  }

  /** And back. @param {Point} at @returns {Point} */
  whole([x, y]) {
    return [x + this.#part[0], y + this.#part[1]];
  }

  /** Where in the part a pointer is. @param {{ clientX: number, clientY: number }} event @returns {Point | null} */
  at(event) {
    const box = this.canvas.getBoundingClientRect();
    if (box.width < 1 || box.height < 1) return null;
    const [w, high] = this.size();
    return [(event.clientX - box.left) / box.width * w, (event.clientY - box.top) / box.height * high];
  }

  /** Another picture, or another part of it. @param {number} opened counts the pictures opened @param {Part} part @param {string} label */
  look(opened, part, label) {
    this.#opened = opened;
    this.#part = /** @type {Part} */ (part.map(Math.round));
    assign(this.canvas, { "aria-label": label });
    this.fit();
  }

  fit() {
    const [w, high] = this.size();
    const wide = this.well.clientWidth - 2;
    const tall = Math.max(240, Math.min(0.62 * innerHeight, 1.4 * wide));
    if (wide < 1) return;
    const scale = Math.min(wide / w, tall / high);
    this.#box = { width: scale * w, height: scale * high };
    assign(this.canvas, { style: { width: `${this.#box.width}px`, height: `${this.#box.height}px` } });
    assign(this.svg, { viewBox: `${this.#part[0]} ${this.#part[1]} ${w} ${high}` });
    this.svg.style.setProperty("--mm", String(scale));
    this.#fetch();
  }

  async #fetch() {
    if (this.#fetching || this.#opened === 0) return;
    this.#fetching = true;
    try {
      for (;;) {
        const ratio = Math.min(window.devicePixelRatio || 1, Math.sqrt(MOST_PIXELS / (this.#box.width * this.#box.height)));
        const spec = { part: this.#part, width: Math.max(1, Math.round(this.#box.width * ratio)), height: Math.max(1, Math.round(this.#box.height * ratio)) };
        const key = `${this.#opened} ${JSON.stringify(spec)}`;
        if (key === this.#key) break;
        const picture = await this.#get(spec);
        show(this.canvas, picture);
        this.#key = key;
        this.root.dataset.shown = key;
      }
    } catch {
      // What stopped the call is said where the picture was opened or read.
    } finally {
      this.#fetching = false;
    }
  }
}
