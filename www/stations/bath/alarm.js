/**
 * What is told when a time is up, and 10 s before the end of a bite: heard, seen, felt, spoken where that was asked for, and in words for a
 * screen reader. A plate that stays in is told of again and again. What dries of other plates of a family is told by its letter, but while a plate is in
 * the bath nothing else rings: varnish can wait.
 *
 * @typedef {import("../../run/record.js").Run} Run
 * @typedef {import("../../run/clock.js").Passed} Passed
 * @typedef {import("../../run/clock.js").Mark} Mark
 */
import { left, now, passed, reached } from "../../run/clock.js";
import { speak } from "../../run/sound.js";
import { waitLeft, waitsBeside, waitWords } from "../../run/all.js";

/** The warning comes this long before the end, ms. */
const WARNING_MS = 10_000;
/** The end of a bite is told again so often, ms, and so many times. */
const AGAIN_MS = 10_000;
const AGAINS = 30;
/** The notes of a wait that is over have sounded after this, ms: to lay others takes off those that sound. */
const SOUNDED_MS = 2_000;
const NAME = "stepbite.bath-voice";

/** What is told, by how much is left. @type {Mark[]} */
const OF_A_BITE = [{ name: "ten", left_ms: WARNING_MS }, ...Array.from({ length: AGAINS + 1 }, (_, i) => ({ name: "time", left_ms: -AGAIN_MS * i }))];
/** @type {Mark[]} */
const OF_A_WAIT = [{ name: "done", left_ms: 0 }];

/**
 * @param {ReturnType<typeof import("../../run/sound.js").sounds>} sound
 * @param {{ flash(name: "" | "ten" | "time"): void, rung(name: "" | "other"): void, call(sentence: string): void, away(sentence: string): void }} given `away`: said where the run is not on screen; `rung`: of another plate
 */
export function alarm(sound, given) {
  let talks = false;
  try {
    talks = localStorage.getItem(NAME) === "yes";
  } catch { /* asked for anew then */ }
  /** What was left at the last look, by each clock that may be right. @type {number[] | null} */
  let lefts = null;
  /** And of each other plate that dries, by what it is. @type {Map<string, number>} */
  const others = new Map();
  /** When the next is laid ahead, on the steady clock, ms: only the first of several waits is. */
  let layAt = Infinity;

  /** Sound laid ahead for a timing that counts down. @param {Run | null} run */
  function lay(run) {
    layAt = Infinity;
    const { timing: timed, phase } = run ?? {};
    const gone = timed ? passed(timed, now()) : null;
    const over = timed && timed.length_ms !== null && gone?.kind === "sure" ? timed.length_ms - gone.ms : null;
    if (phase === "bite") return sound.lay(over === null ? [] : [{ call: "ten", in_s: (over - WARNING_MS) / 1000 }, { call: "time", in_s: over / 1000 }]);
    const at = now();
    const dry = phase === "asked" ? [] : (run ? waitsBeside(run) : []).flatMap((wait) => waitLeft(wait, at) ?? []);
    const first = Math.min(...[...(over === null ? [] : [over]), ...dry].filter((ms) => ms > 0));
    sound.lay(Number.isFinite(first) ? [{ call: "done", in_s: first / 1000 }] : []);
  }

  /** @param {Run} run @param {string} name */
  function words({ phase, number }, name) {
    return name === "ten" ? "Ten seconds." : phase === "bite" ? "Lift the plate." : phase === "dry" ? `Stop-out ${number} has had its time to dry.` : `Rinsing and drying after bite ${number} has had its time.`;
  }

  return {
    get talks() { return talks; },
    /** @param {boolean} to */
    talk(to) {
      talks = to;
      try {
        localStorage.setItem(NAME, to ? "yes" : "no");
      } catch { /* it holds until the page goes */ }
    },
    lay,
    /** Another turn: nothing of the one before is told any more. @param {Run | null} run */
    begin(run) {
      lefts = null;
      given.flash("");
      given.rung("");
      given.call("");
      lay(run);
    },
    /** A look at what dries of other plates. @param {Run} run */
    rest(run) {
      if (run.phase === "bite" || run.phase === "asked") return;
      const at = now();
      const known = new Set();
      for (const wait of waitsBeside(run)) {
        const key = `${wait.id} ${wait.what} ${wait.number}`;
        const ms = waitLeft(wait, at);
        known.add(key);
        if (ms === null) continue;
        const before = others.get(key);
        others.set(key, ms);
        if (before === undefined || before <= 0 || ms > 0) continue;
        const sentence = waitWords(wait);
        given.rung("other");
        given.call(sentence);
        given.away(sentence);
        sound.due("done");
        layAt = at.steady + SOUNDED_MS;
        navigator.vibrate?.([300, 150, 300, 150, 300]);
        if (talks) speak(sentence);
      }
      for (const key of others.keys()) if (!known.has(key)) others.delete(key);
      if (at.steady >= layAt) lay(run);
    },
    /** A look at the clock. @param {Run} run @param {Passed} gone */
    look(run, gone) {
      const timed = run.timing;
      if (!timed) return;
      const after = (gone.kind === "sure" ? [gone.ms] : [gone.steady_ms, gone.wall_ms]).map((ms) => left(timed, ms)).filter((ms) => ms !== null);
      const before = lefts;
      lefts = after;
      if (!before || before.length !== after.length) {
        // Shown as it stands, without a call: what came before was told, or nobody was there.
        const warned = run.phase === "bite" && (timed.length_ms ?? 0) > WARNING_MS;
        if (after.some((ms) => ms <= 0)) given.flash("time");
        else if (warned && after.some((ms) => ms <= WARNING_MS)) given.flash("ten");
        return;
      }
      const due = after.flatMap((ms, i) => reached(run.phase === "bite" ? OF_A_BITE : OF_A_WAIT, before[i], ms)).sort((a, b) => b.left_ms - a.left_ms).at(-1);
      if (!due) return;
      const sentence = words(run, due.name);
      given.flash(due.name === "ten" ? "ten" : "time");
      given.call(sentence);
      given.away(sentence);
      sound.due(/** @type {"ten" | "time" | "done"} */ (due.name));
      if (due.name === "done") layAt = now().steady + SOUNDED_MS;
      navigator.vibrate?.(due.name === "ten" ? [200] : [300, 150, 300, 150, 300]);
      if (talks) speak(sentence);
    },
  };
}
