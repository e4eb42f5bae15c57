/** Pulls: each is written down as it was made, with its photo; what an edition has, what a plate may still stand, where a print is touched by hand. */
import { h, say } from "../dom.js";
import { saveSheets } from "../downloads.js";
import { form } from "./pulls/form.js";
import { list } from "./pulls/list.js";
import { added, counts, expected, recordOf, spoken, today } from "./pulls/record.js";
import { touches } from "./pulls/touches.js";
import { wear } from "./pulls/wear.js";

/** @typedef {import("../state.js").State} State */
/** @typedef {import("../../web/types.d.ts").RecordFacts} RecordFacts */

/** @param {import("../state.js").Desk} desk @returns {import("../state.js").Part} */
export function pulls(desk) {
  const written = list(desk);
  const worn = wear(desk);
  const touched = touches(desk);
  const photoOf = (/** @type {string} */ id) => recordOf(desk.state).photos.find((photo) => photo.id === id)?.jpeg || null;
  const entry = form(desk, { action: "Write it down", why: false, photoOf, write(said, photo) {
    const next = added(recordOf(desk.state), said, photo);
    if (typeof next === "string") return next;
    const { number } = next.pulls[next.pulls.length - 1];
    if (!desk.changeJob(`pull ${number} written down`, { record: next })) return "This tab may only look.";
    fill();
    desk.notice(`Pull ${number} is written down: ${counts(next)}.`);
    return null;
  } });
  const known = h("p", { class: "aside" });
  const again = h("button", { type: "button", class: "plain", onclick: () => fill() }, "Fill it in as the proof is now");
  const print = h("button", { type: "button", onclick: () => saveSheets(desk, ["pulls"], "record") }, "The record (PDF)");
  const note = h("button", { type: "button", onclick: () => saveSheets(desk, ["touches"], "touches") }, "The touches (PDF)");
  const choose = h("a", { href: "#sheets" }, "All sheets");
  const root = h("section", { class: "station pull-book", "aria-labelledby": "h-pulls" },
    h("div", { class: "top" }, h("h2", { id: "h-pulls" }, "Pulls"), h("p", { class: "lead" }, "What was pulled, and how: written down while the ink is wet, it says in five years what nobody remembers.")),
    h("div", { class: "pull-columns" },
      h("div", { class: "pull-main" },
        h("section", { class: "pull-entry", "aria-labelledby": "h-pull-entry" }, h("h3", { id: "h-pull-entry" }, "Write down a pull"), known, entry.root, h("div", { class: "row" }, again)),
        written.root),
      h("div", { class: "pull-beside" }, worn.root,
        h("section", { class: "pull-print", "aria-labelledby": "h-pull-print" }, h("h3", { id: "h-pull-print" }, "On paper"), h("div", { class: "row" }, print, note), h("p", { class: "aside" }, "Both are among the sheets too; the whole set holds the record as a table (pulls.csv) and the photos. ", choose)),
        touched.root)));
  /** What the form was filled from, as a text to compare. */
  let filled = "";
  /** What the facts were asked for, and answered to. */
  let asked = "";
  /** @type {RecordFacts | null} */
  let facts = null;

  /** What the page knows goes into the form; from then on it is the printer's until something else is known. */
  function fill(next = expected(desk.state, today())) {
    filled = JSON.stringify(next);
    entry.set(next);
  }

  /** @param {State} state */
  async function ask(state) {
    if (!state.plan) return;
    const record = spoken(recordOf(state));
    const key = JSON.stringify([record, state.letter, state.plan.tones.length]);
    if (key === asked) return;
    asked = key;
    try {
      const told = await desk.bridge.call("record_facts", { record, letter: state.letter });
      if (key !== asked) return;
      facts = told;
      shown(desk.state);
    } catch (error) {
      if (key !== asked) return;
      const { code } = /** @type {import("../bridge.js").CallError} */ (error);
      if (["stopped", "crashed"].includes(code)) asked = "";
      desk.refused(/** @type {Error} */ (error));
    }
  }

  /** @param {State} state */
  function shown(state) {
    const record = recordOf(state);
    written.update(state, facts);
    worn.update(facts);
    print.disabled = record.pulls.length === 0;
    note.disabled = !record.touches.some(({ plate }) => plate === state.plateId);
  }

  return {
    root,
    update(state) {
      const next = expected(state, today());
      if (JSON.stringify(next) !== filled && !(filled && entry.held)) fill(next);
      say(known, next.plates.length > 1 ? "Plates, inks and papers are those of the proof; the rest is as at the last pull. Change what was otherwise." : "Plate, ink and papers are those of the proof; the rest is as at the last pull. Change what was otherwise.");
      void ask(state);
      shown(state);
      touched.update(state);
    },
  };
}
