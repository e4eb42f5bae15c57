/**
 * What is set by hand, as the settings hold it: lines in millimetres of the face, and every change as a function from settings to settings. Pure.
 * @typedef {import("../web/types.d.ts").Settings} Settings
 * @typedef {import("../web/types.d.ts").Edit} Edit
 * @typedef {import("../web/types.d.ts").Resist} Resist
 * @typedef {[number, number]} Point mm on the face, print view
 */
import { number } from "./format.js";

/** A line may be thinned out as long as it stays within this of what was drawn, mm; written to the hundredth it is within 0.05 mm. */
const THINNED_MM = 0.04;

/** As the core takes them. */
export const BRUSH_MM = Object.freeze({ least: 0.1, most: 50 });

/** Drops points that the straight line between their neighbours stands in for (Douglas and Peucker, Cartographica 10, 1973, 112–122). @param {readonly Point[]} points @returns {Point[]} */
export function thinned(points) {
  const keep = new Set([0, points.length - 1]);
  const work = [[0, points.length - 1]];
  for (let part = work.pop(); part; part = work.pop()) {
    const [from, to] = part;
    let worst = THINNED_MM;
    let at = -1;
    for (let i = from + 1; i < to; i++) {
      const off = distance(points[i], points[from], points[to]);
      if (off > worst) [worst, at] = [off, i];
    }
    if (at < 0) continue;
    keep.add(at);
    work.push([from, at], [at, to]);
  }
  return points.filter((_, i) => keep.has(i));
}

/** How far a point is from the piece between two others. @param {Point} p @param {Point} a @param {Point} b */
export function distance([x, y], [ax, ay], [bx, by]) {
  const [dx, dy] = [bx - ax, by - ay];
  const square = dx * dx + dy * dy;
  const t = square > 0 ? Math.min(1, Math.max(0, ((x - ax) * dx + (y - ay) * dy) / square)) : 0;
  return Math.hypot(x - ax - t * dx, y - ay - t * dy);
}

/** A line as the core reads it, thinned out. @param {readonly Point[]} points */
export function pathText(points) {
  return thinned(points).map((point) => point.map(hundredths).join(",")).join(" ");
}

/** @param {string} path @returns {Point[]} */
export function pathPoints(path) {
  return path.split(" ").map((pair) => /** @type {Point} */ (pair.split(",").map(Number)));
}

/** @param {number} mm */
export function hundredths(mm) {
  return Math.round(mm * 100) / 100;
}

/** Whether a line goes round something: three points, and more than a speck. @param {readonly Point[]} points */
export function goesRound(points) {
  const xs = points.map((p) => p[0]);
  const ys = points.map((p) => p[1]);
  return thinned(points).length >= 3 && Math.max(...xs) - Math.min(...xs) > 0.2 && Math.max(...ys) - Math.min(...ys) > 0.2;
}

/** @param {Settings} settings @param {Edit} edit @returns {Settings} */
export function withEdit(settings, edit) {
  return { ...settings, hand: [...settings.hand, edit] };
}

/** @param {Settings} settings @param {number} index @returns {Settings} */
export function withoutEdit(settings, index) {
  return { ...settings, hand: settings.hand.filter((_, i) => i !== index) };
}

/** @param {Settings} settings @param {string} shape @param {boolean} open_inside @returns {Settings} */
export function withShape(settings, shape, open_inside) {
  const before = settings.resist?.kind === "drawn" ? settings.resist.shapes : [];
  return { ...settings, resist: { kind: "drawn", shapes: [...before, shape], open_inside } };
}

/** @param {Settings} settings @param {number} index @returns {Settings} */
export function withoutShape(settings, index) {
  if (settings.resist?.kind !== "drawn") return settings;
  const shapes = settings.resist.shapes.filter((_, i) => i !== index);
  return { ...settings, resist: shapes.length ? { ...settings.resist, shapes } : null };
}

/** An edit in a few words, as Undo and the list call it. @param {Edit} edit @param {number} [tones] how many the plate has */
export function editWords(edit, tones = Infinity) {
  const tone = "tone" in edit ? `tone ${edit.tone}${edit.tone >= tones ? `, the plate's darkest is ${tones - 1}` : ""}` : "";
  switch (edit.kind) {
    case "stroke": return `brush ${number(edit.width_mm, 1)} mm: ${tone}`;
    case "lasso": return `lasso: ${tone}`;
    case "fill": return `fill: ${tone}`;
    case "keep": return "kept what clean-up took";
    case "by_hand": return "area by hand";
  }
}

/** Where it is, for telling two alike apart: the middle of its points. @param {Edit} edit @returns {Point} */
export function editPlace(edit) {
  const points = "path" in edit ? pathPoints(edit.path) : [edit.at];
  const middle = (/** @type {0 | 1} */ axis) => (Math.min(...points.map((p) => p[axis])) + Math.max(...points.map((p) => p[axis]))) / 2;
  return [middle(0), middle(1)];
}
