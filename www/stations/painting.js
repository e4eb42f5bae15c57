/** Painting: the stop-outs one after another, beside what will print. */
import { h, say, svg, table } from "../dom.js";
import { area, biteWords, byStrip, count, grouped, instead, minutes, number, percent, readNumber, run, sentence, totalWords, words } from "../format.js";
import { numberField, radios, slider } from "../fields.js";
import { Picture, proofWish } from "../picture.js";
import { tookMinutes, whenCovered } from "../settings.js";
import { asideLegend, handTools, LIFT_LEGEND, narrowWords, shown } from "./hand-tools.js";
import { islands } from "./painting/islands.js";
import { limits } from "./painting/limits.js";
import { pace, paceWords } from "./painting/pace.js";
import { removed, removedLegend } from "./painting/removed.js";
import { legendItems } from "./whole.js";

/** @param {import("../state.js").Desk} desk @returns {import("../state.js").Part} */
export function painting(desk) {
  const held = new Picture(desk, {
    wish: (s) => s.tone !== null ? { kind: "tone", tone: s.tone, view: s.view } : shown(s) === "stopout" ? { kind: "stopout", number: s.stopout, view: s.view } : { kind: shown(s) === "lift" ? "lift" : "drawing", view: s.view },
    title: (s) => s.tone !== null ? `Where tone ${s.tone} lies` : { stopout: `Stop-out ${s.stopout}`, lift: "Lift drawing: OPENS", drawing: "The drawing" }[shown(s)],
    note: (s) => !s.plan ? "" : s.tone === null && shown(s) !== "stopout" ? { lift: "", drawing: "as it lies on the plate" }[/** @type {"lift" | "drawing"} */ (shown(s))] : s.tone === null ? `of ${words(s.plan.stopouts.length)}: ${s.stopout === 1 ? "paint the whites" : `paint tone ${s.stopout - 1}`}` : `${percent(s.plan.tones[s.tone].share)} of the face`,
    label: (s) => s.tone === null && shown(s) !== "stopout" ? { lift: "The lift drawing: crossed where painting opens the plate, ruled where the resist stays", drawing: "The drawing on the plate" }[/** @type {"lift" | "drawing"} */ (shown(s))] : s.tone === null ? `Stop-out ${s.stopout}: ${caption(s)}` : `Tone ${s.tone} picked out`,
  });
  const prints = new Picture(desk, {
    wish: (s) => s.looking.beside === "print" ? proofWish(s) : { kind: s.looking.beside, view: s.view },
    title: (s) => ({ print: "What will print", removed: "What clean-up removed", lines: "Thin dark lines" }[s.looking.beside]),
    note: (s) => s.plan && s.looking.beside === "print" ? s.plan.strip.kind === "missing" ? "as the example strip prints" : `as strip ${s.plan.strip.id}` : "",
    label: (s) => ({ print: `The expected print ${byStrip(s.plan)}`, removed: "What clean-up removed: lost lights hatched verdigris, lost darks hatched brown the other way", lines: "The thin dark lines over the drawing without them" }[s.looking.beside]),
  });
  const back = h("button", { type: "button", onclick: () => go(desk.state.stopout - 1) });
  const next = h("button", { type: "button", class: "first", onclick: () => go(desk.state.stopout + 1) });
  const which = numberField("Stop-out", { read: readNumber, write: (value) => number(value, 0), take: typed, refuse: (sentence) => desk.notice(sentence, "refused") });
  const step = h("div", { class: "step", role: "group", "aria-label": "Step through the stop-outs" }, back, which.root, next);
  const views = radios("View", [["plate", "plate view"], ["print", "print view"]], (value) => desk.set({ view: /** @type {any} */ (value) }));
  const mark = slider(desk, "Smallest mark", { min: 0, max: 5, step: 0.1, unit: "mm",
    words: (value) => value === 0 ? "no clean-up" : `${number(value)} mm across`,
    take: (value, gesture) => desk.change(value === 0 ? "no clean-up" : `smallest mark ${number(value)} mm`, { ...desk.state.settings, mark_mm: value > 0 && value < 0.3 ? 0.3 : Math.round(value * 100) / 100 }, gesture),
    typed: (value) => desk.change(value === 0 ? "no clean-up" : `smallest mark ${number(value, 2)} mm`, { ...desk.state.settings, mark_mm: value }) });
  const smoothing = slider(desk, "Smoothing", { min: 0, max: 3, step: 0.1, unit: "mm",
    words: (value) => value === 0 ? "the drawing as it is" : `tooth and grain up to ${number(value)} mm go, edges stay`,
    take: (value, gesture) => desk.change(value === 0 ? "no smoothing" : `smoothing ${number(value)} mm`, { ...desk.state.settings, smoothing_mm: Math.round(value * 100) / 100 }, gesture),
    typed: (value) => desk.change(value === 0 ? "no smoothing" : `smoothing ${number(value, 2)} mm`, { ...desk.state.settings, smoothing_mm: value }) });
  const counts = h("p", { class: "aside" });
  const locked = h("p", { class: "aside" });
  const all = h("div", { class: "scroll", tabindex: 0, role: "region", "aria-label": "Table of the stop-outs" });
  const bite = h("p", null);
  const legend = h("p", { class: "legend" });
  let legended = "";
  const hand = handTools(desk, held);
  held.words.append(legend, h("p", { class: "caption" }));
  const changes = h("p", { class: "legend" }, ...removedLegend());
  const inked = h("p", { class: "legend" }, ...legendItems([["ink", "THIN DARK LINE"], ["kept", "THE DRAWING WITHOUT IT"]]));
  const blank = h("p", { class: "aside" });
  const toPrint = h("button", { type: "button", class: "toggle", onclick: () => desk.set({ looking: { ...desk.state.looking, beside: "print" } }) }, "Back to the print");
  prints.words.append(changes, inked, toPrint, h("p", { class: "caption" }), bite, blank);
  const captions = [held, prints].map((picture) => /** @type {HTMLElement} */ (picture.words.querySelector(".caption")));
  const pointed = svg("g", {});
  held.marks.append(pointed);
  const beside = svg("g", {});
  prints.marks.append(beside);
  /** The places picked: on the stop-out or the drawing, never on the lift; those of clean-up also on the picture of what it removed. */
  function point() {
    const { state } = desk;
    const kind = shown(state);
    pointed.replaceChildren(...(kind === "lift" ? [] : [...(kind === "stopout" ? found.marks(state) : []), ...lost.marks(state), ...cannot.marks(state)]));
    beside.replaceChildren(...(state.looking.beside === "removed" ? lost.marks(state) : []));
  }
  const found = islands(desk, point, () => held.canvas.clientWidth / (desk.state.plan?.face_mm.width ?? 1));
  const lost = removed(desk, point, (piece) => h("button", { type: "button", class: "plain keep", onclick: () =>
    desk.change("highlight kept", { ...desk.state.settings, hand: [...desk.state.settings.hand, { kind: "keep", at: piece.at }] }) }, "Keep this"));
  const cannot = limits(desk, point);
  const parts = [found, lost, pace(desk), cannot];
  const root = h("section", { class: "station painting", "aria-labelledby": "h-painting" },
    h("div", { class: "top" }, h("h2", { id: "h-painting" }, "Painting"), locked, h("div", { class: "bar" }, step, views.root)),
    h("div", { class: "two" }, held.root, prints.root),
    hand.root,
    h("div", { class: "under" }, mark.root, smoothing.root, counts),
    hand.list,
    h("div", { class: "known" }, ...parts.map((part) => part.root)),
    all);

  /** @param {number} number */
  function go(number) {
    const last = desk.state.plan?.stopouts.length ?? 1;
    desk.set({ stopout: Math.min(last, Math.max(1, Math.round(number))), tone: null, looking: { ...desk.state.looking, at: null } });
  }

  /** @param {number} number */
  function typed(number) {
    const last = desk.state.plan?.stopouts.length ?? 1;
    if (Number.isInteger(number) && number >= 1 && number <= last) return go(number);
    desk.notice(`There are ${count(last, "stop-out")}: a whole number from 1 to ${last} was expected, ${String(number)} came.`, "refused");
    return false;
  }
  root.addEventListener("keydown", (event) => {
    if (event.target instanceof HTMLInputElement || event.altKey || event.ctrlKey || event.metaKey) return;
    const by = { ArrowLeft: -1, ArrowRight: 1, PageUp: -1, PageDown: 1 }[event.key];
    if (!by) return;
    event.preventDefault();
    go(desk.state.stopout + by);
  });

  return {
    root,
    update(state) {
      held.update(state);
      prints.update(state);
      for (const part of parts) part.update(state);
      point();
      say(locked, state.plan?.standing.locked.said ?? "");
      locked.hidden = !state.plan?.standing.locked.said;
      changes.hidden = state.looking.beside !== "removed";
      inked.hidden = state.looking.beside !== "lines";
      toPrint.hidden = state.looking.beside === "print";
      const without = [state.plan?.by_hand_share ? "Blank where you work by hand: how that prints is not known." : "", state.planned?.lines === "etched" ? "Without the thin lines, which are etched first." : ""].filter(Boolean).join(" ");
      say(blank, without);
      blank.hidden = state.looking.beside !== "print" || !without;
      captions[1].hidden = bite.hidden = !toPrint.hidden;
      hand.update(state);
      const items = shown(state) === "lift" ? LIFT_LEGEND : [...STOP_OUT_LEGEND, ...asideLegend(state)];
      legend.hidden = state.tone !== null || shown(state) === "drawing";
      if (legended !== String(items)) {
        legended = String(items);
        legend.replaceChildren(...legendItems(items));
      }
      views.set(state.view);
      mark.set(state.settings.mark_mm);
      smoothing.set(state.settings.smoothing_mm);
      which.set(state.stopout);
      const { plan } = state;
      if (!plan) return;
      const last = plan.stopouts.length;
      back.disabled = state.stopout <= 1;
      next.disabled = state.stopout >= last;
      say(back, state.stopout > 1 ? `stop-out ${state.stopout - 1}` : "first");
      say(next, state.stopout < last ? `stop-out ${state.stopout + 1}` : "last");
      say(captions[0], state.tone === null ? sentence({ stopout: caption(state), lift: liftCaption(plan), drawing: "The drawing as it lies on the plate, before tones and clean-up." }[shown(state)]) : sentence(`${whenCovered(plan.tones[state.tone], plan.tones.length)}.`));
      const tone = plan.tones[state.stopout];
      const none = instead(plan, tone.index);
      say(captions[1], none ? `Then bite ${tone.index}: ${none}.` : plan.bath.ratios
        ? `Then bite ${tone.index}: ${biteWords(plan, tone.index)} the first bite, ${totalWords(plan, tone.index)} in all. No strip yet, so no time.`
        : `Then bite ${tone.index}: set the clock to ${biteWords(plan, tone.index)}; total ${totalWords(plan, tone.index)}.`);
      say(bite, plan.strip.kind === "example" ? "EXAMPLE, NOT YOUR BATH" : plan.strip.kind === "missing" ? "" : `by strip ${plan.strip.id}`);
      bite.className = plan.strip.kind === "example" ? "example" : "aside";
      const mm = state.settings.mark_mm;
      const cleaned = mm
        ? `${grouped(plan.regions)} regions in all. Clean-up gave ${percent(plan.changed_share)} of the face another tone; on ${percent(plan.unpaintable_share)} a region is still too narrow for a ${number(mm)}\u00a0mm mark.`
        : `No clean-up: ${grouped(plan.regions)} regions in all, and ${percent(plan.unpaintable_share)} of the face is too fine for a 1\u00a0mm mark.`;
      say(counts, `${cleaned}${narrowWords(plan)}`);
      all.replaceChildren(table("All stop-outs", ["Stop-out", "Paint", plan.pace ? "Minutes, your pace" : "Minutes, estimated", "Then bite", "Islands", "New area", "Edge", "Then covered"], plan.stopouts.map((stop) => [
        h("button", { type: "button", class: "plain", "aria-current": stop.number === state.stopout ? "step" : null, onclick: () => go(stop.number) }, `${stop.number}`),
        stop.new_share === 0 ? "nothing to paint" : `tone ${stop.number - 1}`, took(stop, state), biteWords(plan, stop.number),
        grouped(stop.islands), area(stop.new_share, plan.face_mm, state.units), run(stop.edge_cm, state.units), percent(stop.covered_share),
      ])));
    },
  };
}

