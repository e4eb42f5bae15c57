/**
 * When to write: soon after a change, and never later than the limit, however many changes follow one another. One write at a time; what came
 * meanwhile is written next. Knows neither page nor storage.
 */

/** Quiet after a change before it is written, ms. */
const QUIET_MS = 300;
/** A change waits no longer than this, ms: with the write itself well within the two seconds that may be lost. */
const LATEST_MS = 900;
/** What could not be written is tried again after so long, ms: a full disk may have room by then. */
const AGAIN_MS = 10_000;

/** @typedef {{ now(): number, set(work: () => void, ms: number): any, clear(timer: any): void }} Clock */

/** @type {Clock} */
const REAL = { now: () => performance.now(), set: (work, ms) => setTimeout(work, ms), clear: (timer) => clearTimeout(timer) };

/** @template T what is written */
export class Autosave {
  #write;
  #failed;
  #clock;
  /** What waits to be written. @type {{ what: T } | null} */
  #next = null;
  /** When the oldest change that waits was made. */
  #since = 0;
  /** @type {any} */
  #timer = null;
  /** @type {Promise<void> | null} */
  #writing = null;

  /**
   * @param {(what: T) => Promise<void>} write
   * @param {(error: Error, what: T) => void} failed
   * @param {Clock} [clock]
   */
  constructor(write, failed, clock = REAL) {
    this.#write = write;
    this.#failed = failed;
    this.#clock = clock;
  }

  /** There is something newer to write. @param {T} what */
  changed(what) {
    if (!this.#next) this.#since = this.#clock.now();
    this.#next = { what };
    if (this.#timer !== null) this.#clock.clear(this.#timer);
    const left = this.#since + LATEST_MS - this.#clock.now();
    this.#timer = this.#clock.set(() => this.flush(), Math.max(0, Math.min(QUIET_MS, left)));
  }

  /** Whether everything is written. */
  get idle() {
    return this.#next === null && this.#writing === null;
  }

  /** What waits is not to be written any more. */
  drop() {
    if (this.#timer !== null) this.#clock.clear(this.#timer);
    this.#timer = null;
    this.#next = null;
  }

  /** Writes what waits at once; done when nothing waits any more. @returns {Promise<void>} */
  async flush() {
    if (this.#timer !== null) this.#clock.clear(this.#timer);
    this.#timer = null;
    if (this.#writing) {
      // It takes up what waits when the present write is over.
      await this.#writing;
      return;
    }
    this.#writing = this.#all();
    try {
      await this.#writing;
    } finally {
      this.#writing = null;
    }
  }

  async #all() {
    while (this.#next) {
      const { what } = this.#next;
      this.#next = null;
      try {
        await this.#write(what);
      } catch (error) {
        // Something newer may have come meanwhile.
        this.#next ??= { what };
        this.#since = this.#clock.now();
        if (this.#timer === null) this.#timer = this.#clock.set(() => this.flush(), AGAIN_MS);
        this.#failed(/** @type {Error} */ (error), what);
        return;
      }
    }
  }
}
