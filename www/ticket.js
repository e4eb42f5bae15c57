/**
 * The workshop ticket: the job as numbered lines, each with what it has come to in words. The way around the page
 * and its summary at once. On narrow screens it is folded to its head.
 */
import { assign, h, say } from "./dom.js";
import { clock, count, minutes, number, percent, sentence, size, words } from "./format.js";
import { plateAndPaper } from "./downloads.js";
import { placedWords } from "./placing.js";
import { breaksWay } from "./settings.js";
import { hour } from "./keeping/words.js";
import { LINES } from "./state.js";
import { letters, stale, twice } from "./family.js";
import { platesLine, platesTrouble } from "./stations/plates/words.js";
import { beside, piecesOf, proofOf } from "./stations/papers/pieces.js";
import { asTheStrip } from "./stations/proof/choices.js";
import { counts as pullsWords, recordOf } from "./stations/pulls/record.js";

/** @typedef {import("./state.js").State} State */
/** @typedef {import("./state.js").StationName} StationName */

/** Papers by name. */
const PAPERS = { a4: "A4", a3: "A3", letter: "Letter", tabloid: "Tabloid" };
/** Bites shorter than so many times what the hand may be off are hard to hold, as the plan's own remarks have it (estimate). */
const SLACKS = 3;
/** Fewer true pixels of the drawing a millimetre than this are said, whatever the plate is worked at. */
const LEAST_DETAIL = 4;
/** More than this share that can't hold the mark is said. */
const UNPAINTABLE = 0.005;

/** Where the plate stands at the bath. @param {import("../web/types.d.ts").Plan["standing"]} standing */
function stands({ painted, next, due }) {
  if (due) return `after bite ${due.after}: to be decided`;
  if (painted === 0) return "from the run sheet";
  return next.kind === "paint" ? `next: stop-out ${next.stop_out}` : next.kind === "bite" ? `next: bite ${next.bite}` : "all bites are done";
}

/** Pieces of paper that lie beside the plate there is now. @param {State} state */
function offPlate({ papers, plan, settings }) {
  const off = plan ? beside(papers, plan.face_mm, settings.plate.bevel_mm) : 0;
  return off ? `, ${off} off the plate` : "";
}

/** What each line has come to. @param {StationName} name @param {State} state @returns {string} */
export function outcome(name, state) {
  const { plan, settings, info } = state;
  if (!plan || !info) return "";
  const stopouts = plan.tones.length - 1;
  // As many as dips of its own: what it lacks joins, and after its darkest tone it is out.
  const bites = plan.joins.dips.length;
  const total_s = plan.joins.to_come.at(-1)?.shown_total_s ?? plan.tones[plan.joins.dips.at(-1)?.[1] ?? 0].shown_total_s;
  switch (name) {
    case "drawing": return `${placedWords(settings)}, ${number(settings.px_per_mm)} px/mm`;
    case "tones": return `${words(settings.tones)} tones, ${{ even: "even", fitted: "fitted", hand: "by hand" }[breaksWay(settings)]}`;
    case "painting": return `${count(stopouts, "stop-out")}, ${minutes(plan.paint_min)}`;
    case "times": return plan.strip.kind === "missing" ? `${count(bites, "bite")}, ratios only` : plan.standing.due ? `${count(bites, "bite")}, to be decided` : `${count(bites, "bite")}, ${clock(total_s)} in all`;
    case "sheets": return `${PAPERS[state.sheets.paper]}, ${state.sheets.transfer === "trace" ? "traced through" : "by the press"}`;
    case "bath": return plan.bath.pair.verdict === "stop" ? "nothing is bitten" : stands(plan.standing);
    case "plates": return platesLine(letters(state));
    case "pulls": return pullsWords(recordOf(state)) || "none written down yet";
    case "proof": return `${plan.strip.kind === "missing" ? "as the example strip prints" : `as strip ${plan.strip.id} prints`}${asTheStrip(proofOf(state)) ? "" : ", your what-if"}`;
    case "papers": return piecesOf(state.papers).length ? `${count(piecesOf(state.papers).length, "piece")} of ${count(new Set(piecesOf(state.papers).map(({ stock }) => stock)).size, "paper")}${offPlate(state)}` : "none";
    default: return "";
  }
}

