/**
 * Things kept under their names in this browser, the latest first. Pure but for the storage it is given: the page hands over its own, a
 * test another.
 */

/** Written into the store, so that a later page can tell what it finds. */
const VERSION = 1;
const DAY_MS = 86_400_000;

/**
 * @template {{ id: string }} T
 * @param {() => Storage | null} storage gives the browser's own, or throws where there is none
 * @param {string} name of the shelf @param {(found: any) => boolean} whole whether something found there is one of these
 */
export function shelf(storage, name, whole) {
  /** @returns {(T & { kept: string })[]} kept: the day, as YYYY-MM-DD */
  function all() {
    try {
      const found = JSON.parse(storage()?.getItem(name) ?? "null");
      // What an older page or another hand left is not trusted.
      return found?.version === VERSION && Array.isArray(found.items)
        ? found.items.filter((/** @type {any} */ item) => typeof item?.id === "string" && typeof item.kept === "string" && whole(item)) : [];
    } catch {
      return [];
    }
  }
  /** @param {(T & { kept: string })[]} items whether they could be kept */
  function write(items) {
    try {
      const store = storage();
      store?.setItem(name, JSON.stringify({ version: VERSION, items }));
      return store !== null;
    } catch {
      return false;
    }
  }
  return {
    all,
    /** Keeps a thing under its name; one of the same name is replaced. @param {T} item @param {Date} now */
    put: (item, now) => write([{ ...item, kept: day(now) }, ...all().filter((each) => each.id !== item.id)]),
    /** @param {string} id */
    remove: (id) => write(all().filter((each) => each.id !== id)),
  };
}

/** The day of a moment, as it is here. @param {Date} now */
export function day(now) {
  return [now.getFullYear(), now.getMonth() + 1, now.getDate()].map((part) => String(part).padStart(2, "0")).join("-");
}

/** Whole days since a day, or null where there is none or it lies ahead. @param {string | undefined} past @param {Date} now */
export function ageDays(past, now) {
  const then = /^(\d{4})-(\d{2})-(\d{2})$/.exec(past ?? "");
  if (!then) return null;
  const at = Date.UTC(Number(then[1]), Number(then[2]) - 1, Number(then[3]));
  const days = Math.round((Date.UTC(now.getFullYear(), now.getMonth(), now.getDate()) - at) / DAY_MS);
  return days >= 0 && Number.isFinite(days) ? days : null;
}

/** "3 days", "5 weeks". @param {number} days at least one */
export function span(days) {
  if (days < 14) return `${days} ${days === 1 ? "day" : "days"}`;
  if (days < 70) return `${Math.round(days / 7)} weeks`;
  if (days < 730) return `${Math.round(days / 30.4)} months`;
  return `${Math.floor(days / 365.25)} years`;
}
