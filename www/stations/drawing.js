/** Drawing: what the file is, and how it lies on the plate. */
import { h, say, table } from "../dom.js";
import { grouped, number, readNumber, size } from "../format.js";
import { lengthField, numberField, radios } from "../fields.js";
import { Picture } from "../picture.js";
import { withPlate } from "../settings.js";

/** @param {import("../state.js").Desk} desk @returns {import("../state.js").Part} */
export function drawing(desk) {
  const placed = new Picture(desk, {
    wish: () => ({ kind: "drawing", view: "print" }), title: () => "As it lies on the plate", note: (s) => s.title,
    label: (s) => `The drawing ${s.info?.name ?? ""}, ${s.settings.fit === "cover" ? "filling the plate's face" : "whole on the plate's face"}`,
  });
  const facts = h("div", { class: "facts" });
  const notes = h("ul", { class: "notes" });
  const settings = () => desk.state.settings;
  const width = lengthField(desk, "Width", (mm) => desk.change("plate width", withPlate(settings(), { width_mm: mm })));
  const height = lengthField(desk, "Height", (mm) => desk.change("plate height", withPlate(settings(), { height_mm: mm })));
  const bevel = lengthField(desk, "Bevel, each side", (mm) => desk.change("bevel", withPlate(settings(), { bevel_mm: mm })));
  const fine = numberField("Worked at", {
    read: readNumber, write: (value) => number(value, 2), unit: "px/mm",
    take: (value) => desk.change("working fineness", { ...settings(), px_per_mm: value }), refuse: (sentence) => desk.notice(sentence, "refused"),
  });
  const units = radios("Units", [["mm", "mm"], ["in", "inch"]], (value) => desk.set({ units: /** @type {any} */ (value) }));
  const fit = radios("Fit", [["cover", "fills the face"], ["contain", "whole, on paper"]],
    (value) => desk.change(value === "cover" ? "drawing fills the face" : "drawing whole", { ...settings(), fit: /** @type {any} */ (value) }));
  const face = h("p", { class: "aside" });
  const root = h("section", { class: "station drawing", "aria-labelledby": "h-drawing" },
    h("div", { class: "top" }, h("h2", { id: "h-drawing" }, "Drawing"), h("p", { class: "lead" }, "Any PNG, JPEG, TIFF, WebP or BMP. Drop it anywhere on the page, paste it, or open it here.")),
    h("div", { class: "side" }, placed.root, h("div", { class: "column" },
      h("button", { type: "button", onclick: () => desk.choose() }, "Open a drawing"),
      facts, notes,
      h("h3", null, "The plate"), h("div", { class: "fields" }, width.root, height.root, bevel.root, fine.root), h("div", { class: "row" }, fit.root, units.root), face)));
  return {
    root,
    update(state) {
      placed.update(state);
      const { info, plan, settings: now } = state;
      width.set(now.plate.width_mm);
      height.set(now.plate.height_mm);
      bevel.set(now.plate.bevel_mm);
      fine.set(now.px_per_mm);
      units.set(state.units);
      fit.set(now.fit);
      if (!info || !plan) return;
      say(face, `The face, inside the bevels, is ${size(plan.face_mm.width, plan.face_mm.height, state.units)}: ${grouped(plan.raster.width)} × ${grouped(plan.raster.height)} points to decide on. The drawing gives ${number(plan.detail_px_per_mm)} of its pixels a millimetre. A brush is no finer than 10 a millimetre.`);
      facts.replaceChildren(table("The file", ["", ""], [
        ["Name", info.name],
        ["Kind", `${info.format}, ${info.bits} bits`],
        ["Pixels", `${grouped(info.width)} × ${grouped(info.height)}`],
        ["True size", info.px_per_mm ? `${size(info.width / info.px_per_mm, info.height / info.px_per_mm, state.units)} by its own density` : "not given by the file"],
        ["Turned", info.orientation === 1 ? "as it came" : `set upright (orientation ${info.orientation})`],
        ...(plan ? [["Its paper and black", `L* ${number(plan.ends.paper)} and ${number(plan.ends.black)}`]] : []),
      ], { class: "pairs" }));
      notes.replaceChildren(...info.notes.map((text) => h("li", null, text)));
    },
  };
}
