/**
 * Every choice of the proof as a function from the proof to a part of it. Lists are never changed in place: a changed one is a new one. Pure.
 * @typedef {import("../../../web/types.d.ts").ProofSettings} ProofSettings
 * @typedef {import("../../../web/types.d.ts").ProofInk} ProofInk
 * @typedef {import("../../../web/types.d.ts").InkZone} InkZone
 * @typedef {import("../../../web/types.d.ts").LaidPaper} LaidPaper
 * @typedef {import("../../../web/types.d.ts").PrintingChoice} PrintingChoice
 * @typedef {import("../../../web/types.d.ts").EdgeChoice} EdgeChoice
 * @typedef {[number, number]} Point
 */

/** As many plates print over one another. */
export const MOST_PLATES = 4;
/** The most zones of ink, and papers under it. */
export const MOST_ZONES = 32;
export const MOST_LAID = 64;
/** Seeds of grain and hand: 1 to this. */
export const LAST_SEED = 9999;

/** An edge as a hand paints it, before anything is said of it; how far it wanders is the printer's own figure. (creep and lap: within what is usual, common practice, no source) */
export const A_HAND = Object.freeze({ seed: 1, creep_mm: 0.2, lap_mm: 1 });

/** A second plate on a wet first one takes about three quarters of its film (0.6 to 0.9 wet on wet, about 1 on dry ink: estimates). */
export const WET_TRAP = 0.75;

/** @type {Omit<PrintingChoice, "plate">} */
const PLAIN_PRINTING = Object.freeze({ ink: null, trap: WET_TRAP, shift_mm: /** @type {Point} */ ([0, 0]), growth: /** @type {Point} */ ([0, 0]), turn: 0 });

/** @type {WeakMap<object, object>} */
const things = new WeakMap();

/** Stands for an item of a list through all that is changed of it and wherever in the list it comes to stand. @param {object} item */
export function thing(item) {
  const known = things.get(item) ?? {};
  things.set(item, known);
  return known;
}

/** @template {object} T @param {readonly T[]} list @param {number} index @param {Partial<T>} part @returns {T[]} */
export function changed(list, index, part) {
  return list.map((item, i) => {
    if (i !== index) return item;
    const next = { ...item, ...part };
    things.set(next, thing(item));
    return next;
  });
}

/** @template T @param {readonly T[]} list @param {number} index @returns {T[]} */
export function without(list, index) {
  return list.filter((_, i) => i !== index);
}

/** Put in at that place, or last where the list is shorter now. @template T @param {readonly T[]} list @param {number} index @param {T} item @returns {T[]} */
export function inserted(list, index, item) {
  return [...list.slice(0, index), item, ...list.slice(index)];
}

/** One place up (−1) or down (1); at an end nothing moves. @template T @param {readonly T[]} list @param {number} index @param {-1 | 1} by @returns {T[]} */
export function moved(list, index, by) {
  const next = [...list];
  const to = index + by;
  if (to < 0 || to >= next.length) return next;
  [next[index], next[to]] = [next[to], next[index]];
  return next;
}

/** The next seed; after the last comes the first. @param {number} seed */
export function another(seed) {
  return seed % LAST_SEED + 1;
}

/** A name that none of the list has yet: "ink 2". @param {readonly { name: string }[]} list @param {string} word */
export function freshName(list, word) {
  let n = list.length + 1;
  while (list.some((item) => item.name === `${word} ${n}`)) n++;
  return `${word} ${n}`;
}

/** A tear that no paper of the list has. @param {readonly LaidPaper[]} laid */
export function freshTear(laid) {
  let tear = laid.length + 1;
  while (laid.some((paper) => paper.tear === tear)) tear = another(tear);
  return tear;
}

/** @param {ProofSettings} proof @param {Partial<ProofInk>} [part] @returns {Partial<ProofSettings>} */
export function withNewInk({ inks }, part = {}) {
  const ink = { name: freshName(inks, "ink"), known: { full: "#3a2a22", opacity: 0 }, sheet: null, thinned: 0, strength: 1, ...part };
  return { inks: [...inks, ink] };
}

/** Whatever was printed in the ink prints in the strip's own again; inks after it move up a place. @param {ProofSettings} proof @param {number} index @returns {Partial<ProofSettings>} */
export function withoutInk({ inks, zones, printings }, index) {
  const place = (/** @type {number | null} */ ink) => (ink === null || ink === index ? null : ink > index ? ink - 1 : ink);
  const touched = (/** @type {{ ink: number | null }} */ item) => place(item.ink) !== item.ink;
  return {
    inks: without(inks, index),
    zones: zones.some(touched) ? zones.map((zone) => ({ ...zone, ink: place(zone.ink) })) : zones,
    printings: printings.some(touched) ? printings.map((each) => ({ ...each, ink: place(each.ink) })) : printings,
  };
}

