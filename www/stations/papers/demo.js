/**
 * The papers of the example: 34 pieces of three thin papers, all invented, laid out on whatever face there is. A sky of six pieces and a quay of seven,
 * a roof in two, a window and a snow edge in a chain, and small pieces between. Pure.
 * @typedef {import("./pieces.js").Papers} Papers
 * @typedef {import("./pieces.js").Point} Point
 */
import { NO_PAPERS, withAbove, withPieces } from "./pieces.js";

const KOZO = 0;
const MULBERRY = 1;
const GAMPI = 2;

/** @type {import("./pieces.js").PaperStock[]} */
const STOCKS = [
  { name: "kozo cream", on_white: "#e9dfc4", on_black: "#9b927b", back: null, along_pct: 0.4, across_pct: 1.6 },
  { name: "grey-blue mulberry", on_white: "#b9c4c9", on_black: "#737f88", back: null, along_pct: 0.5, across_pct: 2.1 },
  { name: "gampi-like tissue", on_white: "#e6dccb", on_black: "#57514a", back: null, along_pct: 0.2, across_pct: 0.8 },
];

/** The slant of an edge at a place, hundredths of the face. @param {number} i */
const slant = (i) => 1.6 * Math.sin(2.3 * i + 0.4);

/** A row of pieces that meet at slanting edges, hundredths of the face. @param {number} count @param {number} top @param {number} foot @param {number} seed @returns {Point[][]} */
function row(count, top, foot, seed) {
  const edge = (/** @type {number} */ i) => i === 0 ? [0, 0] : i === count ? [100, 100] : [100 * i / count + slant(seed + i), 100 * i / count - slant(seed + i)];
  return Array.from({ length: count }, (_, i) => [[edge(i)[0], top], [edge(i + 1)[0], top], [edge(i + 1)[1], foot], [edge(i)[1], foot]]);
}

/** @param {{ width: number, height: number }} face @returns {Papers} */
export function demoPapers(face) {
  const on = (/** @type {Point[]} */ outline) => /** @type {Point[]} */ (outline.map(([x, y]) => [Math.round(x * face.width) / 100, Math.round(y * face.height) / 100]));
  /** @type {Papers} */
  let papers = { ...NO_PAPERS, stocks: STOCKS.map((stock) => ({ ...stock })) };
  const put = (/** @type {string} */ name, /** @type {number} */ stock, /** @type {Point[]} */ outline, fibre_deg = 0) => {
    papers = withPieces(papers, stock, [on(outline)], { name, fibre_deg });
    return papers.pieces.length - 1;
  };
  const chain = (/** @type {number[]} */ places) => places.slice(1).forEach((place, i) => { papers = withAbove(papers, places[i], place, "one"); });
  chain(row(6, 0, 27, 1).map((outline, i) => put(`sky ${i + 1}`, MULBERRY, outline, 0)));
  chain(row(7, 78, 100, 4).map((outline, i) => put(`quay ${i + 1}`, KOZO, outline, 90)));
  const roof = [put("roof left", KOZO, [[22, 38], [36, 30], [36, 47], [22, 49]]), put("roof right", KOZO, [[36, 30], [50, 38], [50, 49], [36, 47]])];
  const window = put("window", GAMPI, [[32, 43], [41, 43], [41, 58], [32, 58]]);
  const snow = put("snow edge", MULBERRY, [[20, 54], [52, 52], [52, 61], [20, 62]]);
  chain([roof[0], roof[1], window, snow]);
  papers = withAbove(papers, roof[0], window, "one");
  const small = (/** @type {number} */ x, /** @type {number} */ y, /** @type {number} */ i) => /** @type {Point[]} */ ([[x, y + 0.8], [x + 7 + slant(i) / 3, y], [x + 7.5, y + 7 - slant(i + 2) / 3], [x + 0.6, y + 7.6]]);
  let i = 0;
  for (const [y, from, to] of [[31, 58, 90], [42, 58, 90], [53, 58, 90], [65, 4, 95]]) {
    for (let x = from; x + 8 <= to + 8 && i < 17; x += 12) put("", [GAMPI, MULBERRY, KOZO][i % 3], small(x, y, i++), [0, 90, 45][i % 3]);
  }
  return papers;
}
