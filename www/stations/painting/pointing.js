/**
 * Pointing at places of the face on a picture: a hairline from the place to a label that reads upright in either view.
 * @typedef {import("../../../web/types.d.ts").Xy} Xy
 */
import { svg } from "../../dom.js";

/** How far a label stands off, px. */
const OFF = 17;

/**
 * A label in screen pixels at a place in mm; CSS takes the scale out again, and the plate view's mirror.
 * @param {Xy} at @param {string} text @param {{ picked?: boolean, face?: { width: number, height: number } }} [how] `face` keeps labels within
 */
export function label([x, y], text, { picked = false, face } = {}) {
  // Away from the nearer border, so that labels stay on the picture.
  const right = !face || x < face.width * 0.85;
  const down = face && y < face.height * 0.08;
  const [dx, dy] = [right ? OFF : -OFF, down ? OFF : -OFF];
  const wide = Math.max(18, 9 * text.length + 8);
  return svg("g", { transform: `translate(${x} ${y})` },
    svg("g", { class: picked ? "label picked" : "label" },
      svg("circle", { r: 2.5 }),
      svg("line", { x1: 0, y1: 0, x2: dx, y2: dy }),
      svg("rect", { x: dx - wide / 2, y: dy - 9, width: wide, height: 18 }),
      svg("text", { x: dx, y: dy + 4.5 }, text)));
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
