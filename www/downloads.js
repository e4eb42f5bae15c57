/** Saving: bytes become a file through a link, and nothing is sent anywhere. */
import { h } from "./dom.js";
import { inOrder } from "./family.js";
import { bedOf, members } from "./row.js";
import { numbered } from "./stale.js";
import { bathPlates, bitesTogether, specOf } from "./together.js";
import { piecesOf, proofOf } from "./stations/papers/pieces.js";
import { spoken } from "./stations/pulls/record.js";

/** @typedef {import("./state.js").Desk} Desk */

/** @param {Uint8Array | string | Blob} content @param {string} type @param {string} name */
export function save(content, type, name) {
  const url = URL.createObjectURL(new Blob([/** @type {BlobPart} */ (content)], { type }));
  const link = h("a", { href: url, download: name });
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(url), 60_000);
}

/** A name every file system takes. @param {string} title @param {string} letter */
export function fileName(title, letter) {
  const plain = `${title} ${letter}`.normalize("NFKD").replace(/[^\p{L}\p{N}]+/gu, "-").replace(/^-+|-+$/g, "").toLowerCase();
  return plain || "plate";
}

/** What the sheets are made with; photographs only where they are drawn. @param {import("./state.js").State} state @param {{ photos?: boolean, kinds?: import("../web/types.d.ts").SheetKind[] }} [how] @returns {import("../web/types.d.ts").SheetSettings} */
export function sheetSettings(state, { photos = false, kinds = state.sheets.kinds } = {}) {
  const { record, plateId, proof } = state;
  const date = new Date().toLocaleDateString("en-GB", { day: "numeric", month: "long", year: "numeric" });
  // Touches of other plates are on their own sheets.
  const own = record && { ...(photos ? record : spoken(record)), touches: record.touches.filter(({ plate }) => plate === plateId) };
  // A plate alone, of whose bed nothing was said, has no diagram.
  const bed = state.row || state.family.length ? bedOf(state) : null;
  const papers = piecesOf(state.papers).length ? state.papers : null;
  const together = bitesTogether(state) && kinds.includes("together") ? specOf(state) : null;
  return { ...state.sheets, papers, bed, together, kinds, title: state.title, letter: state.letter, date, record: own, zones_of: proof.zones.length && kinds.includes("zones") ? proof : null };
}

/**
 * What the sheets of all plates are without, in sentences; "": nothing. The bed is drawn of the plans there are, older ones too: it is missing only while a plate
 * never had one.
 * @param {import("./state.js").State} state @param {import("../web/types.d.ts").SheetSettings} sheets
 */
export function lacking(state, { kinds, bed, together }) {
  if (!state.family.length) return "";
  const { absent } = bathPlates(state);
  const first = inOrder(members(state).filter(({ ready }) => !ready).map(({ letter }) => letter));
  const drawn = [kinds.includes("bed") && "bed diagram", kinds.includes("registration") && state.row?.registration && "registration template"].filter((sheet) => typeof sheet === "string");
  return [
    together && absent.length ? `The sheets of all plates are without plate${absent.length > 1 ? "s" : ""} ${absent.join(", ")}, which ha${absent.length > 1 ? "ve" : "s"} no plan now: save them again when ${absent.length > 1 ? "they are" : "it is"} planned.` : "",
    !bed && drawn.length && first.length ? `There is no ${drawn.join(" and no ")} among the sheets: plate${first.length > 1 ? "s" : ""} ${first.join(", ")} ha${first.length > 1 ? "ve" : "s"} no plan yet. Save them again when all plates have one.` : "",
  ].filter(Boolean).join(" ");
}

/** Equal where the sheets are: what they are made with, and the plan they are of. @param {import("./state.js").State} state */
export function sheetsKey(state) {
  const { papers, ...rest } = sheetSettings(state);
  return JSON.stringify([rest, numbered(papers ?? null), numbered(state.planned), state.plannedDrawing]);
}

/** What decides whether the plate fits its paper, as a text to compare. @param {import("./state.js").State} state */
export function plateAndPaper(state) {
  return JSON.stringify([state.planned?.plate, state.sheets.paper]);
}

/** What is being made: a second press meanwhile asks for nothing more. @type {Set<What>} */
const underWay = new Set();

/** @typedef {"sheets" | "everything" | "steps" | "masks" | "plan" | "proof" | "strip"} What */

/** @param {Desk} desk @param {What} what @param {number | null} [px_per_mm] of the proof; null: as the plan is worked */
export async function download(desk, what, px_per_mm = null) {
  const { state, bridge } = desk;
  const name = fileName(state.title, state.letter);
  const sheets = sheetSettings(state, { photos: true });
  /** @type {Record<What, () => Promise<Parameters<typeof save>>>} */
  const made = {
    sheets: async () => [await desk.busy("drawing the sheets", (told) => bridge.call("sheets", sheets, told)), "application/pdf", `${name}-sheets.pdf`],
    everything: async () => [await desk.busy("putting all of it together", (told) => bridge.call("everything", sheets, told)), "application/zip", `${name}.zip`],
    strip: async () => [await desk.busy("drawing the strip", bridge.call("strip_sheet", sheets)), "application/pdf", `${name}-strip-plan.pdf`],
    steps: async () => [await desk.busy("writing the step map", bridge.call("png", { kind: "steps" })), "image/png", `${name}-steps.png`],
    proof: async () => [await desk.busy("writing the pull", (told) => bridge.call("proof_png", { proof: proofOf(state), px_per_mm, head: { title: sheets.title, letter: sheets.letter, date: sheets.date } }, told)), "image/png", `${name}-proof.png`],
    masks: async () => [await desk.busy("writing the masks", bridge.call("masks", null)), "application/zip", `${name}-masks.zip`],
    plan: async () => [await desk.busy("writing the plan", bridge.call("plan_json", null)), "application/json", `${name}-plan.json`],
  };
  if (underWay.has(what)) return;
  underWay.add(what);
  let late = false;
  try {
    const file = await made[what]();
    // It waited while another drawing was opened: what came is of that one, under the name of the one before.
    late = desk.state.drawing !== state.drawing;
    if (!late) {
      save(...file);
      // What goes to the printer is worth a copy of the work as it then was.
      if (what === "sheets" || what === "everything") desk.keeper.point("sheets saved");
      if ((what === "sheets" || what === "everything") && lacking(state, sheets)) desk.notice(lacking(state, sheets), "refused");
    }
  } catch (error) {
    desk.refused(/** @type {Error} */ (error));
  } finally {
    underWay.delete(what);
  }
  if (late) await download(desk, what, px_per_mm);
}

/** A few kinds of sheets alone, whatever is chosen for the set. @param {Desk} desk @param {import("../web/types.d.ts").SheetKind[]} kinds @param {string} suffix */
export async function saveSheets(desk, kinds, suffix) {
  const { state, bridge } = desk;
  try {
    const sheets = sheetSettings(state, { photos: true, kinds });
    const bytes = await desk.busy("drawing the sheets", (told) => bridge.call("sheets", sheets, told));
    save(bytes, "application/pdf", `${fileName(state.title, state.letter)}-${suffix}.pdf`);
    if (lacking(state, sheets)) desk.notice(lacking(state, sheets), "refused");
  } catch (error) {
    desk.refused(/** @type {Error} */ (error));
  }
}
