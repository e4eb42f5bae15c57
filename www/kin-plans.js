/**
 * Plans the family's other plates: those whose facts are of something else than what is wanted now, one after another, once the plate at hand
 * has its plan and nothing is being changed. What a plate refuses is kept with it; nothing of it is lost.
 */
import { CallError } from "./bridge.js";
import { onLadder, sharedKey, stale } from "./family.js";

/** @typedef {import("./state.js").State} State */
/** @typedef {import("./family.js").Kin} Kin */

/** So long nothing must have changed on the ladder before the others follow, ms: a worker that plans one of them hears nothing else meanwhile. */
const REST_MS = 350;

export class KinPlans {
  #desk;
  #set;
  /** @type {State | null} */
  #state = null;
  #timer = 0;
  #busy = false;
  /** Ids of the maps that the worker holds for the family. @type {Set<string>} */
  #held = new Set();
  /** What was wanted when the last change was seen. @type {unknown} */
  #seen = null;

  /** @param {import("./state.js").Desk} desk @param {(patch: Partial<State>) => void} set past what a tab that only looks may change: these are no changes to the work */
  constructor(desk, set) {
    this.#desk = desk;
    this.#set = set;
  }

  /** Follows the state. @param {State} state */
  update(state) {
    const before = this.#state;
    this.#state = state;
    if (before?.family !== state.family) this.#follow(state);
    if (this.#busy || !state.family.length || !this.#next()) return;
    if (this.#seen === state.settings && this.#timer) return;
    this.#seen = state.settings;
    clearTimeout(this.#timer);
    this.#timer = setTimeout(() => { this.#timer = 0; this.#go(); }, REST_MS);
  }

  /** The plate to be planned next; none while the one at hand has no plan of its latest wish. */
  #next() {
    const { family, settings, planned, drawing, plannedDrawing, dragging } = /** @type {State} */ (this.#state);
    return planned === settings && drawing === plannedDrawing && !dragging ? family.find((kin) => stale(kin, settings)) ?? null : null;
  }

  async #go() {
    if (this.#busy) return;
    this.#busy = true;
    try {
      for (let kin = this.#next(); kin; kin = this.#next()) await this.#plan(kin);
    } finally {
      this.#busy = false;
    }
  }

  /** @param {Kin} kin */
  async #plan(kin) {
    const { settings } = /** @type {State} */ (this.#state);
    const { name, done, job } = kin.work;
    const of = { work: kin.work, shared: sharedKey(settings) };
    /** @type {Pick<Kin, "facts" | "refused">} */
    let made = { facts: kin.facts, refused: null };
    try {
      const asked = { file: kin.file, name, settings: { ...onLadder(kin.work.settings, settings), done }, id: kin.id, letter: job.letter, title: job.title, grain: job.proof.grain };
      made.facts = await this.#desk.busy(`planning plate ${job.letter}`, this.#desk.bridge.call("kin_plan", asked));
    } catch (error) {
      // One that can't be planned says so on its card; what was known of it before stays. A worker that broke off is started again by whoever hears of it first.
      const code = error instanceof CallError ? error.code : "";
      if (["crashed", "no_start"].includes(code)) this.#desk.refused(/** @type {Error} */ (error));
      if (code === "stopped") {
        this.#stopped();
        return;
      }
      made.refused = `It makes no plan on this ladder: ${/** @type {Error} */ (error).message} Nothing of it is lost.`;
    }
    const there = this.#desk.state.family.some((each) => each.id === kin.id);
    // With the worker it is already, which no plate put back from elsewhere is.
    if (made.facts && there) this.#held.add(made.facts.plate.id);
    if (there) this.#set({ family: this.#desk.state.family.map((each) => each.id === kin.id ? { ...each, ...made, of } : each) });
    else if (made.facts) this.#drop(made.facts.plate.id);
  }

  /** Cancel was pressed: none of those that wait is begun before the ladder is changed, or the plate itself. */
  #stopped() {
    const { settings, family } = this.#desk.state;
    const shared = sharedKey(settings);
    const refused = "Its planning was stopped: it is planned with the next change of the ladder.";
    this.#set({ family: family.map((kin) => stale(kin, settings) ? { ...kin, refused, of: { work: kin.work, shared } } : kin) });
  }

  /** The worker holds the maps of the family's plates, and no others. @param {State} state */
  #follow({ family }) {
    const plates = new Map(family.flatMap(({ facts }) => facts ? [[facts.plate.id, facts.plate]] : []));
    for (const [id, plate] of plates) {
      if (this.#held.has(id)) continue;
      this.#held.add(id);
      this.#desk.bridge.call("plate_bring", plate).catch((error) => this.#desk.refused(error));
    }
    for (const id of [...this.#held]) {
      if (plates.has(id)) continue;
      this.#held.delete(id);
      this.#drop(id);
    }
  }

  /** A map that no plate of the family has, unless it prints in the proof. @param {string} id */
  #drop(id) {
    const { plates, family } = /** @type {State} */ (this.#state);
    if (![...plates, ...family.flatMap(({ facts }) => facts?.plate ?? [])].some((plate) => plate.id === id)) this.#desk.bridge.call("plate_drop", { id }).catch(() => {});
  }
}
