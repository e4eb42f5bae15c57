/**
 * Keeps the screen awake while a run is on. The browser takes the lock away whenever the page is hidden (W3C Screen Wake Lock API), so it is
 * taken again on return; where it is refused the page says so, since the clock goes on all the same.
 */

const REFUSED = "This device won’t keep its screen awake for the page: set it to stay on, and keep it on its charger. The clock goes on with a dark screen, and is right when it comes back; sound may not.";

/**
 * @typedef {{ release(): Promise<void>, released: boolean, addEventListener?(kind: "release", work: () => void): void }} Lock
 */

/** @param {(sentence: string) => void} tell a sentence where it is refused, nothing where it holds */
export function wake(tell) {
  /** @type {Lock | null} */
  let lock = null;
  let wanted = false;
  /** One is being asked for: a second would never be given back. */
  let asking = false;

  async function take() {
    const api = /** @type {any} */ (navigator).wakeLock;
    if (!wanted || asking || document.visibilityState !== "visible" || (lock && !lock.released)) return;
    asking = true;
    try {
      if (!api) throw new Error("none");
      const held = /** @type {Lock} */ (await api.request("screen"));
      // The machine takes it away by itself too, as when its battery runs low.
      held.addEventListener?.("release", take);
      if (wanted) lock = held;
      else await held.release();
      tell("");
    } catch {
      lock = null;
      if (wanted) tell(REFUSED);
    } finally {
      asking = false;
    }
  }

  document.addEventListener("visibilitychange", take);
  return {
    on() {
      wanted = true;
      return take();
    },
    async off() {
      wanted = false;
      const held = lock;
      lock = null;
      await held?.release().catch(() => {});
    },
  };
}
