/**
 * Undo: named values of the past and of the future. Pure: every function gives a new history. A value may be a part of what there is, the
 * part that its step changed; `now` is then the same part as it stands.
 * One gesture (a drag, a row of key presses on one joint) is one step.
 */

/** @template T @typedef {{ name: string, value: T, gesture: string | null }} Step */
/** @template T @typedef {{ past: Step<T>[], future: Step<T>[] }} History */

/** How many steps are kept. */
export const DEPTH = 400;

/** @template T @returns {History<T>} */
export function empty() {
  return { past: [], future: [] };
}

/**
 * Remembers the value before a change.
 * @template T @param {History<T>} history @param {string} name what was done, "break 4 moved"
 * @param {T} before @param {string | null} [gesture] changes of one gesture are one step
 * @returns {History<T>}
 */
export function record(history, name, before, gesture = null) {
  const last = history.past.at(-1);
  if (last && gesture !== null && last.gesture === gesture) {
    return { past: [...history.past.slice(0, -1), { ...last, name }], future: [] };
  }
  return { past: [...history.past, { name, value: before, gesture }].slice(-DEPTH), future: [] };
}

/**
 * Forgets every step to a value that was refused: neither Undo nor Redo leads there again.
 * @template T @param {History<T>} history @param {(value: T) => boolean} refused @returns {History<T>}
 */
export function without(history, refused) {
  const kept = (/** @type {Step<T>} */ { value }) => !refused(value);
  return { past: history.past.filter(kept), future: history.future.filter(kept) };
}

/** Ends the gesture under way, so that the next change is a step of its own. @template T @param {History<T>} history @returns {History<T>} */
export function settle(history) {
  const last = history.past.at(-1);
  if (!last || last.gesture === null) return history;
  return { ...history, past: [...history.past.slice(0, -1), { ...last, gesture: null }] };
}

/**
 * Steps back. @template T @param {History<T>} history @param {T} now
 * @returns {{ history: History<T>, value: T, name: string } | null} null when there is nothing to undo
 */
export function undo(history, now) {
  const last = history.past.at(-1);
  if (!last) return null;
  const future = [...history.future, { name: last.name, value: now, gesture: null }];
  return { history: { past: history.past.slice(0, -1), future }, value: last.value, name: last.name };
}

/**
 * Steps forward again. @template T @param {History<T>} history @param {T} now
 * @returns {{ history: History<T>, value: T, name: string } | null}
 */
export function redo(history, now) {
  const next = history.future.at(-1);
  if (!next) return null;
  const past = [...history.past, { name: next.name, value: now, gesture: null }].slice(-DEPTH);
  return { history: { past, future: history.future.slice(0, -1) }, value: next.value, name: next.name };
}
