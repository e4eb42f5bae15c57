/**
 * Every choice of papers and pieces as a function from the papers to other papers. Lists are never changed in place. Pure.
 * @typedef {import("../../../web/types.d.ts").Papers} Papers
 * @typedef {import("../../../web/types.d.ts").PaperStock} PaperStock
 * @typedef {import("../../../web/types.d.ts").PaperPiece} PaperPiece
 * @typedef {import("../../../web/types.d.ts").ProofSettings} ProofSettings
 * @typedef {[number, number]} Point
 */
import { byLetter } from "../../family.js";
import { members, rowOf, standing } from "../../row.js";
import { another, changed, freshName } from "../proof/choices.js";

/** The most papers and pieces of a pull, and what overlap, growth and paste may be. */
export const MOST_STOCKS = 24;
export const MOST_PIECES = 200;
export const RANGES = Object.freeze({ lap: /** @type {Point} */ ([0, 10]), growth: /** @type {Point} */ ([0, 5]), open: /** @type {Point} */ ([10, 7200]), each: /** @type {Point} */ ([1, 600]), scatter: /** @type {Point} */ ([0, 100]), fibre: /** @type {Point} */ ([-180, 180]) });

/** A thin paper to begin with: an example, no paper of anybody's. Growth: about what thin papers do (estimate). @type {PaperStock} */
export const SOME_PAPER = Object.freeze({ name: "paper 1", on_white: "#dfd5ba", on_black: "#8d8672", back: null, along_pct: 0.3, across_pct: 1.5 });

/** No pieces yet. Overlap 1.5 mm (common practice, no source); eight minutes and eleven seconds are an example; scatters are estimates. @type {Papers} */
export const NO_PAPERS = Object.freeze({ stocks: [], pieces: [], above: [], lap_mm: 1.5, open_s: 480, each_s: 11, pace: 0.12, scatter: 0.35 });

/** What is said of the figures of the paste where they are those that papers begin with, and nobody's trial; "" where both are the printer's own. @param {Papers} papers */
export function exampleFigures({ open_s, each_s, open_own = false, each_own = false }) {
  const open = !open_own && open_s === NO_PAPERS.open_s;
  const each = !each_own && each_s === NO_PAPERS.each_s;
  if (open) return `EXAMPLE, NOT YOUR PASTE: ${each ? "open time and seconds a piece are" : "the open time is"} nobody’s trial.`;
  return each ? "EXAMPLE, NOT YOUR PACE: the seconds a piece are nobody’s trial." : "";
}

/** How many pieces lie wholly beside a plate: none of them is printed, cut or laid. @param {Papers | null} papers @param {{ width: number, height: number }} face mm @param {number} bevel mm */
export function beside(papers, face, bevel) {
  return piecesOf(papers).filter(({ outline }) => {
    if (outline === null) return false;
    const [xs, ys] = [outline.map(([x]) => x), outline.map(([, y]) => y)];
    return Math.min(...xs) > face.width + bevel || Math.max(...xs) < -bevel || Math.min(...ys) > face.height + bevel || Math.max(...ys) < -bevel;
  }).length;
}

/**
 * Pieces and time of all plates that stand in the row, which are pasted together and go under the press at once; null where the one at hand stands in none, or no
 * other plate of the row has papers. By their letters.
 * @param {Pick<import("../../state.js").State, "row" | "family" | "plateId" | "papers" | "letter" | "title" | "plan">} state @param {{ pieces: number, takes_s: number }} own of the plate at hand
 */
export function rowsPapers(state, own) {
  const { family, plateId, papers, letter } = state;
  const ids = standing(rowOf(state.row, members(state))).plates.map(({ id }) => id);
  if (!ids.includes(/** @type {string} */ (plateId))) return null;
  const others = family.filter(({ id }) => ids.includes(id)).map(({ id, work }) => ({ id, letter: work.job.letter, papers: work.job.papers ?? null })).filter((other) => piecesOf(other.papers).length > 0);
  if (others.length === 0) return null;
  const theirs = others.map((other) => ({ id: other.id, letter: other.letter, pieces: piecesOf(other.papers).length, takes_s: piecesOf(other.papers).length * /** @type {Papers} */ (other.papers).each_s }));
  const plates = [{ id: plateId, letter, pieces: own.pieces, takes_s: own.takes_s }, ...theirs].sort(byLetter);
  const open_s = Math.min(papers?.open_s ?? Infinity, ...others.map((other) => /** @type {Papers} */ (other.papers).open_s));
  return { plates, pieces: plates.reduce((sum, plate) => sum + plate.pieces, 0), takes_s: plates.reduce((sum, plate) => sum + plate.takes_s, 0), open_s };
}

/** @param {Papers | null} papers */
export const piecesOf = (papers) => papers?.pieces ?? [];

/** @type {WeakMap<ProofSettings, [Papers | null, ProofSettings]>} */
const sent = new WeakMap();

/** The proof as the worker is to have it: with the papers of the pull. The same two give the same one back. @param {{ proof: ProofSettings, papers: Papers | null }} state */
export function proofOf({ proof, papers }) {
  const laid = piecesOf(papers).length ? papers : null;
  const known = sent.get(proof);
  if (known?.[0] === laid) return known[1];
  const made = laid ? { ...proof, papers: laid } : proof;
  sent.set(proof, [laid, made]);
  return made;
}

/** A tear that no piece has. @param {readonly PaperPiece[]} pieces */
function freshTear(pieces) {
  let tear = pieces.length % 9999 + 1;
  for (let tries = 0; tries < 9999 && pieces.some((piece) => piece.tear === tear); tries++) tear = another(tear);
  return tear;
}

