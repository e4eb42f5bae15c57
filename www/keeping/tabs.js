/** One tab works, others look on: by the browser's own locks (W3C Web Locks), which end with the tab, however it ends. */

const NAME = "stepbite-work";

/**
 * @param {LockManager | undefined} locks
 * @param {{ works(waited: boolean): void, looks(): void }} told `works`: this tab holds the work, at once or after the tab before closed; `looks`: another one does
 */
export async function takePlace(locks, told) {
  if (!locks) {
    // Without locks nobody can tell; the browsers the page needs have them wherever it has a safe origin.
    told.works(false);
    return;
  }
  /** Held until the tab ends. */
  const forGood = () => new Promise(() => {});
  const taken = await new Promise((resolve) => {
    // Where locks are refused nobody can tell either, as without them.
    locks.request(NAME, { ifAvailable: true }, (lock) => {
      resolve(lock !== null);
      return lock ? forGood() : undefined;
    }).catch(() => resolve(true));
  });
  if (taken) {
    told.works(false);
    return;
  }
  told.looks();
  locks.request(NAME, () => {
    told.works(true);
    return forGood();
  }).catch(() => {});
}
