/**
 * Keeps the screen awake while a run is on. The browser takes the lock away whenever the page is hidden (W3C Screen Wake Lock API), so it is
 * taken again on return; where it is refused the page says so, since the clock goes on all the same.
 */

const REFUSED = "This device won’t keep its screen awake for the page: set it to stay on, and keep it on its charger. The clock goes on with a dark screen, and is right when it comes back; sound may not.";

/** @param {(sentence: string) => void} tell a sentence where it is refused, nothing where it holds */
export function wake(tell) {
  /** @type {{ release(): Promise<void>, released: boolean } | null} */
  let lock = null;
  let wanted = false;

  async function take() {
    const api = /** @type {any} */ (navigator).wakeLock;
    if (!wanted || document.visibilityState !== "visible" || (lock && !lock.released)) return;
    try {
      if (!api) throw new Error("none");
      lock = await api.request("screen");
      tell("");
      if (!wanted) await lock?.release();
    } catch {
      lock = null;
      if (wanted) tell(REFUSED);
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
