/** Patches picked from a photograph or a scan of one's own: press on the sheet, the full tone and the pale one. The picture stays in the page. */
import { assign, h, say } from "../../dom.js";
import { radios } from "../../fields.js";

/** Longest side the picture is held at, pixels. */
const LONGEST = 1200;
/** A patch is the mean over a square of this share of the shorter side. */
const PATCH = 0.03;
/** What one press of an arrow key moves the cross by, share of the width; with Shift the second. */
const BY = [0.01, 0.05];

/** sRGB value to light 0–1 (IEC 61966-2-1). @param {number} v */
const light = (v) => (v / 255 <= 0.04045 ? v / 255 / 12.92 : ((v / 255 + 0.055) / 1.055) ** 2.4);
/** @param {number} l */
const value = (l) => Math.round(255 * (l <= 0.0031308 ? 12.92 * l : 1.055 * l ** (1 / 2.4) - 0.055));

/** Mean of RGBA pixels in light, as "#rrggbb". @param {ArrayLike<number>} rgba */
export function meanHex(rgba) {
  const sum = [0, 0, 0];
  for (let i = 0; i < rgba.length; i += 4) for (let c = 0; c < 3; c++) sum[c] += light(rgba[i + c]);
  const n = rgba.length / 4;
  return `#${sum.map((s) => value(s / n).toString(16).padStart(2, "0")).join("")}`;
}

/** @param {import("../../state.js").Desk} desk @param {{ two(): boolean, take(which: "sheet" | "full" | "pale", hex: string): void }} how */
export function patches(desk, how) {
  /** @type {"sheet" | "full" | "pale"} */
  let which = "sheet";
  /** Where the cross stands, shares. @type {[number, number]} */
  let at = [0.5, 0.5];
  let opened = false;
  const file = h("input", { type: "file", accept: "image/*", hidden: true, "aria-hidden": "true", tabindex: -1, onchange: () => {
    const chosen = file.files?.[0];
    file.value = "";
    if (chosen) open(chosen);
  } });
  const choose = h("button", { type: "button", onclick: () => file.click() }, "Pick from a photo or scan");
  const next = radios("Press on", [["sheet", "the bare sheet"], ["full", "the full tone"], ["pale", "the pale patch"]], (value) => { which = /** @type {any} */ (value); });
  const canvas = h("canvas", { width: 8, height: 8 });
  const cross = h("i", { class: "pick-cross", "aria-hidden": "true" });
  const heard = h("p", { class: "aside", role: "status" });
  const over = h("div", { class: "pick", tabindex: 0, role: "application", "aria-label": "The picture of the patches: press on one, or move the cross by the arrow keys and press Enter", onkeydown: keys, onpointerdown: pressed }, canvas, cross);
  const work = h("div", { class: "folded", hidden: true }, next.root, over, heard,
    h("p", { class: "aside" }, "Photograph them flat, side by side and in even light; the sheet beside them is what their colours are reckoned from."));
  const root = h("div", { class: "patches" }, choose, file, work);

  /** @param {Blob} blob */
  async function open(blob) {
    try {
      const bitmap = await createImageBitmap(blob, { imageOrientation: "from-image" });
      const scale = Math.min(1, LONGEST / Math.max(bitmap.width, bitmap.height));
      canvas.width = Math.max(1, Math.round(bitmap.width * scale));
      canvas.height = Math.max(1, Math.round(bitmap.height * scale));
      canvas.getContext("2d", { willReadFrequently: true })?.drawImage(bitmap, 0, 0, canvas.width, canvas.height);
      bitmap.close();
      opened = true;
      which = "sheet";
      say(heard, "");
      update();
      over.focus({ preventScroll: true });
    } catch {
      desk.notice("That file is no picture this browser can open: choose a JPEG or PNG of the patches.", "refused");
    }
  }

  /** @param {PointerEvent} event */
  function pressed(event) {
    if (event.button !== 0) return;
    const box = canvas.getBoundingClientRect();
    at = [(event.clientX - box.left) / box.width, (event.clientY - box.top) / box.height];
    pick();
  }

  /** @param {KeyboardEvent} event */
  function keys(event) {
    const by = BY[event.shiftKey ? 1 : 0];
    const way = { ArrowLeft: [-by, 0], ArrowRight: [by, 0], ArrowUp: [0, -by], ArrowDown: [0, by] }[event.key];
    if (way) at = [Math.min(1, Math.max(0, at[0] + way[0])), Math.min(1, Math.max(0, at[1] + way[1]))];
    else if (event.key === "Enter" || event.key === " ") pick();
    else return;
    event.preventDefault();
    event.stopPropagation();
    place();
  }

  function pick() {
    const side = Math.max(3, Math.round(PATCH * Math.min(canvas.width, canvas.height)));
    const left = Math.round(Math.min(canvas.width - side, Math.max(0, at[0] * canvas.width - side / 2)));
    const top = Math.round(Math.min(canvas.height - side, Math.max(0, at[1] * canvas.height - side / 2)));
    const data = canvas.getContext("2d")?.getImageData(left, top, side, side).data;
    if (!data) return;
    const hex = meanHex(data);
    const taken = which;
    how.take(taken, hex);
    // The next one that is still to be picked.
    which = taken === "sheet" ? "full" : taken === "full" && how.two() ? "pale" : taken;
    say(heard, `${{ sheet: "The bare sheet", full: "The full tone", pale: "The pale patch" }[taken]} is ${hex}.${which === taken ? "" : ` Now press on ${which === "full" ? "the full tone" : "the pale patch"}.`}`);
    update();
  }

  function place() {
    assign(cross, { style: { left: `${100 * at[0]}%`, top: `${100 * at[1]}%` } });
  }

  function update() {
    work.hidden = !opened;
    if (which === "pale" && !how.two()) which = "full";
    next.set(which);
    /** @type {HTMLElement} */ (next.root.querySelector("[value=pale]")?.parentElement).hidden = !how.two();
    place();
  }

  return { root, update };
}
