/** What another bite is worth: every count of tones side by side, worked out one by one while nothing else is asked of the worker. */
import { h, say, show, svg, table } from "../../dom.js";
import { numberField, radios } from "../../fields.js";
import { clock, count, minutes, number, percent, readNumber, run, sentence, tenths, words } from "../../format.js";
import { FEWEST_TONES, MOST_TONES, withTones } from "../../settings.js";
import { planStale } from "../../stale.js";

/** @typedef {import("../../state.js").State} State */
/** @typedef {import("../../../web/types.d.ts").Worth} Worth */
/** @typedef {import("../../../web/types.d.ts").Settings} Settings */

/** So long nothing must have changed before the worker is asked, ms. */
const REST_MS = 250;
/** Longer side of a small picture, CSS pixels. */
const SMALL = 150;
/** What an empty field of minutes stands for: no number a printer types. */
const NONE = -Infinity;
const ALL = Array.from({ length: MOST_TONES - FEWEST_TONES + 1 }, (_, i) => FEWEST_TONES + i);

/** @param {number} ms */
const rest = (ms) => new Promise((done) => { setTimeout(done, ms); });

/** "ten tones, nine bites". @param {number} tones */
const named = (tones) => `${count(tones, "tone")}, ${count(tones - 1, "bite")}`;

/** What the figures depend on: everything but what another count of tones, or the hand's work, would change. @param {State} state */
function keyOf({ planned, plannedDrawing }) {
  if (!planned) return "";
  const { tones, hand, resist, ...others } = planned;
  return JSON.stringify([plannedDrawing, others, Array.isArray(planned.breaks) ? tones : 0, hand.length > 0 || resist !== null]);
}

/** The present count first, then its neighbours, and so outwards. @param {number} present */
function order(present) {
  return [...ALL].sort((a, b) => Math.abs(a - present) - Math.abs(b - present) || b - a);
}

