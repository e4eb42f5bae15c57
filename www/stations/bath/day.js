/** The day plan of one plate: what is still to come, with its times of day, as bars and as a list, and where to stop for the night. */
import { h, say, svg } from "../../dom.js";
import { numberField } from "../../fields.js";
import { clock, minutes, number, readNumber } from "../../format.js";
import { hourWords, readHour } from "../../run/hours.js";
import { settled } from "../../stale.js";
import { biteName, driedBy } from "../../together.js";

/** @typedef {import("../../../web/types.d.ts").DayPlan} DayPlan */
/** @typedef {{ start_min: number, from_min: number, to_min: number, dry_overnight: boolean }} Hours */

const NAME = "stepbite.hours";
const WORDS = { paint: "paint stop-out", dry: "let it dry, stop-out", rinse: "rinse and dry after bite" };
const SHORT = { paint: "paint", dry: "dry", bite: "bite", rinse: "rinse" };
/** A stretch is at least so wide, in the picture's units, so that a bite of seconds is still seen. */
const LEAST = 2.5;

/** The hours kept from last time; hours of a common working day until then, to be typed over. @param {Date} now @returns {Hours} */
function begin(now) {
  const start_min = Math.ceil((60 * now.getHours() + now.getMinutes()) / 15) * 15;
  /** @type {Hours} */
  const usual = { start_min, from_min: 540, to_min: 1080, dry_overnight: false };
  try {
    const kept = JSON.parse(localStorage.getItem(NAME) ?? "null");
    if (Number.isFinite(kept?.from_min) && Number.isFinite(kept.to_min)) Object.assign(usual, { from_min: kept.from_min, to_min: kept.to_min, dry_overnight: kept.dry_overnight === true });
  } catch { /* none kept */ }
  if (usual.start_min < usual.from_min || usual.start_min >= usual.to_min) usual.start_min = usual.from_min;
  return usual;
}

/** @param {import("../../state.js").Desk} desk */
export function day(desk) {
  let hours = begin(new Date());
  let asked = "";
  const fields = {
    start: hour("Begin today at", "start_min"), from: hour("Later days from", "from_min"), to: hour("until", "to_min"),
  };
  const bench = { dry: bare("Drying of a stop-out", "dry_min"), rinse: bare("Rinse and dry after a bite", "rinse_min") };
  const over = h("input", { type: "checkbox", onchange: () => set({ dry_overnight: over.checked }) });
  const said = h("p", { class: "aside", role: "status" });
  const picture = h("div", { class: "day-bars" });
  const notes = h("ul", { class: "notes" });
  const list = h("div", { class: "day-list" });
  const root = h("section", { class: "day-plan" }, h("h3", null, "The day"),
    h("p", { class: "aside" }, "What is still to come of this plate, by your own minutes for drying and rinsing and your own pace of painting. Times of day are a plan, not a promise."),
    h("div", { class: "fields" }, fields.start.root, fields.from.root, fields.to.root, bench.dry.root, bench.rinse.root,
      h("label", { class: "check" }, over, "varnish may dry overnight")),
    said, picture, list, notes);

  /** @param {string} label @param {"start_min" | "from_min" | "to_min"} name */
  function hour(label, name) {
    return numberField(label, {
      read: readHour, write: hourWords, take: (min) => set({ [name]: min }),
      refuse: (text) => desk.notice(`${text.split(" is not")[0]} is no time of day: type it like 9:00, 14.30 or 2:30 pm.`, "refused"),
    });
  }

  /** @param {string} label @param {"dry_min" | "rinse_min"} name */
  function bare(label, name) {
    return numberField(label, {
      read: (text) => text.trim() === "" ? NaN : readNumber(text), write: (min) => Number.isNaN(min) ? "" : number(min), unit: "min",
      take: (min) => { desk.change("minutes at the bench", { ...desk.state.settings, bench: { ...desk.state.settings.bench, [name]: Number.isNaN(min) ? null : min } }); },
      refuse: (text) => desk.notice(text, "refused"),
    });
  }

  /** @param {Partial<Hours>} part */
  function set(part) {
    hours = { ...hours, ...part };
    try {
      localStorage.setItem(NAME, JSON.stringify(hours));
    } catch { /* they hold until the page goes */ }
    desk.set({});
  }

  /** @param {DayPlan} plan */
  function show(plan) {
    say(said, plan.stretches.length ? `${minutes(plan.minutes)} in all, your hands busy for ${minutes(plan.busy_min)}.${plan.pauses.length ? "" : " No night in between."}` : "Nothing is left to do on this plate.");
    notes.replaceChildren(...plan.notes.map((text) => h("li", null, text)));
    picture.replaceChildren(...(plan.stretches.length ? [legend(), bars(plan, Math.max(300, root.clientWidth)), h("ul", { class: "nights" }, ...plan.pauses.map((pause) => h("li", null, pause.said)))] : []));
    list.replaceChildren(...(plan.stretches.length ? [rows(plan)] : []));
  }

  return {
    root,
    /** @param {import("../../state.js").State} state */
    update(state) {
      const { plan, settings } = state;
      root.hidden = !plan || plan.bath.pair.verdict === "stop" || plan.strip.kind === "missing" || plan.standing.next.kind === "finished";
      fields.start.set(hours.start_min);
      fields.from.set(hours.from_min);
      fields.to.set(hours.to_min);
      over.checked = hours.dry_overnight;
      bench.dry.set(settings.bench.dry_min ?? NaN);
      bench.rinse.set(settings.bench.rinse_min ?? NaN);
      if (root.hidden || !settled(state)) return;
      const asking = plan ? { ...hours, dried_min: driedBy(state.done.log, plan.standing, hours.start_min) } : hours;
      const key = JSON.stringify([asking, plan?.joins, settings.bench, plan?.standing, plan?.tones.map((tone) => tone.set_s), plan?.stopouts.map((stop) => stop.paint_min)]);
      if (key === asked) return;
      asked = key;
      desk.bridge.call("day_plan", asking).then((found) => {
        if (key === asked) show(found);
      }, (error) => {
        if (key !== asked) return;
        say(said, error.message);
        picture.replaceChildren();
        list.replaceChildren();
        notes.replaceChildren();
      });
    },
  };
}

