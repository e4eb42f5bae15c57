/** The Drawing station's part for the plate and the drawing's place on it: size, fit, turn, crop, position. */
import { h, say } from "../dom.js";
import { grouped, number, readNumber, size } from "../format.js";
import { lengthField, numberField, radios } from "../fields.js";
import { PLAIN_PLACING, turnedBy, withPlacing } from "../placing.js";
import { withPlate } from "../settings.js";

/** @param {import("../state.js").Desk} desk */
export function placingPart(desk) {
  const settings = () => desk.state.settings;
  const refuse = (/** @type {string} */ sentence) => desk.notice(sentence, "refused");
  const width = lengthField(desk, "Width", (mm) => desk.change("plate width", withPlate(settings(), { width_mm: mm })));
  const height = lengthField(desk, "Height", (mm) => desk.change("plate height", withPlate(settings(), { height_mm: mm })));
  const bevel = lengthField(desk, "Bevel, each side", (mm) => desk.change("bevel", withPlate(settings(), { bevel_mm: mm })));
  const fine = numberField("Worked at", {
    read: readNumber, write: (value) => number(value, 2), unit: "px/mm", refuse,
    take: (value) => desk.change("working fineness", { ...settings(), px_per_mm: value }),
  });
  const units = radios("Units", [["mm", "mm"], ["in", "inch"]], (value) => desk.set({ units: /** @type {any} */ (value) }));
  const face = h("p", { class: "aside" });
  const plate = h("section", { class: "part", "aria-labelledby": "h-plate" }, h("h3", { id: "h-plate" }, "The plate"),
    h("div", { class: "fields" }, width.root, height.root, bevel.root, fine.root), units.root, face);

  const fit = radios("Size", [["cover", "fills the face"], ["contain", "whole, on paper"], ["true", "true size"]], (value) => {
    if (value === "true") desk.change("drawing at true size", withPlacing(settings(), { true_size: true, scale: 1 }));
    else desk.change(value === "cover" ? "drawing fills the face" : "drawing whole", withPlacing({ ...settings(), fit: /** @type {any} */ (value) }, { true_size: false, scale: 1 }));
  });
  const scale = numberField("Times that", {
    read: readNumber, write: (value) => number(value, 2), unit: "%", refuse,
    take: (value) => desk.change(`drawing at ${number(value)} %`, withPlacing(settings(), { scale: value / 100 })),
  });
  const turn = numberField("Turned", {
    read: readNumber, write: (value) => number(value, 2), unit: "°", refuse,
    take: (value) => desk.change(`drawing turned ${number(value)}°`, withPlacing(settings(), { turn: value })),
  });
  const quarter = (/** @type {"left" | "right"} */ way) =>
    h("button", { type: "button", onclick: () => desk.change(`turned a quarter ${way}`, turnedBy(settings(), way === "left" ? -90 : 90)) }, `Quarter ${way}`);
  const right = lengthField(desk, "Moved right", (mm) => desk.change("drawing moved", withPlacing(settings(), { offset_mm: [mm, settings().placing.offset_mm[1]] })));
  const down = lengthField(desk, "Moved down", (mm) => desk.change("drawing moved", withPlacing(settings(), { offset_mm: [settings().placing.offset_mm[0], mm] })));
  const centre = h("button", { type: "button", onclick: () => desk.change("drawing centred", withPlacing(settings(), { offset_mm: [0, 0] })) }, "Centre it");
  /** What each field cuts off its side, from the crop's edges. */
  const sides = /** @type {const} */ ({ left: "Left", right: "Right", top: "Top", bottom: "Foot" });
  const crops = /** @type {(keyof typeof sides)[]} */ (Object.keys(sides)).map((side) => {
    const far = side === "right" || side === "bottom";
    const field = numberField(`${sides[side]}`, {
      read: readNumber, write: (value) => number(value, 2), unit: "%", refuse,
      take: (value) => desk.change("crop", withPlacing(settings(), { crop: { ...settings().placing.crop, [side]: far ? 1 - value / 100 : value / 100 } })),
    });
    return { root: field.root, set: (/** @type {{ [side: string]: number }} */ crop) => field.set(Math.round((far ? 1 - crop[side] : crop[side]) * 1e4) / 100) };
  });
  const all = h("button", { type: "button", onclick: () => desk.change("crop taken back", withPlacing(settings(), { crop: PLAIN_PLACING.crop })) }, "Use all of it");
  const lies = h("p", { class: "aside" });
  const place = h("section", { class: "part", "aria-labelledby": "h-place" }, h("h3", { id: "h-place" }, "On the plate"),
    fit.root, h("div", { class: "fields" }, scale.root, turn.root), h("div", { class: "bar start" }, quarter("left"), quarter("right")),
    h("div", { class: "fields" }, right.root, down.root), h("div", { class: "bar start" }, centre),
    h("h4", null, "Cut off"), h("div", { class: "fields four" }, ...crops.map((crop) => crop.root)), h("div", { class: "bar start" }, all), lies);
  return {
    plate, place,
    /** @param {import("../state.js").State} state */
    update(state) {
      const { plan, settings: now, units: shown } = state;
      const { placing } = now;
      width.set(now.plate.width_mm);
      height.set(now.plate.height_mm);
      bevel.set(now.plate.bevel_mm);
      fine.set(now.px_per_mm);
      units.set(shown);
      fit.set(placing.true_size ? "true" : now.fit);
      scale.set(100 * placing.scale);
      turn.set(placing.turn);
      right.set(placing.offset_mm[0]);
      down.set(placing.offset_mm[1]);
      centre.disabled = placing.offset_mm[0] === 0 && placing.offset_mm[1] === 0;
      for (const crop of crops) crop.set(placing.crop);
      all.disabled = JSON.stringify(placing.crop) === JSON.stringify(PLAIN_PLACING.crop);
      if (!plan) return;
      const known = plan.placed.true_px_per_mm !== null;
      for (const input of fit.root.querySelectorAll("input")) {
        if (input.value === "true") input.disabled = !known && !placing.true_size;
      }
      say(face, `The face, inside the bevels, is ${size(plan.face_mm.width, plan.face_mm.height, shown)}: ${grouped(plan.raster.width)} × ${grouped(plan.raster.height)} points to decide on.`);
      const [wide, high] = plan.placed.size_mm;
      say(lies, `The part used is ${size(Math.round(wide * 10) / 10, Math.round(high * 10) / 10, shown)} on the plate, with ${number(plan.detail_px_per_mm)} of its pixels a millimetre. A brush is no finer than 10 a millimetre.${known ? "" : " Its true size is not known."}`);
    },
  };
}