/** @param {import("../../state.js").Desk} desk @returns {import("../../state.js").Part} */
export function worth(desk) {
  /** Figures by count of tones, or why there are none. @type {Map<number, Worth | string>} */
  const found = new Map();
  /** Small pictures that are of the present key. @type {Set<number>} */
  const painted = new Set();
  let key = "";
  let timer = 0;
  let running = false;
  /** The count looked at beside the present one. @type {number | null} */
  let picked = null;

  const more = h("p", null);
  const fewer = h("p", null);
  const progress = h("p", { class: "aside", "aria-live": "polite" });
  const chart = h("div", { class: "chart" });
  const pick = radios("Look at", ALL.map((n) => [String(n), String(n)]), (value) => choose(Number(value)));
  pick.root.classList.add("counts");
  const figures = h("div", null);
  const take = h("button", { type: "button", class: "first", onclick: () => make(lookedAt(desk.state.plan?.tones.length ?? FEWEST_TONES)) });
  const scatter = numberField("A printed tone scatters by", {
    read: readNumber, write: (value) => number(value, 2), unit: "L*",
    take: (value) => desk.change("scatter of a printed tone", { ...desk.state.settings, scatter_l: value }), refuse: (words) => desk.notice(words, "refused"),
  });
  const dry = minutesField("Drying, a bite", (value) => own({ dry_min: value }));
  const rinse = minutesField("Rinsing, a bite", (value) => own({ rinse_min: value }));
  const notes = h("ul", { class: "notes" });
  const small = new Map(ALL.map((n) => [n, smallPicture(n)]));
  const all = h("div", { class: "scroll", tabindex: 0, role: "region", "aria-label": "Table of every count of tones" });

  /** @param {Partial<Settings["bench"]>} part */
  function own(part) {
    desk.change("minutes at the bench", { ...desk.state.settings, bench: { ...desk.state.settings.bench, ...part } });
  }

  /** Minutes of the printer's own; left empty they are not counted. @param {string} label @param {(value: number | null) => void} then */
  function minutesField(label, then) {
    const field = numberField(label, {
      read: (text) => text.trim() === "" ? NONE : readNumber(text), write: (value) => value === NONE ? "" : number(value, 1), unit: "min",
      take: (value) => then(value === NONE ? null : value), refuse: (words) => desk.notice(words, "refused"),
    });
    field.input.placeholder = "not given";
    return { root: field.root, set: (/** @type {number | null} */ value) => field.set(value ?? NONE) };
  }

  /** @param {number} n */
  function smallPicture(n) {
    const canvas = h("canvas", { width: 8, height: 8, "aria-hidden": "true" });
    const name = h("span", null, count(n, "tone"));
    const root = h("button", { type: "button", class: "small-print", onclick: () => choose(n) }, canvas, name);
    return { canvas, name, root };
  }

  /** @param {number} n */
  function choose(n) {
    picked = n;
    render(desk.state);
  }

  const root = h("section", { class: "worth", "aria-labelledby": "h-worth" },
    h("h3", { id: "h-worth" }, "What is another bite worth?"),
    h("div", { class: "sentences" }, h("div", null, h("h4", null, "One bite more"), more), h("div", null, h("h4", null, "One bite fewer"), fewer)),
    h("div", { class: "side" },
      h("div", { class: "wide" }, chart, progress, pick.root),
      h("div", { class: "column" }, figures, h("div", { class: "acts" }, take))),
    h("div", { class: "own-figures" }, h("div", { class: "row" }, scatter.root, dry.root, rinse.root),
      h("p", { class: "aside" }, "Your own figures. The scatter is a standard deviation: how far one tone prints from itself, across a plate and from plate to plate; 1.5 is an estimate until you have measured it. Minutes left empty are not counted.")),
    h("h4", null, "The prints side by side"),
    h("div", { class: "prints" }, ...[...small.values()].map((each) => each.root)),
    all, notes);

  /** @param {State} state */
  function update(state) {
    scatter.set(state.settings.scatter_l);
    dry.set(state.settings.bench.dry_min);
    rinse.set(state.settings.bench.rinse_min);
    const now = keyOf(state);
    if (now && now !== key) {
      key = now;
      found.clear();
      painted.clear();
    }
    render(state);
    if (key && !running && unfinished()) {
      clearTimeout(timer);
      timer = setTimeout(fill, REST_MS);
    }
  }

  /** @param {number} n */
  function make(n) {
    // It hides itself once it is done: the keyboard goes on from the count that was made.
    /** @type {HTMLElement | null} */ (pick.root.querySelector(`input[value="${n}"]`))?.focus({ preventScroll: true });
    picked = n;
    desk.change(count(n, "tone"), taken(desk.state, n));
  }

  /** The count beside the present one: the one picked, or one more. @param {number} present */
  const lookedAt = (present) => picked ?? Math.min(MOST_TONES, present + 1);

  const unfinished = () => ALL.some((n) => !found.has(n) || !painted.has(n));

  /** Waits until nothing moves and the plan on screen is the one wished for. False: what is asked for is no longer wanted. @param {string} of */
  async function idle(of) {
    for (;;) {
      const { dragging, planned, settings, plannedDrawing, drawing } = desk.state;
      if (of !== key || root.offsetParent === null) return false;
      if (!dragging && !planStale(planned, settings, plannedDrawing, drawing)) return true;
      await rest(60);
    }
  }

  /** Asks for what is missing, one call at a time, so that a change never waits for more than one. */
  async function fill() {
    if (running) return;
    running = true;
    const of = key;
    const present = desk.state.planned?.tones ?? FEWEST_TONES;
    try {
      for (const n of order(present)) {
        if (found.has(n)) continue;
        if (!await idle(of)) return;
        const answer = await asked(n);
        if (of !== key) return;
        found.set(n, answer);
        render(desk.state);
      }
      for (const n of order(present)) {
        if (painted.has(n) || typeof found.get(n) === "string") painted.add(n);
        if (painted.has(n)) continue;
        if (!await idle(of)) return;
        const side = Math.round(SMALL * Math.min(2, window.devicePixelRatio || 1));
        const picture = await desk.bridge.call("worth_picture", { tones: n, width: side, height: side });
        if (of !== key) return;
        const canvas = small.get(n)?.canvas;
        if (canvas) show(canvas, picture);
        painted.add(n);
        render(desk.state);
      }
    } catch (error) {
      // Stopped or broken off: asked again with the next change.
      if (/** @type {any} */ (error).code !== "stopped") desk.notice(/** @type {Error} */ (error).message, "refused");
      key = "";
    } finally {
      running = false;
      if (key && of !== key) timer = setTimeout(fill, REST_MS);
    }
  }

  /** Figures, or the sentence of what refused them. @param {number} n @returns {Promise<Worth | string>} */
  async function asked(n) {
    try {
      return await desk.bridge.call("worth", { tones: n });
    } catch (error) {
      const { code, message } = /** @type {import("../../bridge.js").CallError} */ (error);
      if (code === "bites" || code === "strip" || code === "breaks") return message;
      throw error;
    }
  }

  /** @param {number} n @returns {Worth | null} */
  const at = (n) => {
    const known = found.get(n);
    return known && typeof known !== "string" ? known : null;
  };

  /** @param {State} state */
  function render(state) {
    if (!state.plan || !state.planned) return;
    const present = state.plan.tones.length;
    const looked = lookedAt(present);
    const waiting = "Being worked out.";
    const why = found.get(present + 1);
    say(more, present === MOST_TONES ? "Sixteen tones are the most a plan holds." : typeof why === "string" ? why : at(present + 1)?.step?.added ?? waiting);
    say(fewer, present === FEWEST_TONES ? "Two tones are the fewest: one bite." : at(present)?.step?.dropped ?? waiting);
    const missing = ALL.filter((n) => !found.has(n)).length;
    say(progress, missing ? `${sentence(count(missing, "count of tones", "counts of tones"))} still being worked out.` : "");
    pick.set(String(looked));
    chart.replaceChildren(drawn(ALL.map(at), present, looked, choose));
    figures.replaceChildren(beside(at(present), looked === present ? null : at(looked), present, looked, state, found.get(looked)));
    const hand = Array.isArray(state.planned.breaks);
    take.hidden = looked === present || at(looked) === null;
    say(take, `Make it ${count(looked, "tone")}${hand ? ", breaks fitted" : ""}`);
    for (const [n, each] of small) {
      each.root.setAttribute("aria-pressed", String(n === looked));
      each.root.classList.toggle("stale", !painted.has(n));
      say(each.name, `${count(n, "tone")}${n === present ? ", now" : ""}`);
      each.root.disabled = typeof found.get(n) === "string";
      each.root.style.setProperty("--ratio", `${state.plan.face_mm.width} / ${state.plan.face_mm.height}`);
    }
    all.replaceChildren(table("Every count of tones", ["Tones", "Error as seen", "Refines", "Coarsens", "Edge", "Painting", "In the bath", "Shortest bite", "Likely to fuse", "In all"],
      ALL.map((n) => row(n, at(n), found.get(n), present, state))));
    notes.replaceChildren(...noted(state, at(present)).map((text) => h("li", null, text)));
  }

  return { root, update };
}

