/** Keeps the work safe: in the browser's own storage as it is changed, and in a file when asked. Joins storage, tabs and page. */
import { fileName, save } from "../downloads.js";
import { beginning } from "../state.js";
import { Autosave } from "./autosave.js";
import { contentId } from "./content-id.js";
import { LARGE_FILE } from "./drawing-file.js";
import { disk } from "../run/disk.js";
import { record } from "../run/record.js";
import { DrawingGone, Store } from "./store.js";
import { takePlace } from "./tabs.js";
import { same, untouched, workOf, workRead, worthKeeping, writtenOf } from "./work.js";
import { LOOKS, moment, TAKEN_OVER, trouble } from "./words.js";

/** @typedef {import("../state.js").State} State */
/** @typedef {import("../state.js").Desk} Desk */
/** @typedef {import("./work.js").Work} Work */
/** @typedef {import("./store.js").Point} Point */

/** What is shown of it. `lasting`: whether the browser has promised not to clear it by itself; null: not known. `filed`: when it was last saved as a file. `page`: whether the page itself is there without a network; null: not known yet.
 * @typedef {{ at: number | null, trouble: string | null, looks: boolean, points: import("./store.js").PointLine[], lasting: boolean | null, filed: number | null, page: "held" | "not" | "file" | null }} Kept */

/** So many earlier states wait at most while nothing can be written. */
const MOST_WAITING = 5;
/** Whether the browser was asked to keep the storage for good: once, ever. */
const ASKED = "stepbite.asked-to-keep";

/** @typedef {{ work: Work, file: Blob, at: number }} Moment */

export class Keeper {
  #desk;
  #bring;
  #demo;
  /** @type {Store | null} */
  #store = null;
  /** Why there is no storage. @type {Error} */
  #none = new DOMException("There is no storage.", "NotFoundError");
  #autosave;
  /** Of the drawings, by their content. @type {WeakMap<Blob, Promise<string>>} */
  #ids = new WeakMap();
  /** The state that was looked at last. @type {State | null} */
  #last = null;
  /** Whether the work is the printer's, no longer the example alone. */
  #theirs = false;
  #ready = false;
  /** Whether it was said that nothing is kept. */
  #warned = false;
  /** Earlier states still to be written. @type {{ moment: Moment, why: string }[]} */
  #waiting = [];

