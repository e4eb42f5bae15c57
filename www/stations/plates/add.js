/** Plates that join the family: from a drawing, from saved work with all that is in it, as a copy, or the example of four. */
import { kinOf, kinsOf, letters, MOST_PLATES, newId, nextLetter, otherMetal } from "../../family.js";
import { listed } from "../../format.js";
import { held, titleOf } from "../../keeping/drawing-file.js";
import { isProject } from "../../keeping/keeper.js";
import { jobOf, workRead } from "../../keeping/work.js";
import { PLAIN_ROW, placeOf } from "../../row.js";
import { EXAMPLE, forDrawing, withPlate } from "../../settings.js";
import { NO_PARTS, NOTHING_DONE, PLAIN_PROOF } from "../../state.js";

/** @typedef {import("../../state.js").Desk} Desk */
/** @typedef {import("../../family.js").Kin} Kin */
/** @typedef {import("../../keeping/work.js").Work} Work */
/** @typedef {import("../../../web/types.d.ts").Settings} Settings */

/** The example of four plates, whose drawings run on into each other; B is the one that the page opens with. */
const EXAMPLES = Object.freeze([
  { letter: "A", title: "Slipway", name: "slipway.jpg", width_mm: 120 },
  { letter: "B", title: "Ice house", name: "ice-house.jpg", width_mm: 160 },
  { letter: "C", title: "Breakwater", name: "breakwater.jpg", width_mm: 120 },
  { letter: "D", title: "Gantry", name: "gantry.jpg", width_mm: 90 },
]);

/** What a new plate takes over from the one at hand beside the ladder: how it is bitten, looked at and printed out. @param {Desk} desk @param {string} letter @param {string} title */
function jobLike(desk, letter, title) {
  const { state } = desk;
  const { paper, plate_tone, grain, lamp, inks } = state.proof;
  return { ...jobOf(state), ...NO_PARTS, id: newId(), letter, title, proof: { ...PLAIN_PROOF, paper, plate_tone, grain, lamp, inks }, plates: [], ticks: {} };
}

/** Whether so many more find room; where not, it is said. @param {Desk} desk @param {number} [more] */
export function room(desk, more = 1) {
  if (desk.state.family.length + 1 + more <= MOST_PLATES) return true;
  desk.notice(`A family has at most ${MOST_PLATES} plates: take one out first.`, "refused");
  return false;
}

/** @param {Desk} desk @param {Kin[]} kins @param {string} said @param {string} [undone] the label of what takes them out again; "": nothing does */
function join(desk, kins, said, undone = "") {
  if (!room(desk, kins.length)) return;
  const family = [...desk.state.family, ...kins];
  desk.set({ family });
  // A tab that may only look has said so.
  if (desk.state.family !== family) return;
  desk.notice(said, "said", undone === "" ? null : { label: undone, press: () => {
    const left = desk.state.family.filter(({ id }) => !kins.some((kin) => kin.id === id));
    desk.set({ family: left });
    if (desk.state.family === left) desk.notice(kins.length > 1 ? "They are taken out again; their file is as it was." : "It is taken out again; its file is as it was.");
  } });
}

/** The shared figures by which a plate would be planned otherwise, in the printer's words. @type {readonly [string, (settings: Settings) => unknown][]} */
const FIGURES = Object.freeze([
  ["number of tones", ({ tones }) => tones],
  ["strip", ({ strip }) => strip],
  ["bath", ({ bath }) => bath],
  ["witness", ({ witness }) => witness],
  ["reserve", ({ reserve_l }) => reserve_l],
  ["practice at the bath", ({ handling, reading_error_l, scatter_l }) => [handling, reading_error_l, scatter_l]],
  ["minutes at the bench", ({ bench }) => bench],
  ["pace of painting", ({ hand_speed, hand_error_mm }) => [hand_speed, hand_error_mm]],
]);

/** Which of a plate's own figures the family's take the place of. Pure. @param {Settings} own @param {Settings} hand */
export function givesWay(own, hand) {
  const same = (/** @type {unknown} */ a, /** @type {unknown} */ b) => plainly(a) === plainly(b);
  return FIGURES.filter(([, of]) => !same(of(own), of(hand))).map(([name, of]) => {
    const [its, ours] = [of(own), of(hand)];
    if (name === "strip") return `strip (${stripName(its)} there, ${stripName(ours)} here)`;
    return typeof its === "number" && typeof ours === "number" ? `${name} (${its} there, ${ours} here)` : name;
  });
}

/** JSON in which the order of names says nothing. @param {unknown} value */
function plainly(value) {
  return JSON.stringify(value, (_, part) => part && typeof part === "object" && !Array.isArray(part) ? Object.fromEntries(Object.entries(part).sort(([a], [b]) => a < b ? -1 : 1)) : part);
}

/** @param {any} strip */
function stripName(strip) {
  return strip === null ? "the example’s" : strip === "none" ? "none yet" : strip?.id || "one without a name";
}

/** @param {Desk} desk @param {File} file */
export async function addFile(desk, file) {
  if (!room(desk)) return;
  const { plateNumber } = desk.state;
  const kept = await held(file);
  const made = await (await isProject(kept) ? fromWork(desk, kept) : fromDrawing(desk, kept, file.name));
  if (desk.state.plateNumber !== plateNumber) desk.notice("Another plate came to hand meanwhile: add this one again.");
  else join(desk, made.kins, made.said, made.undone);
}