/** The settings with so many tones. Breaks set by hand belong to the count they were set for. @param {State} state @param {number} tones @returns {Settings} */
function taken(state, tones) {
  const { settings, plan } = state;
  return Array.isArray(settings.breaks) ? { ...settings, tones, breaks: "fitted" } : withTones(settings, plan, tones);
}

/** @param {number} n @param {Worth | null} w @param {Worth | string | undefined} known @param {number} present @param {State} state */
function row(n, w, known, present, state) {
  const name = n === present ? h("strong", null, `${n}, now`) : String(n);
  if (!w) return [name, typeof known === "string" ? known : "…", ...Array.from({ length: 8 }, () => "")];
  return [name, `${tenths(w.error_l)} L*`, w.step ? percent(w.step.nearer) : "—", w.step ? percent(w.step.farther) : "—", run(w.edge_cm, state.units), minutes(w.paint_min),
    clock(w.bath_s), shortest(w), tenths(w.fusing), minutes(w.minutes)];
}

/** @param {Worth} w */
function shortest(w) {
  return `bite\u00a0${w.shortest.bite}, ${tenths(w.shortest.seconds)}\u00a0s${w.shortest.gamble ? ": a\u00a0gamble" : ""}`;
}

/** The count looked at beside the present one. @param {Worth | null} now @param {Worth | null} other @param {number} present @param {number} looked @param {State} state @param {Worth | string | undefined} known */
function beside(now, other, present, looked, state, known) {
  if (typeof known === "string" && looked !== present) return h("p", null, known);
  /** @type {[string, (w: Worth) => string][]} */
  const lines = [
    ["Error as seen", (w) => `${tenths(w.error_l)} L*`],
    ["Tones apart", (w) => `${tenths(w.closest_l)} L*`],
    ["Pairs likely to fuse", (w) => `${tenths(w.fusing)} of ${w.tones - 1}`],
    ["Edge to paint", (w) => run(w.edge_cm, state.units)],
    ["Painting", (w) => minutes(w.paint_min)],
    ["In the bath", (w) => clock(w.bath_s)],
    ["Shortest bite", shortest],
    ["Drying and rinsing", (w) => w.missing === "drying and rinsing" ? "not given" : `${minutes(w.bench_min)}${w.missing ? `, ${w.missing} not given` : ""}`],
    ["In all", (w) => minutes(w.minutes)],
  ];
  const cell = (/** @type {Worth | null} */ w, /** @type {(w: Worth) => string} */ text) => w ? text(w) : "…";
  const heads = looked === present ? ["", `${present}, now`] : ["", `${present}, now`, String(looked)];
  return table(looked === present ? sentence(named(present)) : `${sentence(named(looked))}, beside ${words(present)}`, heads,
    lines.map(([name, text]) => looked === present ? [name, cell(now, text)] : [name, cell(now, text), cell(other, text)]), { class: "beside" });
}

