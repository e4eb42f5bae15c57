/**
 * A run through the plan, turn by turn: sound, painting, drying, biting, rinsing, and on to the next stop-out. Every turn is written down
 * before anything else happens, so that the run goes on after the page was loaded again. What it shows is built in `screens.js`.
 * @typedef {import("../../run/record.js").Run} Run
 * @typedef {import("../../run/clock.js").Moment} Moment
 * @typedef {import("../../../web/types.d.ts").LogEntry} LogEntry
 * @typedef {import("../../../web/types.d.ts").Happened} Happened
 */
import { agreed, left, now, passed, reached, timing } from "../../run/clock.js";
import { LOOKS } from "../../keeping/words.js";
import { disk } from "../../run/disk.js";
import { goesOn, record } from "../../run/record.js";
import { sounds, speak } from "../../run/sound.js";
import { wake } from "../../run/wake.js";
import { afterBite, bare } from "../../run/words.js";
import { frame } from "./frame.js";
import { screens } from "./screens.js";

/** The clock is looked at this often, ms: what it says does not depend on it. */
const LOOK_MS = 100;
/** The warning comes this long before the end, ms. */
const WARNING_MS = 10_000;
const LOOK_NAME = "stepbite.bath-look";

/** @param {number} ms */
const tenths = (ms) => Math.round(ms / 100) / 10;

