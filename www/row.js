/**
 * The family's row: which plates stand side by side in the print, in what order, and what the worker is asked about it. Print view. Pure.
 * @typedef {import("../web/types.d.ts").Row} Row
 * @typedef {import("../web/types.d.ts").RowPlace} RowPlace
 * @typedef {import("../web/types.d.ts").RowSpec} RowSpec
 * @typedef {import("./state.js").State} State
 */
import { byLetter, inOrder, stale, stopped } from "./family.js";
import { sentence } from "./format.js";

/** The most plates whose orders can be searched. */
export const MOST_SEARCHED = 12;
/** A row that nothing has been said of. The sheet and the bed are those of the example; every shop has its own. @type {Row} */
export const PLAIN_ROW = {
  plates: [], columns: null, align: "horizon", turns: true, weigh: "tone", gap_mm: 3, gap_down_mm: 3,
  bed: { length_mm: 1000, width_mm: 500, along: true, feed: "left", sheet_mm: /** @type {[number, number]} */ ([600, 380]), margin_mm: 40, bleed: false, grip_mm: 0 },
  registration: null,
};

/**
 * A plate of the family as the row has it; `plate` is the id of its map with the worker, null for the one at hand. `ready`: it has a plan;
 * `old`: that plan is not of what is wanted now, because it is being planned again, or because that was `stopped`, or because it makes none (`refused`).
 * @typedef {object} Member
 * @property {string} id
 * @property {string} letter
 * @property {string} title
 * @property {string | null} plate
 * @property {[number, number]} plate_mm
 * @property {[number, number]} face_mm
 * @property {boolean} ready
 * @property {boolean} old
 * @property {boolean} refused
 * @property {boolean} stopped
 */

/**
 * @param {Pick<State, "plateId" | "letter" | "title" | "plan" | "family"> & Partial<Pick<State, "settings" | "planned" | "drawing" | "plannedDrawing">>} state
 * @returns {Member[]}
 */
export function members({ plateId, letter, title, plan, family, settings, planned, drawing, plannedDrawing }) {
  const pair = (/** @type {{ width: number, height: number }} */ { width, height }) => /** @type {[number, number]} */ ([width, height]);
  const own = {
    id: plateId, letter, title, plate: null, plate_mm: pair(plan?.plate_mm ?? { width: 0, height: 0 }), face_mm: pair(plan?.face_mm ?? { width: 0, height: 0 }),
    ready: plan !== null, old: plan !== null && (settings !== planned || drawing !== plannedDrawing), refused: false, stopped: false,
  };
  return [own, ...family.map((kin) => {
    const { id, work: { job, settings: its }, facts, refused } = kin;
    const known = facts ?? { plate_mm: { width: its.plate.width_mm, height: its.plate.height_mm }, face_mm: { width: its.plate.width_mm, height: its.plate.height_mm } };
    return {
      id, letter: job.letter, title: job.title, plate: facts?.plate.id ?? null, plate_mm: pair(known.plate_mm), face_mm: pair(known.face_mm),
      ready: facts !== null, old: facts !== null && (Boolean(refused) || Boolean(settings && stale(kin, settings))), refused: Boolean(refused),
      stopped: Boolean(settings && stopped(kin, settings)),
    };
  })];
}

/**
 * Why figures of these plates are missing or those of a plan before, in a sentence; empty where they are of now.
 * @param {Member[]} family @param {string} [come] what there is once all have a plan, as "the bed comes"
 */
export function waitWords(family, come = "joints come") {
  const letters = (/** @type {(each: Member) => boolean} */ pick) => inOrder(family.filter(pick).map(({ letter }) => letter));
  const plates = (/** @type {string[]} */ which) => `plate${which.length > 1 ? "s" : ""} ${which.join(", ")}`;
  const be = (/** @type {string[]} */ which) => `${sentence(plates(which))} ${which.length > 1 ? "are" : "is"}`;
  // What was refused before and then stopped on its way to something else is not refused for what is wanted now.
  const none = letters(({ ready, refused, stopped: halted }) => !ready && refused && !halted);
  if (none.length) return `${sentence(plates(none))} make${none.length > 1 ? "" : "s"} no plan; the card${none.length > 1 ? "s" : ""} above say${none.length > 1 ? "" : "s"} why. ${sentence(come)} when all have a plan.`;
  const never = letters(({ ready, stopped: halted }) => !ready && halted);
  if (never.length) return `The planning of ${plates(never)} was stopped, and goes on when that is asked for above: ${come} when all have a plan.`;
  const first = letters(({ ready }) => !ready);
  if (first.length) return `${be(first)} still being planned: ${come} when all have a plan.`;
  const refused = letters(({ old, refused, stopped: halted }) => old && refused && !halted);
  if (refused.length) return `${sentence(plates(refused))} make${refused.length > 1 ? "" : "s"} no plan as wanted now: what is greyed is of the plan before.`;
  const halts = letters(({ old, stopped: halted }) => old && halted);
  if (halts.length) return `The planning of ${plates(halts)} was stopped, and goes on when that is asked for above: what is greyed is of the plan before.`;
  const again = letters(({ old }) => old);
  return again.length ? `${be(again)} being planned anew: what is greyed is of the plan before.` : "";
}

