/**
 * One act by a wet hand: the whole screen held for 0.8 s, or a key, which a pedal sends too. Pure but for the clock and the timer it is given.
 * What counts is the moment the press began. A press that is not held is dropped; so is one that the system takes away, as a scroll or a call
 * does. Where stopping by accident would cost a plate, a key must come twice.
 *
 * @typedef {import("./clock.js").Moment} Moment
 */

/** How long a press must last, ms. */
export const HELD_MS = 800;
/** Within which a second press of a key makes it double, ms. */
export const DOUBLE_MS = 700;
/** Two presses nearer than this, ms, are one contact that bounced. */
export const BOUNCE_MS = 60;

/** Keys that confirm: those of a keyboard that a hand finds blindly, and those that pedals and remote controls send. */
const KEYS = new Set([" ", "Enter", "PageDown", "PageUp", "ArrowLeft", "ArrowRight", "ArrowUp", "ArrowDown",
  "MediaPlayPause", "MediaTrackNext", "F13", "F14", "F15", "F16", "F17", "F18", "F19", "F20", "F21", "F22", "F23", "F24"]);

/** Whether a key is one of those, however it is pressed. @param {{ key: string }} event */
export const means = (event) => KEYS.has(event.key);

/** Whether it confirms: one held down is one press, and one with others is another key. @param {{ key: string, repeat?: boolean, ctrlKey?: boolean, altKey?: boolean, metaKey?: boolean }} event */
export function confirms(event) {
  return !event.repeat && !event.ctrlKey && !event.altKey && !event.metaKey && means(event);
}

/** @template [On=null] */
export class Press {
  #given;
  /** The press under way. @type {{ id: number, at: Moment, on: On | null, timer: unknown } | null} */
  #down = null;
  /** The key pressed before, waiting for its second. @type {Moment | null} */
  #first = null;
  /** When a key last came, on whatever screen. */
  #key = -Infinity;
  /** Whether a key must come twice. */
  double = false;

  /**
   * @param {{ now(): Moment, later(work: () => void, ms: number): unknown, never(timer: unknown): void, act(at: Moment, on: On | null): void, holding?(down: boolean, on: On | null): void, half?(): void }} given
   *   `holding` follows a press; `half` tells that a key waits for its second
   */
  constructor(given) {
    this.#given = given;
  }

  /** A finger, pen or mouse came down. @param {number} id which @param {Moment} [at] @param {On | null} [on] what it came down on, where that matters */
  down(id, at = this.#given.now(), on = null) {
    // A second finger is the same hand, or water: the first one counts.
    if (this.#down) return;
    const late = this.#given.now().steady - at.steady;
    this.#down = { id, at, on, timer: this.#given.later(() => this.#held(id), Math.max(0, HELD_MS - late)) };
    this.#given.holding?.(true, on);
  }

  /** It was lifted. @param {number} id @param {Moment} [at] */
  up(id, at = this.#given.now()) {
    if (this.#down?.id !== id) return;
    // The timer may come late on a busy machine; the clock tells whether it was held.
    if (at.steady - this.#down.at.steady >= HELD_MS) this.#held(id);
    else this.drop();
  }

  /** The system took a touch away, for a palm or a scroll; one beside the press changes nothing. @param {number} id */
  cancel(id) {
    if (this.#down?.id === id) this.drop();
  }

  /** The press was taken away, or the screen changed under it. */
  drop() {
    if (!this.#down) return;
    const { timer, on } = this.#down;
    this.#given.never(timer);
    this.#down = null;
    this.#given.holding?.(false, on);
  }

  /** A key that confirms. @param {Moment} [at] */
  key(at = this.#given.now()) {
    const bounced = at.steady - this.#key < BOUNCE_MS;
    this.#key = at.steady;
    if (bounced) return;
    if (!this.double) {
      this.#given.act(at, null);
      return;
    }
    if (this.#first && at.steady - this.#first.steady <= DOUBLE_MS) {
      const first = this.#first;
      this.#first = null;
      this.#given.act(first, null);
      return;
    }
    this.#first = at;
    this.#given.half?.();
  }

  /** Another screen: nothing begun on the one before counts on it, but a bounce is one still. */
  clear() {
    this.drop();
    this.#first = null;
  }

  /** @param {number} id */
  #held(id) {
    if (this.#down?.id !== id) return;
    const { at, on, timer } = this.#down;
    this.#given.never(timer);
    this.#down = null;
    this.#given.holding?.(false, on);
    this.#given.act(at, on);
  }
}
