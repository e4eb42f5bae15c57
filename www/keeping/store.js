/**
 * The browser's own storage: one record of the work at hand with its whole family of plates, earlier states, and by their content, once each,
 * what is large: drawings, the maps of plates brought in, photographs of pulls. Every write is one transaction,
 * so that after a killed tab there is the state before it or after it and none between.
 * @typedef {import("./work.js").Work} Work
 * @typedef {{ id: string, work: Work, drawing: string }} Beside another plate of the family
 * @typedef {{ work: Work, at: number, drawing: string, family?: Beside[] }} Entry at: ms since 1970; the family is here and not in the work, its drawings by their content
 * @typedef {Entry & { why: string }} Point an earlier state
 * @typedef {{ id: string, bytes: ArrayBuffer | Blob }} Drawing
 * @typedef {{ key: number, at: number, why: string, title: string, letter: string }} PointLine
 */

/** How many earlier states are kept. */
export const POINTS = 20;

const NAME = "stepbite";
const VERSION = 3;
/** Its parts; maps since version 2: what was kept before holds its maps itself, and is read as well. Since version 3 there may be other plates. */
const PARTS = Object.freeze(["work", "drawings", "points", "maps"]);
const NOW = "now";
/** A photograph of a pull is kept under its id behind this word. */
const PHOTO = "photo ";
/** A browser whose storage does not answer in so long, ms, has none: the page must not wait for it for good. */
const PATIENCE_MS = 8000;

/**
 * An entry without the maps of its plates, and what they are, by the plates' ids. Those ids are of the content: equal ones are the same map.
 * @template {Entry | Point} T @param {T} entry @returns {{ entry: T & { maps: string[] }, maps: Map<string, string> }}
 */
export function packed(entry) {
  /** @type {Map<string, string>} */
  const maps = new Map();
  /** @type {Set<string>} */
  const ids = new Set();
  const without = (/** @type {Work} */ { family: _, ...work }) => {
    const { plates = [], record = null } = work.job;
    for (const { id, map } of plates) {
      ids.add(id);
      if (map !== "") maps.set(id, map);
    }
    // Photographs of pulls lie among the maps: by their content, once each, and never written twice.
    for (const { id, jpeg } of record?.photos ?? []) {
      ids.add(PHOTO + id);
      if (jpeg !== "") maps.set(PHOTO + id, jpeg);
    }
    return { ...work, job: { ...work.job, plates: plates.map((plate) => ({ ...plate, map: "" })), ...(record && { record: { ...record, photos: record.photos.map(({ id }) => ({ id, jpeg: "" })) } }) } };
  };
  const { family = [] } = entry;
  const beside = family.map((kin) => ({ ...kin, work: without(kin.work) }));
  const own = without(entry.work);
  // `kin` are the drawings of the other plates: an index of its own, so that what was kept before stays as it is.
  return { entry: /** @type {any} */ ({ ...entry, work: own, family: beside, maps: [...ids], kin: [...new Set(family.map(({ drawing }) => drawing))] }), maps };
}

/** The entry with its maps in it again. One that is gone stays away: its plate is named all the same. @template {Entry | Point} T @param {T} entry @param {Map<string, string>} maps @returns {T} */
export function unpacked(entry, maps) {
  const within = (/** @type {Work} */ work) => {
    const { plates, record } = work.job;
    const photos = record?.photos.map(({ id, jpeg }) => ({ id, jpeg: jpeg || (maps.get(PHOTO + id) ?? "") }));
    const job = { ...work.job, ...(plates && { plates: plates.map((plate) => ({ ...plate, map: plate.map || (maps.get(plate.id) ?? "") })) }), ...(record && { record: { ...record, photos } }) };
    return plates || record ? { ...work, job } : work;
  };
  if (!entry.work.job.plates && !entry.work.job.record && !entry.family) return entry;
  const family = entry.family && { family: entry.family.map((kin) => ({ ...kin, work: within(kin.work) })) };
  return { ...entry, work: within(entry.work), ...family };
}

