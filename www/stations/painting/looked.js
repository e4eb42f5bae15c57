/**
 * Facts that take longer than a moved break allows: asked for when they are looked at and nothing moves, kept while they hold.
 * @typedef {import("../../state.js").State} State
 */
import { pictureKey } from "../../stale.js";

/** So long nothing must have changed before the worker is asked, ms: pictures go first. */
const REST_MS = 250;

/** @template {"islands" | "removed" | "limits"} K */
export class Looked {
  #desk;
  #call;
  #args;
  #then;
  /** What was last asked for. */
  #key = "";
  #timer = 0;
  /** @type {import("../../../web/types.d.ts").Calls[K][1] | null} the last answer, also while a newer one is on its way */
  found = null;
  /** Whether the answer is of the plan on screen. */
  current = false;

  /**
   * @param {import("../../state.js").Desk} desk @param {K} call
   * @param {(state: State) => import("../../../web/types.d.ts").Calls[K][0]} args
   * @param {(state: State) => void} then called when an answer has come
   */
  constructor(desk, call, args, then) {
    this.#desk = desk;
    this.#call = call;
    this.#args = args;
    this.#then = then;
  }

  /** @param {State} state */
  update(state) {
    const { plan, planned, plannedDrawing, plannedDone } = state;
    if (!plan || !planned) return;
    const of = pictureKey({ kind: "lines", view: "print", width: 1, height: 1 }, planned, plannedDrawing, plannedDone);
    const key = JSON.stringify([of, planned.hand_error_mm, this.#args(state)]);
    if (key === this.#key) return;
    this.#key = key;
    this.current = false;
    clearTimeout(this.#timer);
    this.#timer = setTimeout(() => this.#ask(key), REST_MS);
  }

  /** @param {string} key */
  async #ask(key) {
    const { dragging } = this.#desk.state;
    if (dragging) {
      this.#timer = setTimeout(() => key === this.#key && this.#ask(key), REST_MS);
      return;
    }
    try {
      const found = await this.#desk.bridge.call(this.#call, this.#args(this.#desk.state));
      if (key !== this.#key) return;
      this.found = found;
      this.current = true;
    } catch (error) {
      // Asked for again when something changes; the pictures say what is wrong with the plan.
      if (key === this.#key) this.#key = "";
      if (/** @type {any} */ (error).code !== "stopped") this.#desk.notice(/** @type {Error} */ (error).message, "refused");
    }
    this.#then(this.#desk.state);
  }
}