/**
 * An ink that was taken away at its place again. Zones and plates that were printed in it and still print in the strip's own are printed in it again.
 * @param {ProofSettings} now @param {ProofSettings} before it was taken @param {number} index it had @returns {Partial<ProofSettings>}
 */
export function withInkAgain(now, before, index) {
  const at = Math.min(index, now.inks.length);
  const again = (/** @type {number | null} */ ink, /** @type {number | null | undefined} */ was) => (ink === null ? (was === index ? at : null) : ink >= at ? ink + 1 : ink);
  return {
    inks: inserted(now.inks, at, before.inks[index]),
    zones: now.zones.map((zone) => ({ ...zone, ink: again(zone.ink, before.zones.find((each) => each.name === zone.name)?.ink) })),
    printings: now.printings.map((each) => ({ ...each, ink: again(each.ink, before.printings.find((was) => was.plate === each.plate)?.ink) })),
  };
}

/**
 * A plate that was taken away prints at its place again, with the misfit it had and, if it is still there, its ink; so does the one that was left
 * alone by it and lay exactly meanwhile.
 * @param {ProofSettings} now @param {readonly PrintingChoice[]} before it was taken @param {number} index it had @returns {Partial<ProofSettings>}
 */
export function withPlateAgain({ printings, inks }, before, index) {
  const { ink, ...taken } = before[index];
  const alone = printings.length === 1 && before.find((each) => each.plate === printings[0].plate);
  const left = alone ? [{ ...printings[0], shift_mm: alone.shift_mm, growth: alone.growth, turn: alone.turn }] : printings;
  return { printings: inserted(left, index, { ...taken, ink: ink !== null && ink < inks.length ? ink : null }) };
}

/** Place of this plate among those that print. @param {ProofSettings} proof */
export function ownPlace({ printings }) {
  return Math.max(0, printings.findIndex((each) => each.plate === null));
}

/** The ink that this plate is printed with. @param {ProofSettings} proof */
export function ownInk(proof) {
  return proof.printings[ownPlace(proof)]?.ink ?? null;
}

/** @param {ProofSettings} proof @param {number | null} ink @returns {Partial<ProofSettings>} */
export function inkedWith(proof, ink) {
  return { printings: changed(proof.printings, ownPlace(proof), { ink }) };
}

/** Another plate, printed last. @param {ProofSettings} proof @param {string} plate its id @returns {Partial<ProofSettings>} */
export function withPlate({ printings }, plate) {
  return { printings: [...printings, { ...PLAIN_PRINTING, plate }] };
}

/** @type {WeakMap<readonly PrintingChoice[], PrintingChoice[]>} */
const turned = new WeakMap();

/** The plates in the other order. The same list gives the same list back. @param {ProofSettings} proof @returns {ProofSettings} */
export function otherOrder(proof) {
  const known = turned.get(proof.printings) ?? [...proof.printings].reverse();
  turned.set(proof.printings, known);
  return { ...proof, printings: known };
}

/** Whether ink, papers and plates are all as the strip was printed: one plate, its own ink, nothing beneath. @param {ProofSettings} proof */
export function asTheStrip({ paper, plate_tone, laid, papers, zones, printings }) {
  return !papers?.pieces.length && paper === null && plate_tone === 0 && laid.length === 0 && zones.length === 0 && printings.length === 1 && printings[0].ink === null;
}

/** A rectangle as an outline. @param {number} left @param {number} top @param {number} width @param {number} height @returns {Point[]} */
export function rectangle(left, top, width, height) {
  const corners = [[left, top], [left + width, top], [left + width, top + height], [left, top + height]];
  return /** @type {Point[]} */ (corners.map((corner) => corner.map((mm) => Math.round(mm * 100) / 100)));
}

/** The box around an outline, mm. @param {readonly Point[]} outline */
export function bounds(outline) {
  const xs = outline.map((point) => point[0]);
  const ys = outline.map((point) => point[1]);
  const [left, top] = [Math.min(...xs), Math.min(...ys)];
  return { left, top, width: Math.max(...xs) - left, height: Math.max(...ys) - top };
}

/** The outline put into another box, its shape kept. @param {readonly Point[]} outline @param {{ left: number, top: number, width: number, height: number }} box @returns {Point[]} */
export function intoBox(outline, box) {
  const now = bounds(outline);
  return /** @type {Point[]} */ (outline.map(([x, y]) => [
    Math.round((box.left + (x - now.left) * box.width / (now.width || 1)) * 100) / 100,
    Math.round((box.top + (y - now.top) * box.height / (now.height || 1)) * 100) / 100,
  ]));
}
