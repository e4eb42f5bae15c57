/**
 * Plans the family's other plates: those whose facts are of something else than what is wanted now, one after another, once the plate at hand
 * has its plan and nothing is being changed. What a plate refuses is kept with it; nothing of it is lost. What was stopped, or broke off, stays as
 * it was until it is asked for again or the ladder is another. Plates that print in the proof print as they are planned now.
 */
import { brokeOff, CallError } from "./bridge.js";
import { known, onLadder, sharedKey, stale, stopped } from "./family.js";

/** @typedef {import("./state.js").State} State */
/** @typedef {import("./family.js").Kin} Kin */
/** @typedef {import("../web/types.d.ts").Settings} Settings */
/** @typedef {import("../web/types.d.ts").BroughtPlate} BroughtPlate */

/** So long nothing must have changed on the ladder before the others follow, ms: a worker that plans one of them hears nothing else meanwhile. */
const REST_MS = 350;

/** Facts under the letter and title that the plate has now: neither plans anything. The same family where none is another. @param {Kin[]} family @returns {Kin[]} */
export function named(family) {
  const wrong = (/** @type {Kin} */ { facts, work: { job } }) => facts !== null && (facts.plate.letter !== job.letter || facts.plate.title !== job.title);
  if (!family.some(wrong)) return family;
  return family.map((kin) => kin.facts && wrong(kin) ? { ...kin, facts: { ...kin.facts, plate: { ...kin.facts.plate, letter: kin.work.job.letter, title: kin.work.job.title } } } : kin);
}

/**
 * The proof with the family's plates that print in it as they are planned now; null where they do. One that is no longer of the family, or has no plan
 * now, prints as it was.
 * @param {Pick<State, "family" | "plates" | "proof" | "settings">} state @returns {Pick<State, "plates" | "proof"> | null}
 */
export function printing({ family, plates, proof, settings }) {
  /** @type {Map<string, BroughtPlate>} */
  const now = new Map();
  for (const plate of plates) {
    const kin = plate.of ? family.find(({ id }) => id === plate.of) : undefined;
    const facts = kin && known(kin, settings);
    if (facts && facts.plate !== plate) now.set(plate.id, facts.plate);
  }
  // What came from a file or from the storage is the same plate in other words.
  if (![...now].some(([id, plate]) => plates.some((each) => each.id === id && (each.id !== plate.id || each.letter !== plate.letter || each.title !== plate.title)))) return null;
  const printings = proof.printings.map((each) => each.plate !== null && now.has(each.plate) ? { ...each, plate: /** @type {BroughtPlate} */ (now.get(each.plate)).id } : each);
  return { plates: plates.map((plate) => now.get(plate.id) ?? plate), proof: { ...proof, printings } };
}

/**
 * What the worker is asked for a plate's plan: its own settings on the family's ladder, and what is done to it, or would be.
 * @param {Kin} kin @param {Settings} settings of the plate at hand @param {import("../web/types.d.ts").Done} [done]
 */
export function kinAsked({ id, file, work }, settings, done = work.done) {
  const { letter, title, proof } = work.job;
  return { file, settings: { ...onLadder(work.settings, settings, done), done }, id, letter, title, grain: proof.grain };
}

export class KinPlans {
  #desk;
  #set;
  /** @type {State | null} */
  #state = null;
  #timer = 0;
  #busy = false;
  /** What the worker holds for the family, by the ids of the maps. @type {Map<string, BroughtPlate>} */
  #held = new Map();
  /** The state whose plates the worker was last told of. @type {State | null} */
  #followed = null;
  /** What was wanted when the last change was seen. @type {unknown} */
  #seen = null;

  #rest;

  /**
   * @param {Pick<import("./state.js").Desk, "state" | "bridge" | "busy" | "refused">} desk
   * @param {(patch: Partial<State>) => void} set past what a tab that only looks may change: these are no changes to the work
   * @param {number} [rest] ms, the tests' own
   */
  constructor(desk, set, rest = REST_MS) {
    this.#desk = desk;
    this.#set = set;
    this.#rest = rest;
  }

