/**
 * One act by a wet hand: the whole screen held for 0.8 s, or a key, which a pedal sends too. Pure but for the clock and the timer it is given.
 * What counts is the moment the press began. A press that is not held is dropped; so is one that the system takes away, as a second hand or
 * a call does. Where stopping by accident would cost a plate, a key must come twice.
 *
 * @typedef {import("./clock.js").Moment} Moment
 * @typedef {(at: Moment) => void} Act
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

/** @param {{ key: string, repeat?: boolean, ctrlKey?: boolean, altKey?: boolean, metaKey?: boolean }} event */
export function confirms(event) {
  return !event.repeat && !event.ctrlKey && !event.altKey && !event.metaKey && KEYS.has(event.key);
}

export class Press {
  #given;
  /** The press under way. @type {{ id: number, at: Moment, timer: unknown } | null} */
  #down = null;
  /** The key pressed before. @type {Moment | null} */
  #first = null;
  /** Whether a key must come twice. */
  double = false;

  /**
   * @param {{ now(): Moment, later(work: () => void, ms: number): unknown, never(timer: unknown): void, act: Act, holding?(down: boolean): void, half?(): void }} given
   *   `holding` follows a press; `half` tells that a key waits for its second
   */
  constructor(given) {
    this.#given = given;
  }

  /** A finger, pen or mouse came down. @param {number} id which */
  down(id) {
    // A second finger is the same hand, or water: the first one counts.
    if (this.#down) return;
    const at = this.#given.now();
    this.#down = { id, at, timer: this.#given.later(() => this.#held(id), HELD_MS) };
    this.#given.holding?.(true);
  }

  /** It was lifted. @param {number} id */
  up(id) {
    if (this.#down?.id !== id) return;
    // The timer may come late on a busy machine; the clock tells whether it was held.
    if (this.#given.now().steady - this.#down.at.steady >= HELD_MS) this.#held(id);
    else this.drop();
  }

  /** The press was taken away, or the screen changed under it. */
  drop() {
    if (!this.#down) return;
    this.#given.never(this.#down.timer);
    this.#down = null;
    this.#given.holding?.(false);
  }

  /** A key that confirms. */
  key() {
    const at = this.#given.now();
    if (!this.double) {
      this.#given.act(at);
      return;
    }
    const apart = this.#first ? at.steady - this.#first.steady : Infinity;
    if (apart < BOUNCE_MS) return;
    if (this.#first && apart <= DOUBLE_MS) {
      const first = this.#first;
      this.#first = null;
      this.#given.act(first);
      return;
    }
    this.#first = at;
    this.#given.half?.();
  }

  /** Another screen: nothing begun on the one before counts on it. */
  clear() {
    this.drop();
    this.#first = null;
  }

  /** @param {number} id */
  #held(id) {
    if (this.#down?.id !== id) return;
    const { at, timer } = this.#down;
    this.#given.never(timer);
    this.#down = null;
    this.#given.holding?.(false);
    this.#given.act(at);
  }
}
