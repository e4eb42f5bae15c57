/**
 * The browser's own storage: one record of the work at hand, drawings by their content, and earlier states. Every write is one transaction,
 * so that after a killed tab there is the state before it or after it and none between.
 * @typedef {import("./work.js").Work} Work
 * @typedef {{ work: Work, at: number, drawing: string }} Entry at: ms since 1970
 * @typedef {Entry & { why: string }} Point an earlier state
 * @typedef {{ id: string, bytes: ArrayBuffer | Blob }} Drawing
 * @typedef {{ key: number, at: number, why: string, title: string, letter: string }} PointLine
 */

/** How many earlier states are kept. */
export const POINTS = 20;

const NAME = "stepbite";
const VERSION = 1;
const NOW = "now";
/** A browser whose storage does not answer in so long, ms, has none: the page must not wait for it for good. */
const PATIENCE_MS = 8000;

/** The keys that go when so many are kept: the oldest. Keys grow with time. @param {number[]} keys @param {number} [most] */
export function surplus(keys, most = POINTS) {
  return [...keys].sort((a, b) => a - b).slice(0, Math.max(0, keys.length - most));
}

/** @template T @param {IDBRequest<T>} request @returns {Promise<T>} */
function answered(request) {
  return new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
}

/** @param {IDBTransaction} transaction @returns {Promise<void>} */
function ended(transaction) {
  return new Promise((resolve, reject) => {
    transaction.oncomplete = () => resolve();
    transaction.onabort = () => reject(transaction.error ?? new DOMException("The storage gave up.", "AbortError"));
  });
}

/** A drawing that should be there is not, and was not given. */
export class DrawingGone extends Error {}

/** @param {IDBFactory | undefined} factory @returns {Promise<IDBDatabase>} */
function database(factory) {
  return new Promise((resolve, reject) => {
    if (!factory) throw new DOMException("There is no storage.", "NotFoundError");
    const request = factory.open(NAME, VERSION);
    let late = false;
    const timer = setTimeout(() => {
      late = true;
      reject(new DOMException("The storage does not answer.", "TimeoutError"));
    }, PATIENCE_MS);
    request.onupgradeneeded = () => {
      const db = request.result;
      db.createObjectStore("work");
      db.createObjectStore("drawings");
      db.createObjectStore("points", { autoIncrement: true }).createIndex("drawing", "drawing");
    };
    request.onsuccess = () => {
      clearTimeout(timer);
      if (late) request.result.close();
      else resolve(request.result);
    };
    request.onerror = () => {
      clearTimeout(timer);
      reject(request.error);
    };
  });
}

export class Store {
  #db;
  #factory;
  /** Whether a later version of the page has taken the storage over. */
  #replaced = false;

  /** @param {IDBDatabase} db @param {IDBFactory} [factory] */
  constructor(db, factory) {
    this.#db = db;
    this.#factory = factory;
    this.#watch();
  }

  /** @param {IDBFactory} [factory] @returns {Promise<Store>} rejects where there is no such storage */
  static async open(factory = globalThis.indexedDB) {
    return new Store(await database(factory), factory);
  }