  /**
   * @param {Desk} desk
   * @param {{ bring(work: Work, drawing: Blob, sentence: string, again: boolean): Promise<void>, demo: string }} page `bring` puts work on screen, or rejects and leaves everything as it was
   */
  constructor(desk, { bring, demo }) {
    this.#desk = desk;
    this.#bring = bring;
    this.#demo = demo;
    this.#autosave = new Autosave((what) => this.#write(what), (error) => this.#failed(error));
    const hurry = () => { this.#autosave.flush(); };
    addEventListener("pagehide", hurry);
    // A page that the browser put aside whole, and shows again, may have lost its place to another tab meanwhile.
    addEventListener("pageshow", (event) => event.persisted && this.#store && this.#autosave.idle && location.reload());
    document.addEventListener("visibilitychange", () => document.visibilityState === "hidden" && hurry());
  }

  /** @param {Partial<Kept>} patch */
  #show(patch) {
    this.#desk.set({ kept: { ...this.#desk.state.kept, ...patch } });
  }

  /** Opens the storage, finds this tab's place, and opens the work again as it was left. @returns {Promise<boolean>} whether there was any */
  async start() {
    try {
      this.#store = await Store.open().catch((error) => { throw this.#none = error; });
      await takePlace(navigator.locks, {
        works: (waited) => { if (waited) this.#takeOver(); },
        looks: () => this.#show({ looks: true }),
      });
      const found = await this.#reopen(null);
      await this.#list();
      return found;
    } catch (error) {
      this.#failed(/** @type {Error} */ (error));
      return false;
    } finally {
      this.#begin();
    }
  }

  /** From here on changes are kept; those made since the work was opened too. */
  #begin() {
    this.#ready = true;
    this.update(this.#desk.state);
  }

  /** @param {string | null} sentence null: when it was left @returns {Promise<boolean>} */
  async #reopen(sentence) {
    const { looks } = this.#desk.state.kept;
    const left = await this.#store?.read();
    if (!left) {
      if (looks) this.#desk.notice(LOOKS);
      return false;
    }
    const { work, at } = left.entry;
    const said = sentence ?? (looks ? LOOKS : `Opened again as it was left on ${moment(at)}. Undo begins anew.`);
    try {
      await this.#bring(work, left.drawing, said, true);
    } catch (error) {
      if (!work.good) return this.#setAside(left.entry, /** @type {Error} */ (error));
      try {
        await this.#bring({ ...work, settings: work.good, good: null }, left.drawing, `${said} The very last change made no plan and is left out.`, true);
      } catch {
        return this.#setAside(left.entry, /** @type {Error} */ (error));
      }
    }
    this.#theirs = true;
    this.#show({ at });
    return true;
  }

  /** Work that can't be opened stays in the list of earlier states, so that nothing writes over it. @param {import("./store.js").Entry} entry @param {Error} error */
  async #setAside(entry, error) {
    // Its drawings are there: only its record becomes an earlier state.
    const { family: plates = [], ...work } = entry.work;
    const family = await Promise.all(plates.map(async (kin) => ({ id: kin.id, work: kin.work, drawing: await this.#id(kin.file) })));
    if (!this.#desk.state.kept.looks) await this.#store?.write({ entry: null, point: { ...entry, work, family, why: "could not be opened again" } });
    this.#desk.notice(`The work kept in this browser could not be opened again (${error.message.replace(/\.$/, "")}). It stays under “What is kept”.`, "refused");
    return false;
  }

  async #takeOver() {
    this.#ready = false;
    this.#show({ looks: false });
    try {
      if (!await this.#reopen(TAKEN_OVER)) this.#desk.notice(TAKEN_OVER);
      await this.#list();
    } catch (error) {
      this.#failed(/** @type {Error} */ (error));
    } finally {
      this.#begin();
    }
  }

  async #list() {
    const points = await this.#store?.points() ?? [];
    const lasting = await navigator.storage?.persisted?.() ?? null;
    this.#show({ points, lasting });
  }

  /** Follows the state. @param {State} state */
  update(state) {
    if (state.kept.looks) return;
    if (!this.#ready) {
      // What is being opened again is as it was kept; a change may follow before it is all done.
      if (this.#last?.drawing !== state.drawing) this.#last = state;
      return;
    }
    const before = this.#last;
    if (before && same(before, state)) return;
    const work = workOf(state);
    if (!work || !state.file) return;
    this.#last = state;
    const was = before ? workOf(before) : null;
    if (!this.#theirs && untouched(work, beginning(), this.#demo)) return;
    const mine = this.#theirs;
    this.#theirs = true;
    // A plate of the family that comes to hand is no other work: its log is the very one that lay beside, where a file or an earlier state brings one of its own.
    const lay = before?.family.find((kin) => kin.id === state.plateId);
    const beside = before && state.family.some((kin) => kin.id === before.plateId);
    if (before && was && before.drawing !== state.drawing && beside && lay?.work.done === state.done) {
      this.#autosave.changed({ work, file: state.file, at: Date.now() });
      return;
    }
    if (before?.file && was && before.drawing !== state.drawing) {
      if (mine) this.#wait({ work: was, file: before.file, at: Date.now() }, "before another was opened");
    } else if (was) {
      const logs = [{ was: was.done, now: work.done }, ...(work.family ?? []).flatMap((kin) => {
        const then = was.family?.find(({ id }) => id === kin.id);
        return then ? [{ was: then.work.done, now: kin.work.done }] : [];
      })];
      const why = logs.map((log) => worthKeeping(log.was, log.now)).find((said) => said !== null) ?? null;
      if (why) this.#wait({ work, file: state.file, at: Date.now() }, why);
    }
    this.#autosave.changed({ work, file: state.file, at: Date.now() });
  }

  /** @param {Moment} moment @param {string} why */
  #wait(moment, why) {
    this.#waiting = [...this.#waiting, { moment, why }].slice(-MOST_WAITING);
  }

  /** Keeps the work as it is now in the list of earlier states. @param {string} why "sheets saved" */
  point(why) {
    const { state } = this.#desk;
    const work = workOf(state);
    if (!work || !state.file || state.kept.looks || !this.#store) return;
    this.#theirs = true;
    const now = { work, file: state.file, at: Date.now() };
    this.#wait(now, why);
    this.#autosave.changed(now);
  }

  /** @param {Blob} file */
  #id(file) {
    let id = this.#ids.get(file);
    if (!id) {
      id = contentId(file);
      this.#ids.set(file, id);
    }
    return id;
  }

  /** A moment as it is stored: every drawing by its content. @param {Moment} moment @returns {Promise<import("./store.js").Entry>} */
  async #entry({ work: { family: plates = [], ...work }, file, at }) {
    const family = await Promise.all(plates.map(async (kin) => ({ id: kin.id, work: kin.work, drawing: await this.#id(kin.file) })));
    return { work, at, drawing: await this.#id(file), family };
  }

  /** @param {Moment} now */
  async #write(now) {
    const store = this.#store;
    if (!store) throw this.#none;
    const points = this.#waiting.length > 0;
    do {
      const first = this.#waiting[0];
      const entry = await this.#entry(now);
      const point = first ? { ...await this.#entry(first.moment), why: first.why } : null;
      try {
        await store.write({ entry, point });
      } catch (error) {
        if (!(error instanceof DrawingGone)) throw error;
        const files = [now, ...(first ? [first.moment] : [])].flatMap(({ work, file }) => [file, ...(work.family ?? []).map((kin) => kin.file)]);
        const bytes = async (/** @type {Blob} */ file) => ({ id: await this.#id(file), bytes: file.size > LARGE_FILE ? file : await file.arrayBuffer() });
        await store.write({ entry, point, drawings: await Promise.all([...new Set(files)].map(bytes)) });
      }
      if (first) this.#waiting = this.#waiting.filter((each) => each !== first);
    } while (this.#waiting.length);
    this.#warned = false;
    this.#show({ at: now.at, trouble: null });
    if (points) await this.#list();
    // Some browsers ask the printer, and wait for the answer: no write waits for that.
    this.#ask();
  }

  /** The browser is asked once, when there is work of the printer's to lose, to keep it for good. */
  async #ask() {
    try {
      if (!navigator.storage?.persist || localStorage.getItem(ASKED)) return;
      localStorage.setItem(ASKED, "yes");
      this.#show({ lasting: await navigator.storage.persist() });
    } catch {
      // Whether it promised or not, the work is written.
    }
  }

  /** @param {Error} error */
  #failed(error) {
    const said = trouble(error);
    this.#show({ trouble: said });
    // Said aloud, once, when there is work to lose: for the example alone the line in the ticket is enough.
    if (this.#warned || !this.#theirs) return;
    this.#warned = true;
    this.#desk.notice(said, "refused", { label: "Save as a file", press: () => { this.save(); } });
  }

  /** Writes what waits. @returns {Promise<boolean>} whether all of it is now kept; where not, it was said */
  async written() {
    await this.#autosave.flush();
    if (this.#autosave.idle && this.#desk.state.kept.trouble === null) return true;
    this.#desk.notice(this.#desk.state.kept.trouble ?? trouble(new Error("the storage is busy")), "refused", { label: "Save as a file", press: () => { this.save(); } });
    return false;
  }

  /** Saves the work as a project file. */
  async save() {
    // A change that makes no plan is taken back in a moment: no file is written that could not be opened.
    if (workOf(this.#desk.state)?.good) await this.#desk.live.settled();
    const { state } = this.#desk;
    const work = workOf(state);
    if (!work || !state.file) {
      this.#desk.notice("There is nothing to save yet: wait until the drawing is open.");
      return;
    }
    if (await this.#saveFile(work, state.file)) {
      this.#show({ filed: Date.now() });
      this.#desk.notice(`Saved as ${projectName(work)}. It opens here and on any other machine by “Open”.`);
    }
  }

  /** @param {Work} work @param {Blob} file @returns {Promise<boolean>} */
  async #saveFile(work, file) {
    const desk = this.#desk;
    try {
      save(await desk.busy("writing the file", desk.bridge.call("project_write", writtenOf(work, file))), "application/zip", projectName(work));
      return true;
    } catch (error) {
      desk.refused(/** @type {Error} */ (error));
      return false;
    }
  }

  /** Opens a project file: all of it, or nothing changes. @param {Blob} file */
  async openFile(file) {
    const read = await this.#desk.busy("reading the file", this.#desk.bridge.call("project_read", { file }));
    const work = workRead(read);
    await this.#bring(work, read.drawing, `“${work.job.title}” is open, as it was saved. Undo begins anew.`, false);
  }

  /** Opens an earlier state; what is on screen is kept in the list first. @param {number} key */
  async openPoint(key) {
    try {
      const found = await this.#store?.point(key);
      if (!found) throw new Error("This earlier state is no longer kept: choose another.");
      await this.#bring(found.entry.work, found.drawing, `Opened again as it was on ${moment(found.entry.at)} (${found.entry.why}).`, false);
    } catch (error) {
      this.#desk.refused(/** @type {Error} */ (error));
    }
  }

  /** Saves an earlier state as a file. @param {number} key */
  async savePoint(key) {
    try {
      const found = await this.#store?.point(key);
      if (!found) throw new Error("This earlier state is no longer kept: choose another.");
      await this.#saveFile(found.entry.work, found.drawing);
    } catch (error) {
      this.#desk.refused(/** @type {Error} */ (error));
    }
  }

  /** Whether this tab may only look, which is then said. */
  #looks() {
    const { looks } = this.#desk.state.kept;
    if (looks) this.#desk.notice(LOOKS);
    return looks;
  }

  /** Takes everything out of the browser's storage, and begins with the example. */
  async forget() {
    if (this.#looks()) return;
    this.#ready = false;
    try {
      // What waits to be written would otherwise be written after.
      this.#waiting = [];
      this.#autosave.drop();
      await this.#autosave.flush();
      await this.#store?.clear();
      await forgetRun();
      location.reload();
    } catch (error) {
      this.#ready = true;
      this.#failed(/** @type {Error} */ (error));
    }
  }

  /** Puts the work at hand into the list, and begins with the example. */
  async anew() {
    if (this.#looks()) return;
    this.point("before the example was opened");
    // Nothing is taken away that is not in the list.
    if (!await this.written()) return;
    this.#ready = false;
    try {
      await this.#store?.write({ entry: null });
      await forgetRun();
      location.reload();
    } catch (error) {
      this.#ready = true;
      this.#failed(/** @type {Error} */ (error));
    }
  }
}

/** The run that is under way is of other work: it must not go on with this one. */
export async function forgetRun() {
  const kept = record(() => localStorage, disk());
  await kept.late();
  await kept.forget();
}

/** The file's name: a ZIP any machine can look into. @param {Work} work */
export function projectName({ job }) {
  return `${fileName(job.title, job.letter)}.stepbite.zip`;
}

/** The first bytes of a ZIP with something in it (PKWARE APPNOTE 4.3.7): no drawing begins so. @param {Blob} file */
export async function isProject(file) {
  const [p, k, three, four] = new Uint8Array(await file.slice(0, 4).arrayBuffer());
  return p === 0x50 && k === 0x4b && three === 3 && four === 4;
}
