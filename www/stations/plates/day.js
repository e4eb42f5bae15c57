/** The day of all plates at one bath: hours, tray and where to stop for the night; bars, a lane a plate and one for the hands; a list with its times. */
import { assign, h, say, svg, table } from "../../dom.js";
import { numberField } from "../../fields.js";
import { clock, count, length, minutes, number, percent, readLength, readNumber, sentence } from "../../format.js";
import { hourWords, readHour } from "../../run/hours.js";
import { settled } from "../../stale.js";
import { askDay, bathPlates, biteName, dayKey, dayOf, specOf, startOf, tooEarly } from "../../together.js";

/** @typedef {import("../../../web/types.d.ts").FamilyDayPlan} FamilyDayPlan */
/** @typedef {import("../../../web/types.d.ts").FamilyDay} FamilyDay */
/** @typedef {import("../../together.js").BathPlate} BathPlate */
/** @typedef {FamilyDayPlan["stretches"][number]} Stretch */

const SHORT = { paint: "paint", dry: "dry", bite: "bite", rinse: "rinse" };
/** A bite is at least so wide, in the picture's units, so that seconds are seen too. */
const LEAST = 2.5;
const LANE = 34;

/** @param {import("../../state.js").Desk} desk @returns {import("../../state.js").Part} */
export function day(desk) {
  let asked = "";
  /** @type {{ plan: FamilyDayPlan, plates: BathPlate[] } | null} */
  let found = null;
  const begin = numberField("Begin on the first day at", {
    read: readHour, write: hourWords, refuse: noHour,
    take(min) {
      const early = tooEarly(min, bathPlates(desk.state).plates);
      if (early) {
        desk.notice(early, "refused");
        return false;
      }
      desk.set({ dayStart: min });
    },
  });
  const from = hour("Days from", "from_min");
  const to = hour("until", "to_min");
  const bench = { dry: bare("Drying of a stop-out", "dry_min"), rinse: bare("Rinse and dry after a bite", "rinse_min") };
  const over = h("input", { type: "checkbox", onchange: () => put({ dry_overnight: over.checked }) });
  const wide = side("Tray inside, wide", 0);
  const deep = side("deep", 1);
  const night = h("select", { onchange: () => put({ break_after: night.value === "" ? null : Number(night.value) }) });
  const nightField = h("label", { class: "number night-choice" }, h("span", null, "The first day ends"), night);
  const said = h("p", { class: "lead", role: "status" });
  const bound = h("p", null);
  const ages = h("p", { class: "aside" });
  const picture = h("div", { class: "day-bars" });
  const nights = h("ul", { class: "nights" });
  const notes = h("ul", { class: "notes" });
  const list = h("div", { class: "day-list" });
  const root = h("section", { class: "day-plan family-day", "aria-labelledby": "h-family-day" }, h("h3", { id: "h-family-day" }, "One day at the bath"),
    h("p", { class: "aside" }, "One pair of hands, one bath: while one plate dries another is painted or bitten, and no bite is left alone. By your own minutes and your own pace of painting; times of day are a plan, not a promise."),
    h("div", { class: "fields" }, begin.root, from.root, to.root, bench.dry.root, bench.rinse.root, h("label", { class: "check" }, over, "varnish may dry overnight"), wide.root, deep.root, nightField),
    said, bound, picture, nights, ages, notes, list);

  /** @param {string} text */
  function noHour(text) {
    desk.notice(`${text.split(" is not")[0]} is no time of day: type it like 9:00, 14.30 or 2:30 pm.`, "refused");
  }

  /** @param {Partial<FamilyDay>} part */
  function put(part) {
    return desk.changeJob("hours and tray", { day: { ...dayOf(desk.state), ...part } });
  }

  /** @param {string} label @param {"from_min" | "to_min"} name */
  function hour(label, name) {
    return numberField(label, {
      read: readHour, write: hourWords, refuse: noHour,
      take(min) {
        const next = { ...dayOf(desk.state), [name]: min };
        if (next.to_min <= next.from_min) {
          desk.notice(`A day from ${hourWords(next.from_min)} until ${hourWords(next.to_min)} ends before it begins: set the other end first, or another time.`, "refused");
          return false;
        }
        return put({ [name]: min });
      },
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

  /** A side of the tray; empty: plates are bitten alone. What one side says the other takes too until it has its own. @param {string} label @param {0 | 1} which */
  function side(label, which) {
    const written = (/** @type {number} */ mm) => Number.isNaN(mm) ? "" : length(mm, desk.state.units).replace(/[^\d.,]+$/, "");
    return numberField(label, {
      read: (text) => text.trim() === "" ? NaN : readLength(text, desk.state.units), write: written,
      take(mm) {
        if (Number.isNaN(mm)) return put({ tray_mm: null });
        if (!(mm >= 10 && mm <= 5000)) {
          desk.notice(`A tray measures 10 to 5000 mm inside; ${number(mm)} mm came: measure its floor.`, "refused");
          return false;
        }
        const before = dayOf(desk.state).tray_mm ?? [mm, mm];
        return put({ tray_mm: which === 0 ? [mm, before[1]] : [before[0], mm] });
      },
      refuse: (text) => desk.notice(text, "refused"),
    });
  }

  /** @param {import("../../state.js").State} state */
  function show(state) {
    if (!found) return;
    const { plan, plates } = found;
    const none = plan.stretches.length === 0;
    const last = Math.max(0, ...plan.stretches.map((stretch) => stretch.to_min));
    const letters = plates.map(({ letter }) => letter);
    say(said, none ? "Nothing is left to do on these plates." : `${sentence(count(plates.length, "plate"))}: ${minutes(plan.minutes)} of work${plan.nights.length ? ` with ${count(plan.nights.length, "night")} between` : ""}, done at ${when(last, plan)}. Your hands are busy for ${minutes(plan.busy_min)} of it.`);
    say(bound, none ? "" : `No order of the work takes fewer than ${minutes(plan.bound_min)}: this one is ${plan.gap < 0.0005 ? "as short as any can be" : `${percent(plan.gap)} longer than that`}.${plan.nights.length ? " Hours left empty before a night are counted in it." : ""}${
      plan.shared ? ` ${sentence(count(plan.shared, "time"))} a plate shares another’s dip.` : dayOf(state).tray_mm ? " Nothing is won by biting two at once." : ""}`);
    const aged = plan.ages.map((age, i) => age === null ? null : `${letters[i]} ${percent(age)}`).filter(Boolean);
    say(ages, aged.length > 1 ? `How much of the bath’s work was done before a plate’s own bites, in the mean: ${aged.join(", ")}. The nearer to one another, the more alike the tired bath bites them.` : "");
    nights.replaceChildren(...plan.nights.map((pause) => h("li", null, pause.said)));
    notes.replaceChildren(...plan.notes.map((text) => h("li", null, text)));
    picture.replaceChildren(...(none ? [] : [legend(), bars(plan, plates, Math.max(300, root.clientWidth))]));
    list.replaceChildren(...(none ? [] : [rows(plan, plates)]));
    const chosen = dayOf(state).break_after;
    night.replaceChildren(h("option", { value: "" }, "when its hours end"),
      ...plan.breaks.map(({ after, by_l }) => h("option", { value: String(after) }, `after bite ${after} (then ${number(state.settings.handling.slack_s)} s move a tone by ${number(by_l)} L* at most)`)));
    night.value = plan.breaks.some(({ after }) => after === chosen) ? String(chosen) : "";
  }

  let wide_px = 0;
  new ResizeObserver(() => {
    // Bars are drawn for the width there is.
    if (!found || !root.clientWidth || Math.abs(root.clientWidth - wide_px) < 2) return;
    wide_px = root.clientWidth;
    const { plan, plates } = found;
    if (plan.stretches.length) picture.replaceChildren(legend(), bars(plan, plates, Math.max(300, wide_px)));
  }).observe(root);

  return {
    root,
    update(state) {
      const { plates, absent } = bathPlates(state);
      const { plan, settings } = state;
      root.hidden = !plan || state.family.length === 0;
      if (root.hidden || state.station !== "plates") return;
      const hours = dayOf(state);
      begin.set(startOf(state, plates));
      from.set(hours.from_min);
      to.set(hours.to_min);
      bench.dry.set(settings.bench.dry_min ?? NaN);
      bench.rinse.set(settings.bench.rinse_min ?? NaN);
      over.checked = hours.dry_overnight;
      wide.set(hours.tray_mm?.[0] ?? NaN, state.units);
      deep.set(hours.tray_mm?.[1] ?? NaN, state.units);
      if (!settled(state)) return;
      const spec = specOf(state, plates);
      const also = dayKey(state);
      const key = JSON.stringify([spec, also, absent, state.units]);
      if (key === asked) return;
      asked = key;
      root.dataset.stale = "true";
      askDay(desk, spec, also).then((answer) => {
        if (key !== asked) return;
        root.dataset.stale = "false";
        if (absent.length) answer = { ...answer, notes: [`Not counted, for they have no plan: ${absent.map((letter) => `plate ${letter}`).join(", ")}.`, ...answer.notes] };
        found = { plan: answer, plates };
        show(desk.state);
      }, (error) => {
        if (key !== asked) return;
        root.dataset.stale = "false";
        found = null;
        say(said, error.message);
        say(bound, "");
        say(ages, "");
        for (const each of [picture, nights, notes, list]) each.replaceChildren();
      });
    },
  };
}

/** A time of day, with its day where there are several. @param {number} min @param {FamilyDayPlan} plan */
function when(min, plan) {
  return `${plan.nights.length || min >= 1440 ? `day ${Math.floor(min / 1440) + 1}, ` : ""}${hourWords(min)}`;
}

function legend() {
  return h("p", { class: "legend" }, ...Object.entries(SHORT).map(([kind, word]) => h("span", null, h("i", { class: `swatch of-${kind}` }), word)));
}

/** Lanes of every day: a plate each, and beneath them the hands. @param {FamilyDayPlan} plan @param {BathPlate[]} plates @param {number} wide px */
function bars(plan, plates, wide) {
  const dayOfMin = (/** @type {number} */ min) => Math.floor(min / 1440 + 1e-9);
  // What dries over a night is drawn up to the evening's end.
  const works = plan.stretches.filter(({ kind }) => kind !== "dry");
  const days = [...new Set(works.map((stretch) => dayOfMin(stretch.from_min)))].sort((a, b) => a - b);
  const first = Math.floor(Math.min(...works.map((stretch) => stretch.from_min % 1440)) / 60) * 60;
  const last = Math.ceil(Math.max(...works.map((stretch) => stretch.to_min - 1440 * dayOfMin(stretch.from_min))) / 60) * 60;
  const left = 58;
  const x = (/** @type {number} */ min) => left + (Math.min(min, last) - first) * (wide - left - 26) / Math.max(60, last - first);
  const high = LANE * (plates.length + 1) + 34;
  const every = [60, 120, 180, 240].find((min) => x(first + min) - x(first) > 54) ?? 360;
  const parts = [];
  days.forEach((d, row) => {
    const top = row * high;
    if (days.length > 1) parts.push(svg("text", { x: 0, y: top + 15 }, `day ${d + 1}`));
    for (let at = first; at <= last; at += every) if (days.length === 1 || x(at) > left + 30 || at > first) parts.push(svg("path", { class: "tick", d: `M${x(at)} ${top + 22}V${top + high - 8}` }), svg("text", { x: x(at), y: top + 15, "text-anchor": "middle" }, hourWords(at)));
    [...plates.map(({ letter }) => letter), "hands"].forEach((word, lane) => parts.push(svg("text", { class: lane < plates.length ? "lane-letter" : "lane", x: 0, y: top + 22 + LANE * lane + 22 }, word)));
  });
  /** @param {Stretch} stretch @param {number} lane */
  const bar = ({ kind, from_min, to_min }, lane) => {
    const d = dayOfMin(from_min);
    const row = days.indexOf(d);
    if (row < 0) return null;
    const at = x(from_min - 1440 * d);
    return svg("rect", { class: `of-${kind}`, x: at, y: row * high + 25 + LANE * lane, width: Math.max(kind === "bite" ? LEAST : 0.5, x(to_min - 1440 * d) - at), height: LANE - 8 });
  };
  for (const stretch of plan.stretches) {
    parts.push(bar(stretch, stretch.plate));
    if (stretch.kind !== "dry") parts.push(bar(stretch, plates.length));
  }
  const picture = svg("svg", { viewBox: `0 0 ${wide} ${days.length * high}`, role: "img", "aria-label": `Bars of ${days.length === 1 ? "the day" : `${days.length} days`}, a lane for each plate and one for the hands; the list beneath has every time` },
    svg("defs", {}, svg("pattern", { id: "day-hatch", width: 7, height: 7, patternUnits: "userSpaceOnUse", patternTransform: "rotate(45)" }, svg("path", { d: "M0 0V7", class: "hatch" })),
      svg("pattern", { id: "day-dots", width: 7, height: 7, patternUnits: "userSpaceOnUse" }, svg("circle", { cx: 3, cy: 3, r: 1.1 }))), ...parts.filter((part) => part !== null));
  assign(picture, { height: days.length * high });
  return picture;
}

/** Every piece of the hands' work with its time, and the nights between. @param {FamilyDayPlan} plan @param {BathPlate[]} plates */
function rows(plan, plates) {
  const works = plan.stretches.filter(({ kind }) => kind !== "dry" && kind !== "rinse");
  /** @type {{ from: number, cells: string[] }[]} */
  const all = [];
  for (const { kind, plate, number: bite, to, from_min, to_min } of works) {
    const { letter, standing } = plates[plate];
    const same = all.find((row) => kind === "bite" && row.cells[1].startsWith("bite") && Math.abs(row.from - from_min) < 1e-6);
    if (same) {
      same.cells[0] += `, ${letter}`;
      continue;
    }
    all.push({ from: from_min, cells: [letter, kind === "paint" ? `paint stop-out ${bite}` : `${biteName(bite, to)}, then rinse and dry`, kind === "bite" ? standing.due ? "decide first" : clock(60 * (to_min - from_min)) : minutes(to_min - from_min)] });
  }
  for (const { from_min, after } of plan.nights) all.push({ from: from_min, cells: ["all", `stop for the night after bite ${after}`, ""] });
  all.sort((a, b) => a.from - b.from);
  return h("details", null, h("summary", null, "Every turn with its time"),
    h("div", { class: "scroll", tabindex: 0, role: "region", "aria-label": "Table of the day" }, table("What the hands do, in order", ["at", "plate", "what", "for"], all.map(({ from, cells }) => [when(from, plan), ...cells]))));
}
