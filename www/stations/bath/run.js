/**
 * A run through the plan, turn by turn: sound, painting, drying, biting, rinsing, and on to the next stop-out. Every turn is written down
 * before anything else happens, so that the run goes on after the page was loaded again. What it shows is built in `screens.js`.
 * @typedef {import("../../run/record.js").Run} Run
 * @typedef {import("../../run/clock.js").Moment} Moment
 * @typedef {import("../../../web/types.d.ts").LogEntry} LogEntry
 * @typedef {import("../../../web/types.d.ts").Happened} Happened
 */
import { agreed, now, passed, timing } from "../../run/clock.js";
import { LOOKS } from "../../keeping/words.js";
import { disk } from "../../run/disk.js";
import { goesOn, record } from "../../run/record.js";
import { sounds, voicesChange } from "../../run/sound.js";
import { wake } from "../../run/wake.js";
import { asPlanned, comes, fits, where } from "../../run/comes.js";
import { afterBite } from "../../run/words.js";
import { settled } from "../../stale.js";
import { dipEntries } from "../../together.js";
import { alarm } from "./alarm.js";
import { frame } from "./frame.js";
import { screens } from "./screens.js";

/** The clock is looked at this often, ms: what it says does not depend on it. */
const LOOK_MS = 100;

/** @param {number} ms */
const tenths = (ms) => Math.round(ms / 100) / 10;

