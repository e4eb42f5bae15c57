/**
 * The printer's choices: how the page begins, and every change as a function from settings to settings. Pure.
 * The core checks values; here we only keep what belongs together together.
 * @typedef {import("../web/types.d.ts").Settings} Settings
 * @typedef {import("../web/types.d.ts").Plan} Plan
 * @typedef {import("../web/types.d.ts").DrawingInfo} DrawingInfo
 */
import { PLAIN_PLACING } from "./placing.js";

/** Least distance of two breaks, L* of the drawing. */
export const GAP = 0.5;
/** Pixels a millimetre from which on a file's density is taken for its true size. */
const LEAST_DENSITY = 4;
export const FEWEST_TONES = 2;
export const MOST_TONES = 16;
/** The name of the example strip; no strip of the printer's own is called so. */
export const EXAMPLE_STRIP = "15-A";

/** The worked example the page opens with. @type {Settings} */
export const EXAMPLE = Object.freeze({
  plate: Object.freeze({ width_mm: 160, height_mm: 180, bevel_mm: 1.5 }),
  fit: "cover", placing: PLAIN_PLACING, photo: null, px_per_mm: 10, tones: 10, breaks: "even", mark_mm: 1, reserve_l: 1, strip: null,
  lines: "stay", hand_speed: Object.freeze({ edge_cm_per_min: 30, area_cm2_per_min: 70, island_s: 6 }), hand_error_mm: 0.4, painted: /** @type {Settings["painted"]} */ ([]),
  hand: /** @type {Settings["hand"]} */ ([]), resist: null, smoothing_mm: 0.8,
  bath: Object.freeze({ metal: null, mordant: null, before: null, strip_c: null, today_c: null, warmth_kj: null, litres: null, strength_g_l: null, capacity_g_l: null, depth_um: null }),
  witness: null, strip_plan: Object.freeze({ first_s: 10, last_s: 900, bands: 8, way: "covered", width_mm: 40, height_mm: 120 }),
  reading_error_l: 1, handling: Object.freeze({ slack_s: 2, lag_s: 0, drag_s: 0 }),
  scatter_l: 1.5, bench: Object.freeze({ dry_min: null, rinse_min: null }),
});

/** The printer's own strip, where there is one. @param {Settings | null} [settings] */
export function ownStrip(settings) {
  return settings?.strip && settings.strip !== "none" ? settings.strip : null;
}

/**
 * Part of what is said of the bath. Another pair has other published energies, so that what was applied for the old one is taken off.
 * @param {Settings} settings @param {Partial<Settings["bath"]>} part @returns {Settings}
 */
export function withBath(settings, part) {
  const pair = "metal" in part || "mordant" in part;
  return { ...settings, bath: { ...settings.bath, ...(pair ? { warmth_kj: null } : {}), ...part } };
}

/** No strip yet: no times, and nothing that changes times. @param {Settings} settings @returns {Settings} */
export function withoutStrip(settings) {
  return { ...settings, strip: "none", witness: null, bath: { ...settings.bath, warmth_kj: null } };
}

/** @param {Settings} settings @param {Partial<Settings["plate"]>} part @returns {Settings} */
export function withPlate(settings, part) {
  return { ...settings, plate: { ...settings.plate, ...part } };
}

/**
 * One break moved; the others become what they are now, by hand.
 * @param {Settings} settings @param {Plan} plan @param {number} index of the break, 0 = between tones 0 and 1
 * @param {number} lightness L* of the drawing @returns {Settings}
 */
export function moveBreak(settings, plan, index, lightness) {
  const breaks = Array.isArray(settings.breaks) && settings.breaks.length === settings.tones - 1
    ? [...settings.breaks] : [...plan.breaks];
  breaks[index] = clampBreak(breaks, plan.ends, index, lightness);
  return { ...settings, breaks };
}

/**
 * Keeps a break between its neighbours.
 * @param {number[]} breaks @param {{paper: number, black: number}} ends @param {number} index @param {number} lightness
 */
export function clampBreak(breaks, ends, index, lightness) {
  const [low, high] = breakRange(breaks, ends, index);
  return Math.round(Math.min(high, Math.max(low, lightness)) * 100) / 100;
}

/** How far a break can go: [darkest, lightest] L*. @param {number[]} breaks @param {{paper: number, black: number}} ends @param {number} index @returns {[number, number]} */
export function breakRange(breaks, ends, index) {
  const high = index > 0 ? breaks[index - 1] - GAP : Math.max(ends.paper, breaks[0]);
  const low = index < breaks.length - 1 ? breaks[index + 1] + GAP : Math.min(ends.black, breaks[index]);
  return [Math.min(low, high), Math.max(low, high)];
}

/**
 * More or fewer tones. Breaks set by hand stay where they are: a bite is added or dropped at the dark end.
 * @param {Settings} settings @param {Plan | null} plan @param {number} tones @returns {Settings}
 */
export function withTones(settings, plan, tones) {
  const n = Math.min(MOST_TONES, Math.max(FEWEST_TONES, Math.round(tones)));
  if (!Array.isArray(settings.breaks)) return { ...settings, tones: n };
  const breaks = settings.breaks.slice(0, n - 1);
  const black = plan ? plan.ends.black : 0;
  while (breaks.length < n - 1) {
    const last = breaks[breaks.length - 1];
    if (last - black < 2 * GAP) return { ...settings, tones: n, breaks: "even" };
    breaks.push(Math.round((last + black) / 2 * 100) / 100);
  }
  return { ...settings, tones: n, breaks };
}