/** @type {[string, string][]} */
const STOP_OUT_LEGEND = [["now", "PAINT NOW"], ["before", "COVERED BEFORE"], ["bare", "LEAVE BARE"]];

/** The lift in words. @param {import("../../web/types.d.ts").Plan} plan */
function liftCaption(plan) {
  return `${percent(1 - plan.resist_share)} of the face opens, the resist stays on ${percent(plan.resist_share)}. The opposite of a stop-out: no varnish by this picture.`;
}

/** One stop-out in words. @param {import("../state.js").State} state */
function caption(state) {
  const { plan } = state;
  const stop = plan?.stopouts[state.stopout - 1];
  if (!plan || !stop) return "";
  const resist = plan.resist_share > 0 ? ", the resist included" : "";
  if (stop.new_share === 0) return `nothing to paint; ${percent(stop.covered_share)} is covered${resist}.`;
  return `${area(stop.new_share, plan.face_mm, state.units)}, ${count(stop.islands, "island")}, ${run(stop.edge_cm, state.units)} of edge, about ${minutes(stop.paint_min)} (${paceWords(plan)}); then ${percent(stop.covered_share).replace(" ", "\u00a0")} is covered${resist}.`;
}

/** Minutes as planned, and as they were. @param {import("../../web/types.d.ts").StopOut} stop @param {import("../state.js").State} state */
function took(stop, state) {
  const really = tookMinutes(state, stop.number);
  return really === null ? minutes(stop.paint_min) : `${minutes(stop.paint_min)}, took ${minutes(really)}`;
}
