/**
 * What the page holds, and what its parts may ask of it.
 * @typedef {import("../web/types.d.ts").Settings} Settings
 * @typedef {import("../web/types.d.ts").Plan} Plan
 * @typedef {import("../web/types.d.ts").DrawingInfo} DrawingInfo
 * @typedef {import("../web/types.d.ts").ProofSettings} ProofSettings
 * @typedef {import("../web/types.d.ts").View} View
 * @typedef {import("./format.js").Units} Units
 * @typedef {"whole" | "drawing" | "tones" | "painting" | "times" | "plates" | "sheets" | "bath" | "proof" | "papers" | "pulls" | "cautions" | "kept"} StationName
 */
import { newId } from "./family.js";
import { EXAMPLE } from "./settings.js";

/** The lines of the ticket, in the order of the work. @type {{ name: StationName, title: string }[]} */
export const LINES = [
  { name: "drawing", title: "Drawing" },
  { name: "tones", title: "Tones" },
  { name: "painting", title: "Painting" },
  { name: "times", title: "Times" },
  { name: "plates", title: "Plates" },
  { name: "sheets", title: "Sheets" },
  { name: "bath", title: "At the bath" },
  { name: "proof", title: "Proof" },
  { name: "papers", title: "Papers" },
  { name: "pulls", title: "Pulls" },
];

/**
 * @typedef {object} State
 * @property {Settings} settings what the printer wants
 * @property {Settings | null} planned what the plan was made from
 * @property {Plan | null} plan
 * @property {DrawingInfo | null} info
 * @property {import("../web/types.d.ts").Done} done what has been done to the metal: Undo never touches it
 * @property {import("../web/types.d.ts").Done} plannedDone what the plan was made from
 * @property {Blob | null} file the drawing's own bytes
 * @property {import("./keeping/keeper.js").Kept} kept what the browser keeps of it
 * @property {boolean} running a bite is under way: nothing that reloads the page or asks for a hand is done meanwhile
 * @property {number} drawing counts the drawings opened
 * @property {number} plateNumber counts the plates: another drawing or other work opened by hand; the same work opened again is the same plate
 * @property {number} plannedDrawing the one the plan was made from
 * @property {StationName} station
 * @property {number} stopout the one looked at
 * @property {number | null} tone the one picked out on the strip
 * @property {View} view of the painting pictures
 * @property {Units} units
 * @property {"share" | "even"} widths of the strip's blocks
 * @property {ProofSettings} proof
 * @property {import("../web/types.d.ts").BroughtPlate[]} plates that print over this one
 * @property {string} plateId of the plate at hand: tells it from the others of its family
 * @property {import("./family.js").Kin[]} family its other plates
 * @property {import("../web/types.d.ts").Row | null} row how the family's plates lie beside one another
 * @property {import("../web/types.d.ts").FamilyDay | null} day of the family at the bath
 * @property {number | null} dayStart when the work begins today, minutes from midnight; null: as a day does. Not kept with the work
 * @property {import("../web/types.d.ts").PullRecord | null} record what was pulled
 * @property {import("../web/types.d.ts").Papers | null} papers under this plate's ink
 * @property {Proofing} proofing how the proof is looked at
 * @property {{ zoom: 1 | 4 | 10, at: [number, number] }} glass
 * @property {Omit<import("../web/types.d.ts").SheetSettings, "title" | "letter" | "date" | "record" | "zones_of">} sheets
 * @property {import("../web/types.d.ts").SheetFacts & { of: string } | null} facts of the sheets; `of` tells which plate and paper they hold for
 * @property {string} title
 * @property {string} letter
 * @property {Partial<Record<StationName, boolean>>} ticks
 * @property {Looking} looking what the painting station points at
 * @property {"ladder" | "strip" | "bath" | "worth" | "what_if"} leaf of the times station
 * @property {boolean} dragging a joint or a slider is being moved
 * @property {Tools} tools of the hand, on the painting station
 * @property {string | null} undoName what Undo would take back
 * @property {string | null} redoName
 */

/** @typedef {"look" | "brush" | "lasso" | "fill" | "keep" | "by_hand" | "silhouette"} Tool */

/**
 * What is in the hand.
 * @typedef {object} Tools
 * @property {Tool} tool
 * @property {number} tone that brush, lasso and fill set
 * @property {number} width_mm of the brush
 * @property {"stopout" | "drawing" | "lift"} show what the picture that is drawn on shows
 * @property {"inside" | "outside" | null} open what a silhouette will open, while none is drawn
 */

/**
 * How the proof is looked at: the pull alone, wiped with the drawing, beside it, how far they lie apart, where edges may come out otherwise,
 * or both orders of its plates.
 * @typedef {object} Proofing
 * @property {"pull" | "wipe" | "side" | "difference" | "chance" | "orders"} way
 * @property {"fit" | "own"} size to the window, or as large as the plate is
 * @property {View} view
 * @property {{ of: "zone" | "laid", index: number | null } | null} drawing which outline is being drawn; `index` null: a new one
 */

