/**
 * One text in the browser's database, written through to the disk before it is called done. What `localStorage` is told reaches the disk only
 * seconds later (five in Chromium, and longer when much is written): a battery that dies meanwhile takes it along. It is a database of its
 * own, so that no drawing that is being written holds it up.
 */

const NAME = "stepbite-run";
const STORE = "run";
const KEY = "now";

/** @param {IDBFactory | undefined} [factory] */
export function disk(factory = globalThis.indexedDB) {
  /** @type {Promise<IDBDatabase> | null} */
  let opened = null;

  function database() {
    opened ??= new Promise((resolve, reject) => {
      if (!factory) throw new DOMException("There is no storage.", "NotFoundError");
      const request = factory.open(NAME, 1);
      request.onupgradeneeded = () => request.result.createObjectStore(STORE);
      request.onerror = () => reject(request.error);
      request.onsuccess = () => {
        const db = request.result;
        db.onversionchange = () => { db.close(); opened = null; };
        // A system short of memory may end the connection under the page.
        db.onclose = () => { opened = null; };
        resolve(db);
      };
    });
    opened.catch(() => { opened = null; });
    return opened;
  }

  /** @param {IDBTransactionMode} mode */
  async function begun(mode) {
    const db = await database();
    try {
      return db.transaction(STORE, mode, { durability: "strict" });
    } catch {
      // The connection had ended: once more with a new one.
      opened = null;
      return (await database()).transaction(STORE, mode, { durability: "strict" });
    }
  }

  return {
    /** @param {string} text */
    async put(text) {
      const transaction = await begun("readwrite");
      await new Promise((resolve, reject) => {
        transaction.oncomplete = resolve;
        transaction.onabort = () => reject(transaction.error);
        transaction.objectStore(STORE).put(text, KEY);
      });
    },
    /** @returns {Promise<string | null>} */
    async get() {
      const transaction = await begun("readonly");
      return new Promise((resolve, reject) => {
        const request = transaction.objectStore(STORE).get(KEY);
        request.onsuccess = () => resolve(request.result ?? null);
        request.onerror = () => reject(request.error);
      });
    },
  };
}