/** A plate that nothing has been said of. @param {string} id @returns {RowPlace} */
export function placeOf(id) {
  return { id, turned: false, place_pinned: false, turn_pinned: false, horizon_mm: null };
}

/** The row with every plate of the family in it, once, and no others: those not named stand last, by their letters. @param {Row | null} row @param {Member[]} family @returns {Row} */
export function rowOf(row, family) {
  const kept = row ?? PLAIN_ROW;
  const there = kept.plates.filter(({ id }, k) => family.some((each) => each.id === id) && kept.plates.findIndex((each) => each.id === id) === k);
  const more = family.filter(({ id }) => !there.some((each) => each.id === id)).sort(byLetter);
  return { ...kept, plates: [...there, ...more.map(({ id }) => placeOf(id))] };
}

/** The row with those plates alone that stand in it. @param {Row} row @returns {Row} */
export function standing(row) {
  return { ...row, plates: row.plates.filter(({ out }) => !out) };
}

/** A row of standing plates with those that stand in none put back behind them. @param {Row} row @param {Row} whole @returns {Row} */
export function withLeftOut(row, whole) {
  return { ...row, plates: [...row.plates, ...whole.plates.filter(({ out, id }) => out && !row.plates.some((each) => each.id === id))] };
}

/** A plate taken out of the row, or back into it as its last. @param {Row} row @param {string} id @param {boolean} out @returns {Row} */
export function takenOut(row, id, out) {
  const rest = row.plates.filter((each) => each.id !== id);
  const plate = row.plates.find((each) => each.id === id) ?? placeOf(id);
  const { out: _was, ...kept } = plate;
  const standing = rest.filter((each) => !each.out);
  const over = rest.filter((each) => each.out);
  // One that is printed over others keeps no place among them.
  return { ...row, plates: out ? [...standing, ...over, { ...kept, place_pinned: false, out }] : [...standing, kept, ...over] };
}

/** Plates in each row. @param {Row} row */
export function columnsOf({ columns, plates }) {
  return Math.min(columns ?? Infinity, Math.max(1, plates.length));
}

/** The plate moved to another place; pins go with their plates. @param {Row} row @param {number} from @param {number} to @returns {Row} */
export function movedTo(row, from, to) {
  const plates = [...row.plates];
  const [plate] = plates.splice(from, 1);
  plates.splice(Math.max(0, Math.min(plates.length, to)), 0, plate);
  return { ...row, plates };
}

/** @param {Row} row @param {number} place @param {Partial<RowPlace>} patch @returns {Row} */
export function withPlace(row, place, patch) {
  return { ...row, plates: row.plates.map((plate, k) => k === place ? { ...plate, ...patch } : plate) };
}

/** The same plates in an order of their own, by letter and upright, whatever row they stand in: what is found among them stays found. @param {Row} row @param {Member[]} family @returns {Row} */
export function plainly(row, family) {
  const key = (/** @type {RowPlace} */ { id }) => `${family.find((each) => each.id === id)?.letter ?? ""} ${id}`;
  return { ...row, plates: [...row.plates].sort((a, b) => key(a) < key(b) ? -1 : 1) };
}

/** In an order that was found among the plates of `plain`. @param {Row} row @param {Row} plain @param {import("../web/types.d.ts").RowOrder["order"]} order @returns {Row} */
export function ordered(row, plain, order) {
  return { ...row, plates: order.map(({ plate, turned }) => ({ ...plain.plates[plate], turned })) };
}

