/**
 * Pointing at places of the face on a picture: a hairline from the place to a label that reads upright in either view.
 * @typedef {import("../../../web/types.d.ts").Xy} Xy
 */
import { svg } from "../../dom.js";

/** How far a label stands off, px. */
const OFF = 17;

/**
 * A label in screen pixels at a place in mm; CSS takes the scale out again, and the plate view's mirror.
 * @param {Xy} at @param {string} text @param {{ picked?: boolean, face?: { width: number, height: number }, off?: [number, number] }} [how] `face` keeps labels within; `off`: where it stands
 */
export function label([x, y], text, { picked = false, face, off } = {}) {
  // Away from the nearer border, so that labels stay on the picture.
  const right = !face || x < face.width * 0.85;
  const down = face && y < face.height * 0.08;
  const [dx, dy] = off ?? [right ? OFF : -OFF, down ? OFF : -OFF];
  const wide = Math.max(18, 9 * text.length + 8);
  return svg("g", { transform: `translate(${x} ${y})` },
    svg("g", { class: picked ? "label picked" : "label" },
      svg("circle", { r: 2.5 }),
      svg("line", { x1: 0, y1: 0, x2: dx, y2: dy }),
      svg("rect", { x: dx - wide / 2, y: dy - 9, width: wide, height: 18 }),
      svg("text", { x: dx, y: dy + 4.5 }, text)));
}

/** Where labels stand off from, tried in turn, in OFF. @type {Xy[]} */
const WAYS = [[1, -1], [-1, -1], [1, 1], [-1, 1], [2.4, -1], [-2.4, -1], [2.4, 1], [-2.4, 1], [0, -2.4], [0, 2.4]];

/**
 * Where labels of places close together stand so that none hides another, px from each place on screen.
 * @param {readonly Xy[]} places mm @param {{ face: { width: number, height: number }, scale: number, mirrored: boolean }} on the picture: px a mm, and whether it is the plate view
 * @returns {Xy[]}
 */
export function apart(places, { face, scale, mirrored }) {
  /** @type {Xy[]} */
  const taken = [];
  return places.map(([x, y]) => {
    const at = /** @type {Xy} */ ([(mirrored ? face.width - x : x) * scale, y * scale]);
    const stands = WAYS.map(([across, down]) => /** @type {Xy} */ ([across * OFF, down * OFF]));
    const free = stands.find(([dx, dy]) => {
      const [px, py] = [at[0] + dx, at[1] + dy];
      return px > 9 && py > 9 && px < face.width * scale - 9 && py < face.height * scale - 9
        && taken.every(([tx, ty]) => Math.abs(tx - px) > 20 || Math.abs(ty - py) > 20);
    }) ?? stands[0];
    taken.push([at[0] + free[0], at[1] + free[1]]);
    return free;
  });
}

/** The box around a place. @param {[Xy, Xy]} bounds mm @param {number} [room] mm about it */
export function box([[left, top], [right, foot]], room = 0.6) {
  return svg("rect", { class: "around", x: left - room, y: top - room, width: right - left + 2 * room, height: foot - top + 2 * room });
}

/** A ring about a point that has no extent to show. @param {Xy} at @param {number} radius mm */
export function ring([x, y], radius) {
  return svg("circle", { class: "around", cx: x, cy: y, r: radius });
}

/** A stretch of contour. @param {Xy[]} points @param {boolean} picked */
export function stretch(points, picked) {
  const d = points.map(([x, y], i) => `${i ? "L" : "M"}${x.toFixed(2)} ${y.toFixed(2)}`).join("");
  return svg("g", { class: picked ? "stretch picked" : "stretch" }, svg("path", { d, class: "casing" }), svg("path", { d }));
}
