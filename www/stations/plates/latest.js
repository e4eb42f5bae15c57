/**
 * One question to the worker that follows what is wanted: while one is under way only the latest wish waits, so that nothing queues however
 * fast a plate is dragged. The last answer stays while a newer one is on its way.
 * @typedef {import("../../../web/types.d.ts").Calls} Calls
 */

/** @template {keyof Calls} K */
export class Latest {
  #desk;
  #call;
  #then;
  /** @type {{ key: string, args: Calls[K][0] } | null} */
  #wanted = null;
  #key = "";
  #busy = false;
  /** @type {Calls[K][1] | null} */
  found = null;
  /** What `found` is the answer to. @type {Calls[K][0] | null} */
  foundOf = null;
  /** Why there is none, a sentence. */
  trouble = "";
  #stage;
  #stopped;

  /**
   * @param {import("../../state.js").Desk} desk @param {K} call @param {() => void} then when an answer has come, or none
   * @param {{ stage?: string, stopped?: () => void }} [long] of a call that may take long: what the progress line calls it, and what Cancel does
   */
  constructor(desk, call, then, { stage = "", stopped = () => {} } = {}) {
    this.#desk = desk;
    this.#call = call;
    this.#then = then;
    this.#stage = stage;
    this.#stopped = stopped;
  }

  /** Whether an answer is on its way. */
  get busy() {
    return this.#busy;
  }

  /** Whether what was found is of what was asked for last. */
  get current() {
    return this.#wanted === null || this.#wanted.key === this.#key;
  }

  /** @param {Calls[K][0] | null} args null: nothing is to be asked @param {string} [of] what else the answer depends on */
  ask(args, of = "") {
    if (args === null) {
      this.#wanted = this.found = this.foundOf = null;
      this.#key = this.trouble = "";
      return;
    }
    const key = `${JSON.stringify(args)} ${of}`;
    if (this.#wanted?.key === key) return;
    this.#wanted = { key, args };
    if (!this.#busy) this.#go();
  }

  async #go() {
    this.#busy = true;
    while (this.#wanted && this.#wanted.key !== this.#key) {
      const { key, args } = this.#wanted;
      const start = performance.now();
      try {
        const asked = (/** @type {((stage: string, share: number) => void) | undefined} */ told) => this.#desk.bridge.call(this.#call, args, told);
        this.found = await (this.#stage ? this.#desk.busy(this.#stage, asked) : asked(undefined));
        this.foundOf = args;
        this.trouble = "";
        performance.measure(`stepbite:${this.#call}`, { start });
      } catch (error) {
        const { code, message } = /** @type {import("../../bridge.js").CallError} */ (error);
        // Broken off it is asked again at the next change; refused, that is said where the answer would stand.
        if (["stopped", "crashed"].includes(code)) {
          this.#wanted = null;
          this.#key = "";
          this.#busy = false;
          this.#stopped();
          break;
        }
        this.found = this.foundOf = null;
        this.trouble = message;
      }
      // Nothing is asked any more: what came is of no use.
      if (this.#wanted === null) {
        this.found = this.foundOf = null;
        this.trouble = "";
      } else this.#key = key;
      this.#then();
    }
    this.#busy = false;
  }
}

/** What the answers rest on besides their arguments: the plan at hand. @param {import("../../state.js").State} state */
export function ofPlan({ plannedDrawing, planned, plannedDone }) {
  return `${plannedDrawing} ${number(planned)} ${number(plannedDone)}`;
}

/** @type {WeakMap<object, number>} */
const numbers = new WeakMap();
let last = 0;

/** @param {object | null} of */
function number(of) {
  if (of === null) return 0;
  const known = numbers.get(of) ?? ++last;
  numbers.set(of, known);
  return known;
}
