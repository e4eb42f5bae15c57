/** Where the strip's joints stand, and which lightness a place means. Pure. All places are 0–1 of the strip's width. */

/** No block is narrower than this part of an even one, so that it can be read and pressed. */
const NARROWEST = 0.5;

/**
 * N+1 places: the left end, the joints, the right end.
 * @param {number[]} shares of the face @param {"share" | "even"} widths
 */
export function positions(shares, widths) {
  const n = shares.length;
  const even = 1 / n;
  const least = even * NARROWEST;
  const parts = widths === "even" ? shares.map(() => even) : shares.map((share) => least + Math.max(0, share) * (1 - n * least));
  const sum = parts.reduce((a, b) => a + b, 0);
  let at = 0;
  return [0, ...parts.map((part) => (at += part / sum))];
}

/**
 * The joint nearest to a place, or −1 if none is within reach.
 * @param {number[]} places @param {number} at @param {number} reach
 */
export function nearestJoint(places, at, reach) {
  let best = -1;
  let distance = reach;
  for (let i = 1; i < places.length - 1; i++) {
    const d = Math.abs(places[i] - at);
    if (d <= distance) {
      distance = d;
      best = i - 1;
    }
  }
  return best;
}

/**
 * The drawing's lightness a place on the strip means: joints stand at their breaks, the ends at the drawing's ends,
 * straight in between.
 * @param {number[]} places @param {number[]} breaks @param {{ paper: number, black: number }} ends @param {number} at
 */
export function lightnessAt(places, breaks, ends, at) {
  const values = [Math.max(ends.paper, breaks[0]), ...breaks, Math.min(ends.black, breaks[breaks.length - 1])];
  let i = 1;
  while (i < places.length - 1 && places[i] < at) i++;
  const span = places[i] - places[i - 1];
  const part = span > 0 ? Math.min(1, Math.max(0, (at - places[i - 1]) / span)) : 0;
  return values[i - 1] + part * (values[i] - values[i - 1]);
}

/**
 * The bites' labels in rows, so that none lies on another: 0 is the row next to the blocks.
 * @param {number[]} places @param {number} width of the strip in px @param {number} label width in px
 */
export function tiers(places, width, label) {
  /** @type {number[]} */
  const ends = [];
  return places.slice(1, -1).map((place) => {
    const x = place * width;
    let row = ends.findIndex((end) => x - end >= label);
    if (row < 0) row = ends.length < 2 ? ends.length : ends[0] <= ends[1] ? 0 : 1;
    ends[row] = x;
    return row;
  });
}
