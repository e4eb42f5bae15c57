/** Sheets: what goes to the bench on paper, and everything that can be saved. */
import { h, say } from "../dom.js";
import { count } from "../format.js";
import { radios } from "../fields.js";
import { download } from "../downloads.js";
import { Picture } from "../picture.js";
import { legendItems } from "./whole.js";

/** @param {import("../state.js").Desk} desk @returns {import("../state.js").Part} */
export function sheets(desk) {
  const page = new Picture(desk, {
    wish: (s) => ({ kind: "stopout", number: s.stopout, view: s.sheets.transfer === "trace" ? "plate" : "print" }),
    title: (s) => `Sheet of stop-out ${s.stopout}`, note: (s) => s.sheets.transfer === "trace" ? "lies as the metal lies" : "goes face down on the plate",
    label: (s) => `The picture on the sheet of stop-out ${s.stopout}`,
  });
  page.words.append(h("p", { class: "legend" }, ...legendItems()));
  const paper = radios("Paper", [["a4", "A4"], ["letter", "Letter"]], (value) => desk.set({ sheets: { ...desk.state.sheets, paper: /** @type {any} */ (value) } }));
  const transfer = radios("Brought to the plate", [["trace", "traced through"], ["press", "by the press"]], (value) => desk.set({ sheets: { ...desk.state.sheets, transfer: /** @type {any} */ (value) } }));
  const how = h("p", { class: "aside" });
  const rows = [
    { what: "sheets", word: "Sheets (PDF)", says: "" },
    { what: "steps", word: "Step map (PNG)", says: "One grey value a tone, at the working fineness, with its true size." },
    { what: "masks", word: "Masks (ZIP of PNGs)", says: "The step map and a picture of every stop-out: black is covered, white is bare." },
    { what: "plan", word: "Plan (JSON)", says: "Every number of this plan, for other programs." },
    { what: "proof", word: "Proof (PNG)", says: "The expected print at the working fineness." },
  ].map(({ what, word, says }, i) => {
    const text = h("span", null, says);
    return { text, root: h("li", null, h("button", { type: "button", class: i === 0 ? "first" : null, onclick: () => download(desk, /** @type {any} */ (what)) }, word), text) };
  });
  const root = h("section", { class: "station sheets", "aria-labelledby": "h-sheets" },
    h("div", { class: "top" }, h("h2", { id: "h-sheets" }, "Sheets"), h("p", { class: "lead" }, "True-size sheets for the bench. Print at 100 %, never fitted to the page, and check the 100 mm bars with a rule.")),
    h("div", { class: "side" }, page.root, h("div", { class: "column" }, paper.root, transfer.root, how, h("h3", null, "Save"), h("ul", { class: "saves" }, ...rows.map((row) => row.root)))));
  return {
    root,
    update(state) {
      page.update(state);
      paper.set(state.sheets.paper);
      transfer.set(state.sheets.transfer);
      say(how, state.sheets.transfer === "trace"
        ? "Traced through onto the metal: the sheets are mirrored, PLATE VIEW, and lie face up as the plate does."
        : "Laid face down and run through the press: the sheets are not mirrored, PRINT VIEW; the plate takes the mirror image.");
      if (state.plan) say(rows[0].text, `The run sheet with tick boxes, and one true-size page for each of ${count(state.plan.stopouts.length, "stop-out")}.${state.plan.strip.kind === "example" ? " Its times come from strip 15-A: EXAMPLE, NOT YOUR BATH." : ""}`);
    },
  };
}
