/**
 * Keeps plan and pictures up to date, one call at a time, always for the latest wish: while one is under way,
 * later changes only mark that there is more to do. So nothing queues, however fast a joint is dragged.
 */
import { planStale } from "./stale.js";

/** @typedef {import("./state.js").State} State */
/** @typedef {import("./picture.js").Picture} Picture */

/** From this many milliseconds on, work is shown. */
const PATIENCE_MS = 300;
/** This many pictures are brought up to date before a newer change is taken up, so that they follow a drag. */
const ALWAYS = 2;

/** @typedef {import("../web/types.d.ts").PictureSpec} PictureSpec */

/** @param {PictureSpec} spec */
const hasGrain = (spec) => spec.kind === "proof" && spec.grain;

export class Live {
  #state;
  #bridge;
  #report;
  /** @type {Set<Picture>} */
  #pictures = new Set();
  /** The round under way. @type {Promise<void> | null} */
  #running = null;
  /** Of a picture that was refused, what it would have been made from: it is not asked for again before that changes. @type {Map<Picture, string>} */
  #refused = new Map();
  /** The last work that had the worker for itself, or waits for it. @type {Promise<void>} */
  #before = Promise.resolve();
  /** How many want the worker for themselves; meanwhile nothing is asked for. */
  #held = 0;
  #again = false;
  /** When the change under way was made, for the repaint measure. @type {number | null} */
  #moved = null;
  /** When the change the present plan took up was made. @type {number | null} */
  #taken = null;

  /**
   * @param {() => State} state
   * @param {import("./bridge.js").Bridge} bridge
   * @param {{ planned(plan: import("../web/types.d.ts").Plan, settings: State["settings"], drawing: number, done: State["done"]): void, refused(error: Error, settings?: State["settings"]): void, stage(stage: string | null, share: number | null): void }} report
   */
  constructor(state, bridge, report) {
    this.#state = state;
    this.#bridge = bridge;
    this.#report = report;
  }

  /** @param {Picture} picture */
  add(picture) {
    this.#pictures.add(picture);
  }

  /** Notes the moment a change was made by hand. */
  moved() {
    this.#moved ??= performance.now();
  }

  /** Everything stale is asked for again. */
  async refresh() {
    for (const picture of this.#pictures) picture.mark();
    this.#again = true;
    if (this.#running || this.#held) return;
    this.#running = this.#rounds();
    try {
      await this.#running;
    } finally {
      this.#running = null;
    }
    // What was marked between the last look and here would otherwise wait for the next change.
    if (this.#again && !this.#held) this.refresh();
  }

  async #rounds() {
    while (this.#again && !this.#held) {
      this.#again = false;
      if (await this.#plan()) await this.#paint();
    }
  }

  /**
   * Does work during which neither plan nor pictures are asked for, and then brings everything up to date. One such work after another: a
   * bite is not written down while other work is half opened.
   * @template T @param {() => Promise<T>} work @returns {Promise<T>}
   */
  async alone(work) {
    this.#held++;
    const before = this.#before;
    /** @type {() => void} */
    let over = () => {};
    this.#before = new Promise((resolve) => { over = resolve; });
    try {
      await before;
      while (this.#running) await this.#running;
      return await work();
    } finally {
      this.#held--;
      over();
      this.refresh();
    }
  }

  /** When nothing is under way any more. */
  async settled() {
    while (this.#running) await this.#running;
  }

  async #plan() {
    const { settings, planned, drawing, plannedDrawing, info, done, plannedDone } = this.#state();
    if (!info) return false;
    if (done === plannedDone && !planStale(planned, settings, plannedDrawing, drawing)) return true;
    this.#taken = this.#moved;
    this.#moved = null;
    try {
      const began = performance.now();
      const plan = await this.#shown("working out the plan", (progress) => this.#bridge.call("plan", { ...settings, done }, progress));
      performance.measure("stepbite:plan", { start: began });
      for (const [stage, ms] of Object.entries(plan.stage_ms)) {
        const end = performance.now();
        performance.measure(`stepbite:${stage}`, { start: Math.max(0, end - ms), end });
      }
      this.#report.planned(plan, settings, drawing, done);
      return true;
    } catch (error) {
      this.#taken = null;
      this.#report.refused(/** @type {Error} */ (error), settings);
      return false;
    }
  }

  /** First every picture with its tones right, then the grain of those that have one: it takes ten times as long and changes no tone. */
  async #paint() {
    let painted = 0;
    for (const grained of [false, true]) {
      for (const picture of this.#pictures) {
        if (this.#held || (this.#again && (grained || painted >= ALWAYS))) break;
        const stale = picture.stale();
        if (!stale || (grained && !hasGrain(stale.spec))) continue;
        if (this.#refused.get(picture) === stale.key) continue;
        const draft = hasGrain(stale.spec) && !grained;
        if (draft && picture.drafted(stale.key)) continue;
        const began = performance.now();
        try {
          const spec = draft ? /** @type {PictureSpec} */ ({ ...stale.spec, grain: false }) : stale.spec;
          const pixels = await this.#shown(picture.stage, () => this.#bridge.call("picture", spec));
          performance.measure("stepbite:picture", { start: began });
          picture.put(pixels, stale.key, draft);
          // What it was refused before may be had again: the plates it prints with are not in its key.
          this.#refused.delete(picture);
          painted++;
        } catch (error) {
          // Said once; the others come all the same.
          if (this.#refused.get(picture) !== stale.key) this.#report.refused(/** @type {Error} */ (error));
          this.#refused.set(picture, stale.key);
        }
      }
      if (!grained && this.#taken !== null) {
        const start = this.#taken;
        this.#taken = null;
        requestAnimationFrame(() => performance.measure("stepbite:repaint", { start }));
      }
    }
  }

  /**
   * @template T
   * @param {string} stage said when it takes long
   * @param {(progress: (stage: string, share: number) => void) => Promise<T>} work
   */
  async #shown(stage, work) {
    let now = stage;
    /** @type {number | null} */
    let share = null;
    let shown = false;
    const timer = setTimeout(() => {
      shown = true;
      this.#report.stage(now, share);
    }, PATIENCE_MS);
    try {
      return await work((name, part) => {
        now = name;
        share = part;
        if (shown) this.#report.stage(now, share);
      });
    } finally {
      clearTimeout(timer);
      if (shown) this.#report.stage(null, null);
    }
  }
}
