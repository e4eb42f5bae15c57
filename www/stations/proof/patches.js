/** Patches picked from a photograph or a scan of one's own: press on the sheet, the full tone and the pale one. The picture stays in the page. */
import { assign, h, say } from "../../dom.js";
import { radios } from "../../fields.js";
import { lightOf, valueOf } from "../../srgb.js";

/** Longest side the picture is held at, pixels. */
const LONGEST = 1200;
/** A patch is the mean over a square of this share of the shorter side. */
const PATCH = 0.03;
/** What one press of an arrow key moves the cross by, share of the width; with Shift the second. */
const BY = [0.01, 0.05];

/** Mean of RGBA pixels in light, as "#rrggbb". @param {ArrayLike<number>} rgba */
export function meanHex(rgba) {
  const sum = [0, 0, 0];
  for (let i = 0; i < rgba.length; i += 4) for (let c = 0; c < 3; c++) sum[c] += lightOf(rgba[i + c]);
  const n = rgba.length / 4;
  return `#${sum.map((s) => Math.round(valueOf(s / n)).toString(16).padStart(2, "0")).join("")}`;
}

/**
 * One picture of an ink's patches, and what was pressed on so far.
 * @typedef {object} Picking
 * @property {HTMLCanvasElement} canvas
 * @property {boolean} opened
 * @property {"sheet" | "full" | "pale"} which what is pressed on next
 * @property {[number, number]} at where the cross stands, shares
 * @property {{ sheet?: string, full?: string, pale?: string }} picked
 * @property {string} heard
 */

/** The pictures, each by the ink it belongs to wherever its card stands. @type {WeakMap<object, Picking>} */
const pictures = new WeakMap();

/** What patches tell as soon as all that are needed were pressed on; before that nothing. @param {Picking["picked"]} picked @param {boolean} two @returns {{ sheet?: string, full: string, pale?: string } | null} */
export function whole({ full, pale, ...rest }, two) {
  if (!full || (two && !pale)) return null;
  return two ? { ...rest, full, pale } : { ...rest, full };
}

/**
 * @param {import("../../state.js").Desk} desk
 * @param {{ of(): object, two(): boolean, take(patches: { sheet?: string, full: string, pale?: string }): void }} how `of` stands for the ink; what was pressed on is taken
 *   all at once, so that no full tone ever meets the pale one of another picture
 */
export function patches(desk, how) {
  /** @returns {Picking} */
  const mine = () => {
    const known = pictures.get(how.of()) ?? { canvas: h("canvas", { width: 8, height: 8 }), opened: false, which: "sheet", at: [0.5, 0.5], picked: {}, heard: "" };
    pictures.set(how.of(), known);
    return known;
  };
  const file = h("input", { type: "file", accept: "image/*", hidden: true, "aria-hidden": "true", tabindex: -1, onchange: () => {
    const chosen = file.files?.[0];
    file.value = "";
    if (chosen) open(chosen);
  } });
  const choose = h("button", { type: "button", onclick: () => file.click() }, "Pick from a photo or scan");
  const next = radios("Press on", [["sheet", "the bare sheet"], ["full", "the full tone"], ["pale", "the pale patch"]], (value) => { mine().which = /** @type {any} */ (value); });
  const cross = h("i", { class: "pick-cross", "aria-hidden": "true" });
  const heard = h("p", { class: "aside", role: "status" });
  const over = h("div", { class: "pick", tabindex: 0, role: "application", "aria-label": "The picture of the patches: press on one, or move the cross by the arrow keys and press Enter", onkeydown: keys, onpointerdown: pressed }, cross);
  const work = h("div", { class: "folded", hidden: true }, next.root, over, heard,
    h("p", { class: "aside" }, "Photograph them flat, side by side and in even light; the sheet beside them is what their colours are reckoned from."));
  const root = h("div", { class: "patches" }, choose, file, work);

  /** @param {Blob} blob */
  async function open(blob) {
    const picking = mine();
    const { canvas } = picking;
    try {
      const bitmap = await createImageBitmap(blob, { imageOrientation: "from-image" });
      const scale = Math.min(1, LONGEST / Math.max(bitmap.width, bitmap.height));
      canvas.width = Math.max(1, Math.round(bitmap.width * scale));
      canvas.height = Math.max(1, Math.round(bitmap.height * scale));
      canvas.getContext("2d", { willReadFrequently: true })?.drawImage(bitmap, 0, 0, canvas.width, canvas.height);
      bitmap.close();
      Object.assign(picking, { opened: true, which: "sheet", picked: {}, heard: "" });
      update();
      over.focus({ preventScroll: true });
    } catch {
      desk.notice("That file is no picture this browser can open: choose a JPEG or PNG of the patches.", "refused");
    }
  }

  /** @param {PointerEvent} event */
  function pressed(event) {
    if (event.button !== 0) return;
    const picking = mine();
    const box = picking.canvas.getBoundingClientRect();
    picking.at = [(event.clientX - box.left) / box.width, (event.clientY - box.top) / box.height];
    pick();
  }

  /** @param {KeyboardEvent} event */
  function keys(event) {
    const by = BY[event.shiftKey ? 1 : 0];
    const picking = mine();
    const { at } = picking;
    const way = { ArrowLeft: [-by, 0], ArrowRight: [by, 0], ArrowUp: [0, -by], ArrowDown: [0, by] }[event.key];
    if (way) picking.at = [Math.min(1, Math.max(0, at[0] + way[0])), Math.min(1, Math.max(0, at[1] + way[1]))];
    else if (event.key === "Enter" || event.key === " ") pick();
    else return;
    event.preventDefault();
    event.stopPropagation();
    place();
  }

  function pick() {
    const picking = mine();
    const { canvas, at, which: taken } = picking;
    const side = Math.max(3, Math.round(PATCH * Math.min(canvas.width, canvas.height)));
    const left = Math.round(Math.min(canvas.width - side, Math.max(0, at[0] * canvas.width - side / 2)));
    const top = Math.round(Math.min(canvas.height - side, Math.max(0, at[1] * canvas.height - side / 2)));
    const data = canvas.getContext("2d")?.getImageData(left, top, side, side).data;
    if (!data) return;
    const hex = meanHex(data);
    picking.picked = { ...picking.picked, [taken]: hex };
    // The next one that is still to be picked.
    const then = taken === "sheet" ? "full" : taken === "full" && how.two() ? "pale" : taken;
    picking.which = then;
    picking.heard = `${{ sheet: "The bare sheet", full: "The full tone", pale: "The pale patch" }[taken]} is ${hex}.${then === taken ? "" : ` Now press on ${then === "full" ? "the full tone" : "the pale patch"}.`}`;
    const all = whole(picking.picked, how.two());
    if (all) how.take(all);
    update();
  }

  function place() {
    const { at } = mine();
    assign(cross, { style: { left: `${100 * at[0]}%`, top: `${100 * at[1]}%` } });
  }

  function update() {
    const picking = mine();
    work.hidden = !picking.opened;
    if (picking.canvas.parentElement !== over) over.replaceChildren(picking.canvas, cross);
    if (picking.which === "pale" && !how.two()) picking.which = "full";
    next.set(picking.which);
    say(heard, picking.heard);
    /** @type {HTMLElement} */ (next.root.querySelector("[value=pale]")?.parentElement).hidden = !how.two();
    place();
  }

  return { root, update };
}