/** @param {State} state @param {Worth | null} now */
function noted(state, now) {
  const list = [
    "Refines: where the print, looked at as a whole, comes nearer to the drawing by more than 1 L*, about the least a viewer sees; coarsens: where it goes farther. Each against one tone fewer.",
    "Error as seen: the drawing laid on the print’s range against the print, both melted over 0.7 mm: how far they are apart, as a root mean square over the face.",
    "Likely to fuse: neighbouring tones that come within 3 L* of each other by their scatter, added up.",
  ];
  if (state.planned && Array.isArray(state.planned.breaks)) list.push(`The breaks set by hand belong to ${count(state.planned.tones, "tone")}; for the other counts they are fitted.`);
  if (now?.missing) list.push(`${sentence(now.missing)} ${now.missing.includes(" and ") ? "are" : "is"} not counted: there are no standard minutes, give your own above.`);
  if (now?.left_out) list.push("What is set by hand, and a fixed resist, are left out of these figures.");
  if (now?.rough) list.push("On so large a plate the smallest mark is only a pixel or two here, so edge and minutes come out too high: take them to compare, and the plan’s own to go by.");
  list.push("Worked out on a smaller picture of the plate, so edge and minutes may come out a few percent below those of the plan.");
  return list;
}

/**
 * The error above, the minutes beneath, a column for each count of tones.
 * @param {(Worth | null)[]} all @param {number} present @param {number} looked @param {(n: number) => void} choose
 */
