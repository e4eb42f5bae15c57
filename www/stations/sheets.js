/** Sheets: what goes to the bench on paper, looked at page by page, and everything that can be saved. */
import { assign, h, say } from "../dom.js";
import { sentence } from "../format.js";
import { download, factsOf, sheetSettings } from "../downloads.js";
import { choices } from "./sheets/choices.js";
import { pages } from "./sheets/pages.js";

/** @typedef {import("../state.js").State} State */

/** @param {import("../state.js").Desk} desk @returns {import("../state.js").Part} */
export function sheets(desk) {
  const shown = pages(desk);
  const chosen = choices(desk);
  const remarks = h("ul", { class: "notes" });
  /** What the core took last: a number it refuses falls back to these. @type {State["sheets"] | null} */
  let taken = null;
  /** What the last facts were asked for, so that only the latest wish is answered and none is asked twice. */
  let asked = "";

  /** @param {State} state */
  async function ask(state) {
    const settings = sheetSettings(state);
    const key = JSON.stringify([settings, state.planned, state.plannedDrawing]);
    if (!state.plan || key === asked) return;
    asked = key;
    const of = factsOf(state);
    try {
      const facts = await desk.bridge.call("sheet_facts", settings);
      if (key !== asked) return;
      taken = state.sheets;
      desk.set({ facts: { of, ...facts } });
    } catch (error) {
      // Stopped: the next change of the station asks again. Refused: that is said once.
      if (key !== asked) return;
      asked = "";
      const { code, message } = /** @type {import("../bridge.js").CallError} */ (error);
      if (code === "stopped") return;
      desk.notice(message, "refused");
      // A number out of range goes back to the one before; all else that was chosen meanwhile stays.
      const { bars_mm, inward_mm } = taken ?? { bars_mm: null, inward_mm: 0 };
      if (code === "bars") desk.set({ sheets: { ...desk.state.sheets, bars_mm } });
      else if (code === "inward") desk.set({ sheets: { ...desk.state.sheets, inward_mm } });
      else asked = key;
    }
  }

  const rows = [
    { what: "sheets", word: "Sheets (PDF)", says: "" },
    { what: "everything", word: "All in one (ZIP)", says: "The sheets, the stop-outs as outlines (SVG) and as masks (PNG), the step map, the plan as a table and for programs, and a page of words that says what each is." },
    { what: "steps", word: "Step map (PNG)", says: "One grey value a tone, at the working fineness, with its true size." },
    { what: "masks", word: "Masks (ZIP of PNGs)", says: "The step map and a picture of every stop-out: black is covered, white is bare." },
    { what: "plan", word: "Plan (JSON)", says: "Every number of this plan, for other programs." },
    { what: "proof", word: "Proof (PNG)", says: "The expected print at the working fineness." },
  ].map(({ what, word, says }, i) => {
    const text = h("span", null, says);
    const button = h("button", { type: "button", class: i === 0 ? "first" : null, onclick: () => download(desk, /** @type {any} */ (what)) }, word);
    return { text, button, root: h("li", null, button, text) };
  });
  const root = h("section", { class: "station sheets", "aria-labelledby": "h-sheets" },
    h("div", { class: "top" }, h("h2", { id: "h-sheets" }, "Sheets"), h("p", { class: "lead" }, "True-size sheets for the bench. Print at 100 %, never fitted to the page, and check both 100 mm bars with a rule.")),
    h("div", { class: "side" }, shown.root, h("div", { class: "column" }, chosen.root, remarks, h("h3", null, "Save"), h("ul", { class: "saves" }, ...rows.map((row) => row.root)))));
  return {
    root,
    update(state) {
      if (!state.dragging) ask(state);
      const facts = state.facts?.of === factsOf(state) ? state.facts : null;
      shown.update(state, facts);
      chosen.update(state, facts);
      const notes = facts?.notes ?? [];
      if (remarks.textContent !== notes.map(sentence).join("")) remarks.replaceChildren(...notes.map((text) => h("li", null, sentence(text))));
      if (state.plan) say(rows[0].text, facts?.contents ?? "");
      assign(rows[0].button, { disabled: facts?.pages === 0 });
    },
  };
}
