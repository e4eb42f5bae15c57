/** Drawing: what the file is, how it is straightened and cleaned, and how it lies on the plate. */
import { assign, h, svg, table } from "../dom.js";
import { grouped, number, size } from "../format.js";
import { handle, handleKeys } from "../handles.js";
import { Picture } from "../picture.js";
import { cropTo, kindOf, moveCorner, withPhoto, withPlacing } from "../placing.js";
import { RawPicture } from "../raw-picture.js";
import { photoPart } from "./photo-part.js";
import { placingPart } from "./placing-part.js";
import { radios } from "../fields.js";

/** @typedef {[number, number]} Point */

const CORNERS = ["Upper left", "Upper right", "Lower right", "Lower left"];

/** @param {import("../state.js").Desk} desk @returns {import("../state.js").Part} */
export function drawing(desk) {
  /** Which of the two the left picture shows. @type {"opened" | "sheet"} */
  let look = "opened";
  const marking = { on: false };
  const settings = () => desk.state.settings;
  const sheetShown = () => settings().photo !== null && look === "sheet";
  const raw = new RawPicture(desk, {
    sheet: sheetShown,
    title: () => sheetShown() ? (kindOf(settings()) === "photo" ? "The sheet, straightened" : "The scan, cleaned") : "As opened",
    note: (s) => s.info?.name ?? "",
    label: (s) => sheetShown() ? `The drawing ${s.info?.name ?? ""}, straightened and cleaned` : `The file ${s.info?.name ?? ""} as it was opened`,
  });
  const placed = new Picture(desk, {
    wish: () => ({ kind: "drawing", view: "print" }), title: () => "As it lies on the plate", note: (s) => s.title,
    label: (s) => `The drawing ${s.info?.name ?? ""}, ${s.settings.placing.true_size ? "at its true size on the plate's face" : s.settings.fit === "cover" ? "filling the plate's face" : "whole on the plate's face"}`,
  });
  const shown = radios("Shown", [["opened", "as opened"], ["sheet", "straightened"]], (value) => show(/** @type {any} */ (value)));
  const placing = placingPart(desk);
  const photo = photoPart(desk, { show, marking, addMark });
  raw.root.querySelector("figcaption")?.append(shown.root, ...photo.acts);
  const facts = h("div", { class: "facts" });
  const notes = h("ul", { class: "notes" });
  const root = h("section", { class: "station drawing", "aria-labelledby": "h-drawing" },
    h("div", { class: "top" }, h("h2", { id: "h-drawing" }, "Drawing"), h("p", { class: "lead" }, "Any PNG, JPEG, TIFF, WebP or BMP. Drop it anywhere on the page, paste it, or open it here."),
      h("button", { type: "button", onclick: () => desk.choose() }, "Open a drawing")),
    handleKeys(), h("div", { class: "two" }, raw.root, placed.root),
    h("div", { class: "parts" }, h("div", { class: "column" }, photo.root, facts, notes), h("div", { class: "column" }, placing.place), h("div", { class: "column" }, placing.plate)));

  /** @param {"opened" | "sheet"} next */
  function show(next) {
    look = next;
    if (next === "opened") marking.on = false;
    desk.set({});
  }

  // Corners on the file as opened.
  const outline = svg("path", { class: "outline" });
  const corners = CORNERS.map((name, i) => handle(raw, {
    look: "corner", label: ([x, y]) => `${name} corner of the sheet, ${grouped(x)} pixels across, ${grouped(y)} down`,
    drag: (at) => drawOutline(at, i),
    drop: (at, gesture) => {
      const now = settings().photo?.corners;
      if (now) desk.change(`${name.toLowerCase()} corner moved`, withPhoto(settings(), { corners: moveCorner(now, i, at, raw.size()) }), gesture);
    },
    held: (at) => raw.look(at),
    by: () => Math.max(1, 0.001 * Math.max(...raw.size())),
  }));

  /** @param {Point} [at] of a corner being dragged @param {number} [index] */
  function drawOutline(at, index) {
    const all = settings().photo?.corners?.map((corner, i) => (i === index && at ? at : corner));
    assign(outline, { d: all && !sheetShown() ? `M${all.map(([x, y]) => `${x} ${y}`).join("L")}Z` : "" });
  }

  // The crop, on what is placed.
  const shade = svg("path", { class: "shade", "fill-rule": "evenodd" });
  const frame = svg("path", { class: "frame" });
  const shares = (/** @type {Point} */ [x, y]) => /** @type {Point} */ ([x / raw.size()[0], y / raw.size()[1]]);
  const crops = /** @type {const} */ (["first", "last"]).map((which) => handle(raw, {
    look: `crop ${which === "first" ? "begins" : "ends"}`, label: ([x, y]) => `${which === "first" ? "Upper left" : "Lower right"} corner of the crop, ${number(100 * x / raw.size()[0])} % across, ${number(100 * y / raw.size()[1])} % down`,
    drag: (at) => drawCrop(cropTo(settings().placing.crop, which, shares(at))),
    drop: (at, gesture) => desk.change("crop", withPlacing(settings(), { crop: cropTo(settings().placing.crop, which, shares(at)) }), gesture),
  }));

  /** @param {import("../../web/types.d.ts").PlacingSettings["crop"]} crop */
  function drawCrop(crop) {
    const [w, high] = raw.size();
    const box = `M${crop.left * w} ${crop.top * high}H${crop.right * w}V${crop.bottom * high}H${crop.left * w}Z`;
    const cuts = crop.left > 0 || crop.top > 0 || crop.right < 1 || crop.bottom < 1;
    assign(shade, { d: cuts ? `M0 0H${w}V${high}H0Z${box}` : "" });
    assign(frame, { d: cuts ? box : "" });
  }

  // Marks on bare paper, on the straightened sheet.
  /** @type {ReturnType<typeof handle>[]} */
  let spots = [];
  const zones = svg("g", { class: "zones" });
  raw.lines.append(shade, frame, outline, zones);
  /** @param {Point[]} next @param {string} name @param {string | null} [gesture] */
  const spotted = (next, name, gesture = null) => desk.change(name, withPhoto(settings(), { spots: next }), gesture);
  const tidy = (/** @type {Point} */ at) => /** @type {Point} */ (shares(at).map((v) => Math.round(Math.min(0.999, Math.max(0.001, v)) * 1e4) / 1e4));
  raw.canvas.addEventListener("pointerdown", (event) => {
    const at = raw.at(event);
    if (!marking.on || !sheetShown() || !at || event.button !== 0) return;
    event.preventDefault();
    spotted([...(settings().photo?.spots ?? []), tidy(at)], "paper marked");
  });

  /** A mark without a pointer: it comes to a corner of the sheet, takes the focus and is moved by the arrow keys. */
  function addMark() {
    show("sheet");
    const now = settings().photo?.spots ?? [];
    const free = /** @type {Point[]} */ ([[0.05, 0.04], [0.95, 0.04], [0.95, 0.96], [0.05, 0.96], [0.5, 0.04], [0.5, 0.96]]);
    spotted([...now, free[now.length % free.length]], "paper marked");
    spots.at(-1)?.root.focus();
  }

  /** As many handles as there are marks. @param {number} count */
  function keepSpots(count) {
    while (spots.length > count) spots.pop()?.root.remove();
    while (spots.length < count) {
      const i = spots.length;
      spots.push(handle(raw, {
        look: "spot", label: ([x, y]) => `Mark ${i + 1} on bare paper, ${number(100 * x / raw.size()[0])} % across, ${number(100 * y / raw.size()[1])} % down; Delete removes it`,
        drop: (at, gesture) => spotted((settings().photo?.spots ?? []).map((spot, k) => (k === i ? tidy(at) : spot)), "paper mark moved", gesture),
        remove: () => spotted((settings().photo?.spots ?? []).filter((_, k) => k !== i), "paper mark removed"),
      }));
    }
  }

  // The drawing moved on the plate.
  const face = /** @type {HTMLElement} */ (placed.canvas.parentElement);
  const over = h("div", { class: "handles" });
  face.append(over);
  const lying = svg("path", { class: "outline" });
  placed.marks.append(lying);
  const ground = {
    over,
    size: () => /** @type {Point} */ ([desk.state.plan?.face_mm.width ?? 1, desk.state.plan?.face_mm.height ?? 1]),
    /** Millimetres of the face, also beside it. @param {{ clientX: number, clientY: number }} event */
    at(event) {
      const box = placed.canvas.getBoundingClientRect();
      const [w, high] = ground.size();
      return /** @type {Point} */ ([(event.clientX - box.left) / box.width * w, (event.clientY - box.top) / box.height * high]);
    },
  };
  /** Where the handle stands: the used part's middle, or the nearest point of the face. @returns {Point} */
  const middle = () => {
    const [w, high] = ground.size();
    const [x, y] = desk.state.settings.placing.offset_mm;
    return [Math.min(w, Math.max(0, w / 2 + x)), Math.min(high, Math.max(0, high / 2 + y))];
  };
  const moved = (/** @type {Point} */ at) => {
    const [from, now] = [middle(), settings().placing.offset_mm];
    return /** @type {Point} */ (now.map((v, k) => Math.round((v + at[k] - from[k]) * 100) / 100));
  };
  const mover = handle(ground, {
    look: "mover", label: () => `The drawing on the plate, moved ${number(settings().placing.offset_mm[0])} mm right and ${number(settings().placing.offset_mm[1])} mm down`,
    drag: (at) => drawLying(at),
    drop: (at, gesture) => {
      desk.change("drawing moved", withPlacing(settings(), { offset_mm: moved(at) }), gesture);
      drawLying(null);
    },
    held: (at) => at === null && drawLying(null),
    by: () => 1,
  });

  /** The used part's outline while it is dragged. @param {Point | null} at */
  function drawLying(at) {
    const all = desk.state.plan?.placed.corners_mm;
    const from = middle();
    assign(lying, { d: at && all ? `M${all.map(([x, y]) => `${x + at[0] - from[0]} ${y + at[1] - from[1]}`).join("L")}Z` : "" });
  }

  return {
    root,
    update(state) {
      const { info, plan, settings: now } = state;
      const is = kindOf(now);
      if (is === "plain") look = "opened";
      shown.root.hidden = is !== "photo";
      photo.acting(sheetShown());
      shown.set(look);
      raw.update(state);
      placed.update(state);
      placing.update(state);
      photo.update(state);
      raw.root.classList.toggle("marking", marking.on && sheetShown());

      const cornered = is === "photo" && look === "opened";
      corners.forEach((corner, i) => {
        corner.root.hidden = !cornered;
        if (now.photo?.corners) corner.set(now.photo.corners[i]);
      });
      if (!corners.some((corner) => corner.grasped)) drawOutline();
      const cropped = !cornered;
      const { crop } = now.placing;
      const [w, high] = raw.size();
      crops.forEach((item) => { item.root.hidden = !cropped; });
      crops[0].set([crop.left * w, crop.top * high]);
      crops[1].set([crop.right * w, crop.bottom * high]);
      if (!crops.some((item) => item.grasped)) drawCrop(cropped ? crop : { left: 0, top: 0, right: 1, bottom: 1 });
      const marks = now.photo && sheetShown() ? now.photo.spots : [];
      keepSpots(marks.length);
      marks.forEach(([x, y], i) => spots[i].set([x * w, y * high]));
      const found = sheetShown() && plan?.photo ? plan.photo : null;
      zones.replaceChildren(...(found?.zones ?? []).map(({ kind, box_mm: [l, t, r, b] }) => {
        const [px, py] = found ? [w / found.sheet_mm[0], high / found.sheet_mm[1]] : [1, 1];
        return svg("rect", { class: kind, x: l * px, y: t * py, width: (r - l) * px, height: (b - t) * py });
      }));
      mover.set(middle());

      if (!info || !plan) return;
      facts.replaceChildren(table("The file", ["", ""], [
        ["Name", info.name],
        ["Kind", `${info.format}, ${info.bits} bits`],
        ["Pixels", `${grouped(info.width)} × ${grouped(info.height)}`],
        ["True size", info.px_per_mm ? `${size(info.width / info.px_per_mm, info.height / info.px_per_mm, state.units)} by its own density` : "not given by the file"],
        ["Turned", info.orientation === 1 ? "as it came" : `set upright (orientation ${info.orientation})`],
        ["Its paper and black", `L* ${number(plan.ends.paper)} and ${number(plan.ends.black)}`],
      ], { class: "pairs" }));
      notes.replaceChildren(...info.notes.map((text) => h("li", null, text)));
    },
  };
}
