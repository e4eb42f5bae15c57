/** Wires the page together: state, worker, ticket, strip, stations. */
import { Bridge, CallError } from "./bridge.js";
import { h } from "./dom.js";
import { size } from "./format.js";
import { atPace, kinOf, kinsOf, MOST_PLATES, newId, nextLetter, onLadder } from "./family.js";
import { KinPlans } from "./kin-plans.js";
import { found } from "./found.js";
import * as past from "./history.js";
import { held, titleOf } from "./keeping/drawing-file.js";
import { forgetRun, isProject, Keeper } from "./keeping/keeper.js";
import { installed } from "./keeping/installed.js";
import { FAMILY_PARTS, JOB_PARTS, touches, workOf } from "./keeping/work.js";
import { LOOKS } from "./keeping/words.js";
import { Live } from "./live.js";
import { notices } from "./notice.js";
import { openers } from "./open.js";
import { forDrawing } from "./settings.js";
import { settled } from "./stale.js";
import { lacking, source } from "./start-worker.js";
import { beginning, DEMO_LETTER, LINES, NO_PARTS, NOTHING_DONE, PLAIN_PROOF } from "./state.js";
import { strip } from "./strip.js";
import { ticket } from "./ticket.js";
import { bath } from "./stations/bath.js";
import { cautions } from "./stations/cautions.js";
import { drawing } from "./stations/drawing.js";
import { kept } from "./stations/kept.js";
import { painting } from "./stations/painting.js";
import { papers } from "./stations/papers.js";
import { plates } from "./stations/plates.js";
import { proof } from "./stations/proof.js";
import { changeName, fitting } from "./stations/proof/change.js";
import { keptInks } from "./stations/proof/kept-inks.js";
import { pulls } from "./stations/pulls.js";
import { sheets } from "./stations/sheets.js";
import { times } from "./stations/times.js";
import { tones } from "./stations/tones.js";
import { whole } from "./stations/whole.js";

/** @typedef {import("./state.js").State} State */
/** @typedef {import("./state.js").Desk} Desk */
/** @typedef {import("./state.js").StationName} StationName */
/** What a step of Undo changed, as it was. @typedef {Pick<State, "settings"> | { job: Partial<import("./keeping/work.js").JobPart> }} Changed */

/** The drawing the page opens with. */
const DEMO = "demo/ice-house.jpg";
const DEMO_NAME = "ice-house.jpg";
/** The parts of a larger piece of work, as they are said. @type {Record<string, string>} */
const PARTS = { sheets: "drawing the sheets", files: "writing the files" };