/** The drawings of a state, by their content. @param {Entry} entry */
export function drawingsOf({ drawing, family = [] }) {
  return [...new Set([drawing, ...family.map((kin) => kin.drawing)])];
}

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
    request.onupgradeneeded = ({ oldVersion }) => {
      const db = request.result;
      if (oldVersion < 1) {
        db.createObjectStore("work");
        db.createObjectStore("drawings");
        db.createObjectStore("points", { autoIncrement: true }).createIndex("drawing", "drawing");
      }
      const points = request.transaction?.objectStore("points");
      if (oldVersion < 2) {
        db.createObjectStore("maps");
        points?.createIndex("maps", "maps", { multiEntry: true });
      }
      points?.createIndex("kin", "kin", { multiEntry: true });
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

/** What neither the work at hand nor an earlier state needs goes. @param {IDBObjectStore} kept @param {IDBIndex[]} indexes of the earlier states' uses @param {Iterable<IDBValidKey>} now */
function forget(kept, indexes, now) {
  const used = new Set(now);
  const [uses, ...more] = indexes;
  const found = uses.openKeyCursor(null, "nextunique");
  found.onsuccess = () => {
    const cursor = found.result;
    if (cursor) {
      used.add(cursor.key);
      cursor.continue();
      return;
    }
    if (more.length) {
      forget(kept, more, used);
      return;
    }
    const all = kept.getAllKeys();
    all.onsuccess = () => {
      for (const id of all.result) if (!used.has(id)) kept.delete(id);
    };
  };
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
    const begun = () => this.#db.transaction(PARTS, mode, { durability: "strict" });
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
    return entry ? this.#whole(transaction, entry) : null;
  }

  /** An earlier state with its drawing. @param {number} key @returns {Promise<{ entry: Point, drawing: Blob } | null>} */
  async point(key) {
    const transaction = await this.#begin("readonly");
    /** @type {Point | undefined} */
    const entry = await answered(transaction.objectStore("points").get(key));
    return entry ? this.#whole(transaction, entry) : null;
  }

  /** With its drawing, and the maps of its plates. @template {Entry} T @param {IDBTransaction} transaction @param {T} entry @returns {Promise<{ entry: T, drawing: Blob }>} */
  async #whole(transaction, entry) {
    const works = [entry.work, ...(entry.family ?? []).map(({ work }) => work)];
    const large = works.flatMap(({ job }) => [...(job.plates ?? []).filter(({ map }) => map === "").map(({ id }) => id), ...(job.record?.photos ?? []).filter(({ jpeg }) => jpeg === "").map(({ id }) => PHOTO + id)]);
    const got = async (/** @type {string} */ name, /** @type {string[]} */ ids) => {
      const store = transaction.objectStore(name);
      const found = await Promise.all(ids.map((id) => answered(store.get(id))));
      return new Map(ids.map((id, i) => [id, found[i]]));
    };
    const [drawings, maps] = await Promise.all([got("drawings", drawingsOf(entry)), got("maps", [...new Set(large)])]);
    const blob = (/** @type {string} */ id) => {
      if (drawings.get(id) === undefined) throw new DrawingGone("its drawing is no longer in the browser's storage");
      return new Blob([drawings.get(id)]);
    };
    const { family = [], ...whole } = unpacked(entry, maps);
    const beside = family.map(({ id, work, drawing }) => ({ id, work, file: blob(drawing) }));
    return { entry: /** @type {any} */ ({ ...whole, work: { ...whole.work, family: beside } }), drawing: blob(entry.drawing) };
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
    for (const id of new Set([entry, point].flatMap((each) => each ? drawingsOf(each) : []))) {
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
    const maps = transaction.objectStore("maps");
    const [now, earlier] = [entry, point].map((each) => each && packed(each));
    if (now) work.put(now.entry, NOW);
    else work.delete(NOW);
    if (earlier) points.add(earlier.entry);
    for (const [id, map] of [...now?.maps ?? [], ...earlier?.maps ?? []]) {
      const there = maps.getKey(id);
      there.onsuccess = () => { if (there.result === undefined) maps.put(map, id); };
    }
    const keys = points.getAllKeys();
    keys.onsuccess = () => {
      for (const key of surplus(keys.result.map(Number))) points.delete(key);
      forget(kept, [points.index("drawing"), points.index("kin")], entry ? drawingsOf(entry) : []);
      forget(maps, [points.index("maps")], now?.entry.maps ?? []);
    };
    try {
      await done;
    } catch (error) {
      throw gone ?? error;
    }
  }

  /** Everything goes. */
  async clear() {
    const transaction = await this.#begin("readwrite");
    const done = ended(transaction);
    for (const name of PARTS) transaction.objectStore(name).clear();
    await done;
  }
}
