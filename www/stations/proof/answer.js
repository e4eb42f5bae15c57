/**
 * What the core works out about the proof: asked for when it is looked at and nothing moves, kept while it holds.
 * @typedef {import("../../state.js").State} State
 * @typedef {import("../../../web/types.d.ts").Calls} Calls
 */
import { pictureKey, shortProof } from "../../stale.js";

/** So long nothing must have changed before the worker is asked, ms: pictures go first. */
const REST_MS = 250;

/** @template {"relief" | "difference" | "ink_facts" | "pairs"} K */
export class Answer {
  #desk;
  #call;
  #args;
  #then;
  /** What was last asked for. */
  #key = "";
  #timer = 0;
  /** @type {Calls[K][1] | null} the last answer, also while a newer one is on its way */
  found = null;
  /** Whether the answer is of what is on screen. */
  current = false;
  /** Why there is none, in a sentence. */
  trouble = "";

  /**
   * @param {import("../../state.js").Desk} desk @param {K} call
   * @param {(state: State) => Calls[K][0] | null} args null: nothing is to be asked now
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
    const { planned, plannedDrawing, plannedDone, proof } = state;
    const args = this.#args(state);
    if (!planned || args === null) return;
    const of = pictureKey({ kind: "proof", view: "print", width: 1, height: 1, grain: false, proof }, planned, plannedDrawing, plannedDone);
    const key = JSON.stringify([of, "proof" in args ? { ...args, proof: shortProof(/** @type {any} */ (args).proof) } : args]);
    if (key === this.#key) return;
    this.#key = key;
    this.current = false;
    clearTimeout(this.#timer);
    this.#timer = setTimeout(() => this.#ask(key), REST_MS);
  }

  /** @param {string} key */
  async #ask(key) {
    if (this.#desk.state.dragging) {
      this.#timer = setTimeout(() => key === this.#key && this.#ask(key), REST_MS);
      return;
    }
    const args = this.#args(this.#desk.state);
    if (args === null) {
      this.#key = "";
      return;
    }
    try {
      const found = await this.#desk.bridge.call(this.#call, args);
      if (key !== this.#key) return;
      this.found = found;
      this.current = true;
      this.trouble = "";
    } catch (error) {
      if (key !== this.#key) return;
      const { code, message } = /** @type {import("../../bridge.js").CallError} */ (error);
      // Broken off, it is asked again at the next change; refused, that is said where the answer would stand.
      if (["stopped", "crashed"].includes(code)) this.#key = "";
      else {
        this.found = null;
        this.trouble = message;
      }
    }
    this.#then(this.#desk.state);
  }
}
