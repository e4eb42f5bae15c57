/**
 * The screen after a bite: what it was and what it did, while the plate is rinsed and dries; and what is to be decided before anything more
 * is painted.
 * @typedef {import("./screens.js").Turns} Turns
 * @typedef {import("../../run/record.js").Run} Run
 * @typedef {import("../../../web/types.d.ts").WayOn} WayOn
 */
import { h } from "../../dom.js";
import { inOrder } from "../../family.js";
import { clock, listed, number, readCelsius, readTime, tenths } from "../../format.js";
import { digits } from "../../run/clock.js";
import { against, bites, nextAfter } from "../../run/words.js";
import { dipOf } from "./log.js";

/** Longer than a day nothing lies in a bath, s. */
const LONGEST = 86_400;

/**
 * @param {Turns} turns
 * @param {{ large: HTMLElement, under: HTMLElement, longer(run: Run): HTMLElement, caution(which: "out"): HTMLElement, badCelsius: string }} parts
 */
export function outScreen(turns, parts) {
  const { desk } = turns;
  /** Something is on its way into the log: pressed twice it is written once. */
  let writing = false;
  /** The bite left short on purpose. */
  let left = -1;

  /** The last dip, as the log holds it or as it is still to be written, and its place there. @param {Run} run */
  function dip(run) {
    if (run.unlogged && "actual_s" in run.unlogged) return { entry: -1, ...figures(run.unlogged) };
    return dipOf(desk.state.done.log);
  }

  /** @param {{ planned_s: number, actual_s: number, celsius: number | null }} entry */
  const figures = ({ planned_s, actual_s, celsius }) => ({ planned_s, actual_s, celsius });

  /** @param {Run} run @returns {import("./frame.js").Screen} */
  return function out(run) {
    const { plan, settings, plannedDone, done } = desk.state;
    const last = dip(run);
    const { pending = [], mates = [] } = run;
    const settled = plan && !turns.recalling && !run.unlogged && !pending.length && plannedDone === done;
    const name = `${bites(run)}${run.back ? ", once more" : ""}`;
    // Where the run led to another plate in between, the log knows what the clock was set to.
    const planned = run.planned_s ?? (last?.planned_s || null);
    const { said = [], due = null, back: short = null } = plan && settled ? plan.standing : {};
    // A plate that came bitten has no dip here, and may have a decision due all the same; one whose dip is on paper has none, and others' may be still to be written.
    if (!last && !due && !pending.length) return { name: "out", title: name, body: [h("p", { class: "headline" }, `Bitten up to bite ${run.number}`)], act: "Hold, or a key: go on", acts: turns.begin };
    const back = last && short && left !== last.entry ? short : null;
    const letters = `Plates ${listed(inOrder([run.words.letter, ...mates.map(({ letter }) => letter)]))}`;

    /** @type {import("./frame.js").Choice[]} */
    const choices = [];
    let question = "";
    if (back) {
      question = `${mates.length ? "They came out early. Put them" : "It came out early. Put it"} back before anything is painted: after painting, this tone stays as light as it is.`;
      choices.push({ label: `Put ${mates.length ? "them" : "it"} back for ${clock(back.set_s)}`, sub: mates.length ? `${letters}; a dip of its own` : "a dip of its own", take: () => turns.putBack(back.set_s) });
      choices.push({ label: "Leave it so", sub: "later bites make up for it", take: () => { left = last?.entry ?? -1; turns.again(); } });
    } else if (due) {
      question = "The next bite has too little time left. How to go on?";
      if (due.dropped) choices.push(way("Drop what comes too soon", due.after, due.dropped));
      if (due.respaced) choices.push(way("Space the rest anew", due.after, due.respaced));
    }
    const asks = choices.length > 0;
    const together = mates.length ? `${letters} lay in it together. ${pending.length ? `${listed(pending.map(({ letter }) => letter))}: ${turns.refused ? "not in the log yet." : "writing it down."}` : "Each has it in its own log."}` : "";
    const next = plan && settled ? nextAfter(plan, run.number) : null;
    return {
      name: "out", title: `${name} is out`, choices, question,
      body: [
        ...(last ? [h("p", { class: "headline" }, `Bite ${run.number}: `, h("b", null, digits(Math.round(last.actual_s))), " in the bath"),
          h("p", { class: "lead" }, `${against(last.actual_s, planned, settings.handling.slack_s)} ${run.unlogged ? turns.refused ? "" : "Writing it down." : `Logged as ${tenths(last.actual_s)} s.`}`),
          ...(together && !run.unlogged ? [h("p", { class: "lead in-dip" }, together)] : [])]
          : [h("p", { class: "headline" }, `Bitten up to bite ${run.number}`)]),
        ...(said.length ? [h("ul", { class: "said-of" }, ...said.slice(-3).map((text) => h("li", null, text)))] : []),
        // What is asked needs the room; the clock of the rinse goes on, and rings.
        ...(asks || !run.timing ? [] : [h("div", { class: "figures" }, parts.large), parts.under]),
        ...(run.unlogged || pending.length ? [h("div", { class: "row" }, h("button", { type: "button", onclick: turns.tidy }, "Try again to log it"),
          turns.refused ? h("button", { type: "button", onclick: turns.unlog }, "I have it on paper: go on without it in the log") : null)] : asks || !last ? [] : [right(last), run.timing ? parts.longer(run) : null].filter((node) => node !== null)),
        ...(asks ? [] : [parts.caution("out")]),
      ],
      // What is asked comes first; what it is asked about may be put right before it is answered.
      after: last && asks && settled ? [right(last)] : [],
      act: run.unlogged || pending.length || asks ? "" : turns.others ? "Hold, or a key: rinsed, which plate comes?"
        : next === null && settled ? "Hold, or a key: rinsed and dry" : `Hold, or a key: rinsed and dry${next ? `, on to stop-out ${next}` : ""}`,
      acts: run.unlogged || asks || !settled ? undefined : () => turns.begin(),
      leave: !run.unlogged && !pending.length,
    };
  };

  /** A way on, as the printer may choose it. @param {string} label @param {number} bite @param {WayOn} way */
  function way(label, bite, way) {
    const { done } = desk.state;
    const joined = way.joined.length ? `${way.joined.length === 1 ? `tone ${way.joined[0]} prints` : `tones ${way.joined.join(", ")} print`} as tone ${bite}; ` : "";
    return {
      label, sub: `${joined}totals ${way.rungs.filter((rung) => rung.bite_s > 0).map((rung) => clock(rung.shown_total_s)).join(", ")}; widest gap L* ${number(way.widest[2])}`,
      take: () => {
        // Of a log that has gone on nothing is asked any more.
        if (writing || desk.state.done !== done) return;
        writing = true;
        const rungs = way.rungs.map((rung) => ({ tone: rung.tone, lightness: rung.prints_l, total_s: rung.total_s, shown_s: rung.shown_total_s }));
        turns.log({ kind: "way", bite, rungs, joined: way.joined }).then(() => turns.again(), (error) => turns.tell(error.message)).finally(() => { writing = false; });
      },
    };
  }

  /** What may be put right: how long it really was in, the temperature, a note. @param {{ entry: number, actual_s: number, celsius: number | null, before_s?: number }} last */
  function right(last) {
    // Whole seconds are taken off what the clock measured, tenths and all.
    const words = (/** @type {number} */ s) => Number.isInteger(s) ? digits(s) : `${digits(Math.floor(s))}.${Math.round(10 * s) % 10}`;
    const time = h("input", { type: "text", id: "out-time", autocomplete: "off", value: words(last.actual_s) });
    const warm = h("input", { type: "text", inputmode: "decimal", id: "out-celsius", autocomplete: "off", value: last.celsius === null ? "" : number(last.celsius) });
    const note = h("input", { type: "text", id: "out-note", class: "note", autocomplete: "off", maxlength: 2000 });
    const by = (/** @type {number} */ s) => () => {
      const typed = readTime(time.value) ?? last.actual_s;
      time.value = words(Math.min(LONGEST, Math.max(0, Math.round(10 * (typed + s)) / 10)));
    };
    const keep = () => {
      const typed = readTime(time.value);
      if (typed === null || typed > LONGEST) return turns.tell("A time reads like 0:25 or 25, or 1:02:03 with hours, and is a day at most: type how long the plate was in.");
      const warmth = readCelsius(warm.value);
      const celsius = warmth !== null && warmth > 0 && warmth < 100 ? warmth : null;
      if (warm.value.trim() && celsius === null) return turns.tell(parts.badCelsius);
      const actual_s = Math.round(10 * typed) / 10;
      if (actual_s === last.actual_s && celsius === last.celsius && !note.value.trim()) return turns.tell("Nothing is changed: it is in the log as it was.");
      // Less than its first part was can't be taken off the last one.
      if (actual_s < (last.before_s ?? 0)) return turns.tell(`Of this dip ${tenths(last.before_s ?? 0)} s are logged with the bites that it went on from: put those right in the log, under At the bath.`);
      if (writing) return;
      writing = true;
      turns.log({ kind: "corrected", entry: last.entry, to: { kind: "dip", actual_s: Math.max(0, Math.round(10 * (actual_s - (last.before_s ?? 0))) / 10), celsius } }, { note: note.value.trim() })
        .then(() => {
          turns.righted({ actual_s, celsius }, note.value.trim());
          turns.tell("Logged as a new entry; the one before it stays.");
          turns.again();
        }, (error) => turns.tell(error.message)).finally(() => { writing = false; });
    };
    return h("details", { class: "right" }, h("summary", null, "Put right: time in the bath, temperature, note"),
      h("div", { class: "row" }, h("label", { for: "out-time" }, "Really in the bath"), time, h("button", { type: "button", onclick: by(-1) }, "1 s less"), h("button", { type: "button", onclick: by(1) }, "1 s more")),
      h("div", { class: "row" }, h("label", { for: "out-celsius" }, "Bath, °C"), warm, h("label", { for: "out-note" }, "Note"), note, h("button", { type: "button", onclick: keep }, "Log it")));
  }
}
