/**
 * What of the page is the printer's work: what a project file holds, and what the browser keeps. Pure.
 * @typedef {import("../state.js").State} State
 * @typedef {import("../../web/types.d.ts").Project} Project
 * @typedef {import("../../web/types.d.ts").Settings} Settings
 * @typedef {import("../../web/types.d.ts").Done} Done
 * @typedef {import("../../web/types.d.ts").Job} Job
 */
import { newId } from "../family.js";

/**
 * The work at one moment.
 * @typedef {object} Work
 * @property {string} name of the drawing's file
 * @property {Settings} settings as they are wanted
 * @property {Settings | null} good the last ones a plan was made of, where they are others
 * @property {Done} done
 * @property {Job} job
 * @property {KinWork[]} [family] the other plates, where it is a family's plate at hand
 */

/** Another plate of the family. @typedef {{ id: string, work: Work, file: Blob }} KinWork */
/** What of the job is changed by a step of Undo. @typedef {Pick<State, typeof JOB_PARTS[number]>} JobPart */

/** The parts of the job that have steps of Undo. */
export const JOB_PARTS = Object.freeze(/** @type {const} */ (["row", "day", "record", "papers", "proof", "plates"]));
/** Of those the whole family's, which stay when another plate is taken to hand. */
export const FAMILY_PARTS = Object.freeze(/** @type {const} */ (["row", "day", "record"]));

/** The keys of the state that are work. A tab that may only look changes none of them. @type {readonly (keyof State)[]} */
export const KEYS = Object.freeze(["settings", "done", "title", "letter", "proof", "plates", "plateId", "family", "row", "day", "record", "papers", "sheets", "ticks"]);
/** How the units are shown is kept too, but anyone may change it. @type {readonly (keyof State)[]} */
const KEPT_KEYS = Object.freeze([...KEYS, "units", "file"]);

/** Whether a change touches the work. @param {Partial<State>} patch */
export function touches(patch) {
  return KEYS.some((key) => key in patch);
}

/** Whether two states hold the same work: every change makes new objects. What the other plates come to is worked out anew. @param {State} a @param {State} b */
export function same(a, b) {
  const kin = a.family === b.family || (a.family.length === b.family.length && a.family.every(({ id, work, file }, k) => id === b.family[k].id && work === b.family[k].work && file === b.family[k].file));
  return kin && KEPT_KEYS.every((key) => key === "family" || a[key] === b[key]);
}

/** @param {State} state @returns {Job} */
export function jobOf({ plateId, title, letter, units, proof, plates, row, day, record, papers, sheets, ticks }) {
  return { id: plateId, title, letter, units, proof, plates, row, day, record, papers, sheets, ticks };
}

/** The work on screen; null before a drawing is open. @param {State} state @returns {Work | null} */
export function workOf(state) {
  if (!state.info || !state.file) return null;
  const { settings, planned, done, info } = state;
  const good = planned !== settings && state.plannedDrawing === state.drawing ? planned : null;
  return { name: info.name, settings, good, done, job: jobOf(state), family: state.family.map(({ id, work, file }) => ({ id, work, file })) };
}

/** The work as project.json has it; the map that was painted by goes beside it. @param {Work} work @returns {Project} */
export function projectOf({ name, settings, done, job: kept, family = [] }) {
  // What the browser kept before there were plates to print over this one, or a family, says nothing of them.
  const job = { ...kept, id: kept.id ?? null, plates: kept.plates ?? [], row: kept.row ?? null, day: kept.day ?? null, record: kept.record ?? null, papers: kept.papers ?? null };
  const members = family.map((_, k) => `plates/${String(k + 1).padStart(2, "0")}.stepbite.zip`);
  return { drawing: { name }, settings, done: { log: done.log, kept: done.kept && { id: done.kept.id } }, job, family: members };
}

/** What the worker writes into the file. @param {Work} work @param {Blob} file */
export function writtenOf(work, file) {
  const plate = (/** @type {Work} */ of, /** @type {Blob} */ drawing) => ({ file: drawing, project: JSON.stringify(projectOf(of)), kept: of.done.kept?.png ?? null });
  return { ...plate(work, file), family: (work.family ?? []).map((kin) => plate({ ...kin.work, family: [], job: { ...kin.work.job, id: kin.id } }, kin.file)) };
}

/** The work of a file that the worker has read. @param {import("../../web/types.d.ts").Calls["project_read"][1]} read @returns {Work} */
export function workRead({ project, kept, family }) {
  const plates = family.map((kin) => ({ id: kin.project.job.id ?? newId(), work: workFrom(kin.project, kin.kept), file: kin.drawing }));
  return { ...workFrom(project, kept), family: plates };
}

/** @param {Project} project @param {Uint8Array | null} kept @returns {Work} */
export function workFrom({ drawing, settings, done, job }, kept) {
  return { name: drawing.name, settings, good: null, done: { log: done.log, kept: done.kept && kept ? { id: done.kept.id, png: kept } : null }, job };
}

/** Whether it is the example as the page opens with it. @param {Work} work @param {State} beginning @param {string} demo the demo's name */
export function untouched(work, beginning, demo) {
  const plain = (/** @type {Settings} */ settings, /** @type {Done} */ done, /** @type {Job} */ job) => JSON.stringify([settings, done, { ...job, id: null }]);
  return !work.family?.length && work.name === demo && plain(work.settings, work.done, work.job) === plain(beginning.settings, beginning.done, jobOf(beginning));
}

/**
 * Why a moment is worth a copy of its own, if it is: a dip more in the log.
 * @param {Done} before @param {Done} after @returns {string | null}
 */
export function worthKeeping(before, after) {
  const added = after.log.slice(before.log.length).findLast((entry) => entry.kind === "bitten" || entry.kind === "put_back");
  if (added?.kind === "bitten") return `bite ${added.bite} done`;
  return added?.kind === "put_back" ? `put back for bite ${added.bite}` : null;
}