/** What the printer should know before going on, or nothing. @param {StationName} name @param {State} state @returns {string} */
export function warning(name, state) {
  const { plan, settings, info } = state;
  if (!plan || !info) return "";
  if (name === "drawing" && plan.detail_px_per_mm < Math.max(LEAST_DETAIL, settings.px_per_mm * 0.6)) {
    return `only ${number(plan.detail_px_per_mm)} pixels of the drawing a mm`;
  }
  if (name === "tones") {
    const empty = plan.tones.filter((tone) => tone.share === 0);
    if (empty.length) return empty.length === 1 ? `tone ${empty[0].index} has no area` : `${words(empty.length)} tones have no area`;
  }
  if (name === "painting") {
    if (!settings.mark_mm) return `no clean-up: ${percent(plan.unpaintable_share)} is too fine for a brush`;
    if (plan.unpaintable_share > UNPAINTABLE) return `${percent(plan.unpaintable_share)} is too fine for the mark`;
  }
  if ((name === "bath" || name === "sheets") && plan.bath.pair.verdict === "stop") {
    return name === "bath" ? `STOP: ${plan.bath.pair.pair}` : "STOP: no run sheet prints";
  }
  if (name === "times" && plan.strip.kind === "missing") return "no strip yet: no times";
  if (name === "times") {
    const least = SLACKS * (state.planned ?? settings).handling.slack_s;
    const short = plan.tones.slice(1).filter((tone) => tone.short);
    const said = short.length === 0 ? "" : short.length === 1 ? `bite ${short[0].index} is only ${number(short[0].bite_s)} s` : `${words(short.length)} bites under ${number(least)} s`;
    return [plan.bath.pair.verdict === "stop" && "STOP: no list of bites", plan.strip.kind === "example" && "example, not your bath", said].filter(Boolean).join("; ");
  }
  if (name === "plates") {
    return platesTrouble(twice(letters(state)), state.family.filter((kin) => kin.refused !== null && !stale(kin, settings)).map(({ work }) => work.job.letter));
  }
  if (name === "sheets" && state.facts?.of === plateAndPaper(state) && !state.facts.fits) {
    return `larger than ${PAPERS[state.sheets.paper]}: printed in pieces`;
  }
  return "";
}

