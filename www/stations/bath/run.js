/**
 * A run through the plan, turn by turn: sound, painting, drying, biting, rinsing, and on to the next stop-out. Every turn is written down
 * before anything else happens, so that the run goes on after the page was loaded again (`left.js`). What it shows is built in `screens.js`. With a family it
 * leads from plate to plate: a turn is of one plate, which is at hand for it, and between two turns it says which comes (`all.js`, `next.js`).
 * @typedef {import("../../run/record.js").Run} Run
 * @typedef {import("../../run/clock.js").Moment} Moment
 * @typedef {import("../../../web/types.d.ts").LogEntry} LogEntry
 * @typedef {import("../../../web/types.d.ts").Happened} Happened
 */
import { brokeOff } from "../../bridge.js";
import { agreed, now, passed, timing } from "../../run/clock.js";
import { LOOKS } from "../../keeping/words.js";
import { disk } from "../../run/disk.js";
import { goesOn, record } from "../../run/record.js";
import { sounds, voicesChange } from "../../run/sound.js";
import { wake } from "../../run/wake.js";
import { asPlanned, comes, fits, where } from "../../run/comes.js";
import { waitLeft, waitsAfter, waitsBut } from "../../run/all.js";
import { afterBite } from "../../run/words.js";
import { settled } from "../../stale.js";
import { bitesTogether } from "../../together.js";
import { alarm } from "./alarm.js";
import { allPlates } from "./all.js";
import { frame } from "./frame.js";
import { leftRun } from "./left.js";
import { screens } from "./screens.js";
import { written } from "./written.js";

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
  let keeping = false;
  /** The next turn waits for the plan that knows of the last entry. */
  let waiting = false;
  /** The letter of the plate that is being taken to hand for the next turn. */
  let taking = "";
  /** The plate that the printer would rather take. @type {string | null} */
  let chosen = null;
  /** Other plates whose logs were written, and when: until they are kept elsewhere they are kept beside the run. @type {{ id: string, at: number }[]} */
  let touched = [];
  /** Which plate the run is of, as the page counts them. */
  let plateNumber = 0;
  /** What was at hand at the last look, and what lay beside it. @type {Pick<import("../../state.js").State, "plateId" | "family"> | null} */
  let seen = null;
  const screen = frame({ leave });
  const all = allPlates(desk, () => { if (on?.phase === "next") draw(); });

  const alarms = alarm(sound, {
    flash: (name) => { screen.root.dataset.flash = name; },
    rung: (name) => { screen.root.dataset.rung = name; },
    call: (sentence) => screen.call(sentence),
    away: (sentence) => { if (screen.root.hidden) desk.ring(sentence, "run"); },
  });

  const plate = () => {
    const { info, settings } = desk.state;
    return `${info?.name ?? ""} ${settings.plate.width_mm} × ${settings.plate.height_mm} mm`;
  };

  /** The log of a plate, at hand or beside. @param {string} id */
  const logBy = (id) => id === desk.state.plateId ? desk.state.done.log : desk.state.family.find((kin) => kin.id === id)?.work.done.log;

  /** Whether a run is of the plate at hand. Its id tells it from a copy of the same drawing and size. @param {Run} of */
  function isOwn(of) {
    const { plateId, done, family } = desk.state;
    if (of.plate !== plate()) return false;
    // An example that was never kept has another id each time the page is loaded: it is the same while nothing is in its log that the run doesn't know.
    return of.id === undefined || of.id === plateId || (!family.some(({ id }) => id === of.id) && done.log.every((entry, i) => JSON.stringify(entry) === JSON.stringify(of.log[i])));
  }

  /** The log to keep beside the run. @param {Run} of */
  function logOf(of) {
    // While its plate is being taken to hand again, what is open is another's.
    if (left.on && of.id !== undefined && of.id !== desk.state.plateId && !isOwn(of)) return of.log;
    const { log } = desk.state.done;
    return left.on && goesOn(of.log, log) ? of.log : log;
  }

  /** The logs of others to keep beside it. @param {Run} of @returns {Partial<Run>} */
  function othersOf({ others = [] }) {
    if (left.held) return {};
    const { at } = desk.state.kept;
    touched = touched.filter((each) => at === null || at <= each.at);
    const kept = touched.flatMap(({ id }) => {
      const log = id === desk.state.plateId ? undefined : logBy(id);
      return log ? [{ id, log }] : [];
    });
    return kept.length || others.length ? { others: kept } : {};
  }

  /** @param {string} id */
  function touch(id) {
    touched = [...touched.filter((each) => each.id !== id), { id, at: Date.now() }];
  }

  /** Written down, with clock, sound and screen as they are. @param {Partial<Run>} part */
  function keep(part) {
    if (!on) return;
    on = { ...on, ...part };
    on = { ...on, ...othersOf(on), log: logOf(on) };
    if (!kept.keep(on)) trouble = "This browser keeps nothing for the page (a private window, or its storage is full): don’t close or reload it until the run is done.";
  }

  /** Written down, then shown. @param {Partial<Run>} part */
  function turn(part) {
    if (!on) return;
    on = { ...on, ...part };
    keep(desk.state.plan && isOwn(on) ? { words: words(on) } : {});
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

  const goes = written(desk, entries, {
    get on() { return on; },
    get taking() { return taking !== ""; },
    get away() { return left.away; },
    isOwn, touch, shown, again, tell,
    end() {
      forget();
      close();
    },
  });

  const turns = screens({
    desk, screen, sound, alarms,
    get on() { return on; },
    get waiting() { return waiting; },
    get recalling() { return left.busy; },
    get refused() { return goes.refused || goes.refusedBeside; },
    get together() { return all.takes(on); },
    get others() { return all.takes(on) && all.others; },
    get view() { return on ? all.view(on, chosen) : null; },
    get taking() { return taking; },
    turn, keep, again,
    tell,
    begin, start, lifted, answered, log, putBack, close, unlog: goes.unlog, dries, another, go,
    choose(id) { chosen = id; draw(); },
    righted(to, note) {
      if (!on?.mates?.length) return;
      keep({ pending: [...on.pending ?? [], ...all.righted(on, to, note)] });
      goes.tidyBeside();
    },
    tidy() {
      goes.afresh();
      // While it is on its way nothing else can be said of it, and what is refused once more is said anew.
      tell("");
      again();
      const beside = on && !isOwn(on) ? desk.state.family.find(({ id }) => id === on?.id) : undefined;
      if (beside) left.comesBack(beside.id, beside.work.job.letter);
      else goes.tidy();
    },
  });
  voicesChange(() => on?.phase === "check" && again());

  /** The same screen built anew. */
  function again() {
    shownFor = "";
    draw();
  }

  /** The screen of this turn, built anew only when something it says has changed. */
  function draw() {
    if (!on || screen.root.hidden) return;
    const { standing } = desk.state.plan ?? {};
    const fresh = JSON.stringify([on.phase, on.number, on.back, on.unlogged, on.conflict, standing, settled(desk.state), waiting, left.busy, goes.refused, desk.state.plan !== null,
      ...(all.takes(on) ? ofFamily(on) : [])]);
    if (fresh !== shownFor) {
      shownFor = fresh;
      screen.show(turns.of(on));
      tell();
    }
    screen.head(on.words, turns.lift(on));
    tick();
  }

  /** What of the family is on the screen. A press that is under way does not outlast another screen, so that no more than that is in it. @param {Run} of */
  function ofFamily(of) {
    const { phase, mates, pending, waits } = of;
    if (phase === "bite" || phase === "asked") return [];
    if (phase === "ready") return [taking, mates];
    return [taking, chosen, mates, pending, goes.refusedBeside, waits, phase === "next" ? key(all.view(of, chosen)) : all.others];
  }

  /** What of the turns to come is on the screen. @param {import("./all.js").View} view */
  const key = ({ known, plates, absent, turn, said }) => [known, absent, said, plates.map((each) => [each.id, each.letter, each.standing.next, each.dips.length]), turn && [turn.plate.id, turn.kind, turn.number, turn.mates.map(({ id }) => id)]];

  /** A look at the clock. */
  function tick() {
    if (!on) return;
    if (on.waits?.length) {
      alarms.rest(on);
      turns.rest(on);
    }
    if (!on.timing) return;
    const gone = passed(on.timing, now());
    turns.tick(on, gone);
    alarms.look(on, gone);
  }

  function leave() {
    // A bite is not left: nobody else would stop it.
    if (!on || on.phase === "bite" || on.phase === "asked" || on.unlogged || on.pending?.length || taking) return;
    if (on.phase === "check" && !on.waits?.length) forget();
    // What the record knows and the work does not is still taken into the log.
    close({ over: !left.busy });
  }

  /** There is no run any more. */
  function forget() {
    on = null;
    kept.forget();
  }

  /** Back to the list. @param {{ over?: boolean }} [is] `over`: the log kept beside the run is asked for no more */
  function close({ over = true } = {}) {
    if (on?.phase === "finished") forget();
    if (over) left.over();
    waiting = false;
    // What dries goes on drying while something else is looked at, and rings.
    if (on?.phase !== "dry" && on?.phase !== "out" && !on?.waits?.length) {
      clearInterval(timer);
      timer = null;
      sound.hush();
    }
    screen.open(false);
    lock.off();
    chosen = null;
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
    desk.hush("run");
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
    if (!on || !isOwn(on) || plateNumber !== desk.state.plateNumber) {
      plateNumber = desk.state.plateNumber;
      turns.afresh();
      on = {
        plate: plate(), id: desk.state.plateId, phase: "check", number: 0, back: false, timing: null, planned_s: null, before_s: 0, celsius: null, factor: null, unlogged: null, conflict: null,
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
    waiting = !settled(desk.state) || left.busy;
    if (waiting) return draw();
    const { plan } = desk.state;
    if (!plan || !on) return;
    // What dried here goes into the bath now.
    if (on.phase !== "dry" && all.takes(on) && all.others) return between();
    turn({ joins: null, ...(on.phase === "dry" ? { waits: waitsBut(on) } : on.mates ? { mates: [] } : {}), ...comes(plan, now()) });
  }

  /** Between two turns of a family: what still dries, or is rinsed, goes on doing so. */
  function between() {
    if (!on) return;
    chosen = null;
    turn({ phase: "next", back: false, timing: null, conflict: null, joins: null, planned_s: null, mates: [], waits: waitsAfter(on) });
  }

  /** A stop-out was painted. @param {Moment} at */
  function dries(at) {
    if (!on) return;
    const dry = desk.state.settings.bench.dry_min;
    const drying = timing("drying", dry ? dry * 60_000 : null, at);
    // Of a run that was left before the log was there too.
    timer ??= setInterval(tick, LOOK_MS);
    if (!all.takes(on) || !all.others) return turn({ phase: "dry", timing: drying, ...(on.waits ? { waits: waitsBut(on) } : {}) });
    on = { ...on, phase: "dry", timing: drying };
    between();
  }

  /** The turn is put off for another plate's. */
  function another() {
    if (on && all.takes(on)) between();
  }

  /** The next turn: its plate is taken to hand where another is. @param {import("../../run/all.js").Turn} next */
  async function go(next) {
    // What was opened again is first held against what is kept beside the run.
    if (!on || taking || left.busy) return;
    // The log beside the run is the one before's: another plate must not take it for a longer one of its own.
    left.over();
    const { plate: { id, letter } } = next;
    const mates = all.mates(next);
    if (id !== desk.state.plateId && !await fetch(id, letter)) return;
    const { plan } = desk.state;
    if (!plan || on.phase !== "next") return;
    chosen = null;
    const part = comes(plan, now());
    // What is not dry yet is waited for; the slowest of those that lie in one dip.
    const dip = part.phase === "ready" ? [id, ...mates.map((mate) => mate.id)] : [id];
    const own = (on.waits ?? []).filter((wait) => dip.includes(wait.id));
    const at = now();
    const ends = (/** @type {import("../../run/record.js").Wait} */ wait) => waitLeft(wait, at) ?? Infinity;
    const slowest = own.filter(({ what }) => what === "dry").sort((a, b) => ends(b) > ends(a) ? 1 : -1)[0];
    const still = slowest && ends(slowest) > 0 && part.phase === "ready";
    turn({ id, plate: plate(), joins: null, ...part, mates, ...(still ? { phase: "dry", timing: slowest.timing } : {}) });
  }

  /** Takes another plate to hand, and says where that can't be. @param {string} id @param {string} letter */
  async function fetch(id, letter) {
    taking = letter;
    draw();
    let refusal = "";
    const before = desk.state.plateId;
    await desk.takeToHand(id, { run: true }).catch((error) => {
      refusal = error.message;
      if (brokeOff(error)) desk.refused(error);
    });
    taking = "";
    plateNumber = desk.state.plateNumber;
    again();
    if (desk.state.plateId === id) {
      touch(before);
      return true;
    }
    tell(`Plate ${letter} could not be taken to hand. ${refusal || "Other work is being opened: try again when it is there."}`);
    return false;
  }

  /** The plate goes in. @param {Moment} at */
  function start(at) {
    if (!on) return;
    turn({ factor: desk.state.plan?.bath.factor ?? null, phase: "bite", timing: timing("bite", on.planned_s === null ? null : on.planned_s * 1000, at), conflict: null, waits: waitsBut(on) });
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
      ...(on.mates?.length ? { pending: [...on.pending ?? [], ...all.dipped(on, { at_ms: Math.round(at.wall), actual_s: dip.actual_s })] } : {}),
    });
    goes.tidy();
  }

  /** As `turn`, with clock and sound as they are. @param {Partial<Run>} part */
  function shown(part) {
    keep(part);
    draw();
  }

  /** @param {Happened} what @param {{ note?: string, freeze?: boolean, turns?: boolean }} [how] `turns`: the turn that follows at once writes it down too */
  async function log(what, { note = "", freeze = false, turns = false } = {}) {
    await entries.add(/** @type {LogEntry} */ ({ at_ms: Date.now(), note, ...what }), { freeze });
    if (!turns) shown({});
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

  const left = leftRun(desk, entries, kept, {
    get on() { return on; },
    set on(to) { on = to; },
    isOwn, logBy, fetch, turn, keep, begin, dries, between, forget, close, tell,
    own: () => ({ id: desk.state.plateId, plate: plate() }),
    touch(ids) { touched = [...touched, ...ids.filter((each) => !touched.some(({ id }) => id === each)).map((id) => ({ id, at: Date.now() }))]; },
    takeUp(of) {
      on = of;
      plateNumber = desk.state.plateNumber;
      location.hash = "bath";
      open();
      alarms.begin(of);
    },
    get said() { return trouble; },
  });
  left.resume();

  /** Whether what is at hand now lay beside the plate before, which lies beside it: no other work was opened. @param {import("../../state.js").State} state */
  function exchanged(state) {
    const lay = seen?.family.find(({ id }) => id === state.plateId);
    return lay !== undefined && lay.work.done === state.done && state.family.some(({ id }) => id === seen?.plateId);
  }

  return {
    enter,
    /** Whether a run was left half way. */
    get on() { return on !== null && on.phase !== "check"; },
    /** Whether it takes all plates of a family, of which others have a turn to come. */
    get others() { return bitesTogether(desk.state) && on?.family !== false && all.others; },
    /** @param {import("../../state.js").State} state */
    update(state) {
      // The run is on in the tab that holds the work; this one only found its record.
      if (state.kept.looks) {
        left.looks();
        if (!on) return;
        on = null;
        close();
        return;
      }
      if (!state.plan || left.holds()) return;
      const within = exchanged(state);
      seen = { plateId: state.plateId, family: state.family };
      if (state.plan.standing.to_keep && settled(state) && !keeping) {
        keeping = true;
        entries.freeze().catch(desk.refused).finally(() => { keeping = false; });
      }
      if (!on) return;
      // Another plate was opened, while this one dried say: what has its name and size may still be another.
      if (plateNumber !== state.plateNumber) {
        plateNumber = state.plateNumber;
        if (!within || !(taking || all.takes(on))) {
          if (within) kept.forget();
          on = null;
          close();
          return;
        }
        // The run was left, and another plate came to hand: it goes on between two turns, and what dries goes on drying.
        if (!taking) {
          on = on.phase === "check" ? on : { ...on, phase: "next", timing: null, mates: [], waits: waitsAfter(on) };
          touch(on.id ?? "");
          on = { ...on, id: state.plateId, plate: plate() };
          keep({});
        }
      }
      // What answers at once may be seconds old, and would not fit a log that is not.
      if (left.on && !taking && settled(state) && !left.recall(state)) return;
      if (waiting && settled(state)) return begin();
      if (taking) return draw();
      goes.tidy();
      draw();
    },
  };
}
