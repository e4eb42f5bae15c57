/**
 * Which pictures a change makes stale. Pure: compares what a picture depends on, and nothing else.
 * A picture is asked for again only when its key has changed.
 * @typedef {import("../web/types.d.ts").Settings} Settings
 * @typedef {import("../web/types.d.ts").PictureSpec} PictureSpec
 */

/** @typedef {"drawing" | "placing" | "map" | "times"} Cause */

/** What each kind of picture is made from. @type {Record<PictureSpec["kind"], Cause[]>} */
const CAUSES = {
  drawing: ["drawing", "placing"],
  tones: ["drawing", "placing", "map", "times"],
  tone: ["drawing", "placing", "map", "times"],
  stopout: ["drawing", "placing", "map"],
  repair: ["drawing", "placing", "map", "times"],
  removed: ["drawing", "placing", "map", "times"],
  lines: ["drawing", "placing", "map"],
  lift: ["drawing", "placing", "map"],
  source: ["drawing"],
  straight: ["drawing", "placing"],
  proof: ["drawing", "placing", "map", "times"],
  glass: ["drawing", "placing", "map", "times"],
  wanted: ["drawing", "placing", "map", "times"],
  difference: ["drawing", "placing", "map", "times"],
  chance: ["drawing", "placing", "map"],
  member: ["drawing", "placing", "map", "times"],
  seam: ["drawing", "placing", "map", "times"],
  row_print: ["drawing", "placing", "map", "times"],
};

/** Lists of things drawn by hand can be long, and settings hold them; neither is changed in place: the same one is known by its number. @type {WeakMap<object, number>} */
const numbers = new WeakMap();
let last = 0;

/** Equal for the same list, and for every empty one. @param {object | null} list */
export function numbered(list) {
  if (list === null || (Array.isArray(list) && list.length === 0)) return 0;
  const known = numbers.get(list) ?? ++last;
  numbers.set(list, known);
  return known;
}

/** A list that makes the same pictures as another goes by its number: none is asked for again. @param {object[]} list @param {object[]} before */
export function asBefore(list, before) {
  numbers.set(list, numbered(before));
}

/**
 * A short text that is equal when, and only when, the picture would be.
 * @param {PictureSpec} spec @param {Settings} settings @param {number} drawing counts the drawings opened
 * @param {object | null} [done] what has been done to the metal: it holds the map fast and moves the times
 */
export function pictureKey(spec, settings, drawing, done = null) {
  /** @type {Record<Cause, unknown>} */
  const causes = {
    drawing,
    placing: [settings.plate, settings.fit, settings.px_per_mm, settings.placing, settings.photo],
    map: [settings.tones, settings.breaks, settings.mark_mm, settings.lines, settings.smoothing_mm, numbered(settings.hand), numbered(settings.resist), numbered(done)],
    times: [numbered(done), settings.strip, settings.reserve_l, settings.reading_error_l, settings.handling],
  };
  return JSON.stringify([shortSpec(spec), CAUSES[spec.kind].map((cause) => causes[cause])]);
}

/** The spec with the proof's lists by their numbers: outlines in them are long, and a list that changed is another list. @param {PictureSpec} spec */
function shortSpec(spec) {
  return "proof" in spec ? { ...spec, proof: shortProof(spec.proof) } : spec;
}

/** @param {import("../web/types.d.ts").ProofSettings} proof */
export function shortProof(proof) {
  const list = (/** @type {object[] | undefined} */ all) => numbered(all ?? null);
  return { ...proof, papers: numbered(proof.papers ?? null), inks: list(proof.inks), zones: list(proof.zones), laid: list(proof.laid), printings: list(proof.printings) };
}

/** Whether the plan must be made again. @param {Settings | null} planned @param {Settings} wanted @param {number} plannedDrawing @param {number} drawing */
export function planStale(planned, wanted, plannedDrawing, drawing) {
  return planned === null || plannedDrawing !== drawing || short(planned) !== short(wanted);
}

/** Whether the plan is of everything that is wanted and done. @param {import("./state.js").State} state */
export function settled({ plan, settings, planned, done, plannedDone, drawing, plannedDrawing }) {
  return plan !== null && done === plannedDone && !planStale(planned, settings, plannedDrawing, drawing);
}

/** Settings as text, what is drawn by hand by its number. @param {Settings} settings */
function short(settings) {
  return JSON.stringify({ ...settings, hand: numbered(settings.hand), resist: numbered(settings.resist) });
}

/**
 * A picture as it is wished for: its key by the plan there is, and the one that is due.
 * @param {PictureSpec} spec @param {import("./state.js").State} state with a plan
 */
export function wanted(spec, state) {
  const planned = /** @type {Settings} */ (state.planned);
  return { spec, key: pictureKey(spec, planned, state.plannedDrawing, state.plannedDone), due: pictureKey(spec, state.settings, state.drawing, state.done) };
}
