/** What the sheets are to be: paper, how the picture is brought to the plate, which kinds, and what the printer does to their size. */
import { h, say } from "../../dom.js";
import { lengthField, numberField, radios } from "../../fields.js";
import { number, readNumber, sentence } from "../../format.js";

/** @typedef {import("../../state.js").State} State */
/** @typedef {State["sheets"]} Sheets */
/** @typedef {import("../../../web/types.d.ts").SheetKind} Kind */

/** Every kind in the order of the bench, as it is offered. @type {[Kind, string][]} */
const KINDS = [
  ["cover", "Cover, with check list"], ["strip_plan", "Strip plan, if no strip"], ["frame", "Cut-out frame"],
  ["lines", "Etched lines, if any"], ["lift", "Lift drawing, if any"], ["key", "Key: every edge once"],
  ["stop_outs", "Stop-outs"], ["run", "Run sheet"], ["together", "Run sheet of all plates"], ["look", "Look sheet: the print"], ["repair", "Repair list, if any"],
  ["zones", "Zones of ink, if any"], ["bed", "Bed diagram"], ["registration", "Registration template"], ["cutting", "Cutting sheets, if any"], ["laying", "Laying map, if any"],
  ["touches", "Touches by hand, if any"], ["record", "Pull record, to write in"], ["pulls", "Record of the pulls, if any"],
];

/** @param {import("../../state.js").Desk} desk */
export function choices(desk) {
  /** @param {Partial<Sheets>} part */
  const set = (part) => desk.set({ sheets: { ...desk.state.sheets, ...part } });
  const paper = radios("Paper", [["a4", "A4"], ["a3", "A3"], ["letter", "Letter"], ["tabloid", "Tabloid"]], (value) => set({ paper: /** @type {Sheets["paper"]} */ (value) }));
  const transfer = radios("Brought to the plate", [["trace", "traced through"], ["press", "by the press"]], (value) => set({ transfer: /** @type {Sheets["transfer"]} */ (value) }));
  const how = h("p", { class: "aside" });
  const style = radios("Stop-outs", [["full", "with hatch and dots"], ["outline", "outlines only"]], (value) => set({ style: /** @type {Sheets["style"]} */ (value) }));
  const boxes = KINDS.map(([kind, word]) => {
    const input = h("input", { type: "checkbox", onchange: () => {
      const kinds = KINDS.map(([each]) => each).filter((each) => each === kind ? input.checked : desk.state.sheets.kinds.includes(each));
      set({ kinds });
    } });
    return { kind, input, root: h("label", { class: "check" }, input, h("span", null, word)) };
  });
  const hinge = h("input", { type: "checkbox", onchange: () => set({ hinge: hinge.checked }) });
  const inward = lengthField(desk, "Edges drawn inside their line, for varnish that creeps", (mm) => set({ inward_mm: mm }));
  const bar = (/** @type {string} */ label, /** @type {0 | 1} */ which) => numberField(label, {
    read: readNumber, write: (value) => number(value, 2), unit: "mm", refuse: (sentence) => desk.notice(sentence, "refused"),
    take: (value) => {
      const [short, long] = desk.state.sheets.bars_mm ?? [100, 100];
      const next = /** @type {[number, number]} */ (which === 0 ? [value, long] : [short, value]);
      set({ bars_mm: next.every((reading) => reading === 100) ? null : next });
    },
  });
  const short = bar("Bar along the paper’s short side reads", 0);
  const long = bar("Bar along the long side reads", 1);
  const corrected = h("p", { class: "aside" });
  const root = h("div", { class: "sheet-choices" }, paper.root, transfer.root, how, style.root,
    h("fieldset", { class: "kinds" }, h("legend", null, "Which sheets"), h("div", { class: "ticks" }, ...boxes.map((box) => box.root))),
    h("details", { class: "more" }, h("summary", null, "Measured bars, creep, hinge"),
      h("div", { class: "fields" }, short.root, long.root, inward.root), corrected,
      h("label", { class: "check" }, hinge, h("span", null, "A flap to hinge each sheet on the plate’s back"))));
  return {
    root,
    /** @param {import("../../state.js").State} state @param {State["facts"]} facts */
    update({ sheets }, facts) {
      paper.set(sheets.paper);
      transfer.set(sheets.transfer);
      style.set(sheets.style);
      say(how, sheets.transfer === "trace"
        ? "Traced through onto the metal: the sheets are mirrored, PLATE VIEW, and lie face up as the plate does."
        : "Laid face down and run through the press: the sheets are not mirrored, PRINT VIEW; the plate takes the mirror image, and a guide in plate view follows each.");
      for (const { kind, input } of boxes) input.checked = sheets.kinds.includes(kind);
      hinge.checked = sheets.hinge;
      inward.set(sheets.inward_mm);
      const [a, b] = sheets.bars_mm ?? [100, 100];
      short.set(a);
      long.set(b);
      if (sheets.bars_mm === null) say(corrected, "Print a sheet, measure both bars, and type what the rule says: the next sheets come out true.");
      else if (facts?.bars) say(corrected, `${sentence(facts.bars)}${facts.bars.includes("×") ? ", along the short side and along the long side" : ""}.`);
    },
  };
}