  /** Follows the state. @param {State} state */
  update(state) {
    this.#state = state;
    const family = named(state.family);
    const prints = printing({ ...state, family });
    if (family !== state.family || prints) {
      this.#set({ family, ...prints });
      return;
    }
    if (this.#followed?.family !== state.family) this.#follow(state);
    // A plate of the family that prints no more, or prints as it is planned now, leaves what it was before to nobody.
    for (const { id, of } of this.#followed?.plates ?? []) if (of && !state.plates.some((plate) => plate.id === id)) this.#drop(id);
    this.#followed = state;
    if (this.#busy || !state.family.length || !this.#next()) return;
    if (this.#seen === state.settings && this.#timer) return;
    this.#seen = state.settings;
    clearTimeout(this.#timer);
    this.#timer = setTimeout(() => { this.#timer = 0; this.#go(); }, this.#rest);
  }

  /** Those that were stopped, or broke off, are planned after all. */
  again() {
    this.#set({ family: this.#desk.state.family.map((kin) => kin.stopped ? { ...kin, stopped: null } : kin) });
  }

  /** The plate to be planned next; none while the one at hand has no plan of its latest wish. */
  #next() {
    const { family, settings, planned, drawing, plannedDrawing, dragging } = /** @type {State} */ (this.#state);
    return planned === settings && drawing === plannedDrawing && !dragging ? family.find((kin) => stale(kin, settings) && !stopped(kin, settings)) ?? null : null;
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
    const of = { work: kin.work, shared: sharedKey(settings) };
    /** @type {Pick<Kin, "facts" | "refused">} */
    let made = { facts: kin.facts, refused: null };
    try {
      made.facts = await this.#desk.busy(`planning plate ${kin.work.job.letter}`, this.#desk.bridge.call("kin_plan", kinAsked(kin, settings)));
    } catch (error) {
      const code = error instanceof CallError ? error.code : "";
      // Cancel was pressed: whatever it was meant for, none of those that wait is begun now.
      if (code === "stopped") return this.#stops(() => true);
      // A worker that broke off is started again by whoever hears of it first; this plate, which may be why, is not tried again by itself.
      if (brokeOff(error)) {
        this.#desk.refused(/** @type {Error} */ (error));
        return this.#stops((each) => each.id === kin.id);
      }
      // One that can't be planned says so on its card; what was known of it before stays.
      made.refused = `It makes no plan on this ladder: ${/** @type {Error} */ (error).message} Nothing of it is lost.`;
    }
    const there = this.#desk.state.family.some((each) => each.id === kin.id);
    // With the worker it is already, which no plate put back from elsewhere is.
    if (made.facts && there) this.#held.set(made.facts.plate.id, made.facts.plate);
    if (there) this.#set({ family: this.#desk.state.family.map((each) => each.id === kin.id ? { ...each, ...made, of, stopped: null } : each) });
    else if (made.facts) this.#drop(made.facts.plate.id);
  }

  /** They stay as they were, and wait until they are asked for again, the ladder is changed, or the plate itself. @param {(kin: Kin) => boolean} which of those to be planned */
  #stops(which) {
    const { settings, family } = this.#desk.state;
    const shared = sharedKey(settings);
    this.#set({ family: family.map((kin) => stale(kin, settings) && which(kin) ? { ...kin, stopped: { work: kin.work, shared } } : kin) });
  }

  /** The worker holds the maps of the family's plates, and no others. @param {State} state */
  #follow({ family }) {
    const plates = new Map(family.flatMap(({ facts }) => facts ? [[facts.plate.id, facts.plate]] : []));
    for (const [id, plate] of plates) {
      const held = this.#held.get(id);
      if (held && held.letter === plate.letter && held.title === plate.title) continue;
      this.#held.set(id, plate);
      this.#desk.bridge.call("plate_bring", plate).catch((error) => this.#desk.refused(error));
    }
    for (const id of [...this.#held.keys()]) {
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
