/**
 * A canvas that asks for its own picture as the framed ones do, but stands wherever it is put: the glass, a layer over the pull.
 * @typedef {import("../../state.js").State} State
 * @typedef {import("../../../web/types.d.ts").PictureSpec} PictureSpec
 * @typedef {import("../../../web/types.d.ts").Picture} Shown
 */
import { h } from "../../dom.js";
import { wanted } from "../../stale.js";
import { MeltedCanvas } from "./melted-canvas.js";

export class Asked {
  #desk;
  #spec;
  #root;
  #melts;
  #then;
  #canvas;
  /** @type {Shown | null} */
  #last = null;
  #key = "";
  #draft = "";

  /**
   * @param {import("../../state.js").Desk} desk
   * @param {{ root: HTMLElement, label: string, stage: string, spec(state: State): PictureSpec | null, melts?(picture: Shown): number, then?(picture: Shown): void }} how
   *   `root` is marked stale; `spec` null while nothing is wanted; `melts` by how many px it melts before it shows; `then` hears what shows
   */
  constructor(desk, how) {
    this.#desk = desk;
    this.#spec = how.spec;
    this.#root = how.root;
    this.#melts = how.melts;
    this.#then = how.then;
    this.stage = how.stage;
    this.canvas = h("canvas", { role: "img", "aria-label": how.label });
    this.#canvas = new MeltedCanvas(this.canvas, how.root);
    desk.live.add(/** @type {any} */ (this));
    new ResizeObserver(() => desk.live.refresh()).observe(how.root);
  }

  #wanted() {
    const { state } = this.#desk;
    if (!state.planned || this.#root.offsetParent === null || !this.#root.clientWidth) return null;
    const spec = this.#spec(state);
    return spec && wanted(spec, state);
  }

  mark() {
    const wanted = this.#wanted();
    if (!wanted) return;
    this.#root.classList.toggle("stale", wanted.due !== this.#key && wanted.due !== this.#draft);
    this.#root.classList.toggle("draft", wanted.due !== this.#key && wanted.due === this.#draft);
  }

  stale() {
    const wanted = this.#wanted();
    return wanted && wanted.key !== this.#key ? wanted : null;
  }

  /** Shows what it has once more: it melts otherwise now. */
  again() {
    if (this.#last) this.#canvas.show(this.#last, this.#melts?.(this.#last) ?? 0);
  }

  /** @param {string} key */
  drafted(key) {
    return this.#draft === key;
  }

  /** @param {import("../../../web/types.d.ts").Picture} picture @param {string} key @param {boolean} [draft] */
  put(picture, key, draft = false) {
    this.#last = picture;
    this.again();
    this.#then?.(picture);
    this.#draft = key;
    if (!draft) this.#key = key;
    this.mark();
  }
}