/** @param {import("./state.js").Desk} desk @returns {import("./state.js").Part} */
export function ticket(desk) {
  const letter = h("input", { class: "letter", "aria-label": "Plate letter", maxlength: 2, autocomplete: "off", spellcheck: "false",
    onchange: () => { desk.set({ letter: letter.value.trim() || "A" }); letter.value = desk.state.letter; } });
  const title = h("input", { class: "title", "aria-label": "Title of the plate", maxlength: 60, autocomplete: "off", spellcheck: "false",
    onchange: () => { desk.set({ title: title.value.trim() || "Untitled" }); title.value = desk.state.title; } });
  const plate = h("span", null);
  const bath = h("span", null);
  const not = h("span", { class: "warn" }, "EXAMPLE, NOT YOUR BATH");
  const place = h("span", { class: "place" });
  const fold = h("button", { type: "button", class: "fold", "aria-expanded": "false", "aria-controls": "ticket-body", onclick: () => open(body.dataset.open !== "true") }, "Ticket");
  const whole = h("a", { href: "#whole", class: "glance" }, "The whole job");
  const lines = LINES.map(({ name, title: word }) => {
    const tick = h("input", { type: "checkbox", "aria-label": `${word} is settled`, onchange: () => desk.set({ ticks: { ...desk.state.ticks, [name]: tick.checked } }) });
    const said = h("span", { class: "said" });
    const warn = h("span", { class: "warn" });
    const link = h("a", { href: `#${name}` }, h("strong", null, word), said, warn);
    return { name, tick, said, warn, link, root: h("li", null, link, h("label", { class: "tick" }, tick)) };
  });
  const undo = h("button", { type: "button", onclick: () => desk.undo() }, "Undo");
  const undone = h("p", { class: "undoes" });
  const keeps = h("span", null);
  const what = h("a", { href: "#kept" }, "What is kept");
  const cautions = h("a", { href: "#cautions" }, "Cautions");
  const body = h("div", { class: "body", id: "ticket-body" }, whole, h("ol", null, ...lines.map((line) => line.root)),
    h("div", { class: "foot" },
      h("div", { class: "acts" },
        h("button", { type: "button", class: "first", onclick: () => desk.choose() }, "Open a drawing or saved work"),
        h("button", { type: "button", onclick: () => desk.save() }, "Save"), undo),
      undone, h("p", { class: "keeps" }, keeps, what), h("p", null, cautions, h("span", null, "Nothing leaves this machine"))));
  const root = h("nav", { class: "ticket", "aria-label": "The ticket" },
    h("div", { class: "hole", "aria-hidden": "true" }),
    h("div", { class: "head" }, h("p", { class: "mark" }, "Stepbite"), h("div", { class: "plate" }, letter, h("div", { class: "name" }, title, plate, bath, not)), place, fold),
    body);

  /** @param {boolean} shown */
  function open(shown) {
    body.dataset.open = String(shown);
    fold.setAttribute("aria-expanded", String(shown));
  }
  body.addEventListener("click", (event) => {
    if (/** @type {Element} */ (event.target).closest("a")) open(false);
  });

  return {
    root,
    update(state) {
      const { plan } = state;
      if (document.activeElement !== letter) letter.value = state.letter;
      if (document.activeElement !== title) title.value = state.title;
      if (plan) {
        say(plate, `${size(plan.plate_mm.width, plan.plate_mm.height, state.units)}, bevel ${state.units === "in" ? number(state.settings.plate.bevel_mm / 25.4, 3) : number(state.settings.plate.bevel_mm, 2)}`);
        say(bath, plan.strip.kind === "missing" ? "no strip yet: no times" : `strip ${plan.strip.id}`);
        not.hidden = plan.strip.kind !== "example";
      }
      assign(whole, { "aria-current": state.station === "whole" ? "page" : null });
      assign(cautions, { "aria-current": state.station === "cautions" ? "page" : null });
      const line = LINES.find((item) => item.name === state.station);
      say(place, line ? line.title : state.station === "whole" ? "The whole job" : state.station === "kept" ? "What is kept" : "Cautions");
      for (const item of lines) {
        assign(item.link, { "aria-current": state.station === item.name ? "page" : null });
        item.root.classList.toggle("on", state.station === item.name);
        say(item.said, outcome(item.name, state));
        say(item.warn, warning(item.name, state));
        item.tick.checked = state.ticks[item.name] ?? false;
      }
      say(keeps, keptWords(state.kept));
      keeps.classList.toggle("warn", state.kept.trouble !== null || state.kept.looks);
      assign(what, { "aria-current": state.station === "kept" ? "page" : null });
      undo.disabled = state.undoName === null;
      say(undone, state.undoName === null ? "" : `Undo: ${state.undoName}`);
    },
  };
}

/** @param {State["kept"]} kept */
function keptWords({ at, trouble, looks }) {
  if (looks) return "Open in another tab: only to look at";
  if (trouble !== null) return "Not kept here: save a file";
  return at === null ? "" : `Kept here at ${hour(at)}`;
}

/** The plan's own remarks, as sentences. @param {State} state */
export function remarks(state) {
  return (state.plan?.notes ?? []).map(sentence);
}
