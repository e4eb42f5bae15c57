/**
 * The record of the pulls as the page holds it: what is added, put right, struck out, and what can't be. Pure.
 * @typedef {import("../../../web/types.d.ts").PullRecord} PullRecord
 * @typedef {import("../../../web/types.d.ts").Pull} Pull
 * @typedef {import("../../../web/types.d.ts").PullSaid} PullSaid
 * @typedef {import("../../state.js").State} State
 */

/** As the core has them. */
export const MOST = Object.freeze({ pulls: 500, touches: 60, short: 200, note: 500, words: 2000, plates: 40, laid: 200, corrections: 20, all: 60_000, highest: 100_000, photo: 300_000, photos: 24_000_000 });
/** What the strip was printed in, where nothing else is known. */
const STRIPS_INK = "the strip’s own";

/** Nothing written down. @type {PullRecord} */
export const NO_RECORD = Object.freeze({ planned: null, edition: null, lifetime: null, pulls: [], photos: [], touches: [] });

/** @param {State} state @returns {PullRecord} */
export const recordOf = ({ record }) => record ?? NO_RECORD;

/** The record without its photographs' bytes: what is asked of the worker at every turn. @param {PullRecord} record @returns {PullRecord} */
export const spoken = (record) => ({ ...record, photos: record.photos.map(({ id }) => ({ id, jpeg: "" })) });

/** The day of the page's own clock and place. @param {Date} [now] */
export function today(now = new Date()) {
  const two = (/** @type {number} */ value) => String(value).padStart(2, "0");
  return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
}

/** Whether it is a day of the calendar. @param {string} text */
export function isDay(text) {
  const [, year, month, day] = (/^(\d{4})-(\d{2})-(\d{2})$/.exec(text) ?? []).map(Number);
  const date = new Date(Date.UTC(year, month - 1, day));
  return year >= 1900 && year < 3000 && date.getUTCMonth() === month - 1 && date.getUTCDate() === day;
}

/** Bytes of a photograph in base64. @param {{ jpeg: string }} photo */
export const bytesOf = ({ jpeg }) => Math.floor(jpeg.length / 4) * 3;

/** What the photographs weigh together. @param {PullRecord} record */
export const weight = ({ photos }) => photos.reduce((sum, photo) => sum + bytesOf(photo), 0);

/** One more than the highest so far. @param {PullRecord} record */
export const nextNumber = ({ pulls }) => pulls.reduce((highest, { number }) => Math.max(highest, number), 0) + 1;

/** The lowest number of the edition that no pull has; null: it is full. @param {PullRecord} record */
export function nextCopy({ pulls, edition }) {
  const taken = new Set(pulls.filter(({ now }) => now.kind === "edition" && !now.struck).map(({ now }) => now.copy));
  let copy = 1;
  while (taken.has(copy)) copy++;
  return edition === null || copy <= edition ? copy : null;
}

/**
 * What the page knows of the pull that comes: plates in their order, inks and papers of the proof, and what was the same at the last pull.
 * @param {State} state @param {string} day @returns {PullSaid}
 */
export function expected(state, day) {
  const { proof, plates, letter, settings } = state;
  const record = recordOf(state);
  const last = record.pulls.findLast(({ now }) => !now.struck)?.now;
  const strip = typeof settings.strip === "object" ? settings.strip?.about : undefined;
  const ink = (/** @type {number | null} */ at) => at === null ? strip?.ink || STRIPS_INK : proof.inks[at]?.name ?? STRIPS_INK;
  const printed = proof.printings.map((printing) => {
    const zones = printing.plate === null ? proof.zones.map((zone) => `${zone.name} in ${ink(zone.ink)}`) : [];
    const own = printing.plate === null ? letter : plates.find(({ id }) => id === printing.plate)?.letter ?? "";
    const turned = printing.plate === null && rowTurned(state);
    return { letter: own, turned, ink: [ink(printing.ink), ...zones].join("; ").slice(0, MOST.short) };
  });
  const kind = last?.kind ?? "proof";
  return {
    day, kind, copy: kind === "edition" ? nextCopy(record) : null, plates: inRow(state, printed), papers: laidPapers(state),
    sheet: last?.sheet ?? strip?.paper ?? "", damping: last?.damping ?? "", wiping: last?.wiping ?? "", pressure: last?.pressure ?? "", words: "", photo: null, struck: false,
  };
}

/** The papers of the pull, each once, with how many pieces of it are laid. @param {State} state */
function laidPapers({ papers, proof }) {
  const pieces = papers?.pieces ?? [];
  if (!papers || pieces.length === 0) return [...new Set(proof.laid.map(({ name }) => name))];
  return papers.stocks.flatMap(({ name }, k) => {
    const count = pieces.filter(({ stock }) => stock === k).length;
    return count === 0 ? [] : [count === 1 ? name : `${name}, ${count} pieces`];
  });
}

/** Where the plates lie in a row, that is read from left to right; the row is not of this part, and what it does not say is not taken from it. @param {State} state @returns {{ id: string, turned: boolean }[]} */
function rowPlaces({ row }) {
  const places = /** @type {any} */ (row)?.plates;
  return Array.isArray(places) ? places.filter((place) => typeof place?.id === "string") : [];
}

/** @param {State} state */
const rowTurned = (state) => rowPlaces(state).find(({ id }) => id === state.plateId)?.turned === true;