/** @param {import("../../state.js").Desk} desk */
export function run(desk) {
  const kept = record(() => localStorage, disk());
  const sound = sounds();
  const lock = wake((sentence) => { awake = sentence; tell(); });
  /** @type {Run | null} */
  let on = null;
  let awake = "";
  let trouble = "";
  let talks = false;
  /** What the screen was last built for, and what was left at the last look. */
  let shownFor = "";
  /** @type {number[] | null} */
  let lefts = null;
  /** @type {any} */
  let timer = null;
  /** Entries go to the log one after another. */
  let writing = Promise.resolve();
  let tidying = false;
  let keeping = false;
  /** The next turn waits for the plan that knows of the last entry. */
  let waiting = false;
  let look = /** @type {"dark" | "light"} */ ("dark");
  try {
    look = localStorage.getItem(LOOK_NAME) === "light" ? "light" : "dark";
  } catch { /* none kept: dark */ }

  const screen = frame({
    leave,
    look() {
      look = look === "dark" ? "light" : "dark";
      screen.look(look);
      try {
        localStorage.setItem(LOOK_NAME, look);
      } catch { /* it holds until the page goes */ }
    },
  });
  screen.look(look);

  const plate = () => {
    const { info, settings } = desk.state;
    return `${info?.name ?? ""} ${settings.plate.width_mm} × ${settings.plate.height_mm} mm`;
  };

  /** Written down, then shown. @param {Partial<Run>} part */
  function turn(part) {
    if (!on) return;
    on = { ...on, ...part, log: desk.state.done.log };
    const { plan } = desk.state;
    if (plan) on.words = words(on);
    if (!kept.keep(on)) trouble = "This browser keeps nothing for the page (a private window, or its storage is full): don’t close or reload it until the run is done.";
    lefts = null;
    shownFor = "";
    sound.hush();
    screen.root.dataset.flash = "";
    lay();
    draw();
  }

  /** @param {Run} of */
  function words(of) {
    const { plan, letter, title, settings } = desk.state;
    const example = plan?.strip.kind === "example";
    const last = plan ? plan.tones.length - 1 : 0;
    const { number, phase } = of;
    const where = phase === "check" ? "before the run" : phase === "finished" ? "the last bite is done"
      : phase === "paint" || phase === "dry" ? `stop-out ${number} of ${last}`
      : `bite ${number} of ${last}${of.back ? ", once more" : ""}; ${bare(number, last)}`;
    const next = plan && number > 0 ? afterBite(plan, number, settings.bench.rinse_min, settings.bench.dry_min) : "";
    return { letter, title, where, next, example };
  }

  /** Sound laid ahead for a timing that counts down. */
  function lay() {
    const { timing: timed, phase } = on ?? {};
    const gone = timed ? passed(timed, now()) : null;
    if (!timed || timed.length_ms === null || gone?.kind !== "sure") return sound.lay([]);
    const over = timed.length_ms - gone.ms;
    sound.lay(phase === "bite" ? [{ call: "ten", in_s: (over - WARNING_MS) / 1000 }, { call: "time", in_s: over / 1000 }] : [{ call: "done", in_s: over / 1000 }]);
  }

  /** @param {string} [sentence] */
  function tell(sentence) {
    if (sentence !== undefined) trouble = sentence;
    const silent = on && on.phase !== "check" && sound.can && !sound.runs;
    screen.tell([trouble, on && on.phase !== "bite" ? awake : "", silent ? "No sound yet since the page was loaded: touch the screen, or press a key once. The flash comes all the same." : ""].filter(Boolean).join(" "));
  }

  const turns = screens({
    desk, screen, sound,
    get on() { return on; },
    turn,
    again() { shownFor = ""; draw(); },
    tell,
    talk: (/** @type {boolean} */ to) => { talks = to; },
    get talks() { return talks; },
    begin, start, lifted, answered, log, putBack, close, tidy,
  });

  /** The screen of this turn, built anew only when something it says has changed. */
  function draw() {
    if (!on) return;
    const { standing } = desk.state.plan ?? {};
    const fresh = JSON.stringify([on.phase, on.number, on.back, on.unlogged, on.conflict, standing, desk.state.done === desk.state.plannedDone, desk.state.plan !== null]);
    if (fresh !== shownFor) {
      shownFor = fresh;
      screen.show(turns.of(on));
      screen.root.dataset.half = "false";
      tell();
    }
    screen.head(on.words, turns.lift(on));
    tick();
  }

  /** A look at the clock. */
  function tick() {
    if (!on?.timing) return;
    const at = now();
    const gone = passed(on.timing, at);
    const passedMs = gone.kind === "sure" ? [gone.ms] : [gone.steady_ms, gone.wall_ms];
    const timed = on.timing;
    turns.tick(on, gone);
    const after = passedMs.map((ms) => left(timed, ms)).filter((ms) => ms !== null);
    const before = lefts;
    lefts = after;
    if (!before || before.length !== after.length) {
      if (after.some((ms) => ms <= 0)) screen.root.dataset.flash = "time";
      return;
    }
    const bite = on.phase === "bite";
    const marks = bite ? [{ name: "ten", left_ms: WARNING_MS }, { name: "time", left_ms: 0 }] : [{ name: "done", left_ms: 0 }];
    const due = after.flatMap((ms, i) => reached(marks, before[i], ms)).sort((a, b) => b.left_ms - a.left_ms).at(-1);
    if (!due) return;
    screen.root.dataset.flash = due.name === "ten" ? "ten" : "time";
    sound.due(/** @type {"ten" | "time" | "done"} */ (due.name));
    navigator.vibrate?.(due.name === "ten" ? [200] : [300, 150, 300, 150, 300]);
    if (screen.root.hidden) desk.notice(on.phase === "dry" ? `Stop-out ${on.number} has had its time to dry.` : `Rinsing and drying after bite ${on.number} has had its time.`);
    if (talks) speak(due.name === "ten" ? "Ten seconds." : bite ? "Lift the plate." : on.phase === "dry" ? "The varnish has had its time." : "Rinsing and drying time is over.");
  }

  function leave() {
    // A bite is not left: nobody else would stop it.
    if (!on || on.phase === "bite" || on.phase === "asked" || on.unlogged) return;
    if (on.phase === "check") {
      on = null;
      kept.forget();
    }
    close();
  }

  /** Back to the list. */
  function close() {
    if (on?.phase === "finished") {
      on = null;
      kept.forget();
    }
    // What dries goes on drying while something else is looked at, and rings.
    if (on?.phase !== "dry" && on?.phase !== "out") {
      clearInterval(timer);
      timer = null;
      sound.hush();
    }
    screen.open(false);
    lock.off();
    running(false);
    if (document.fullscreenElement) document.exitFullscreen().catch(() => {});
    desk.set({});
    /** @type {HTMLElement | null} */ (document.querySelector(".station.bath .begin-run"))?.focus();
  }

  /** While the run has the screen the page is not begun anew for anything. @param {boolean} running */
  function running(running) {
    queueMicrotask(() => desk.set({ running }));
  }

  function open() {
    screen.open(true);
    running(true);
    lock.on();
    timer ??= setInterval(tick, LOOK_MS);
    shownFor = "";
    draw();
  }

  /** Whether a turn left half way is still the one the log asks for. @param {Run} left */
  function fits({ phase, number, back, unlogged }) {
    const standing = desk.state.plan?.standing;
    if (!standing || unlogged) return Boolean(unlogged);
    const { next, bitten, painted } = standing;
    const bite = next.kind === "bite" && next.bite === number;
    return phase === "paint" ? next.kind === "paint" && next.stop_out === number : phase === "dry" ? bite : phase === "ready" ? back ? bitten === number && painted === number : bite
      : phase === "out" && bitten === number && painted === number;
  }

  /** From the station's list. */
  function enter() {
    // One plate has one log: it is written in one tab alone.
    if (desk.state.kept.looks) return desk.notice(LOOKS);
    if (!on || on.plate !== plate() || plateNumber !== desk.state.plateNumber) {
      plateNumber = desk.state.plateNumber;
      on = {
        plate: plate(), phase: "check", number: 0, back: false, timing: null, planned_s: null, before_s: 0, celsius: null, factor: null, unlogged: null, conflict: null,
        words: { letter: "", title: "", where: "", next: "", example: false }, log: [],
      };
    } else if (!fits(on)) {
      // The log was put right meanwhile, or what is open is another copy of the work.
      on = { ...on, phase: "check", timing: null, number: 0, unlogged: null };
    }
    open();
    document.documentElement.requestFullscreen?.().catch(() => {});
    turn({});
  }

  /** The turn that comes by the log. */
  function begin() {
    waiting = desk.state.done !== desk.state.plannedDone;
    if (waiting) return;
    const { next, due } = desk.state.plan?.standing ?? {};
    if (!next) return;
    // Nothing is painted or bitten before it is decided how to go on.
    if (due) turn({ phase: "out", number: due.after, back: false, timing: null, conflict: null });
    else if (next.kind === "paint") turn({ phase: "paint", number: next.stop_out, back: false, timing: timing("painting", null, now()), planned_s: null, conflict: null });
    else if (next.kind === "bite") turn({ phase: "ready", number: next.bite, back: false, ...biteOf(next.bite), timing: null, conflict: null });
    else turn({ phase: "finished", timing: null, back: false });
  }

  /** @param {number} bite */
  function biteOf(bite) {
    const { plan } = desk.state;
    const set = plan && plan.strip.kind !== "missing" ? plan.tones[bite].set_s : NaN;
    return { planned_s: Number.isFinite(set) ? set : null, before_s: plan?.standing.total_s ?? 0 };
  }

  /** The plate goes in. @param {Moment} at */
  function start(at) {
    if (!on) return;
    turn({ factor: desk.state.plan?.bath.factor ?? null, phase: "bite", timing: timing("bite", on.planned_s === null ? null : on.planned_s * 1000, at), conflict: null });
  }

  /** The plate comes out. @param {Moment} at when the press began */
  function lifted(at) {
    if (!on?.timing) return;
    const gone = passed(on.timing, at);
    if (gone.kind === "conflict") turn({ phase: "asked", timing: null, conflict: { at, steady_ms: gone.steady_ms, wall_ms: gone.wall_ms } });
    else out(gone.ms, at);
  }

  /** What was asked about the clocks. @param {number} ms that have passed */
  function answered(ms) {
    if (!on) return;
    if (on.phase === "asked" && on.conflict) out(ms, on.conflict.at);
    else if (on.timing) turn({ timing: agreed(on.timing, now(), ms) });
  }

  /** @param {number} ms in the bath @param {Moment} at */
  function out(ms, at) {
    if (!on) return;
    const { number: bite, planned_s, celsius, back } = on;
    const dip = { bite, planned_s: planned_s ?? 0, actual_s: tenths(Math.max(0, ms)), celsius, factor: on.factor };
    const rinse = desk.state.settings.bench.rinse_min;
    turn({
      phase: "out", conflict: null, timing: timing("rinsing", rinse ? rinse * 60_000 : null, at),
      unlogged: { at_ms: Math.round(at.wall), note: "", kind: back ? "put_back" : "bitten", ...dip },
    });
    tidy();
  }

  /** Takes what is written down into the log. */
  function tidy() {
    const entry = on?.unlogged;
    if (!entry || tidying) return;
    tidying = true;
    add(entry).then(() => {
      tell("");
      if (on?.unlogged === entry) turn0({ unlogged: null });
    }, (error) => tell(`${error.message} It is not in the log yet: ${"actual_s" in entry ? `bite ${entry.bite}, ${entry.actual_s} s. ` : ""}Write it down, then try again.`)).finally(() => { tidying = false; });
  }

  /** As `turn`, with clock and sound as they are. @param {Partial<Run>} part */
  function turn0(part) {
    if (!on) return;
    on = { ...on, ...part, log: desk.state.done.log };
    kept.keep(on);
    draw();
  }

  /**
   * The log with one more entry, once the core has taken it: one that can't be is refused in a sentence, and nothing has changed.
   * @param {LogEntry} entry @param {Partial<import("../../../web/types.d.ts").Done>} [besides]
   */
  function add(entry, besides = {}) {
    const { plateNumber } = desk.state;
    const work = writing.then(() => desk.live.alone(async () => {
      if (plateNumber !== desk.state.plateNumber) throw new Error("Another plate was opened meanwhile: this belongs to the one before.");
      const done = { ...desk.state.done, ...besides, log: [...desk.state.done.log, entry] };
      await desk.bridge.call("plan", { ...desk.state.settings, done });
      desk.set({ done });
    }));
    writing = work.catch(() => {});
    return work;
  }

  /** What is painted is kept as a map, also where an entry came without one. */
  function freeze() {
    keeping = true;
    desk.live.alone(() => desk.bridge.call("freeze", null)).then((map) => desk.set({ done: { ...desk.state.done, kept: map } }), desk.refused).finally(() => { keeping = false; });
  }

  /** @param {Happened} what @param {{ note?: string, freeze?: boolean }} [how] */
  async function log(what, { note = "", freeze = false } = {}) {
    const entry = /** @type {LogEntry} */ ({ at_ms: Date.now(), note, ...what });
    /** @type {Partial<import("../../../web/types.d.ts").Done>} */
    let besides = {};
    if (freeze) {
      besides = { kept: await desk.live.alone(() => desk.bridge.call("freeze", null)) };
    }
    await add(entry, besides);
    if (on) turn0({});
  }

  /** The same bite once more, before anything is painted. @param {number} planned_s */
  function putBack(planned_s) {
    turn({ phase: "ready", back: true, planned_s, before_s: desk.state.plan?.standing.total_s ?? 0, timing: null });
  }

  // Browsers sound only after a touch or a key on the page as it is now loaded.
  for (const kind of ["pointerdown", "keydown"]) {
    addEventListener(kind, () => {
      if (screen.root.hidden || !sound.can || sound.runs || !on || on.phase === "check") return;
      sound.wakeUp();
      setTimeout(() => {
        lay();
        tell();
      }, 150);
    }, true);
  }

  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState !== "visible" || !on || screen.root.hidden) return;
    sound.wakeUp();
    lay();
    tick();
  });
  // The way back of the browser would leave a plate in the acid unseen.
  addEventListener("hashchange", () => {
    if (!screen.root.hidden && location.hash !== "#bath") location.hash = "bath";
  });
  addEventListener("beforeunload", (event) => {
    if (on?.phase === "bite" && !screen.root.hidden) event.preventDefault();
  });

  let restoring = false;
  /** Whether the work is another tab's. */
  let looked = false;
  /** Which plate the run is of, as the page counts them. */
  let plateNumber = 0;

  /** A run that was on when the page went, or the tab that held it, is on again. @param {Run | null} [found] */
  function resume(found = kept.found()) {
    if (!found || found.phase === "check" || found.phase === "finished") return;
    on = found;
    plateNumber = desk.state.plateNumber;
    restoring = true;
    location.hash = "bath";
    open();
    lay();
  }
  resume();
  // The machine itself may have gone: then the disk knows of a later turn.
  kept.late().then((found) => {
    if (found === undefined || looked || desk.state.kept.looks) return;
    if (found) return resume(found);
    on = null;
    close();
  });

  return {
    enter,
    /** Whether a run was left half way. */
    get on() { return on !== null && on.phase !== "check"; },
    /** @param {import("../../state.js").State} state */
    update(state) {
      // The run is on in the tab that holds the work; this one only found its record.
      if (state.kept.looks) {
        looked = true;
        if (!on) return;
        on = null;
        close();
        return;
      }
      if (looked && state.plan) {
        looked = false;
        if (!on) return resume();
      }
      if (!state.plan) return;
      if (state.plan.standing.to_keep && state.plannedDone === state.done && !keeping) freeze();
      if (!on) return;
      // Another plate was opened, while this one dried say: what has its name and size may still be another.
      if (plateNumber !== state.plateNumber) {
        on = null;
        clearInterval(timer);
        timer = null;
        return;
      }
      const same = on.plate === plate();
      if (restoring && same && state.plannedDone === state.done) {
        restoring = false;
        // Written a moment before the page went, and not yet in what was opened again.
        const { log } = on;
        if (goesOn(log, state.done.log)) {
          queueMicrotask(() => desk.set({ done: { ...desk.state.done, log } }));
          return;
        }
      }
      if (waiting && state.plannedDone === state.done) return begin();
      if (on.unlogged && !screen.root.hidden && state.plannedDone === state.done) {
        const { next } = state.plan.standing;
        // Where the log of what is open does not reach this bite, the turn says so, and keeps the seconds.
        if (same && next.kind === "bite" && on.unlogged.kind === "bitten" && next.bite === on.unlogged.bite) queueMicrotask(tidy);
      }
      if (!screen.root.hidden) draw();
    },
  };
}
