/**
 * Bands of a photographed strip as shares of its length, and every edit of them as a function from bands to bands; and where a share lies
 * in the picture. Pure.
 * @typedef {[number, number]} Point
 * @typedef {[Point, Point, Point, Point]} Corners clockwise, the first and the last at the paper's end
 * @typedef {[number, number]} Band from and to, 0 at the paper's end, 1 at the other
 */

/** Shortest band an edit leaves, share of the strip. */
export const SHORTEST = 0.012;

/** One band out of two: a band and the one after it, with what lies between. @param {Band[]} bands @param {number} i @returns {Band[]} */
export function merged(bands, i) {
  if (i < 0 || i + 1 >= bands.length) return bands;
  return [...bands.slice(0, i), /** @type {Band} */ ([bands[i][0], bands[i + 1][1]]), ...bands.slice(i + 2)];
}

/** Two bands out of one, cut in its middle; one too short to be cut stays. @param {Band[]} bands @param {number} i @returns {Band[]} */
export function split(bands, i) {
  const band = bands[i];
  if (!band || band[1] - band[0] < 2 * SHORTEST) return bands;
  const middle = (band[0] + band[1]) / 2;
  return [...bands.slice(0, i), /** @type {Band} */ ([band[0], middle]), /** @type {Band} */ ([middle, band[1]]), ...bands.slice(i + 1)];
}

/** Without one band. @param {Band[]} bands @param {number} i @returns {Band[]} */
export function dropped(bands, i) {
  return bands.filter((_, k) => k !== i);
}

/** The same strip from its other end. @param {Band[]} bands @returns {Band[]} */
export function reversed(bands) {
  return bands.map(([from, to]) => /** @type {Band} */ ([1 - to, 1 - from])).reverse();
}

/** @param {Corners} corners @returns {Corners} */
export function turned([a, b, c, d]) {
  return [c, d, a, b];
}

/**
 * Every edge that can be moved: where it lies, and the bands that end and begin there.
 * @param {Band[]} bands @returns {{ at: number, ends: number | null, begins: number | null }[]}
 */
export function edges(bands) {
  /** @type {ReturnType<typeof edges>} */
  const all = [];
  bands.forEach(([from, to], i) => {
    const last = all.at(-1);
    if (last && last.begins === null && Math.abs(last.at - from) < 1e-6) last.begins = i;
    else all.push({ at: from, ends: null, begins: i });
    all.push({ at: to, ends: i, begins: null });
  });
  return all;
}

/** One edge put to a place; it stays between its neighbours, and every band keeps the least length. @param {Band[]} bands @param {number} index of `edges` @param {number} share @returns {Band[]} */
export function edgeTo(bands, index, share) {
  const all = edges(bands);
  const edge = all[index];
  if (!edge) return bands;
  const low = edge.ends === null ? (all[index - 1]?.at ?? 0) : bands[edge.ends][0] + SHORTEST;
  const high = edge.begins === null ? (all[index + 1]?.at ?? 1) : bands[edge.begins][1] - SHORTEST;
  const at = Math.round(Math.min(high, Math.max(low, share)) * 1e5) / 1e5;
  return bands.map(([from, to], i) => /** @type {Band} */ ([i === edge.begins ? at : from, i === edge.ends ? at : to]));
}

/** The map from shares of length and width to the picture: P. Heckbert, "Fundamentals of Texture Mapping and Image Warping", 1989, 2.2.3. @param {Corners} corners */
function square([p0, p1, p2, p3]) {
  const [dx1, dy1, dx2, dy2] = [p1[0] - p2[0], p1[1] - p2[1], p3[0] - p2[0], p3[1] - p2[1]];
  const [sx, sy] = [p0[0] - p1[0] + p2[0] - p3[0], p0[1] - p1[1] + p2[1] - p3[1]];
  const det = dx1 * dy2 - dx2 * dy1 || 1e-12;
  const [g, k] = [(sx * dy2 - dx2 * sy) / det, (dx1 * sy - sx * dy1) / det];
  return { x: [p1[0] - p0[0] + g * p1[0], p3[0] - p0[0] + k * p3[0], p0[0]], y: [p1[1] - p0[1] + g * p1[1], p3[1] - p0[1] + k * p3[1], p0[1]], w: [g, k] };
}

/** Where a share of the strip's length and width lies in the picture. @param {Corners} corners @param {Point} share @returns {Point} */
export function placeOf(corners, [u, v]) {
  const { x, y, w } = square(corners);
  const under = w[0] * u + w[1] * v + 1;
  return [(x[0] * u + x[1] * v + x[2]) / under, (y[0] * u + y[1] * v + y[2]) / under];
}

/** Which share of the strip's length and width a place of the picture is. @param {Corners} corners @param {Point} at @returns {Point} */
export function shareOf(corners, [X, Y]) {
  const { x, y, w } = square(corners);
  const [a, b, c] = [x[0] - X * w[0], x[1] - X * w[1], X - x[2]];
  const [d, e, f] = [y[0] - Y * w[0], y[1] - Y * w[1], Y - y[2]];
  const det = a * e - b * d || 1e-12;
  return [(c * e - b * f) / det, (a * f - c * d) / det];
}