/** Whether it stands in that order. @param {Row} row @param {Row} plain @param {import("../web/types.d.ts").RowOrder["order"]} order */
export function stands(row, plain, order) {
  return order.length === row.plates.length && order.every(({ plate, turned }, k) => plain.plates[plate].id === row.plates[k].id && turned === row.plates[k].turned);
}

/** What the worker is asked about; null while a plate of it has no plan. @param {Row} row @param {Member[]} family @returns {RowSpec | null} */
export function specOf(row, family) {
  const plates = [];
  for (const { id, turned, horizon_mm } of row.plates) {
    const member = family.find((each) => each.id === id);
    if (!member?.ready) return null;
    plates.push({ plate: member.plate, letter: member.letter, turned, plate_mm: member.plate_mm, horizon_mm });
  }
  return { plates, columns: row.columns === null ? null : columnsOf(row), align: row.align, weigh: row.weigh };
}

/** What is settled of each plate of `plain`, by where it stands in the row. @param {Row} row @param {Row} plain */
export function pinsOf(row, plain) {
  return plain.plates.map(({ id, place_pinned, turn_pinned, turned }) => ({ place: place_pinned ? row.plates.findIndex((each) => each.id === id) : null, turned: turn_pinned ? turned : null }));
}

/**
 * How many orders there are, pins aside. A whole print turned is the same one, where its rows are full and its plates stand in line either way up.
 * @param {Row} row @param {Member[]} family
 */
export function ordersOf(row, family) {
  const count = row.plates.length;
  let all = row.turns ? 2 ** count : 1;
  for (let k = 2; k <= count; k++) all *= k;
  const heights = new Set(row.plates.map(({ id }) => family.find((each) => each.id === id)?.plate_mm[1]));
  const alike = count % columnsOf(row) === 0 && (row.align === "horizon" || heights.size === 1);
  return row.turns && alike ? all / 2 : all;
}

/**
 * What is asked of the bed; null while a plate has no plan. Where no plate stands in the row each lies on the bed alone: the first is shown.
 * @param {Pick<State, "plateId" | "letter" | "title" | "plan" | "family" | "row">} state @returns {import("../web/types.d.ts").BedSpec | null}
 */
export function bedOf(state) {
  const family = members(state);
  const row = rowOf(state.row, family);
  const over = row.plates.filter(({ out }) => out);
  const stands = standing(row);
  const spec = specOf(stands.plates.length ? stands : { ...row, plates: over.slice(0, 1) }, family);
  const alone = specOf({ ...row, plates: over }, family);
  return spec && alone && { row: spec, bed: row.bed, gap_mm: row.gap_mm, gap_down_mm: row.gap_down_mm, registration: row.registration, ...(over.length ? { over: alone.plates } : {}) };
}

/**
 * Where plates stand in a scene, mm from its upper left corner: each row with its own line, columns as wide as their widest, `band` mm between rows.
 * @param {Row} row @param {Member[]} family @param {{ gap: number, band: number }} between
 */
export function placed(row, family, { gap, band }) {
  const columns = columnsOf(row);
  const of = row.plates.map(({ id, turned, horizon_mm }) => {
    const [width, height] = /** @type {Member} */ (family.find((each) => each.id === id)).plate_mm;
    const horizon = horizon_mm ?? height / 2;
    return { width, height, top: row.align === "top" ? 0 : row.align === "foot" ? -height : -(turned ? height - horizon : horizon) };
  });
  const widths = Array.from({ length: columns }, (_, c) => Math.max(0, ...of.filter((_each, k) => k % columns === c).map(({ width }) => width)));
  const boxes = [];
  /** Of each row where it begins and ends. @type {{ top: number, foot: number }[]} */
  const rows = [];
  let y = 0;
  for (let first = 0; first < of.length; first += columns) {
    const line = of.slice(first, first + columns);
    const highest = Math.min(...line.map(({ top }) => top));
    let x = 0;
    let foot = y;
    for (const [c, { width, height, top }] of line.entries()) {
      boxes.push({ x: x + (widths[c] - width) / 2, y: y + top - highest, width, height });
      foot = Math.max(foot, y + top - highest + height);
      x += widths[c] + gap;
    }
    rows.push({ top: y, foot });
    y = foot + band;
  }
  return { boxes, rows, width: widths.reduce((sum, width) => sum + width + gap, -gap), height: y };
}
