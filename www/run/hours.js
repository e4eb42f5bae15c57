/** Times of day, as minutes from midnight. Pure. */

/** Minutes from "9", "9:30", "9.30", "9h30" or "9:30 pm"; null if it is no time of day. @param {string} text */
export function readHour(text) {
  const found = /^(\d{1,2})(?:[:.h](\d{2}))?\s*(am|pm)?$/i.exec(text.trim());
  if (!found) return null;
  const [, hour, minute = "0", half] = found;
  if (half && (Number(hour) < 1 || Number(hour) > 12)) return null;
  const h = half ? Number(hour) % 12 + (half.toLowerCase() === "pm" ? 12 : 0) : Number(hour);
  const all = 60 * h + Number(minute);
  return Number(minute) < 60 && all <= 1440 ? all : null;
}

/** "9:05" of minutes from any midnight. @param {number} min */
export function hourWords(min) {
  const whole = Math.round(min);
  return `${Math.floor(whole / 60) % 24}:${String(whole % 60).padStart(2, "0")}`;
}
