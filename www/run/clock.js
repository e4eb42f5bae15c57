/**
 * The clock of the bath. Pure: it is handed moments and a store, reads no clock itself, and counts no ticks; what has passed is always the
 * difference of two moments. So a tab that sleeps, a timer that comes late or a page loaded again changes nothing.
 *
 * A moment is read from two clocks at once. The steady one is `performance.timeOrigin + performance.now()`: it never jumps while the
 * browser runs, and goes on over a reload, because the time origin is taken from the browser's one estimate of the Unix epoch on its
 * monotonic clock (W3C High Resolution Time, section 4). It may stand still while the machine sleeps. The wall clock goes on then, but
 * whoever sets it moves it. Where the two tell different stories nobody here chooses: both are told, and the printer is asked. What neither
 * can tell: a wall clock set while the whole browser was closed. The time of a dip can be typed once it is logged.
 *
 * @typedef {{ steady: number, wall: number }} Moment both in ms
 * @typedef {{ kind: "sure", ms: number } | { kind: "conflict", steady_ms: number, wall_ms: number }} Passed
 * @typedef {object} Timing
 * @property {string} what that is timed
 * @property {Moment} from
 * @property {number | null} length_ms null: it counts up
 * @property {number} spent_ms what counts besides: passed before `from`
 */

/** Two clocks that differ by more than this, in ms, are in conflict: a slow correction of the wall clock stays far below it. */
export const APART_MS = 2_000;

/** Both clocks of this machine now. @returns {Moment} */
export function now() {
  return { steady: performance.timeOrigin + performance.now(), wall: Date.now() };
}

/** An event is taken for this much older than the page hears of it at most, ms: more than a busy page ever is late. */
const LATEST_MS = 5_000;

/** When an event happened, which a busy page hears of later (DOM Standard, `timeStamp`: ms on the clock of `performance.now()`). @param {Event} event @returns {Moment} */
export function momentOf(event) {
  const late = performance.now() - event.timeStamp;
  const at = now();
  return late >= 0 && late <= LATEST_MS ? { steady: at.steady - late, wall: at.wall - late } : at;
}

/** A moment that was noted by the wall clock alone. @param {number} wall ms @param {Moment} at now */
export function momentAt(wall, at) {
  return { steady: at.steady - (at.wall - wall), wall };
}

/** @param {string} what @param {number | null} length_ms @param {Moment} from @param {number} [spent_ms] @returns {Timing} */
export function timing(what, length_ms, from, spent_ms = 0) {
  return { what, from: { ...from }, length_ms, spent_ms };
}

/** What has passed. @param {Timing} timing @param {Moment} at @returns {Passed} */
export function passed({ from, spent_ms }, at) {
  const steady = at.steady - from.steady;
  const wall = at.wall - from.wall;
  // Within the limit the steady clock is the finer one.
  if (Math.abs(steady - wall) <= APART_MS && steady >= 0) return { kind: "sure", ms: steady + spent_ms };
  return { kind: "conflict", steady_ms: steady + spent_ms, wall_ms: wall + spent_ms };
}

/** Whether an answer to a conflict can be one: nothing passes backwards, and nothing lies in the bath for more than a day. @param {number} ms */
export function likely(ms) {
  return ms >= 0 && ms <= 86_400_000;
}

/** The same timing once somebody has said what has passed: both clocks agree again from here on. @param {Timing} timing @param {Moment} at @param {number} ms @returns {Timing} */
export function agreed(timing, at, ms) {
  return { ...timing, from: { ...at }, spent_ms: ms };
}

/** What is left, less than nothing when it is over; null where it counts up. @param {Timing} timing @param {number} ms that have passed */
export function left(timing, ms) {
  return timing.length_ms === null ? null : timing.length_ms - ms;
}

/** Whole seconds to show of what is left: 0:01 stands until nothing is left, so that 0:00 is the moment itself. @param {number} ms */
export function leftSeconds(ms) {
  return ms >= 0 ? Math.ceil(ms / 1000 - 1e-6) : -Math.floor(-ms / 1000 + 1e-6);
}

/** @typedef {{ name: string, left_ms: number }} Mark something to be told when so much is left */

/**
 * The marks reached since the look before; after a sleep several at once, of which only the last is still worth telling.
 * @param {Mark[]} marks @param {number} before what was left then @param {number} after what is left now
 */
export function reached(marks, before, after) {
  return marks.filter((mark) => before > mark.left_ms && after <= mark.left_ms).sort((a, b) => b.left_ms - a.left_ms);
}

/** "0:16" of seconds, with hours from one on; before nothing a true minus. @param {number} seconds whole ones */
export function digits(seconds) {
  const whole = Math.abs(seconds);
  const [h, m, s] = [Math.floor(whole / 3600), Math.floor(whole / 60) % 60, whole % 60];
  const two = (/** @type {number} */ n) => String(n).padStart(2, "0");
  return `${seconds < 0 ? "−" : ""}${h > 0 ? `${h}:${two(m)}` : m}:${two(s)}`;
}
