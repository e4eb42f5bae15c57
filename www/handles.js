/** Points on a picture that are dragged or moved by the arrow keys: 44 px to grasp, a small mark to see. */
import { assign, h } from "./dom.js";

/** @typedef {[number, number]} Point */
/** @typedef {{ at(event: { clientX: number, clientY: number }): Point | null, size(): Point, over: HTMLElement }} Ground a picture with coordinates of its own */

/**
 * @param {Ground} ground
 * @param {{ look: string, label: (point: Point) => string, drag?(point: Point): void, drop(point: Point, gesture: string | null): void, held?(point: Point | null): void, remove?(): void, by?(): number }} how
 *   `drag` while it is held, `drop` when it is let go or moved by a key (then with the gesture's name), `held` with null when it is let go or left;
 *   `by` is one press of an arrow key (Shift: a tenth), or else a fivehundredth of the longer side
 */
export function handle(ground, how) {
  const gesture = `handle-${++handles}`;
  /** @type {Point} */
  let point = [0, 0];
  /** Where it was grasped, from its middle. @type {Point | null} */
  let grasp = null;
  const root = h("button", { type: "button", class: `handle ${how.look}`, "aria-describedby": "handle-keys" }, h("i", { "aria-hidden": "true" }));
  const place = () => {
    const [w, high] = ground.size();
    assign(root, { style: { left: `${100 * point[0] / w}%`, top: `${100 * point[1] / high}%` }, "aria-label": how.label(point) });
  };
  root.addEventListener("pointerdown", (event) => {
    const at = ground.at(event);
    if (!at || event.button !== 0) return;
    event.preventDefault();
    event.stopPropagation();
    root.focus({ preventScroll: true });
    root.setPointerCapture(event.pointerId);
    grasp = [at[0] - point[0], at[1] - point[1]];
    how.held?.(point);
  });
  root.addEventListener("pointermove", (event) => {
    const at = grasp && ground.at(event);
    if (!grasp || !at) return;
    point = [at[0] - grasp[0], at[1] - grasp[1]];
    place();
    how.drag?.(point);
    how.held?.(point);
  });
  const end = (/** @type {PointerEvent} */ event) => {
    if (!grasp) return;
    grasp = null;
    if (event.type === "pointerup") how.drop(point, null);
    how.held?.(null);
  };
  root.addEventListener("pointerup", end);
  root.addEventListener("pointercancel", end);
  root.addEventListener("keydown", (event) => {
    if (event.altKey || event.ctrlKey || event.metaKey) return;
    if (how.remove && (event.key === "Delete" || event.key === "Backspace")) {
      event.preventDefault();
      how.remove();
      return;
    }
    const way = /** @type {Record<string, Point>} */ ({ ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] })[event.key];
    if (!way) return;
    event.preventDefault();
    event.stopPropagation();
    const by = (how.by?.() ?? 0.002 * Math.max(...ground.size())) * (event.shiftKey ? 0.1 : 1);
    point = [point[0] + way[0] * by, point[1] + way[1] * by];
    place();
    how.drop(point, gesture);
    how.held?.(point);
  });
  root.addEventListener("blur", () => how.held?.(null));
  ground.over.append(root);
  return {
    root,
    /** Whether it is being dragged. */
    get grasped() { return grasp !== null; },
    /** @param {Point} next */
    set(next) {
      if (grasp) return;
      point = next;
      place();
    },
  };
}

let handles = 0;

/** Said once for all handles. */
export function handleKeys() {
  return h("p", { id: "handle-keys", class: "hidden" }, "Drag it, or move it by the arrow keys; with Shift finely.");
}
