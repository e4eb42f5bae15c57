/**
 * Drawing on a picture by pen, finger, mouse or keys, in millimetres of the face. What is under way shows at once and is dropped by Escape.
 * @typedef {import("./hand-edits.js").Point} Point
 * @typedef {"line" | "round" | "place"} Shape a stroke, a closed line, or one press
 */
import { assign, svg } from "./dom.js";

/** Points nearer than this to the one before are not taken, mm. */
const NEAR_MM = 0.1;
/** What one press of an arrow key moves the cross by, mm; with Shift the second. */
const STEPS_MM = [1, 5];

/** @type {Record<string, Point>} */
const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };

/**
 * @param {import("./picture.js").Picture} picture
 * @param {{ shape(): Shape | null, width(): number, face(): { width: number, height: number } | null, done(points: Point[]): void, said(text: string): void }} how
 *   `shape` null: the picture is only looked at; `width` of the stroke in mm
 */
export function drawn(picture, how) {
  const trace = svg("g", { class: "trace" });
  const cross = svg("g", { class: "cross", visibility: "hidden" }, svg("path", { d: "M-4 0H-0.8M0.8 0H4M0-4V-0.8M0 0.8V4" }));
  picture.marks.append(trace, cross);
  /** @type {Point[]} */
  let points = [];
  /** @type {number | "keys" | null} who draws */
  let by = null;
  /** @type {Point | null} */
  let at = null;

  function show() {
    const shape = how.shape();
    const text = points.map((point) => point.join(",")).join(" ");
    trace.replaceChildren();
    if (!shape || points.length === 0 || shape === "place") return;
    if (shape === "line") {
      trace.append(svg("polyline", { class: "brush", points: points.length > 1 ? text : `${text} ${text}`, "stroke-width": how.width() }));
    } else {
      trace.append(svg("polygon", { class: "ground", points: text }), svg("polygon", { class: "around", points: text }));
    }
  }

  function drop() {
    const had = by !== null;
    by = null;
    points = [];
    show();
    return had;
  }

  function end() {
    const made = points;
    drop();
    if (made.length > 0) how.done(made);
  }

  /** @param {Point} point */
  function take(point) {
    const last = points.at(-1);
    if (!last || Math.hypot(point[0] - last[0], point[1] - last[1]) >= NEAR_MM) points.push(point);
  }

  picture.sheet.addEventListener("pointerdown", (event) => {
    const shape = how.shape();
    if (!shape || event.button !== 0 || !event.isPrimary) return;
    const point = picture.at(event);
    if (!point) return;
    event.preventDefault();
    picture.sheet.focus({ preventScroll: true });
    cross.setAttribute("visibility", "hidden");
    drop();
    by = event.pointerId;
    points = [point];
    if (shape === "place") return end();
    picture.sheet.setPointerCapture(event.pointerId);
    show();
  });
  picture.sheet.addEventListener("pointermove", (event) => {
    if (by !== event.pointerId) return;
    const all = event.getCoalescedEvents?.() ?? [];
    for (const each of all.length ? all : [event]) {
      const point = picture.at(each);
      if (point) take(point);
    }
    show();
  });
  picture.sheet.addEventListener("pointerup", (event) => {
    if (by === event.pointerId) end();
  });
  picture.sheet.addEventListener("pointercancel", (event) => {
    if (by === event.pointerId) drop();
  });

  picture.sheet.addEventListener("keydown", (event) => {
    const shape = how.shape();
    const face = how.face();
    if (!shape || !face || event.target !== picture.sheet || event.altKey || event.ctrlKey || event.metaKey) return;
    const arrow = ARROWS[event.key];
    if (arrow) {
      const far = STEPS_MM[event.shiftKey ? 1 : 0];
      // The cross goes the way the key points, so on the plate view the other way across the face.
      const across = arrow[0] * far * (picture.root.dataset.view === "plate" ? -1 : 1);
      const from = at ?? [face.width / 2, face.height / 2];
      at = [Math.min(face.width, Math.max(0, from[0] + across)), Math.min(face.height, Math.max(0, from[1] + arrow[1] * far))];
      if (by === "keys") take(at);
    } else if (event.key === "Enter" || event.key === " ") {
      at ??= [face.width / 2, face.height / 2];
      if (by === "keys") end();
      else {
        drop();
        by = "keys";
        points = [at];
        if (shape === "place") end();
      }
    } else if (event.key === "Escape") {
      if (!drop()) return;
      how.said("Dropped: nothing was changed.");
    } else return;
    event.preventDefault();
    event.stopPropagation();
    if (at) assign(cross, { visibility: "visible", transform: `translate(${at[0]} ${at[1]})` });
    if (arrow && at) how.said(`Cross at ${at[0].toFixed(0)}, ${at[1].toFixed(0)} mm from the print's upper left corner${by === "keys" ? ", drawing" : ""}.`);
    show();
  });
  // Escape works also where the pointer draws and the picture has not the keys.
  addEventListener("keydown", (event) => {
    if (event.key === "Escape" && by !== null && drop()) how.said("Dropped: nothing was changed.");
  });
  picture.sheet.addEventListener("blur", () => {
    if (by === "keys") drop();
    cross.setAttribute("visibility", "hidden");
  });

  return {
    /** The picture takes part, or is only looked at. @param {string} label what drawing on it does */
    update(label) {
      const active = how.shape() !== null;
      if (!active) {
        drop();
        cross.setAttribute("visibility", "hidden");
      }
      assign(picture.sheet, { tabindex: active ? 0 : null, role: active ? "application" : null, "aria-label": active ? label : null, "data-draws": active });
    },
  };
}