/** The plates of a row that print beside the plate at hand, where there are some: each in its own ink, that the printer writes. @param {State} state @param {PullSaid["plates"]} printed */
function inRow(state, printed) {
  const places = rowPlaces(state);
  if (state.family.length === 0 || places.length < 2) return printed;
  return places.flatMap(({ id, turned }) => {
    if (id === state.plateId) return printed;
    const kin = state.family.find((each) => each.id === id);
    const letter = kin?.work.job.letter;
    return letter && !printed.some((plate) => plate.letter === letter) ? [{ letter, turned, ink: "" }] : [];
  });
}

/** Why a pull can't be written down so; null: it can. @param {PullSaid} said @returns {string | null} */
export function wrong(said) {
  if (!isDay(said.day)) return `“${said.day}” is no day: choose one, or write it like 2026-03-14.`;
  if (said.copy !== null && !(Number.isInteger(said.copy) && said.copy >= 1 && said.copy <= MOST.highest)) return `A number in the edition is whole and lies between 1 and ${MOST.highest}: write it so, or leave it empty.`;
  if (said.kind !== "edition" && said.copy !== null) return "Only a pull of the edition has a number in it.";
  if (said.plates.length > MOST.plates || said.papers.length > MOST.laid) return `A pull has up to ${MOST.plates} plates and up to ${MOST.laid} papers: leave some out.`;
  const short = [...said.plates.flatMap(({ letter, ink }) => [letter, ink]), ...said.papers, said.sheet, said.damping, said.wiping, said.pressure];
  if (short.some((text) => [...text].length > MOST.short)) return `An ink, a paper, a sheet or a way has up to ${MOST.short} letters: shorten it, and put the rest into the words.`;
  if ([...said.words].length > MOST.words) return `The words on a pull have up to ${MOST.words} letters, ${[...said.words].length} came: shorten them.`;
  return said.photo && [...said.photo.alt].length > MOST.note ? `What is to be seen in a photograph has up to ${MOST.note} letters: shorten it.` : null;
}

/** Only photographs that a pull or a correction names are kept. @param {PullRecord} record @returns {PullRecord} */
function tidied(record) {
  const used = new Set(record.pulls.flatMap(({ now, corrections }) => [now, ...corrections.map(({ was }) => was)]).map(({ photo }) => photo?.id));
  return record.photos.every(({ id }) => used.has(id)) ? record : { ...record, photos: record.photos.filter(({ id }) => used.has(id)) };
}

/** @param {PullRecord} record @param {{ id: string, jpeg: string } | null} photo */
function withPhoto(record, photo) {
  return photo && !record.photos.some(({ id }) => id === photo.id) ? { ...record, photos: [...record.photos, photo] } : record;
}

/** A pull more; a sentence where it can't be. @param {PullRecord} record @param {PullSaid} said @param {{ id: string, jpeg: string } | null} photo @returns {PullRecord | string} */
export function added(record, said, photo) {
  const fault = wrong(said);
  if (fault) return fault;
  if (record.pulls.length >= MOST.pulls) return `A record holds ${MOST.pulls} pulls, and this one is full: save the work, and begin another record for the rest.`;
  return light({ ...withPhoto(record, photo), pulls: [...record.pulls, { number: nextNumber(record), now: said, corrections: [] }] });
}

/** A pull put right: what stood there stays with it. @param {PullRecord} record @param {number} number @param {PullSaid} said @param {{ day: string, note: string }} why @param {{ id: string, jpeg: string } | null} photo @returns {PullRecord | string} */
export function corrected(record, number, said, { day, note }, photo) {
  const fault = wrong(said);
  if (fault) return fault;
  if ([...note].length > MOST.note) return `A note has up to ${MOST.note} letters: shorten it.`;
  const pull = record.pulls.find((each) => each.number === number);
  if (!pull) return `There is no pull ${number} any more.`;
  if (JSON.stringify(pull.now) === JSON.stringify(said)) return "Nothing is changed: there is nothing to put right.";
  if (pull.corrections.length >= MOST.corrections) return `Pull ${number} was put right ${MOST.corrections} times, and a record holds no more: say the rest in the words of another pull.`;
  const pulls = record.pulls.map((each) => each === pull ? { ...pull, now: said, corrections: [...pull.corrections, { day, note, was: pull.now }] } : each);
  return light({ ...withPhoto(record, photo), pulls });
}

/** @param {PullRecord} record @returns {PullRecord | string} */
function light(record) {
  const next = tidied(record);
  const laid = next.pulls.flatMap(({ now, corrections }) => [now, ...corrections.map(({ was }) => was)]).reduce((sum, { plates, papers }) => sum + plates.length + papers.length, 0);
  if (laid > MOST.all) return `A record holds up to ${MOST.all} plates and papers in all: begin another record for the rest.`;
  return weight(next) > MOST.photos ? `All photographs together may have ${MOST.photos / 1e6} MB, and with this one they have more: leave it out, or write on in another record.` : next;
}

/** How many there are of each kind, in words. @param {PullRecord} record */
export function counts({ pulls }) {
  const standing = pulls.filter(({ now }) => !now.struck);
  const of = (/** @type {PullSaid["kind"]} */ kind) => standing.filter(({ now }) => now.kind === kind).length;
  const parts = /** @type {[number, string][]} */ ([[of("proof"), of("proof") === 1 ? "proof" : "proofs"], [of("edition"), "of the edition"], [of("unique"), "unique"], [pulls.length - standing.length, "struck out"]]);
  return parts.filter(([count]) => count > 0).map(([count, word]) => `${count} ${word}`).join(", ");
}