function legend() {
  return h("p", { class: "legend" }, ...Object.entries(SHORT).map(([kind, word]) => h("span", null, h("i", { class: `swatch of-${kind}` }), word)));
}

/** One bar a day, all on the same hours. @param {DayPlan} plan @param {number} wide px */
function bars(plan, wide) {
  const days = Math.max(...plan.stretches.map((stretch) => Math.floor(stretch.from_min / 1440))) + 1;
  const first = Math.floor(Math.min(...plan.stretches.map((stretch) => stretch.from_min % 1440)) / 60) * 60;
  const last = Math.ceil(Math.max(...plan.stretches.map((stretch) => stretch.from_min % 1440 + stretch.to_min - stretch.from_min)) / 60) * 60;
  const left = days > 1 ? 84 : 22;
  const x = (/** @type {number} */ min) => left + (min - first) * (wide - left - 26) / Math.max(60, last - first);
  const high = 46;
  // Hours stand at least so far apart that their words do not touch.
  const every = [60, 120, 180, 240].find((min) => x(first + min) - x(first) > 54) ?? 360;
  const parts = [];
  for (let at = first; at <= last; at += every) parts.push(svg("path", { class: "tick", d: `M${x(at)} 22V${26 + days * high}` }), svg("text", { x: x(at), y: 15, "text-anchor": "middle" }, hourWords(at)));
  for (let d = 0; d < days; d++) if (days > 1) parts.push(svg("text", { x: 0, y: 56 + d * high }, `day ${d + 1}`));
  for (const { kind, from_min, to_min } of plan.stretches) {
    const d = Math.floor(from_min / 1440);
    const from = x(from_min - 1440 * d);
    parts.push(svg("rect", { class: `of-${kind}`, x: from, y: 32 + d * high, width: Math.max(LEAST, x(to_min - 1440 * d) - from), height: high - 16 }));
  }
  return svg("svg", { viewBox: `0 0 ${wide} ${30 + days * high}`, role: "img", "aria-label": `Bars of ${days === 1 ? "the day" : `${days} days`}; the list beneath has every time` },
    svg("defs", {}, svg("pattern", { id: "day-hatch", width: 7, height: 7, patternUnits: "userSpaceOnUse", patternTransform: "rotate(45)" }, svg("path", { d: "M0 0V7", class: "hatch" })),
      svg("pattern", { id: "day-dots", width: 7, height: 7, patternUnits: "userSpaceOnUse" }, svg("circle", { cx: 3, cy: 3, r: 1.1 }))), ...parts);
}

/** @param {DayPlan} plan */
function rows(plan) {
  const many = plan.stretches.some((stretch) => stretch.from_min >= 1440);
  const pauses = plan.pauses.map((pause) => ({ from: pause.from_min, row: h("li", { class: "night" }, h("b", null, hourWords(pause.from_min)), h("span", null, pause.said)) }));
  const works = plan.stretches.map((stretch) => ({ from: stretch.from_min, row: h("li", { class: stretch.hands ? null : "free" },
    h("b", null, `${many ? `day ${Math.floor(stretch.from_min / 1440) + 1}, ` : ""}${hourWords(stretch.from_min)}`),
    h("span", null, stretch.kind === "bite" ? biteName(stretch.from, stretch.number) : `${WORDS[stretch.kind]} ${stretch.number}`), h("i", null, stretch.kind === "bite" ? clock(60 * (stretch.to_min - stretch.from_min)) : minutes(stretch.to_min - stretch.from_min))) }));
  const all = [...works, ...pauses].sort((a, b) => a.from - b.from || (a.row.className === "night" ? 1 : -1));
  return h("details", null, h("summary", null, "Every turn with its time"), h("ol", null, ...all.map((each) => each.row)));
}