function begin() {
  const from = source();
  const says = notices(() => stop());
  const bridge = new Bridge(from.make, from.start);
  let state = beginning();
  /** @type {past.History<Changed>} */
  let history = past.empty();
  /** The history as it was with each settings, so that a refusal brings back both. @type {WeakMap<State["settings"], past.History<Changed>>} */
  const histories = new WeakMap([[state.settings, history]]);
  /** How much other work is on its way in. */
  let bringing = 0;
  /** When what was last on its way is there, or was refused. @type {Promise<void>} */
  let brought = Promise.resolve();
  /** What had been said when the last change was made: a refusal older than that is settled once its plan is there. */
  let heard = 0;
  /** Drawings are opened one after another. */
  let opening = Promise.resolve();
  /** What is under way at the desk, in the order it was begun. @type {Set<{ name: string, share: number | null, shown: boolean }>} */
  const tasks = new Set();
  /** When the worker last broke off, so that it is not started again without end; and whether that is being done. */
  let crashed = -Infinity;
  let restarting = false;

  const live = new Live(() => state, bridge, {
    planned(plan, settings, drawing, done) {
      says.settle(heard);
      set({ ...made(plan, settings, drawing), plannedDone: done });
    },
    refused,
    // While a joint is held the pictures themselves show the work; a line that comes and goes would only disturb.
    stage: (name, share) => name === null || state.dragging ? line() : says.stage(name, share),
  });

  /** The line of the work begun last that is still under way, if any is. */
  function line() {
    const left = [...tasks].findLast((each) => each.shown);
    says.stage(left?.name ?? null, left?.share ?? null);
  }

  /** @type {Desk} */
  const desk = {
    get state() { return state; },
    set(patch) {
      if (touches(patch) && onlyLooks()) return;
      // One of the others may be the very one that comes to hand; what is changed on the plate at hand lies beside with it.
      if ("family" in patch && exchanged()) return;
      // What was held is let go: the next change is a step of its own.
      if (patch.dragging === false) desk.settle();
      set(patch);
    },
    change(name, settings, gesture = null) {
      if (onlyLooks() || exchanged()) return;
      history = past.record(history, name, { settings: state.settings }, gesture);
      changed(settings);
    },
    settle() {
      history = past.settle(history);
      histories.set(state.settings, history);
    },
    setProof(patch, plates = state.plates) {
      const proof = { ...state.proof, ...patch };
      const name = changeName(state.proof, proof);
      if (name === null) return !onlyLooks() && !exchanged();
      // What is dragged is one step, and so is a lamp tried after another.
      const gesture = state.dragging ? Object.keys(patch).join() : "lamp" in patch ? "lamp" : null;
      return desk.changeJob(name, { proof, plates }, gesture);
    },
    takeToHand,
    planAgain: () => kinPlans.again(),
    bring: (work, file, sentence) => onlyLooks() ? Promise.resolve() : bring(work, file, sentence, false),
    changeJob(name, patch, gesture = null) {
      if (onlyLooks() || exchanged()) return false;
      const before = { job: parts(patch) };
      // The settings on screen and those of the plan, which a refusal leads back to, both have the job as it is now.
      for (const settings of new Set([state.planned ?? state.settings, state.settings])) {
        histories.set(settings, history = past.record(histories.get(settings) ?? past.empty(), name, before, gesture));
      }
      jobChanged(patch);
      return true;
    },
    undo: () => onlyLooks() || exchanged() || step(past.undo, "Undone"),
    redo: () => onlyLooks() || exchanged() || step(past.redo, "Done again"),
    open,
    save: () => { keeper.save(); },
    get keeper() { return keeper; },
    choose: openers(open),
    file: from.file,
    bridge,
    live,
    notice: says.show,
    ring: says.ring,
    hush: says.hush,
    refused: (error) => refused(error),
    async busy(stage, work) {
      /** @type {{ name: string, share: number | null, shown: boolean }} */
      const task = { name: stage, share: null, shown: false };
      tasks.add(task);
      const timer = setTimeout(() => { task.shown = true; says.stage(task.name, task.share); }, 300);
      const told = (/** @type {string} */ part, /** @type {number} */ done) => {
        Object.assign(task, { name: PARTS[part] ?? stage, share: done });
        if (task.shown) says.stage(task.name, task.share);
      };
      try {
        return await (typeof work === "function" ? work(told) : work);
      } finally {
        clearTimeout(timer);
        tasks.delete(task);
        line();
      }
    },
  };

  const keeper = new Keeper(desk, { bring, demo: DEMO_NAME });
  const inksKept = keptInks(desk);
  const kinPlans = new KinPlans(desk, set);
  const newer = installed(desk);

  /** Whether this tab may change nothing, which is then said; what was typed goes back. */
  function onlyLooks() {
    if (!state.kept.looks) return false;
    says.show(LOOKS);
    set({});
    return true;
  }

  /** Whether other work is on its way in, with plates of its own: what is changed now would be of neither. It is said. */
  function exchanged() {
    if (!bringing) return false;
    says.show("Other work is being opened: change this when it is there.");
    set({});
    return true;
  }

  /** @param {State["settings"]} settings */
  function changed(settings) {
    histories.set(settings, history);
    heard = says.number;
    live.moved();
    set({ settings, ...named() });
  }

  /** As much of the job as `like` names, as it is. @param {Partial<import("./keeping/work.js").JobPart>} like @returns {Partial<import("./keeping/work.js").JobPart>} */
  function parts(like) {
    return Object.fromEntries(JOB_PARTS.filter((part) => part in like).map((part) => [part, state[part]]));
  }

  /** Another row, day, record, papers or proof; the worker holds the plates that print in the proof. @param {Partial<import("./keeping/work.js").JobPart>} next */
  function jobChanged(next) {
    const { proof = state.proof, plates = state.plates } = next;
    const [come, gone] = [[plates, state.plates], [state.plates, plates]].map(([some, others]) => some.filter(({ id }) => !others.some((plate) => plate.id === id)));
    for (const plate of come) bridge.call("plate_bring", plate).catch(refused);
    set({ ...next, ...(proof === state.proof ? {} : { proofing: fitting(state.proofing, proof) }), ...named() });
    for (const { id } of gone) drop(id);
  }

  /** A plate that is no more goes from the worker, unless it is in use elsewhere, in the proof or in the family. @param {string} id */
  function drop(id) {
    if (![...state.plates, ...state.family.flatMap(({ facts }) => facts?.plate ?? [])].some((plate) => plate.id === id)) bridge.call("plate_drop", { id }).catch(refused);
  }

  /** What a new plan brings. @param {import("../web/types.d.ts").Plan} plan @param {State["settings"]} planned @param {number} plannedDrawing */
  function made(plan, planned, plannedDrawing) {
    const tone = state.tone !== null && state.tone < plan.tones.length ? state.tone : null;
    return { plan, planned, plannedDrawing, stopout: Math.min(state.stopout, plan.stopouts.length), tone };
  }

  /** The settings of the plan on screen, and the history they had; no step to a refused value stays. @param {State["settings"]} [refused] */
  function back(refused) {
    if (!state.planned) return;
    history = histories.get(state.planned) ?? past.empty();
    if (refused && refused !== state.planned) history = past.without(history, (value) => "settings" in value && value.settings === refused);
    histories.set(state.planned, history);
    set({ settings: state.planned, ...named() });
  }

  function named() {
    return { undoName: history.past.at(-1)?.name ?? null, redoName: history.future.at(-1)?.name ?? null };
  }

  /** @param {typeof past.undo} way @param {string} word */
  function step(way, word) {
    const next = (way === past.undo ? history.past : history.future).at(-1);
    if (!next) return;
    /** @type {Changed} */
    const now = "settings" in next.value ? { settings: state.settings } : { job: parts(next.value.job) };
    const done = /** @type {NonNullable<ReturnType<typeof past.undo<Changed>>>} */ (way(history, now));
    history = done.history;
    if ("settings" in done.value) changed(done.value.settings);
    else {
      histories.set(state.settings, history);
      // The plan's settings, which a refusal leads back to, go the same way.
      const planned = state.planned && state.planned !== state.settings ? histories.get(state.planned) : null;
      if (planned && (way === past.undo ? planned.past : planned.future).at(-1)?.value === next.value) {
        histories.set(/** @type {State["settings"]} */ (state.planned), /** @type {typeof done} */ (way(planned, now)).history);
      }
      jobChanged(done.value.job);
    }
    says.show(`${word}: ${done.name}.`);
  }

  const fixed = { ticket: ticket(desk), strip: strip(desk), found: found(desk) };
  const atBath = bath(desk);
  /** @type {Record<StationName, import("./state.js").Part>} */
  const stations = {
    whole: whole(desk), drawing: drawing(desk), tones: tones(desk), painting: painting(desk), times: times(desk),
    plates: plates(desk), sheets: sheets(desk), bath: atBath, proof: proof(desk), papers: papers(desk), pulls: pulls(desk), cautions: cautions(desk), kept: kept(desk),
  };
  const main = h("main", { id: "main", tabindex: -1 }, ...Object.values(stations).map((station) => station.root));
  document.getElementById("page")?.replaceChildren(fixed.ticket.root, h("div", { class: "bench" }, fixed.strip.root, newer.root, ...says.roots, fixed.found.root, main));

  /** @param {Partial<State>} patch */
  function set(patch) {
    state = { ...state, ...patch };
    for (const [name, station] of Object.entries(stations)) station.root.hidden = name !== state.station;
    document.body.dataset.station = state.station;
    document.body.dataset.ready = String(state.plan !== null);
    // Whether the figures on screen are of what is wanted now: false with the change itself, whatever the machine's pace.
    document.body.dataset.planned = String(settled(state));
    fixed.ticket.update(state);
    fixed.strip.update(state);
    fixed.found.update(state);
    atBath.follow(state);
    stations[state.station].update(state);
    live.refresh();
    keeper.update(state);
    kinPlans.update(state);
    inksKept.update(state);
    newer.update(state);
  }

  function route() {
    const name = location.hash.slice(1);
    const known = name in stations ? /** @type {StationName} */ (name) : null;
    if (known === null) return;
    const line = LINES.find((item) => item.name === known);
    document.title = `${line?.title ?? ({ cautions: "Cautions", kept: "What is kept" }[/** @type {string} */ (known)] ?? "The whole job")} · Stepbite`;
    set({ station: known });
    scrollTo(0, 0);
  }

  /** @param {Blob} file @param {string} name */
  async function open(file, name) {
    if (onlyLooks()) return;
    // Dropped beside the run, or pasted into it: a plate in the bath is not exchanged for another.
    if (state.running) {
      says.show("A run is under way: leave it before you open something else.");
      return;
    }
    opening = opening.then(async () => {
      if (await isProject(file)) await keeper.openFile(file);
      else await live.alone(() => take(file, name));
    }).catch(refused);
    await opening;
  }

  /**
   * Work from a file or from the browser's storage replaces what is on screen once it has a plan; when it is refused everything stays.
   * @param {import("./keeping/work.js").Work} work @param {Blob} file @param {string} sentence
   * @param {boolean} again whether it is the work that was on screen, opened again: a run of it goes on
   */
  async function bring(work, file, sentence, again) {
    const plateId = work.job.id ?? newId();
    const family = kinsOf(work.family ?? [], [plateId]);
    await exchange({ ...work, job: { ...work.job, id: plateId } }, file, () => family, again);
    says.show(sentence);
  }

  /**
   * Another of the family's plates comes to hand; the one at hand lies beside it, as it is. What the run asks for is done while it is under way, and what
   * refuses it is the run's to say.
   * @param {string} id @param {{ run?: boolean }} [by]
   */
  async function takeToHand(id, { run = false } = {}) {
    if (run) await brought;
    if (onlyLooks() || exchanged()) return;
    // What is wished for and not planned yet goes along; what makes no plan is taken back in a moment.
    if (workOf(state)?.good) await live.settled();
    const kin = state.family.find((each) => each.id === id);
    const before = workOf(state);
    if (!kin || !before || exchanged()) return;
    if (state.running && !run) {
      says.show("A run is under way: leave it before you take another plate to hand.");
      return;
    }
    try {
      const settings = atPace(onLadder(kin.work.settings, before.good ?? before.settings, kin.work.done), kin.work, state.plan);
      const kept = Object.fromEntries(FAMILY_PARTS.map((part) => [part, state[part]]));
      await exchange({ ...kin.work, settings, good: null, job: { ...kin.work.job, id, units: state.units, ...kept } }, kin.file, () => {
        const now = workOf(state) ?? before;
        const { family: _, ...own } = now;
        // What is the family's goes along, and is kept once.
        const job = { ...own.job, ...Object.fromEntries(FAMILY_PARTS.map((part) => [part, null])) };
        const left = kinOf({ ...own, job, settings: now.good ?? now.settings, good: null }, /** @type {Blob} */ (state.file), state.plateId);
        // Taken out of the family meanwhile it comes to hand all the same, and the one before is not lost.
        return state.family.some((each) => each.id === id) ? state.family.map((each) => each.id === id ? left : each) : [...state.family, left];
      }, false, true);
      if (!run) says.show(`Plate ${kin.work.job.letter}, “${kin.work.job.title}”, is at hand, and the one before lies beside it. Undo begins anew.`);
    } catch (error) {
      if (run) throw error;
      refused(/** @type {Error} */ (error));
    }
  }

  /**
   * @param {import("./keeping/work.js").Work} work @param {Blob} file @param {() => State["family"]} beside the plates that are its family then
   * @param {boolean} again @param {boolean} [within] the family, of which a run may go on
   */
  async function exchange(work, file, beside, again, within = false) {
    const { name, settings, done, job: { id, ...job } } = work;
    const kept = await meanwhile(held(file));
    bringing++;
    const coming = live.alone(async () => {
      // A plate that can't print with it any more is no reason to keep the work shut: it stays named, and the proof says what is missing.
      const plates = job.plates ?? [];
      for (const plate of plates) await bridge.call("plate_bring", plate).catch(desk.refused);
      const { info, plan } = await desk.busy(`opening ${name}`, bridge.swap({ file: kept, name }, () => ({ ...settings, done }))).catch(async (error) => {
        // It is not opened: its plates go again, but for those that print with this one.
        for (const { id } of plates) if (![...state.plates, ...state.family.flatMap(({ facts }) => facts?.plate ?? [])].some((plate) => plate.id === id)) await bridge.call("plate_drop", { id }).catch(() => {});
        throw error;
      });
      const gone = state.plates.filter(({ id }) => !plates.some((plate) => plate.id === id));
      const drawing = state.drawing + 1;
      history = past.empty();
      histories.set(settings, history);
      const family = beside();
      set({ ...NO_PARTS, dayStart: within ? state.dayStart : null, ...made(plan, settings, drawing), info, drawing, settings, done, plannedDone: done, file: kept, ...job, plateId: id ?? newId(), family, proof: { ...PLAIN_PROOF, ...job.proof }, plates, tone: null, ...other(again, { ...PLAIN_PROOF, ...job.proof }, within), ...named() });
      for (const plate of gone) drop(plate.id);
    }).finally(() => { bringing--; });
    brought = coming.catch(() => {});
    await coming;
  }

  /** Nothing is changed while something is waited for on the way to other work. @template T @param {Promise<T>} work @returns {Promise<T>} */
  async function meanwhile(work) {
    bringing++;
    try {
      return await work;
    } finally {
      bringing--;
    }
  }

  /** Another plate than the one on screen: its run is not the run of this one. @param {boolean} again @param {State["proof"]} [proof] that comes with it @param {boolean} [within] the family: the run itself knows whether it is of all its plates */
  function other(again, proof = state.proof, within = false) {
    if (again) return { proofing: fitting(state.proofing, proof) };
    if (!within) forgetRun();
    // How another plate was looked at may be no way to look at this one.
    return { plateNumber: state.plateNumber + 1, proofing: beginning().proofing };
  }

  /** A drawing replaces the one on screen only once it has a plan; until then, and when it is refused, everything stays. @param {Blob} file @param {string} name */
  async function take(file, name) {
    const kept = await held(file);
    let before = state.settings;
    let next = { settings: before, sized: false, evened: false, handed: false, unplaced: false };
    const { info, plan } = await desk.busy(`opening ${name}`, bridge.swap({ file: kept, name }, (found) => {
      before = state.settings;
      next = forDrawing(before, found, state.plan);
      return next.settings;
    }));
    const title = titleOf(name);
    const drawing = state.drawing + 1;
    // A change made while the plan was in the works is kept: it becomes stale, and is planned next.
    const settings = state.settings === before ? next.settings : forDrawing(state.settings, info, state.plan).settings;
    if (JSON.stringify(settings) !== JSON.stringify(state.settings)) history = past.record(history, "settings for the new drawing", { settings: state.settings });
    histories.set(next.settings, history);
    histories.set(settings, history);
    // A letter given to the plate stays; only the demo's own does not go with another drawing.
    const letter = state.drawing <= 1 && state.letter === DEMO_LETTER ? "A" : state.letter;
    // Another drawing is another plate: nothing has been done to its metal, and nothing was pulled from it. A family's record is of all its plates. In its
    // family and in its row it takes the place of the one before, which may lie beside it instead.
    const [replaced, plateId] = [workOf(state), newId()];
    const row = state.row && { ...state.row, plates: state.row.plates.map((place) => place.id === state.plateId ? { ...place, id: plateId } : place) };
    const placed = { row: state.row, id: state.plateId, file: state.file };
    const pulled = state.family.length === 0 && (state.record?.pulls.length ?? 0) > 0;
    set({ ...made(plan, next.settings, drawing), info, file: kept, drawing, settings, done: NOTHING_DONE, plannedDone: NOTHING_DONE, title, letter, tone: null, ticks: {}, plateId, row, ...(pulled ? { record: null } : {}), ...other(false), ...named() });
    const among = state.family.length > 0 ? replaced : null;
    const plate = size(next.settings.plate.width_mm, next.settings.plate.height_mm, state.units);
    says.show([`“${title}” is open.`,
      next.sized ? `Its file says ${Math.round(info.px_per_mm ?? 0)} pixels a mm, so the plate is now ${plate}.` : `Its file gives no true size to rely on, so the plate stays ${plate}.`,
      next.evened ? "The breaks set by hand belonged to the drawing before and are even now." : "",
      next.handed ? "What was drawn by hand on the drawing before is gone; Undo brings it back." : "",
      pulled ? "The record of the pulls is of the plate before: it stays with that, under “What is kept”." : "",
      next.unplaced ? "Crop, turn, place and corners belonged to it too: the new one lies as it came." : "",
      among ? `In the family it takes the place of plate ${letter}, “${among.job.title}”${among.done.log.length ? ", and what was done to that metal stays with that, under “What is kept”" : ""}.` : "",
      "Everything else stays as it was."].filter(Boolean).join(" "), "said", among && { label: `Keep “${among.job.title}” beside it`, press: () => beside(among, placed, plateId) });
  }

  /**
   * The plate whose place another drawing took lies in the family after all, with its letter and its place in the row; the new one has the next letter.
   * @param {import("./keeping/work.js").Work} work @param {{ row: State["row"], id: string, file: Blob | null }} placed @param {string} plateId of the one that took its place
   */
  function beside({ family: _, ...work }, { row, id, file }, plateId) {
    if (onlyLooks() || exchanged() || !file || state.plateId !== plateId || state.family.some((kin) => kin.id === id)) return;
    if (state.family.length + 1 >= MOST_PLATES) {
      says.show(`A family has at most ${MOST_PLATES} plates: take one out first.`, "refused");
      return;
    }
    const job = { ...work.job, ...Object.fromEntries(FAMILY_PARTS.map((part) => [part, null])) };
    const kin = kinOf({ ...work, job, settings: work.good ?? work.settings, good: null }, file, id);
    const letter = nextLetter([work.job.letter, ...state.family.map((each) => each.work.job.letter)]);
    const here = state.row?.plates.find((place) => place.id === plateId);
    const places = row?.plates.find((place) => place.id === id);
    const plates = state.row?.plates.flatMap((place) => place === here && places ? [places, place] : [place]) ?? [];
    set({ family: [...state.family, kin], letter, row: state.row && { ...state.row, plates } });
    says.show(`Plate ${work.job.letter}, “${work.job.title}”, lies beside this one, which is plate ${letter} now.`);
  }

  /** A refusal is said; the work on screen stays, and so do the settings it was made with. @param {Error} error @param {State["settings"]} [settings] that were refused */
  function refused(error, settings) {
    const code = error instanceof CallError ? error.code : "";
    if (code === "stopped") return;
    if (code === "crashed") {
      // All that waited for it broke off with it, which is said once.
      if (restarting) return;
      const again = performance.now() - crashed > 10_000;
      crashed = performance.now();
      says.show(`${error.message} ${again ? "The last drawing and settings that worked are open again." : "It broke off twice in a row: reload the page."}`, "refused");
      if (!again) return;
      back(settings);
      restarting = true;
      bridge.restart().then(() => set({}), () => {}).finally(() => { restarting = false; });
      return;
    }
    says.show(error.message, "refused");
    if (code !== "no_start" && settings) back(settings);
  }

  async function stop() {
    set({ dragging: false });
    back(state.settings);
    says.show("Stopped. The work as it was before stays.");
    try {
      await bridge.stop();
    } catch (error) {
      refused(/** @type {Error} */ (error));
    }
    // What was asked for beside the stopped work is asked for again.
    set({});
  }

  addEventListener("hashchange", route);
  addEventListener("keydown", (event) => {
    const typing = event.target instanceof HTMLInputElement && event.target.type === "text";
    if (!(event.ctrlKey || event.metaKey)) return;
    const key = event.key.toLowerCase();
    if (key === "s") {
      event.preventDefault();
      // What is being typed counts.
      if (document.activeElement instanceof HTMLElement && typing) document.activeElement.blur();
      desk.save();
    }
    if (typing) return;
    if (key === "z" || key === "y") {
      event.preventDefault();
      if (key === "y" || event.shiftKey) desk.redo();
      else desk.undo();
    }
    if (key === "o") {
      event.preventDefault();
      desk.choose();
    }
  });

  set({});
  route();
  opening = keeper.start().then(async (found) => {
    if (found || state.drawing > 0) return;
    const file = await held(await from.file(DEMO));
    const info = await bridge.call("open", { file, name: DEMO_NAME });
    if (state.drawing === 0) set({ info, file, drawing: 1 });
  }).catch(refused);
  // A page that can't be kept for use without a network works all the same.
  newer.start().catch(() => {});
}

const reason = lacking();
if (reason) document.getElementById("page")?.replaceChildren(h("p", { class: "cannot" }, reason));
else begin();
