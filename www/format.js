/**
 * Numbers into words and back. Pure: no document, no state.
 * Reading accepts a decimal comma or point, and times as seconds or m:ss.
 */

const WORDS = ["no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten",
  "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen"];

/** Millimetres in an inch, by definition (1959 agreement). */
export const INCH_MM = 25.4;

/** @typedef {"mm" | "in"} Units */

/** "ten", or digits from seventeen on. @param {number} n */
export function words(n) {
  return WORDS[n] ?? grouped(n);
}

/** "2, 3 and 5". @param {readonly (string | number)[]} items */
export function listed(items) {
  return items.length < 2 ? items.join("") : `${items.slice(0, -1).join(", ")} and ${items.at(-1)}`;
}

/** "nine stop-outs", "one bite". @param {number} n @param {string} one @param {string} [many] */
export function count(n, one, many = `${one}s`) {
  return `${words(n)} ${n === 1 ? one : many}`;
}

/** 12345 as "12 345" with a narrow space, whole numbers only. @param {number} n */
export function grouped(n) {
  const digits = String(Math.round(n));
  return digits.length < 5 ? digits : digits.replace(/\B(?=(\d{3})+$)/g, "\u202f");
}

/** What stands where there is no figure: without a strip every time is not a number. */
export const NONE = "—";

/** At most `places` decimals, no trailing noughts, a true minus sign. @param {number} x @param {number} [places] */
export function number(x, places = 1) {
  if (Number.isNaN(x)) return NONE;
  const text = x.toFixed(places);
  const short = text.includes(".") ? text.replace(/\.?0+$/, "") : text;
  return short === "-0" ? "0" : short.replace("-", "−");
}

/** With its decimal also where that is nought, for figures that stand beside each other. @param {number} x */
export function tenths(x) {
  const text = x.toFixed(1);
  return text === "-0.0" ? "0.0" : text.replace("-", "−");
}

/** Seconds as m:ss, rounded to the whole second. @param {number} seconds */
export function clock(seconds) {
  if (Number.isNaN(seconds)) return NONE;
  const whole = Math.round(seconds);
  return `${Math.floor(whole / 60)}:${String(whole % 60).padStart(2, "0")}`;
}

/** Minutes as "17 min" or "2 h 10". @param {number} minutes */
export function minutes(minutes) {
  if (Number.isNaN(minutes)) return NONE;
  const whole = Math.round(minutes);
  if (minutes > 0 && whole === 0) return "under 1 min";
  if (whole < 60) return `${whole} min`;
  const rest = whole % 60;
  return rest ? `${Math.floor(whole / 60)} h ${String(rest).padStart(2, "0")}` : `${Math.floor(whole / 60)} h`;
}

/** What stands in place of a bite's time where it has none: a bite left out, or one that waits for a decision; null: it has one. @param {import("../web/types.d.ts").Plan} plan @param {number} k bite, from 1 */
export function instead(plan, k) {
  const { dropped, due } = plan.standing;
  if (dropped.includes(k)) return "left out";
  return due && k > due.after ? "to be decided" : null;
}

/** A total or a bite: as on a clock, or without a strip as a multiple of the first total. @param {import("../web/types.d.ts").Plan} plan @param {number} k tone or bite, from 1 */
export function totalWords(plan, k) {
  return instead(plan, k) ?? clockedTotal(plan, k);
}

/** The same where the tone's own bite is left out: the total it stands at. @param {import("../web/types.d.ts").Plan} plan @param {number} k tone, from 1 */
export function clockedTotal(plan, k) {
  if (plan.standing.due && k > plan.standing.due.after) return "to be decided";
  return plan.bath.ratios ? times(plan.bath.ratios[k - 1]) : clock(plan.tones[k].shown_total_s);
}

/** @param {import("../web/types.d.ts").Plan} plan @param {number} k bite, from 1 */
export function biteWords(plan, k) {
  return instead(plan, k) ?? timed(plan, k);
}

/** @param {import("../web/types.d.ts").Plan} plan @param {number} k */
function timed(plan, k) {
  return plan.bath.ratios ? times(plan.bath.ratios[k - 1] - (plan.bath.ratios[k - 2] ?? 0)) : clock(plan.tones[k].set_s);
}

/** @param {number} ratio */
export function times(ratio) {
  return `× ${number(ratio, ratio < 9.95 ? 1 : 0)}`;
}

/** A share 0–1 as "9 %"; small ones keep a decimal, and something is never shown as nothing. @param {number} share */
export function percent(share) {
  const value = 100 * share;
  if (value > 0 && value < 0.05) return "under 0.1 %";
  return `${value < 9.95 ? number(value, 1) : Math.round(value)} %`;
}

