/**
 * The family's row: which plates stand side by side in the print, in what order, and what the worker is asked about it. Print view. Pure.
 * @typedef {import("../web/types.d.ts").Row} Row
 * @typedef {import("../web/types.d.ts").RowPlace} RowPlace
 * @typedef {import("../web/types.d.ts").RowSpec} RowSpec
 * @typedef {import("./state.js").State} State
 */

/** The most plates whose orders can be searched. */
export const MOST_SEARCHED = 12;
/** A row that nothing has been said of. The sheet and the bed are those of the example; every shop has its own. @type {Row} */
export const PLAIN_ROW = {
  plates: [], columns: null, align: "horizon", turns: true, weigh: "tone", gap_mm: 3, gap_down_mm: 3,
  bed: { length_mm: 1000, width_mm: 500, along: true, feed: "left", sheet_mm: /** @type {[number, number]} */ ([600, 380]), margin_mm: 40, bleed: false, grip_mm: 0 },
  registration: null,
};

/**
 * A plate of the family as the row has it; `plate` is the id of its map with the worker, null for the one at hand. `ready`: it has a plan.
 * @typedef {object} Member
 * @property {string} id
 * @property {string} letter
 * @property {string} title
 * @property {string | null} plate
 * @property {[number, number]} plate_mm
 * @property {[number, number]} face_mm
 * @property {boolean} ready
 */

/** @param {Pick<State, "plateId" | "letter" | "title" | "plan" | "family">} state @returns {Member[]} */
export function members({ plateId, letter, title, plan, family }) {
  const pair = (/** @type {{ width: number, height: number }} */ { width, height }) => /** @type {[number, number]} */ ([width, height]);
  const own = { id: plateId, letter, title, plate: null, plate_mm: pair(plan?.plate_mm ?? { width: 0, height: 0 }), face_mm: pair(plan?.face_mm ?? { width: 0, height: 0 }), ready: plan !== null };
  return [own, ...family.map(({ id, work: { job, settings }, facts }) => ({
    id, letter: job.letter, title: job.title, plate: facts?.plate.id ?? null,
    plate_mm: facts ? pair(facts.plate_mm) : /** @type {[number, number]} */ ([settings.plate.width_mm, settings.plate.height_mm]),
    face_mm: facts ? pair(facts.face_mm) : /** @type {[number, number]} */ ([settings.plate.width_mm, settings.plate.height_mm]), ready: facts !== null,
  }))];
}

/** A plate that nothing has been said of. @param {string} id @returns {RowPlace} */
export function placeOf(id) {
  return { id, turned: false, place_pinned: false, turn_pinned: false, horizon_mm: null };
}

/** The row with every plate of the family in it, once, and no others: those not named stand last, by their letters. @param {Row | null} row @param {Member[]} family @returns {Row} */
export function rowOf(row, family) {
  const kept = row ?? PLAIN_ROW;
  const there = kept.plates.filter(({ id }, k) => family.some((each) => each.id === id) && kept.plates.findIndex((each) => each.id === id) === k);
  const more = family.filter(({ id }) => !there.some((each) => each.id === id)).sort((a, b) => a.letter < b.letter ? -1 : a.letter > b.letter ? 1 : 0);
  return { ...kept, plates: [...there, ...more.map(({ id }) => placeOf(id))] };
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

/** What is asked of the bed; null while a plate has no plan. @param {Pick<State, "plateId" | "letter" | "title" | "plan" | "family" | "row">} state @returns {import("../web/types.d.ts").BedSpec | null} */
export function bedOf(state) {
  const family = members(state);
  const row = rowOf(state.row, family);
  const spec = specOf(row, family);
  return spec && { row: spec, bed: row.bed, gap_mm: row.gap_mm, gap_down_mm: row.gap_down_mm, registration: row.registration };
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