/**
 * What the painting station shows beside the print, and what it points at.
 * @typedef {object} Looking
 * @property {"print" | "removed" | "lines"} beside the picture at the right
 * @property {boolean} smallest whether the smallest islands are pointed at
 * @property {{ of: "islands" | "highlights" | "darks" | "soft" | "bands" | "under", index: number } | null} at the one place picked from a list
 */

/**
 * What a part of the page may do.
 * @typedef {object} Desk
 * @property {State} state read only
 * @property {(patch: Partial<State>) => void} set
 * @property {(name: string, settings: Settings, gesture?: string | null) => void} change
 * @property {() => void} settle ends a gesture
 * @property {(patch: Partial<ProofSettings>, plates?: State["plates"]) => boolean} setProof a step of Undo; the plates go with it where they change; false where this tab may change nothing
 * @property {(name: string, patch: Partial<import("./keeping/work.js").JobPart>, gesture?: string | null) => boolean} changeJob a step of Undo by that name: another row, day, record, papers, proof or plates; false where this tab may change nothing
 * @property {(id: string, by?: { run?: boolean }) => Promise<void>} takeToHand exchanges the plate at hand with another of its family; for the run it rejects where that is refused, else it says so
 * @property {() => void} planAgain plans the family's other plates whose planning was stopped or broke off
 * @property {(work: import("./keeping/work.js").Work, file: Blob, sentence: string) => Promise<void>} bring puts other work on screen with its family, or rejects and leaves everything as it was
 * @property {(path: string) => Promise<Blob>} file a file that comes with the page
 * @property {() => void} undo
 * @property {() => void} redo
 * @property {(file: Blob, name: string) => Promise<void>} open
 * @property {() => void} choose asks for a file
 * @property {import("./bridge.js").Bridge} bridge
 * @property {import("./live.js").Live} live
 * @property {() => void} save saves the work as a project file
 * @property {import("./keeping/keeper.js").Keeper} keeper
 * @property {(sentence: string, kind?: "said" | "refused", act?: { label: string, press: () => void } | null) => void} notice
 * @property {(sentence: string, about: "run" | "pull") => void} ring says that a time is up: it stands until it is seen, whatever else is said
 * @property {(about: "run" | "pull") => void} hush takes away what was rung for
 * @property {(error: Error) => void} refused says what the worker refused; one that broke off is started again, one that was stopped has been spoken of
 * @property {<T>(stage: string, work: Promise<T> | ((told: (stage: string, share: number) => void) => Promise<T>)) => Promise<T>} busy shows the progress line while it lasts
 */

/** A part of the page: its element, and how it follows the state. @typedef {{ root: HTMLElement, update(state: State): void }} Part */

/** The plate letter of the demo. */
export const DEMO_LETTER = "B";

/** The kinds of sheet that print unless others are chosen. @type {readonly import("../web/types.d.ts").SheetKind[]} */
export const USUAL_KINDS = Object.freeze(["cover", "strip_plan", "lines", "lift", "key", "stop_outs", "run", "together", "look", "repair", "zones", "bed", "registration", "cutting", "laying", "touches", "record", "pulls"]);

/** One plate in the strip's own ink on the strip's own paper, edges as planned. @type {ProofSettings} */
export const PLAIN_PROOF = {
  paper: null, plate_tone: 0, grain: { kind: "rosin", size: "medium", cover: null, seed: 1 }, edges: null, lamp: "daylight",
  inks: [], zones: [], zone_border_mm: 7, zone_minutes: 4, laid: [],
  printings: [{ plate: null, ink: null, trap: 0.75, shift_mm: [0, 0], growth: [0, 0], turn: 0 }],
};

/** Nothing done to the metal yet. @type {import("../web/types.d.ts").Done} */
export const NOTHING_DONE = Object.freeze({ log: [], kept: null });

/** Of what the family's parts of the page keep, nothing yet. */
export const NO_PARTS = Object.freeze({ row: null, day: null, record: null, papers: null });

/** @returns {State} */
export function beginning() {
  return {
    settings: EXAMPLE, planned: null, plan: null, info: null, done: NOTHING_DONE, plannedDone: NOTHING_DONE, drawing: 0, plateNumber: 0, plannedDrawing: -1,
    file: null, kept: { at: null, trouble: null, looks: false, points: [], lasting: null, filed: null, page: null }, running: false,
    station: "whole", stopout: 5, tone: null, view: "plate", units: "mm", widths: globalThis.innerWidth < 640 ? "even" : "share",
    proof: PLAIN_PROOF, proofing: { way: "pull", size: "fit", view: "print", drawing: null }, plates: [], plateId: newId(), family: [], ...NO_PARTS, dayStart: null, glass: { zoom: 4, at: [62, 77] },
    sheets: { paper: "a4", transfer: "trace", kinds: [...USUAL_KINDS], style: "full", inward_mm: 0, hinge: false, notch: "top_right", bars_mm: null }, title: "Ice house", letter: DEMO_LETTER, facts: null, ticks: {},
    tools: { tool: "look", tone: 0, width_mm: 2, show: "stopout", open: null },
    looking: { beside: "print", smallest: true, at: null },
    leaf: "ladder", dragging: false, undoName: null, redoName: null,
  };
}