/** Area of a share of the face. @param {number} share @param {{width: number, height: number}} face @param {Units} units */
export function area(share, face, units) {
  const square = share * face.width * face.height;
  const value = units === "in" ? square / (INCH_MM * INCH_MM) : square / 100;
  return `${number(value, value < 9.95 ? 1 : 0)} ${units === "in" ? "sq in" : "cm²"}`;
}

/** An area of a small place, given in mm². @param {number} mm2 @param {Units} units */
export function patch(mm2, units) {
  const inches = mm2 / (INCH_MM * INCH_MM);
  if (units === "in") return inches < 0.0005 ? "under 0.001 sq in" : `${number(inches, inches < 0.0995 ? 3 : inches < 9.95 ? 1 : 0)} sq in`;
  if (mm2 < 0.05) return "under 0.1 mm²";
  return mm2 < 99.5 ? `${number(mm2, mm2 < 9.95 ? 1 : 0)} mm²` : `${number(mm2 / 100, mm2 < 995 ? 1 : 0)} cm²`;
}

/** A length given in centimetres. @param {number} cm @param {Units} units */
export function run(cm, units) {
  const value = units === "in" ? cm * 10 / INCH_MM : cm;
  return `${number(value, value < 9.95 ? 1 : 0)} ${units === "in" ? "in" : "cm"}`;
}

/** A length without its unit, for a field. @param {number} mm @param {Units} units */
export function length(mm, units) {
  return units === "in" ? number(mm / INCH_MM, 3) : number(mm, 2);
}

/** "160 × 180 mm". @param {number} width @param {number} height @param {Units} units */
export function size(width, height, units) {
  return `${length(width, units)} × ${length(height, units)} ${units}`;
}

/** A number typed with comma or point, or null. @param {string} text */
export function readNumber(text) {
  const plain = text.trim().replace(/[\u00a0\u202f ]/g, "").replace(",", ".").replace("−", "-");
  return /^[+-]?(\d+\.?\d*|\.\d+)$/.test(plain) ? Number(plain) : null;
}

/** A length in mm typed in the given units; a unit written behind it wins. @param {string} text @param {Units} units */
export function readLength(text, units) {
  const found = /^(.*?)\s*(mm|cm|in|″|")?\s*$/i.exec(text.trim());
  const value = found ? readNumber(found[1]) : null;
  if (value === null || !found) return null;
  const unit = (found[2] ?? units).toLowerCase();
  return unit === "mm" ? value : unit === "cm" ? value * 10 : value * INCH_MM;
}

/** Seconds from "95", "95 s", "1:35", "1:02:03" or "1,5"; null if it is no time. @param {string} text */
export function readTime(text) {
  const plain = text.trim().replace(/\s*s(ec(onds?)?)?$/i, "");
  const long = /^(\d+):([0-5]\d):([0-5]\d(?:[.,]\d+)?)$/.exec(plain);
  if (long) return Number(long[1]) * 3600 + Number(long[2]) * 60 + Number(long[3].replace(",", "."));
  const parts = /^(\d+):([0-5]?\d(?:[.,]\d+)?)$/.exec(plain);
  if (parts) return Number(parts[1]) * 60 + Number(parts[2].replace(",", "."));
  const value = readNumber(plain);
  return value !== null && value >= 0 ? value : null;
}

/** Degrees Celsius from "19", "19,5 °C" or "66 F"; null if it is no temperature. @param {string} text */
export function readCelsius(text) {
  const found = /^(.*?)\s*°?\s*([cCfF])?$/.exec(text.trim());
  const value = found ? readNumber(found[1]) : null;
  if (value === null || !found) return null;
  // (°F − 32) / 1.8, exact (NIST SP 811, B.8).
  return found[2]?.toUpperCase() === "F" ? Math.round((value - 32) / 0.018) / 100 : value;
}

/** First letter large, for a sentence that begins with a number in words. @param {string} text */
export function sentence(text) {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

/** Which strip a picture of the print stands on. @param {import("../web/types.d.ts").Plan | null} plan */
export function byStrip(plan) {
  return plan?.strip.kind === "missing" ? "as the example strip prints" : `by strip ${plan?.strip.id ?? ""}`;
}

/** What today multiplies the strip's times by, as a sentence; nothing where they stand as they are. @param {Pick<import("../web/types.d.ts").Plan, "bath">} plan */
export function factorWords({ bath }) {
  return bath.factor === 1 ? "" : `All times are ${bath.factor.toFixed(2)} times the strip’s, ${bath.witness ? "by today’s witness" : "for today’s temperature"}.`;
}
