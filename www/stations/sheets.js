/** Sheets: what goes to the bench on paper, looked at page by page, and everything that can be saved. */
import { assign, h, say } from "../dom.js";
import { sentence } from "../format.js";
import { download, plateAndPaper, sheetSettings, sheetsKey } from "../downloads.js";
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
  /** What the last facts were asked for, so that only the latest wish is answered and none is asked twice; and what they answered. */
  let asked = "";
  let answered = "";

  /** @param {State} state */
  async function ask(state) {
    const key = sheetsKey(state);
    if (!state.plan || key === asked) return;
    asked = key;
    try {
      const facts = await desk.bridge.call("sheet_facts", sheetSettings(state));
      if (key !== asked) return;
      answered = key;
      taken = state.sheets;
      desk.set({ facts: { of: plateAndPaper(state), ...facts } });
    } catch (error) {
      if (key !== asked) return;
      const { code } = /** @type {import("../bridge.js").CallError} */ (error);
      // Broken off, it is asked again once the worker is back; refused, that is said once.
      if (["stopped", "crashed"].includes(code)) asked = "";
      desk.refused(/** @type {Error} */ (error));
      // A number out of range goes back to the one before; all else that was chosen meanwhile stays.
      const { bars_mm, inward_mm } = taken ?? { bars_mm: null, inward_mm: 0 };
      if (code === "bars") desk.set({ sheets: { ...desk.state.sheets, bars_mm } });
      else if (code === "inward") desk.set({ sheets: { ...desk.state.sheets, inward_mm } });
    }
  }

  /** @type {{ what: import("../downloads.js").What, word: string, says: string }[]} */
  const files = [
    { what: "sheets", word: "Sheets (PDF)", says: "" },
    { what: "everything", word: "All in one (ZIP)", says: "The sheets, the stop-outs as outlines (SVG) and as masks (PNG), the step map, the plan as a table and for programs, and a page of words that says what each is." },
    { what: "steps", word: "Step map (PNG)", says: "One grey value a tone, at the working fineness, with its true size." },
    { what: "masks", word: "Masks (ZIP of PNGs)", says: "The step map and a picture of every stop-out: black is covered, white is bare." },
    { what: "plan", word: "Plan (JSON)", says: "Every number of this plan, for other programs." },
    { what: "proof", word: "Proof (PNG)", says: "The expected print at the working fineness." },
  ];
  const rows = files.map(({ what, word, says }, i) => {
    const text = h("span", null, says);
    const button = h("button", { type: "button", class: i === 0 ? "first" : null, onclick: () => download(desk, what) }, word);
    return { what, text, button, root: h("li", null, button, text) };
  });
  /** What no page can be made for while none is chosen. */
  const ofPages = rows.filter(({ what }) => what === "sheets" || what === "everything");
  const root = h("section", { class: "station sheets", "aria-labelledby": "h-sheets" },
    h("div", { class: "top" }, h("h2", { id: "h-sheets" }, "Sheets"), h("p", { class: "lead" }, "True-size sheets for the bench. Print at 100 %, never fitted to the page, and check both 100 mm bars with a rule.")),
    h("div", { class: "side" }, shown.root, h("div", { class: "column" }, chosen.root, remarks, h("h3", null, "Save"), h("ul", { class: "saves" }, ...rows.map((row) => row.root)))));
  return {
    root,
    update(state) {
      if (!state.dragging) ask(state);
      const facts = answered === sheetsKey(state) ? state.facts : null;
      shown.update(state, facts);
      chosen.update(state, facts);
      // Until the new ones are there the old words stay, greyed, so that nothing jumps.
      for (const words of [remarks, rows[0].text]) words.classList.toggle("stale", facts === null);
      if (facts === null) return;
      const notes = facts.notes.map(sentence);
      if (remarks.textContent !== notes.join("")) remarks.replaceChildren(...notes.map((text) => h("li", null, text)));
      say(rows[0].text, facts.contents);
      for (const { button } of ofPages) assign(button, { disabled: facts.pages === 0 });
    },
  };
}