function drawn(all, present, looked, choose) {
  const narrow = window.matchMedia("(max-width: 640px)").matches;
  const [W, H, left, top, middle, foot] = narrow ? [350, 350, 30, 40, 196, 50] : [720, 372, 44, 34, 214, 48];
  const wide = (W - left - 4) / ALL.length;
  const x = (/** @type {number} */ n) => left + (n - FEWEST_TONES + 0.5) * wide;
  const known = all.filter((w) => w !== null);
  // Two and three tones are so far off that they would press the rest flat: the axis ends where four tones stand, and says what lies beyond.
  const errors = known.filter((w) => w.tones >= 4).map((w) => w.error_l);
  const most = Math.max(1, Math.ceil(1.15 * Math.max(0, ...errors)));
  const free = (/** @type {number} */ l) => middle - (middle - top) * l / most;
  const y = (/** @type {number} */ l) => free(Math.min(most, l));
  const longest = Math.max(10, ...known.map((w) => w.minutes));
  const floor = H - foot;
  const bar = (/** @type {number} */ m) => (floor - middle - 34) * m / longest;
  const parts = [];
  for (const [n, name] of /** @type {[number, string][]} */ ([[present, "now"], [looked, "looked"]])) {
    parts.push(svg("rect", { class: `band ${name}`, x: x(n) - wide / 2, y: top - 18, width: wide, height: floor - top + 44 }));
  }
  const every = most > 6 ? 2 : 1;
  for (let l = 0; l <= most; l += every) {
    parts.push(svg("line", { class: "hair", x1: left, x2: W - 4, y1: y(l), y2: y(l) }), svg("text", { x: left - 7, y: y(l) + 4, "text-anchor": "end" }, String(l)));
  }
  parts.push(svg("line", { class: "hair", x1: left, x2: W - 4, y1: floor, y2: floor }));
  const line = known.map((w, i) => `${i && known[i - 1].tones === w.tones - 1 ? "L" : "M"}${x(w.tones).toFixed(1)} ${free(w.error_l).toFixed(1)}`).join("");
  // What lies beyond the axis leaves the picture at the top, and is not laid flat along it.
  if (known.length > 1) parts.push(svg("clipPath", { id: "within-axis" }, svg("rect", { x: left, y: top, width: W - left - 4, height: middle - top })), svg("path", { class: "curve", d: line, "clip-path": "url(#within-axis)" }));
  for (const w of known) {
    const at = x(w.tones);
    const beyond = w.error_l > most;
    if (!beyond) parts.push(svg("circle", { class: "reading", cx: at, cy: y(w.error_l), r: narrow ? 3.5 : 4.5 }));
    // Where the curve falls steeply a figure right above its mark would lie on it: there it stands at the mark's right.
    const steep = !beyond && (all[w.tones - FEWEST_TONES - 1]?.error_l ?? 0) - w.error_l > most * 0.08 && (all[w.tones - FEWEST_TONES + 1]?.error_l ?? 0) <= w.error_l;
    const aside = narrow && w.tones === looked && Math.abs(looked - present) === 1 ? 13 : 0;
    if (!narrow || w.tones === present || w.tones === looked || beyond) parts.push(svg("text", { class: "value", x: at + (steep ? 6 : 0), y: y(w.error_l) - (beyond || steep ? 4 : 10 + aside), "text-anchor": steep ? "start" : "middle" }, `${beyond ? "↑" : ""}${narrow && beyond ? Math.round(w.error_l) : tenths(w.error_l)}`));
    const tall = Math.max(1, bar(w.minutes));
    const painting = bar(w.paint_min);
    parts.push(svg("rect", { class: "rest", x: at - wide * 0.31, y: floor - tall, width: wide * 0.62, height: tall }),
      svg("rect", { class: "painting", x: at - wide * 0.31, y: floor - painting, width: wide * 0.62, height: painting }));
    if (!narrow || w.tones === present || w.tones === looked) parts.push(svg("text", { class: "value", x: at, y: floor - tall - 5 - aside, "text-anchor": "middle" }, narrow ? String(Math.round(w.minutes)) : hours(w.minutes)));
  }
  for (const n of ALL) {
    parts.push(svg("text", { class: n === present ? "count now" : "count", x: x(n), y: floor + 19, "text-anchor": "middle" }, String(n)));
    const column = svg("rect", { class: "column", x: x(n) - wide / 2, y: top - 18, width: wide, height: floor - top + 44 });
    column.addEventListener("click", () => choose(n));
    parts.push(column);
  }
  parts.push(svg("text", { class: "axis", x: left - 7, y: 14 }, "error as seen, L*"), svg("text", { class: "axis", x: left - 7, y: middle + 26 }, narrow ? "minutes in all" : "time in all: painting dark, the bath and your bench pale"),
    svg("text", { class: "axis", x: left - 7, y: H - 6 }, "tones: one more than bites"));
  const now = all[present - FEWEST_TONES];
  return svg("svg", { viewBox: `0 0 ${W} ${H}`, role: "img", "aria-label": `Error as seen and minutes for two to sixteen tones${now ? `; now ${words(present)} tones, ${tenths(now.error_l)} L* and ${minutes(now.minutes)}` : ""}; the table below holds the same figures` }, ...parts);
}

/** "2:10", hours and minutes. @param {number} m */
function hours(m) {
  const whole = Math.round(m);
  return `${Math.floor(whole / 60)} h ${String(whole % 60).padStart(2, "0")}`;
}
