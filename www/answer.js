/**
 * What the core works out and takes longer than a moved break allows: asked for when it is looked at and nothing moves, kept while it holds.
 * @typedef {import("./state.js").State} State
 * @typedef {import("./state.js").Desk} Desk
 * @typedef {import("../web/types.d.ts").Calls} Calls
 */
import { numbered, pictureKey, shortProof } from "./stale.js";
import { proofOf } from "./stations/papers/pieces.js";

/** So long nothing must have changed before the worker is asked, ms: pictures go first. */
const REST_MS = 250;

/** @template {"relief" | "difference" | "ink_facts" | "pairs" | "islands" | "removed" | "limits" | "papers"} K */
export class Answer {
  #desk;
  #call;
  #args;
  #then;
  #of;
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
   * @param {Desk} desk @param {K} call
   * @param {(state: State) => Calls[K][0] | undefined} args undefined: nothing is to be asked now
   * @param {(state: State) => void} then called when an answer has come, or none
   * @param {(state: State) => unknown} [of] what it depends on besides its arguments
   */
  constructor(desk, call, args, then, of = ofPrint) {
    this.#desk = desk;
    this.#call = call;
    this.#args = args;
    this.#then = then;
    this.#of = of;
  }

  /** What is to be asked now, and a text that is equal when, and only when, the answer would be. @param {State} state */
  #due(state) {
    const args = state.planned ? this.#args(state) : undefined;
    if (args === undefined) return null;
    const short = args === null ? null : "proof" in args ? { ...args, proof: shortProof(/** @type {any} */ (args).proof) } : "pieces" in args ? numbered(args) : args;
    return { args, key: JSON.stringify([this.#of(state), short]) };
  }

  /** @param {State} state */
  update(state) {
    const due = this.#due(state);
    if (!due || due.key === this.#key) return;
    const { key } = due;
    this.#key = key;
    this.current = false;
    this.trouble = "";
    clearTimeout(this.#timer);
    this.#timer = setTimeout(() => this.#ask(key), REST_MS);
  }

  /** @param {string} key */
  async #ask(key) {
    if (this.#desk.state.dragging) {
      this.#timer = setTimeout(() => key === this.#key && this.#ask(key), REST_MS);
      return;
    }
    const due = this.#due(this.#desk.state);
    if (due?.key !== key) {
      this.#key = "";
      return this.update(this.#desk.state);
    }
    try {
      const found = await this.#desk.bridge.call(this.#call, due.args);
      if (key !== this.#key) return;
      this.found = found;
      this.current = true;
      this.trouble = "";
    } catch (error) {
      if (key !== this.#key) return;
      const { code, message } = /** @type {import("./bridge.js").CallError} */ (error);
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

/** What the proof's answers are of: the plan as it prints. @param {State} state */
function ofPrint({ planned, plannedDrawing, plannedDone, proof, papers }) {
  return planned && pictureKey({ kind: "proof", view: "print", width: 1, height: 1, grain: false, proof: proofOf({ proof, papers }) }, planned, plannedDrawing, plannedDone);
}

/** What the painting's answers are of: the regions, and the hand that paints them. @param {State} state */
export function ofRegions({ planned, plannedDrawing, plannedDone }) {
  return planned && [pictureKey({ kind: "lines", view: "print", width: 1, height: 1 }, planned, plannedDrawing, plannedDone), planned.hand_error_mm];
}