/** A number of tones as typed: one that can't be is left for the core to refuse. @param {Settings} settings @param {Plan | null} plan @param {number} tones @returns {Settings} */
export function withTypedTones(settings, plan, tones) {
  return tones < FEWEST_TONES || tones > MOST_TONES ? { ...settings, tones } : withTones(settings, plan, tones);
}

/** @param {Settings} settings @param {Plan | null} plan @param {"even" | "fitted" | "hand"} way @returns {Settings} */
export function withBreaks(settings, plan, way) {
  if (way !== "hand") return { ...settings, breaks: way };
  return { ...settings, breaks: Array.isArray(settings.breaks) ? settings.breaks : plan ? [...plan.breaks] : "even" };
}

/** How the breaks were set, in a word. @param {Settings} settings @returns {"even" | "fitted" | "hand"} */
export function breaksWay(settings) {
  return Array.isArray(settings.breaks) ? "hand" : settings.breaks;
}

/**
 * After another drawing was opened: everything stays, but breaks set by hand for the old drawing become even, its crop, turn and corners go,
 * and the plate takes the drawing's own size where its file gives one a plate can have. Densities of screens
 * (72 or 96 dots an inch, written by default) say nothing about paper (common practice, no source).
 * @param {Settings} settings @param {DrawingInfo} info @param {Plan | null} [plan] of the drawing before @returns {{ settings: Settings, sized: boolean, evened: boolean, handed: boolean, unplaced: boolean }} evened: breaks set by hand were given up; handed: so was what was drawn on the plate by hand; unplaced: so was where the old drawing lay
 */
export function forDrawing(settings, info, plan = null) {
  const evened = Array.isArray(settings.breaks);
  const breaks = Array.isArray(settings.breaks) ? "even" : settings.breaks;
  const handed = settings.hand.length > 0 || settings.resist?.kind === "drawn";
  const unplaced = settings.photo !== null || JSON.stringify(settings.placing) !== JSON.stringify(PLAIN_PLACING);
  const given = { evened, handed, unplaced };
  const kept = {
    ...withSameHand(settings, plan), breaks, hand: EXAMPLE.hand, resist: settings.resist?.kind === "drawn" ? null : settings.resist,
    photo: null, placing: unplaced ? PLAIN_PLACING : settings.placing,
  };
  if (!info.px_per_mm || info.px_per_mm < LEAST_DENSITY) return { settings: kept, sized: false, ...given };
  const width_mm = Math.round(info.width / info.px_per_mm);
  const height_mm = Math.round(info.height / info.px_per_mm);
  const can = [width_mm, height_mm].every((mm) => mm >= 20 && mm <= 1000);
  return can ? { settings: withPlate(kept, { width_mm, height_mm }), sized: true, ...given } : { settings: kept, sized: false, ...given };
}

/**
 * What a stop-out really took is logged with what it painted then, since breaks and tones may move afterwards; or with 0 taken back.
 * @param {Settings} settings @param {number} number @param {number} minutes @param {Pick<Plan, "stopouts" | "face_mm"> | null} plan @returns {Settings}
 */
export function withPainted(settings, number, minutes, plan) {
  const others = settings.painted.filter((log) => log.number !== number);
  const stop = plan?.stopouts[number - 1];
  const done = plan && stop
    ? { edge_cm: stop.edge_cm, area_cm2: stop.new_share * plan.face_mm.width * plan.face_mm.height / 100, islands: stop.islands } : null;
  const painted = minutes > 0 ? [...others, { number, minutes, done }].sort((a, b) => a.number - b.number) : others;
  return { ...settings, painted };
}

/**
 * What a stop-out really took: as typed, or else as the log at the bath has it; null: nobody said.
 * @param {{ settings: Settings, plan: Plan | null }} state @param {number} number
 */
export function tookMinutes({ settings, plan }, number) {
  const typed = settings.painted.find((log) => log.number === number);
  return typed ? typed.minutes : plan?.standing.minutes.find(([stop]) => stop === number)?.[1] ?? null;
}

/**
 * Another plate is painted by the same hand: its logs go, the pace they taught stays.
 * @param {Settings} settings @param {Plan | null} plan @returns {Settings}
 */
export function withSameHand(settings, plan) {
  return settings.painted.length || plan?.pace ? { ...settings, painted: [], hand_speed: plan?.pace?.speed ?? settings.hand_speed } : settings;
}

/** The tone and the bites in words. @param {import("../web/types.d.ts").Tone} tone @param {number} tones */
export function whenCovered(tone, tones) {
  const k = tone.index;
  if (k === 0) return "covered from stop-out 1 on, never bitten";
  if (k === tones - 1) return k === 1 ? "bare for bite 1, never covered" : `bare for all bites, 1 to ${k}, never covered`;
  return k === 1 ? "bare for bite 1, covered at stop-out 2" : `bare for bites 1 to ${k}, covered at stop-out ${k + 1}`;
}