  #watch() {
    // A later version of the page may want the storage; this one then lets go instead of holding it up.
    this.#db.onversionchange = () => {
      this.#replaced = true;
      this.#db.close();
    };
  }

  /** @param {IDBTransactionMode} mode */
  async #begin(mode) {
    if (this.#replaced) throw new DOMException("A later version of the page has taken the storage over.", "VersionError");
    // Written through to the disk before it is called done: a phone's battery may die.
    const begun = () => this.#db.transaction(["work", "drawings", "points"], mode, { durability: "strict" });
    try {
      return begun();
    } catch {
      // A system short of memory, or a page long in the background, may find its connection ended: once more with a new one.
      this.#db = await database(this.#factory);
      this.#watch();
      return begun();
    }
  }

  /** The work as it was left, with its drawing; null: none. @returns {Promise<{ entry: Entry, drawing: Blob } | null>} */
  async read() {
    const transaction = await this.#begin("readonly");
    /** @type {Entry | undefined} */
    const entry = await answered(transaction.objectStore("work").get(NOW));
    return entry ? { entry, drawing: await this.#drawing(transaction, entry) } : null;
  }

  /** An earlier state with its drawing. @param {number} key @returns {Promise<{ entry: Point, drawing: Blob } | null>} */
  async point(key) {
    const transaction = await this.#begin("readonly");
    /** @type {Point | undefined} */
    const entry = await answered(transaction.objectStore("points").get(key));
    return entry ? { entry, drawing: await this.#drawing(transaction, entry) } : null;
  }

  /** @param {IDBTransaction} transaction @param {Entry} entry */
  async #drawing(transaction, entry) {
    const bytes = await answered(transaction.objectStore("drawings").get(entry.drawing));
    if (bytes === undefined) throw new DrawingGone("its drawing is no longer in the browser's storage");
    return new Blob([bytes]);
  }

  /** The earlier states, the latest first. @returns {Promise<PointLine[]>} */
  async points() {
    const request = (await this.#begin("readonly")).objectStore("points").openCursor(null, "prev");
    /** @type {PointLine[]} */
    const lines = [];
    await new Promise((resolve, reject) => {
      request.onerror = () => reject(request.error);
      request.onsuccess = () => {
        const cursor = request.result;
        if (!cursor) {
          resolve(null);
          return;
        }
        const { at, why, work } = cursor.value;
        lines.push({ key: Number(cursor.primaryKey), at, why, title: work.job.title, letter: work.job.letter });
        cursor.continue();
      };
    });
    return lines;
  }

  /**
   * Writes the work at hand, its drawing if that is not there yet, and an earlier state where there is one, all or nothing.
   * @param {{ entry: Entry | null, point?: Point | null, drawings?: Drawing[] }} what entry null: the work at hand is taken away
   */
  async write({ entry, point = null, drawings = [] }) {
    const transaction = await this.#begin("readwrite");
    const done = ended(transaction);
    /** @type {Error | null} */
    let gone = null;
    const kept = transaction.objectStore("drawings");
    const work = transaction.objectStore("work");
    const points = transaction.objectStore("points");
    for (const id of new Set([entry?.drawing, point?.drawing].filter((id) => id !== undefined))) {
      const there = kept.getKey(id);
      there.onsuccess = () => {
        if (there.result !== undefined) return;
        const drawing = drawings.find((each) => each.id === id);
        if (drawing) {
          kept.put(drawing.bytes, id);
          return;
        }
        gone = new DrawingGone("the drawing has to be written again");
        transaction.abort();
      };
    }
    if (entry) work.put(entry, NOW);
    else work.delete(NOW);
    if (point) points.add(point);
    const keys = points.getAllKeys();
    keys.onsuccess = () => {
      for (const key of surplus(keys.result.map(Number))) points.delete(key);
      this.#forgetDrawings(kept, points, entry?.drawing);
    };
    try {
      await done;
    } catch (error) {
      throw gone ?? error;
    }
  }

  /** Drawings that neither the work at hand nor an earlier state needs go. @param {IDBObjectStore} kept @param {IDBObjectStore} points @param {string | undefined} now */
  #forgetDrawings(kept, points, now) {
    /** @type {Set<IDBValidKey | undefined>} */
    const used = new Set([now]);
    const uses = points.index("drawing").openKeyCursor(null, "nextunique");
    uses.onsuccess = () => {
      const cursor = uses.result;
      if (cursor) {
        used.add(cursor.key);
        cursor.continue();
        return;
      }
      const all = kept.getAllKeys();
      all.onsuccess = () => {
        for (const id of all.result) if (!used.has(id)) kept.delete(id);
      };
    };
  }

  /** Everything goes. */
  async clear() {
    const transaction = await this.#begin("readwrite");
    const done = ended(transaction);
    for (const name of ["work", "drawings", "points"]) transaction.objectStore(name).clear();
    await done;
  }
}
