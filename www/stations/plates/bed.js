/** The press bed: how the plates lie on it in plate view, the print beneath it in print view, and the paper's growth between runs. */
import { h, say, svg } from "../../dom.js";
import { radios } from "../../fields.js";
import { length } from "../../format.js";
import { sign } from "../../picture.js";
import { bedOf, members, rowOf, waitWords } from "../../row.js";
import { checkbox, rangedField, rangedLength } from "../proof/fields.js";
import { fringes } from "./fringe.js";
import { Latest, ofPlan } from "./latest.js";

/** @typedef {import("../../state.js").State} State */
/** @typedef {import("../../../web/types.d.ts").BedFacts} BedFacts */
/** @typedef {import("../../../web/types.d.ts").LiesMm} LiesMm */

/** White round a drawing, as a share of its width. */
const AROUND = 0.012;
/** A paper's growth until another is typed, percent: an estimate, to be measured. */
const GROWTH = Object.freeze({ along: 0.2, across: 1, fibre_across: false });
let patterns = 0;

/** @param {import("../../state.js").Desk} desk */
export function bed(desk) {
  const kept = () => rowOf(desk.state.row, members(desk.state));
  /** @param {string} name @param {Partial<import("../../../web/types.d.ts").Bed>} patch */
  const change = (name, patch) => desk.changeJob(name, { row: { ...kept(), bed: { ...kept().bed, ...patch } } });
  /** @param {string} name @param {Partial<import("../../../web/types.d.ts").PaperGrowth> | null} patch */
  const grow = (name, patch) => desk.changeJob(name, { row: { ...kept(), registration: patch && { ...(kept().registration ?? GROWTH), ...patch } } });
  const side = /** @type {[number, number]} */ ([50, 4000]);
  /** @param {string} label @param {string} what @param {[number, number]} range @param {(mm: number) => void} take */
  const measure = (label, what, range, take) => rangedLength(desk, label, { what, range, take });
  const long = measure("Bed, along its run", "A bed", side, (mm) => { change("length of the bed", { length_mm: mm }); });
  const wide = measure("Bed, across", "A bed", side, (mm) => { change("width of the bed", { width_mm: mm }); });
  const across = measure("Sheet, damp, across", "A sheet", side, (mm) => { change("sheet", { sheet_mm: [mm, kept().bed.sheet_mm[1]] }); });
  const down = measure("and down", "A sheet", side, (mm) => { change("sheet", { sheet_mm: [kept().bed.sheet_mm[0], mm] }); });
  const margin = measure("White, at least", "The white round the plates", [40, 1000], (mm) => { change("white of the sheet", { margin_mm: mm }); });
  const grip = measure("Stays under the roller", "What stays under the roller", [0, 500], (mm) => { change("what stays under the roller", { grip_mm: mm }); });
  const way = radios("Rows lie", [["along", "along the bed"], ["across", "across it"]], (value) => change("rows on the bed", { along: value === "along" }));
  const feed = radios("Goes in first", [["left", "left end"], ["right", "right end"]], (value) => change("end that goes in first", { feed: /** @type {any} */ (value) }));
  const bleed = checkbox("The picture runs off the sheet on purpose", (on) => { change(on ? "picture runs off the sheet" : "white round the picture", { bleed: on }); });
  const again = checkbox("Print a template for a second run", (on) => { grow(on ? "registration template" : "no registration template", on ? {} : null); });
  const along = rangedField(desk, "Grows along the fibre", { what: "A growth of paper", range: [-10, 10], unit: "%", take: (value) => { grow("growth along the fibre", { along: value }); } });
  const wider = rangedField(desk, "and across it", { what: "A growth of paper", range: [-10, 10], unit: "%", take: (value) => { grow("growth across the fibre", { across: value }); } });
  const fibre = radios("The fibre runs", [["down", "down the print"], ["across", "across it"]], (value) => grow("way of the fibre", { fibre_across: value === "across" }));

  const trouble = h("p", { class: "bed-trouble", role: "status" });
  const waits = h("p", { class: "row-waits" });
  const onBed = h("div", { class: "bed-picture" });
  const inPrint = h("div", { class: "bed-picture" });
  const bedOrder = h("p", { class: "bed-order" });
  const printOrder = h("p", { class: "bed-order" });
  const pictures = h("div", { class: "bed-pictures" },
    h("figure", { class: "bed-on", "data-view": "plate" }, h("div", { class: "over" }, h("h4", null, "On the press bed"), sign("plate")), onBed, bedOrder),
    h("figure", { class: "bed-print", "data-view": "print" }, h("div", { class: "over" }, h("h4", null, "As the print is read"), sign("print")), inPrint, printOrder));
  const notes = h("ul", { class: "notes" });
  const growth = h("p", { class: "bed-growth" });
  const band = fringes(desk);
  const template = h("div", { class: "bed-template" }, again.root, h("div", { class: "fields" }, along.root, wider.root, fibre.root), growth, band.root);
  const fields = h("div", { class: "bed-fields" }, h("div", { class: "fields bed-measures" }, long.root, wide.root, across.root, down.root, margin.root, grip.root), way.root, feed.root, bleed.root, template);
  const root = h("section", { class: "bed-part", "aria-labelledby": "h-bed" },
    h("div", { class: "over" }, h("h3", { id: "h-bed" }, "On the bed")),
    h("p", { class: "lead" }, "The print is the mirror of the bed: what is read from the left lies on it from the right. Both are shown, one above the other; both print on the bed diagram among the sheets."),
    waits, trouble, h("div", { class: "bed-two" }, pictures, h("div", null, fields, notes)));
  const facts = new Latest(desk, "row_bed", () => answered());

  function answered() {
    const { found, current } = facts;
    say(trouble, facts.trouble);
    pictures.hidden = notes.hidden = !found || facts.trouble !== "";
    grey(!current);
    if (!found) {
      say(growth, "");
      band.show([], []);
      return;
    }
    band.show(found.fringes, found.over);
    onBed.replaceChildren(bedPicture(found));
    const small = printPicture(found);
    // At the same scale as the bed.
    small.style.width = `${Math.min(100, 100 * found.print.width / found.bed.width)}%`;
    inPrint.replaceChildren(small);
    const rows = found.plates.some((plate) => plate.row > 0);
    say(bedOrder, `${found.across ? "From the top down" : "From the left"}${rows ? ", row by row" : ""}: ${found.on_the_bed}`);
    say(printOrder, `From the left${rows ? ", row by row" : ""}: ${found.read}`);
    notes.replaceChildren(...found.notes.map((note) => h("li", null, note)));
    say(growth, found.growth ?? "");
  }

  return {
    root,
    /** @param {State} state */
    update(state) {
      const row = kept();
      const { length_mm, width_mm, sheet_mm, margin_mm, grip_mm } = row.bed;
      long.set(length_mm);
      wide.set(width_mm);
      across.set(sheet_mm[0]);
      down.set(sheet_mm[1]);
      margin.set(margin_mm);
      margin.root.hidden = row.bed.bleed;
      grip.set(grip_mm);
      way.set(row.bed.along ? "along" : "across");
      feed.set(row.bed.feed);
      bleed.set(row.bed.bleed);
      const paper = row.registration;
      again.set(paper !== null);
      along.set(paper?.along ?? GROWTH.along);
      wider.set(paper?.across ?? GROWTH.across);
      fibre.set(paper?.fibre_across ? "across" : "down");
      /** @type {HTMLElement} */ (template.children[1]).hidden = growth.hidden = paper === null;
      const asked = bedOf(state);
      facts.ask(asked, ofPlan(state));
      say(waits, state.plan ? waitWords(members(state), "the bed comes") : "");
      // Without a plan of every plate nothing is known of the bed: what was shown is of other plates.
      if (asked === null) answered();
      grey(!facts.current);
    },
  };

  /** What is not of now is greyed: an answer on its way, or a plate that is being planned. @param {boolean} waiting */
  function grey(waiting) {
    const old = waiting || members(desk.state).some((each) => each.old);
    for (const part of [pictures, notes, growth, band.root]) part.classList.toggle("stale", old);
  }

  /** @param {BedFacts} found */
  function bedPicture(found) {
    const { bed: table, sheet, grip: gripped, plates, feed: end, across: quarter } = found;
    const room = table.width * AROUND;
    const arrow = Math.max(table.height * 0.09, table.width * 0.035);
    const id = `bed-hatch-${++patterns}`;
    const mm = table.width / 100;
    const tip = end === "left" ? 0 : table.width;
    const away = end === "left" ? 1 : -1;
    const y = table.height + arrow * 0.62;
    const words = `Press bed ${millimetres(table.width)} long and ${millimetres(table.height)} wide, plate view. ${quarter ? "From the top down" : "From the left"}: ${found.on_the_bed}. The ${end} end goes in first.`;
    return svg("svg", { viewBox: `${-room} ${-room} ${table.width + 2 * room} ${table.height + 2 * room + arrow * 1.1}`, role: "img", "aria-label": words },
      svg("defs", {}, svg("pattern", { id, width: 1.4 * mm, height: 1.4 * mm, patternUnits: "userSpaceOnUse", patternTransform: "rotate(45)" }, svg("path", { d: `M0 0V${1.4 * mm}`, class: "thin" }))),
      svg("rect", { ...box(table), class: "table" }),
      svg("rect", { ...box(sheet), class: "paper" }),
      ...(gripped ? [svg("rect", { ...box(gripped), class: "grip", fill: `url(#${id})` })] : []),
      ...plates.flatMap((plate) => onePlate(plate.bed, plate.letter, quarter ? [plate.turned ? -1 : 1, 0] : [0, plate.turned ? 1 : -1])),
      svg("path", { d: `M${tip + away * arrow * 3} ${y}H${tip}m${away * arrow * 0.5} ${-arrow * 0.34}L${tip} ${y}l${away * arrow * 0.5} ${arrow * 0.34}`, class: "feed" }),
      svg("text", { x: tip + away * arrow * 3.4, y: y + arrow * 0.26, "text-anchor": end === "left" ? "start" : "end", "font-size": arrow * 0.74 }, "this end goes in first"));
  }

  /** @param {BedFacts} found */
  function printPicture(found) {
    const { print, plates } = found;
    const room = print.width * AROUND;
    return /** @type {SVGElement} */ (svg("svg", { viewBox: `${-room} ${-room} ${print.width + 2 * room} ${print.height + 2 * room}`, role: "img", "aria-label": `Sheet ${millimetres(print.width)} wide and ${millimetres(print.height)} high, print view. From the left: ${found.read}.` },
      svg("rect", { ...box(print), class: "paper" }),
      ...plates.flatMap((plate) => onePlate(plate.print, plate.letter, [0, plate.turned ? 1 : -1]))));
  }

  /** A plate with an arrow to its top. @param {LiesMm} of @param {string} letter @param {[number, number]} up */
  function onePlate(of, letter, up) {
    const [x, y] = [of.x + of.width / 2, of.y + of.height / 2];
    const size = Math.min(of.height * 0.42, of.width * 0.5);
    const arrow = Math.min(of.width, of.height) * 0.1;
    const [tx, ty] = [x + up[0] * (of.width / 2 - arrow * 0.8), y + up[1] * (of.height / 2 - arrow * 0.8)];
    const wing = (/** @type {number} */ side) => `${tx - up[0] * arrow - up[1] * side * arrow * 0.8} ${ty - up[1] * arrow + up[0] * side * arrow * 0.8}`;
    return [
      svg("rect", { ...box(of), class: "metal" }),
      svg("path", { d: `M${wing(-1)}L${tx} ${ty}L${wing(1)}`, class: "up" }),
      svg("text", { x, y: y + size * 0.35, "text-anchor": "middle", "font-size": size }, letter || "–"),
    ];
  }

  /** @param {number} mm */
  function millimetres(mm) {
    return `${length(mm, desk.state.units)} ${desk.state.units}`;
  }
}

/** @param {LiesMm} of */
function box({ x, y, width, height }) {
  return { x, y, width, height };
}
