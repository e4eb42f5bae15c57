/** A canvas that shows pictures as seen from arm's length: worked at in slices, so that the page never stands still, and only the latest is finished. */
import { show } from "../../dom.js";
import { melting } from "./arms-length.js";

/** @typedef {import("../../../web/types.d.ts").Picture} Picture */

/** So long it works before it lets others, ms. */
const SLICE_MS = 8;

export class MeltedCanvas {
  #canvas;
  #root;
  #turn = 0;

  /** @param {HTMLCanvasElement} canvas @param {HTMLElement} root says while it is under way that it is */
  constructor(canvas, root) {
    this.#canvas = canvas;
    this.#root = root;
  }

  /** @param {Picture} picture @param {number} sigma px; what melts nothing shows at once */
  async show(picture, sigma) {
    const turn = ++this.#turn;
    const work = melting(picture, sigma);
    for (;;) {
      const until = performance.now() + SLICE_MS;
      let step = work.next();
      while (!step.done && performance.now() < until) step = work.next();
      this.#root.classList.toggle("melting", !step.done);
      if (step.done) return show(this.#canvas, step.value);
      await new Promise((resolve) => setTimeout(resolve));
      if (turn !== this.#turn) return;
    }
  }
}
