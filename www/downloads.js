/** Saving: bytes become a file through a link, and nothing is sent anywhere. */
import { h } from "./dom.js";
import { numbered } from "./stale.js";

/** @typedef {import("./state.js").Desk} Desk */

/** @param {Uint8Array | string} content @param {string} type @param {string} name */
function save(content, type, name) {
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

/** What the sheets are made with. @param {import("./state.js").State} state @returns {import("../web/types.d.ts").SheetSettings} */
export function sheetSettings(state) {
  return { ...state.sheets, title: state.title, letter: state.letter, date: new Date().toLocaleDateString("en-GB", { day: "numeric", month: "long", year: "numeric" }) };
}

/** Equal where the sheets are: what they are made with, and the plan they are of. @param {import("./state.js").State} state */
export function sheetsKey(state) {
  return JSON.stringify([sheetSettings(state), numbered(state.planned), state.plannedDrawing]);
}

/** What decides whether the plate fits its paper, as a text to compare. @param {import("./state.js").State} state */
export function plateAndPaper(state) {
  return JSON.stringify([state.planned?.plate, state.sheets.paper]);
}

/** What is being made: a second press while it is asks for nothing more. @type {Set<string>} */
const underWay = new Set();

/** @param {Desk} desk @param {"sheets" | "everything" | "steps" | "masks" | "plan" | "proof" | "strip" } what */
export async function download(desk, what) {
  const { state, bridge } = desk;
  const name = fileName(state.title, state.letter);
  if (underWay.has(what)) return;
  underWay.add(what);
  try {
    if (what === "sheets") {
      save(await desk.busy("drawing the sheets", (told) => bridge.call("sheets", sheetSettings(state), told)), "application/pdf", `${name}-sheets.pdf`);
    } else if (what === "everything") {
      save(await desk.busy("putting all of it together", (told) => bridge.call("everything", sheetSettings(state), told)), "application/zip", `${name}.zip`);
    } else if (what === "strip") {
      save(await desk.busy("drawing the strip", bridge.call("strip_sheet", sheetSettings(state))), "application/pdf", `${name}-strip-plan.pdf`);
    } else if (what === "steps") {
      save(await desk.busy("writing the step map", bridge.call("png", { kind: "steps" })), "image/png", `${name}-steps.png`);
    } else if (what === "proof") {
      save(await desk.busy("pulling the proof", bridge.call("png", { kind: "proof", proof: state.proof })), "image/png", `${name}-proof.png`);
    } else if (what === "masks") {
      save(await desk.busy("writing the masks", bridge.call("masks", null)), "application/zip", `${name}-masks.zip`);
    } else {
      save(await desk.busy("writing the plan", bridge.call("plan_json", null)), "application/json", `${name}-plan.json`);
    }
  } catch (error) {
    desk.refused(/** @type {Error} */ (error));
  } finally {
    underWay.delete(what);
  }
}