/** Pieces of one paper with these outlines, put last. @param {Papers} papers @param {number} stock @param {(Point[] | null)[]} outlines @param {Partial<PaperPiece>} [part] @returns {Papers} */
export function withPieces(papers, stock, outlines, part = {}) {
  const stocks = papers.stocks.length ? papers.stocks : [{ ...SOME_PAPER }];
  const pieces = [...papers.pieces];
  for (const outline of outlines) pieces.push({ name: "", stock: Math.min(stock, stocks.length - 1), outline, fibre_deg: 0, edge: "cut", turned: false, tear: freshTear(pieces), ...part });
  return { ...papers, stocks, pieces };
}

/** @param {Papers} papers @param {number} index @param {Partial<PaperPiece>} part @returns {Papers} */
export function withPiece(papers, index, part) {
  return { ...papers, pieces: changed(papers.pieces, index, part) };
}

/** Without a piece, and without what was said of it; places after it move up. @param {Papers} papers @param {number} index @returns {Papers} */
export function withoutPiece(papers, index) {
  const place = (/** @type {number} */ at) => at - Number(at > index);
  const above = papers.above.filter((pair) => !pair.includes(index)).map(([one, other]) => /** @type {Point} */ ([place(one), place(other)]));
  return { ...papers, pieces: papers.pieces.filter((_, i) => i !== index), above };
}

/** The papers' names; where several have one name, each with its place in the list, as on the sheets. @param {readonly PaperStock[]} stocks */
export function paperNames(stocks) {
  return stocks.map(({ name }, i) => stocks.filter((other) => other.name === name).length > 1 ? `${name} (${i + 1})` : name);
}

/** @param {Papers} papers @returns {Papers} */
export function withStock(papers) {
  return { ...papers, stocks: [...papers.stocks, { ...SOME_PAPER, name: freshName(papers.stocks, "paper") }] };
}

/** @param {Papers} papers @param {number} index @param {Partial<PaperStock>} part @returns {Papers} */
export function withStockPart(papers, index, part) {
  return { ...papers, stocks: changed(papers.stocks, index, part) };
}

/** Without a paper that no piece is of; others keep theirs. @param {Papers} papers @param {number} index @returns {Papers} */
export function withoutStock(papers, index) {
  const pieces = papers.pieces.map((piece) => piece.stock > index ? { ...piece, stock: piece.stock - 1 } : piece);
  return { ...papers, stocks: papers.stocks.filter((_, i) => i !== index), pieces };
}

/** Which of two lies above, as it is said: the first, the second, neither. @param {Papers} papers @param {number} one @param {number} other @returns {"one" | "other" | ""} */
export function saidAbove({ above }, one, other) {
  if (above.some(([a, b]) => a === one && b === other)) return "one";
  return above.some(([a, b]) => a === other && b === one) ? "other" : "";
}

/** Of two pieces the one said lies above; nothing said where it is left open. @param {Papers} papers @param {number} one @param {number} other @param {"one" | "other" | ""} which @returns {Papers} */
export function withAbove(papers, one, other, which) {
  const rest = papers.above.filter(([a, b]) => !(a === one && b === other) && !(a === other && b === one));
  const pair = /** @type {Point} */ (which === "one" ? [one, other] : [other, one]);
  return { ...papers, above: which === "" ? rest : [...rest, pair] };
}

/** Of all pairs that are open the one laid first lies above, as it does while nothing is said. @param {Papers} papers @param {import("../../../web/types.d.ts").PapersFacts} facts @returns {Papers} */
export function withOpenDecided(papers, { meet, pieces }) {
  return meet.filter(({ decided }) => !decided).reduce((now, { pieces: [a, b] }) => withAbove(now, a, b, pieces[a].number < pieces[b].number ? "one" : "other"), papers);
}

/** The papers that the proof has laid in, in one list with those of the pull: laid before them, as they were in the proof. @param {Papers} papers @param {ProofSettings} proof @returns {{ papers: Papers, proof: ProofSettings }} */
export function takenOver(papers, proof) {
  let next = papers;
  let last = -1;
  for (const { name, outline, edge, turned, tear, on_white, on_black, sheet = null, weight = null, back } of proof.laid) {
    const like = JSON.stringify([on_white, on_black, sheet, weight, back]);
    let stock = next.stocks.findIndex((each) => JSON.stringify([each.on_white, each.on_black, each.sheet ?? null, each.weight ?? null, each.back]) === like);
    if (stock < 0) {
      stock = next.stocks.length;
      next = { ...next, stocks: [...next.stocks, { name, on_white, on_black, sheet, weight, back, along_pct: 0, across_pct: 0 }] };
    }
    const at = next.pieces.length;
    next = withPieces(next, stock, [outline], { name, edge, turned, tear: tear ?? 1 });
    // The order they had: each lies above the next.
    if (last >= 0) next = withAbove(next, last, at, "one");
    last = at;
  }
  return { papers: next, proof: proof.laid.length ? { ...proof, laid: [] } : proof };
}

/** A piece's name where it is spoken of: "piece 4, roof". @param {Papers} papers @param {import("../../../web/types.d.ts").PapersFacts | null} facts @param {number} index */
export function calls(papers, facts, index) {
  const { name } = papers.pieces[index];
  return `piece ${facts?.pieces[index]?.number ?? index + 1}${name ? `, ${name}` : ""}`;
}