/** @param {Desk} desk @param {Blob} file @param {string} name */
async function fromDrawing(desk, file, name) {
  const info = await desk.busy(`reading ${name}`, desk.bridge.call("kin_info", { file, name }));
  const { settings, sized } = forDrawing(desk.state.settings, info, desk.state.plan);
  const title = titleOf(name);
  const letter = nextLetter(letters(desk.state));
  const job = jobLike(desk, letter, title);
  const kin = kinOf({ name, settings, good: null, done: NOTHING_DONE, job }, file, /** @type {string} */ (job.id));
  return { kins: [kin], undone: "", said: `Plate ${letter}, “${title}”, lies beside this one. ${sized ? "Its size is its file’s." : "Its file gives no true size: it has this plate’s. Take it to hand to change that."}` };
}

/** A file's own plate, and those beside it. @param {Desk} desk @param {Blob} file */
async function fromWork(desk, file) {
  const read = await desk.busy("reading the file", desk.bridge.call("project_read", { file }));
  const { family = [], ...own } = workRead(read);
  const { state } = desk;
  const taken = letters(state).map((letter) => letter.toUpperCase());
  const kins = kinsOf([{ id: own.job.id, work: own, file: read.drawing }, ...family], [state.plateId, ...state.family.map(({ id }) => id)])
    .map((kin) => ({ ...kin, work: { ...kin.work, job: { ...kin.work.job, row: null, day: null, record: null } } }));
  for (const { work: { settings, job } } of kins) {
    const said = otherMetal(settings.bath?.metal ?? null, state.settings.bath.metal);
    if (said) throw new Error(`Plate ${job.letter}, “${job.title}”, ${said}`);
  }
  const doubled = kins.map(({ work }) => work.job.letter).filter((letter) => taken.includes(letter.toUpperCase()));
  const names = kins.map(({ work }) => `${work.job.letter}, “${work.job.title}”`);
  /** Letters of plates by what differs: those of one file mostly have it in common. @type {Map<string, string[]>} */
  const differ = new Map();
  for (const { work } of kins) {
    const what = listed(givesWay(work.settings, state.settings));
    if (what) differ.set(what, [...differ.get(what) ?? [], work.job.letter]);
  }
  const parts = [own.job.row && "row", own.job.day && "day", own.job.record && "record"].filter((part) => typeof part === "string");
  const said = [
    `Plate${kins.length > 1 ? "s" : ""} ${listed(names)} ${kins.length > 1 ? "lie" : "lies"} beside this one, on this one’s ladder of times.`,
    ...[...differ].map(([what, all]) => `Of plate${all.length > 1 ? "s" : ""} ${listed(all)} this gives way to this family’s, and stays in ${all.length > 1 ? "their" : "its"} file: ${what}.`),
    doubled.length ? `The letter ${listed([...new Set(doubled)])} is there twice now: give one plate another.` : "",
    parts.length ? `Its own ${listed(parts)} ${parts.length > 1 ? "stay" : "stays"} in its file.` : "",
  ];
  return { kins, undone: kins.length > 1 ? "Take them out again" : "Take it out again", said: said.filter(Boolean).join(" ") };
}

/** The same drawing and settings on another piece of metal. @param {Desk} desk @param {string | null} id null: the plate at hand */
export function copy(desk, id) {
  if (!room(desk)) return;
  const { state } = desk;
  const kin = state.family.find((each) => each.id === id);
  const file = kin ? kin.file : state.file;
  if (!file || !state.info || (id !== null && !kin)) return;
  /** @type {Work} */
  const work = kin ? kin.work : { name: state.info.name, settings: state.planned ?? state.settings, good: null, done: NOTHING_DONE, job: jobOf(state) };
  const letter = nextLetter(letters(state));
  const fresh = newId();
  const settings = { ...work.settings, painted: [] };
  join(desk, [kinOf({ ...work, settings, done: NOTHING_DONE, job: { ...work.job, ...NO_PARTS, id: fresh, letter, ticks: {} } }, file, fresh)],
    `Plate ${letter} is a copy of plate ${work.job.letter}; nothing is done to its metal yet.`);
}

/** All four are of one harbour: its horizon lies so far beneath the metal's top edge. */
const EXAMPLES_HORIZON_MM = 62;

/** The example of four plates replaces what is on screen, which stays among the earlier states. @param {Desk} desk */
export async function openExample(desk) {
  const plates = await Promise.all(EXAMPLES.map(async ({ letter, title, name, width_mm }) => {
    const id = newId();
    const job = { ...jobLike(desk, letter, title), id, proof: PLAIN_PROOF };
    return { id, work: { name, settings: withPlate(EXAMPLE, { width_mm }), good: null, done: NOTHING_DONE, job }, file: await desk.file(`demo/${name}`) };
  }));
  const hand = plates.find(({ work }) => work.job.letter === "B") ?? plates[0];
  const row = { ...PLAIN_ROW, plates: plates.map(({ id }) => ({ ...placeOf(id), horizon_mm: EXAMPLES_HORIZON_MM })) };
  await desk.bring({ ...hand.work, job: { ...hand.work.job, row }, family: plates.filter((plate) => plate !== hand) }, hand.file, "The example of four plates is open, with B at hand. Undo begins anew.");
}