/** @param {import("../../state.js").Desk} desk @param {import("./entries.js").Entries} entries */
export function run(desk, entries) {
  const kept = record(() => localStorage, disk());
  const sound = sounds(() => {
    if (!on) return;
    if (on.phase === "check") again();
    else {
      alarms.lay(on);
      tell();
    }
  });
  const lock = wake((sentence) => { awake = sentence; tell(); });
  /** @type {Run | null} */
  let on = null;
  let awake = "";
  let trouble = "";
  /** What the screen was last built for. */
  let shownFor = "";
  /** @type {any} */
  let timer = null;
  /** The entry on its way into the log, and the one that was refused. @type {LogEntry | null} */
  let tidying = null;
  /** @type {LogEntry | null} */
  let refused = null;
  let keeping = false;
  /** The run was taken up from its record: the log kept there may be longer than what was opened, until the run is left. */
  let restoring = false;
  let adopting = false;
  /** Whether it was seen to be a run of what is open. */
  let known = true;
  /** The next turn waits for the plan that knows of the last entry. */
  let waiting = false;
  const screen = frame({ leave });

  const alarms = alarm(sound, {
    flash: (name) => { screen.root.dataset.flash = name; },
    call: (sentence) => screen.call(sentence),
    away: (sentence) => { if (screen.root.hidden) desk.notice(sentence); },
  });

  const plate = () => {
    const { info, settings } = desk.state;
    return `${info?.name ?? ""} ${settings.plate.width_mm} × ${settings.plate.height_mm} mm`;
  };

  /** The log to keep beside the run. @param {Run} of */
  function logOf(of) {
    const { log } = desk.state.done;
    return restoring && goesOn(of.log, log) ? of.log : log;
  }

  /** Written down, with clock, sound and screen as they are. @param {Partial<Run>} part */
  function keep(part) {
    if (!on) return;
    on = { ...on, ...part, log: logOf(on) };
    if (!kept.keep(on)) trouble = "This browser keeps nothing for the page (a private window, or its storage is full): don’t close or reload it until the run is done.";
  }

  /** Written down, then shown. @param {Partial<Run>} part */
  function turn(part) {
    if (!on) return;
    on = { ...on, ...part };
    keep(desk.state.plan && on.plate === plate() ? { words: words(on) } : {});
    shownFor = "";
    sound.hush();
    alarms.begin(on);
    draw();
  }

  /** @param {Run} of */
  function words(of) {
    const { plan, letter, title, settings } = desk.state;
    const next = plan && of.number > 0 ? afterBite(plan, of.joins?.to ?? of.number, settings.bench.rinse_min, settings.bench.dry_min) : "";
    return { letter, title, where: where(of, plan ? plan.tones.length - 1 : 0), next, example: plan?.strip.kind === "example" };
  }

  /** @param {string} [sentence] */
  function tell(sentence) {
    if (sentence !== undefined) trouble = sentence;
    const silent = on && on.phase !== "check" && sound.can && !sound.runs;
    screen.tell([trouble, on && on.phase !== "bite" ? awake : "", silent ? "No sound yet since the page was loaded: touch the screen, or press a key once. The flash comes all the same." : ""].filter(Boolean).join(" "));
  }

  const turns = screens({
    desk, screen, sound, alarms,
    get on() { return on; },
    get waiting() { return waiting; },
    get refused() { return isRefused(); },
    turn, keep, again,
    tell,
    begin, start, lifted, answered, log, putBack, close, unlog,
    tidy() { refused = null; tidy(); },
  });
  voicesChange(() => on?.phase === "check" && again());

  /** Whether the log does not take the last dip. */
  function isRefused() {
    return on !== null && on.unlogged !== null && refused === on.unlogged;
  }

  /** The same screen built anew. */
  function again() {
    shownFor = "";
    draw();
  }

  /** The screen of this turn, built anew only when something it says has changed. */
  function draw() {
    if (!on || screen.root.hidden) return;
    const { standing } = desk.state.plan ?? {};
    const fresh = JSON.stringify([on.phase, on.number, on.back, on.unlogged, on.conflict, standing, settled(desk.state), waiting, refused !== null, desk.state.plan !== null]);
    if (fresh !== shownFor) {
      shownFor = fresh;
      screen.show(turns.of(on));
      tell();
    }
    screen.head(on.words, turns.lift(on));
    tick();
  }

  /** A look at the clock. */
  function tick() {
    if (!on?.timing) return;
    const gone = passed(on.timing, now());
    turns.tick(on, gone);
    alarms.look(on, gone);
  }

  function leave() {
    // A bite is not left: nobody else would stop it.
    if (!on || on.phase === "bite" || on.phase === "asked" || on.unlogged) return;
    if (on.phase === "check") forget();
    close();
  }

  /** There is no run any more. */
  function forget() {
    on = null;
    kept.forget();
  }

  /** Back to the list. */
  function close() {
    if (on?.phase === "finished") forget();
    restoring = false;
    waiting = false;
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

  /** From the station's list. */
  function enter() {
    // One plate has one log: it is written in one tab alone.
    if (desk.state.kept.looks) return desk.notice(LOOKS);
    const { plan } = desk.state;
    if (!plan) return;
    const { pair, said, named } = plan.bath;
    if (!on || on.plate !== plate() || plateNumber !== desk.state.plateNumber) {
      plateNumber = desk.state.plateNumber;
      turns.afresh();
      on = {
        plate: plate(), phase: "check", number: 0, back: false, timing: null, planned_s: null, before_s: 0, celsius: null, factor: null, unlogged: null, conflict: null,
        agreed: null, words: { letter: "", title: "", where: "", next: "", example: false }, log: [],
      };
    } else if (!on.unlogged && (!fits(on, plan.standing) || (named && pair.verdict === "sign_off" && on.agreed !== said))) {
      // The log was put right meanwhile, what is open is another copy of the work, or the shop has not agreed to this bath.
      on = { ...on, phase: "check", timing: null, number: 0, unlogged: null };
    }
    open();
    document.documentElement.requestFullscreen?.().catch(() => {});
    turn({ ...(on.phase === "ready" ? { joins: null } : {}), ...asPlanned(on, plan) });
  }

  /** The turn that comes by the log. */
  function begin() {
    waiting = !settled(desk.state);
    if (waiting) return draw();
    const { plan } = desk.state;
    if (plan) turn({ joins: null, ...comes(plan, now()) });
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
    // Before its plate is open again nothing can take it.
    if (!on || !entry || tidying || refused === entry || !settled(desk.state)) return;
    tidying = entry;
    const other = on.plate === plate() ? "" : "What is open is another plate than the one that was bitten.";
    const { joins = null } = on;
    (other ? Promise.reject(new Error(other)) : added(entry, joins)).then(() => {
      tell("");
      if (on?.unlogged === entry) shown({ unlogged: null, ...(joins ? { number: joins.to, joins: null } : {}) });
    }, (error) => {
      refused = entry;
      again();
      tell(`${error.message} It is not in the log yet: ${"actual_s" in entry ? `bite ${entry.bite}, ${entry.actual_s} s. ` : ""}Write it down, then try again.`);
    }).finally(() => { tidying = null; });
  }

  /** One entry, or as many as there are bites in the dip. @param {LogEntry} entry @param {Run["joins"]} joins */
  async function added(entry, joins) {
    if (entry.kind !== "bitten" || !joins) return entries.add(entry);
    const { at_ms, bite, planned_s, actual_s, celsius, factor = null } = entry;
    // The same entries each time: where the page goes between two of them, the rest follows.
    const all = dipEntries({ from: bite, to: joins.to, set_s: planned_s }, joins.sets, { at_ms, actual_s, celsius, factor });
    for (const each of all) await entries.add(each, { freeze: each.kind === "painted" });
  }

  /** The printer has it on paper, where the log does not take it. */
  function unlog() {
    if (!on || !isRefused()) return;
    tell("");
    shown({ unlogged: null });
    if (on.plate === plate()) return;
    // What is open is another plate: nothing of this run goes on with it.
    forget();
    close();
  }

  /** As `turn`, with clock and sound as they are. @param {Partial<Run>} part */
  function shown(part) {
    keep(part);
    draw();
  }

  /** @param {Happened} what @param {{ note?: string, freeze?: boolean }} [how] */
  async function log(what, { note = "", freeze = false } = {}) {
    await entries.add(/** @type {LogEntry} */ ({ at_ms: Date.now(), note, ...what }), { freeze });
    shown({});
  }

  /** The same bite once more, before anything is painted. @param {number} planned_s */
  function putBack(planned_s) {
    turn({ phase: "ready", back: true, joins: null, planned_s, before_s: desk.state.plan?.standing.total_s ?? 0, timing: null });
  }

  // Browsers sound only after a touch or a key on the page as it is now loaded.
  for (const kind of ["pointerdown", "keydown"]) {
    addEventListener(kind, () => {
      if (screen.root.hidden || !sound.can || sound.runs || !on || on.phase === "check") return;
      // What is laid ahead and said follows when it sounds.
      sound.wakeUp();
    }, true);
  }

  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState !== "visible" || !on || screen.root.hidden) return;
    sound.wakeUp();
    alarms.lay(on);
    tick();
  });
  // The way back of the browser would leave a plate in the acid unseen.
  addEventListener("hashchange", () => {
    if (!screen.root.hidden && location.hash !== "#bath") location.hash = "bath";
  });
  addEventListener("beforeunload", (event) => {
    if (on?.phase === "bite" && !screen.root.hidden) event.preventDefault();
  });

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
    known = false;
    location.hash = "bath";
    open();
    alarms.begin(on);
  }
  resume();
  // The machine itself may have gone: then the disk knows of a later turn.
  kept.late().then((found) => {
    if (found === undefined || looked || desk.state.kept.looks) return;
    if (found) return resume(found);
    on = null;
    close();
  });

  /** Holds a run that was taken up against what is open, once that is there. @param {import("../../state.js").State} state @returns {boolean} whether it goes on */
  function recall(state) {
    if (!on) return false;
    const own = on.plate === plate();
    // Written a moment before the page went, and not yet in what was opened again.
    if (own && goesOn(on.log, state.done.log)) {
      if (adopting) return false;
      adopting = true;
      entries.adopt(on.log).catch((error) => {
        restoring = false;
        tell(`${error.message} What was logged last before the page went could not be taken into the log again: hold it against your notes.`);
      }).finally(() => { adopting = false; });
      return false;
    }
    if (known) return true;
    known = true;
    // A plate that is in the bath, or just came out of it, keeps its clock whatever is open.
    if (on.phase === "bite" || on.phase === "asked" || on.unlogged) return true;
    if (own && state.plan && fits(on, state.plan.standing)) {
      if (on.phase === "ready") turn(asPlanned(on, state.plan));
      return true;
    }
    forget();
    close();
    return false;
  }

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
      if (state.plan.standing.to_keep && settled(state) && !keeping) {
        keeping = true;
        entries.freeze().catch(desk.refused).finally(() => { keeping = false; });
      }
      if (!on) return;
      // Another plate was opened, while this one dried say: what has its name and size may still be another.
      if (plateNumber !== state.plateNumber) {
        on = null;
        close();
        return;
      }
      if (restoring && settled(state) && !recall(state)) return;
      if (waiting && settled(state)) return begin();
      tidy();
      draw();
    },
  };
}
