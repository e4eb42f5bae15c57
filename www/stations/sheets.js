/** Sheets: what goes to the bench on paper, and everything that can be saved. */
import { h, say } from "../dom.js";
import { count, sentence } from "../format.js";
import { radios } from "../fields.js";
import { download, factsOf, sheetSettings } from "../downloads.js";
import { Picture } from "../picture.js";
import { asideLegend } from "./hand-tools.js";
import { legendItems } from "./whole.js";

/** @typedef {import("../state.js").State} State */

/** @param {import("../state.js").Desk} desk @returns {import("../state.js").Part} */
export function sheets(desk) {
  const page = new Picture(desk, {
    wish: (s) => ({ kind: "stopout", number: s.stopout, view: s.sheets.transfer === "trace" ? "plate" : "print" }),
    title: (s) => `Sheet of stop-out ${s.stopout}`, note: (s) => s.sheets.transfer === "trace" ? "lies as the metal lies" : "goes face down on the plate",
    label: (s) => `The picture on the sheet of stop-out ${s.stopout}`,
  });
  const aside = h("span", { class: "legend" });
  page.words.append(h("p", { class: "legend" }, ...legendItems(), aside));
  const paper = radios("Paper", [["a4", "A4"], ["letter", "Letter"]], (value) => desk.set({ sheets: { ...desk.state.sheets, paper: /** @type {any} */ (value) } }));
  const transfer = radios("Brought to the plate", [["trace", "traced through"], ["press", "by the press"]], (value) => desk.set({ sheets: { ...desk.state.sheets, transfer: /** @type {any} */ (value) } }));
  const how = h("p", { class: "aside" });
  const remarks = h("ul", { class: "notes" });
  /** What the last facts were asked for, so that only the latest wish is answered and none is asked twice. */
  let asked = "";

  /** @param {import("../state.js").State} state */
  async function ask(state) {
    const settings = sheetSettings(state);
    const key = JSON.stringify([settings, state.planned, state.plannedDrawing]);
    if (!state.plan || key === asked) return;
    asked = key;
    const of = factsOf(state);
    try {
      const facts = await desk.bridge.call("sheet_facts", settings);
      if (key === asked) desk.set({ facts: { of, ...facts } });
    } catch {
      // Stopped or refused: the next change of the station asks again, and saving says what is wrong.
      if (key === asked) asked = "";
    }
  }

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
    h("div", { class: "side" }, page.root, h("div", { class: "column" }, paper.root, transfer.root, how, remarks, h("h3", null, "Save"), h("ul", { class: "saves" }, ...rows.map((row) => row.root)))));
  return {
    root,
    update(state) {
      page.update(state);
      aside.replaceChildren(...legendItems(asideLegend(state)));
      paper.set(state.sheets.paper);
      transfer.set(state.sheets.transfer);
      say(how, state.sheets.transfer === "trace"
        ? "Traced through onto the metal: the sheets are mirrored, PLATE VIEW, and lie face up as the plate does."
        : "Laid face down and run through the press: the sheets are not mirrored, PRINT VIEW; the plate takes the mirror image.");
      if (!state.dragging) ask(state);
      const facts = state.facts?.of === factsOf(state) ? state.facts : null;
      const notes = facts?.notes ?? [];
      if (remarks.textContent !== notes.map(sentence).join("")) remarks.replaceChildren(...notes.map((text) => h("li", null, sentence(text))));
      if (state.plan) say(rows[0].text, `${contents(state, facts)}${state.plan.strip.kind === "example" && state.plan.bath.pair.verdict !== "stop" ? " Its times come from strip 15-A: EXAMPLE, NOT YOUR BATH." : ""}`);
    },
  };
}

/** What the PDF holds, with its true number of pages once that is known. @param {State} state @param {State["facts"]} facts */
function contents(state, facts) {
  const painted = state.plan?.stopouts.filter((stop) => stop.new_share > 0).length ?? 0;
  const pages = facts ? `${sentence(count(facts.pages, "page"))}: ` : "";
  const stop = state.plan?.bath.pair.verdict === "stop";
  const run = stop ? "a page that says STOP and why, in place of the run sheet"
    : state.plan?.strip.kind === "missing" ? "the strip to bite, a run sheet without times, with lines to write them" : "the run sheet with tick boxes";
  if (facts && !facts.fits) return `${pages}${run} only. The plate is too large for this paper, so the stop-outs have no pages.`;
  const each = state.sheets.transfer === "trace" ? "a true-size page" : "two true-size pages, one to transfer and one to paint by,";
  const lift = state.plan?.resist_share ? `${state.sheets.transfer === "trace" ? "the lift drawing" : "the lift drawing twice"}, ` : "";
  return `${pages}${pages ? run : sentence(run)}, ${lift}and ${each} for ${painted === 1 ? "the one stop-out" : `each of the ${count(painted, "stop-out")}`} with something to paint.`;
}
