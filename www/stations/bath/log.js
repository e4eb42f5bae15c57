/** The log on the page: every entry in words, what follows from it, and putting an entry right by another. Nothing is ever taken out. */
import { h, say } from "../../dom.js";
import { clock, count, minutes, number, readCelsius, readTime } from "../../format.js";

/** @typedef {import("../../../web/types.d.ts").LogEntry} LogEntry */
/** @typedef {import("../../../web/types.d.ts").Happened} Happened */

/** A time to the second, or to the tenth where it has one. @param {number} seconds */
const time = (seconds) => Number.isInteger(seconds) ? clock(seconds) : `${number(seconds)} s`;

/** What the clock was set to; without a strip nothing was. @param {number} planned_s */
const set = (planned_s) => planned_s > 0 ? `clock set to ${time(planned_s)}` : "no time planned";

/** @param {number | null} celsius */
const warmth = (celsius) => celsius === null ? "" : `, bath ${number(celsius)} °C`;

/** An entry in words. @param {LogEntry} entry */
export function entryWords(entry) {
  switch (entry.kind) {
    case "begun":
      return `The plate came bitten: ${entry.bites_s.map((seconds, i) => `bite ${i + 1} ${time(seconds)}`).join(", ")}`;
    case "painted":
      return `Stop-out ${entry.stop_out} painted${entry.minutes === null ? "" : `, ${minutes(entry.minutes)}`}`;
    case "bitten":
      return `Bite ${entry.bite}: ${time(entry.actual_s)} in the bath, ${set(entry.planned_s)}${warmth(entry.celsius)}${entry.joined ? ", in one dip with the bite before" : ""}`;
    case "put_back":
      return `Put back for bite ${entry.bite}: ${time(entry.actual_s)}, ${set(entry.planned_s)}${warmth(entry.celsius)}`;
    case "way":
      return entry.joined.length ? `After bite ${entry.bite}: ${count(entry.joined.length, "bite")} dropped (${entry.joined.join(", ")})` : `After bite ${entry.bite}: the rest spaced anew`;
    case "corrected":
      return entry.to.kind === "not_done" ? `Entry ${entry.entry + 1} did not happen` : `Entry ${entry.entry + 1} put right: ${time(entry.to.actual_s)}${warmth(entry.to.celsius)}`;
  }
}

/** A dip as it holds after what was put right. @param {LogEntry[]} log @param {number} at @returns {{ actual_s: number, celsius: number | null } | null} */
export function dipAt(log, at) {
  const entry = log[at];
  if (!entry || !("actual_s" in entry)) return null;
  const put = log.findLast((each) => each.kind === "corrected" && each.entry === at && each.to.kind === "dip");
  return put?.kind === "corrected" && put.to.kind === "dip" ? put.to : entry;
}

/**
 * The last dip of a log as it holds, with its place there. What went on from bites before was one dip with them, each as it was put right: those are `before_s` of it.
 * `planned_s` is what the clock was set to for all of it; 0: nothing was planned.
 * @param {LogEntry[]} log @returns {{ entry: number, planned_s: number, actual_s: number, celsius: number | null, before_s?: number } | null}
 */
export function dipOf(log) {
  const entry = log.findLastIndex((each) => each.kind === "bitten" || each.kind === "put_back");
  if (entry < 0) return null;
  let { planned_s } = /** @type {any} */ (log[entry]);
  const { actual_s, celsius } = /** @type {{ actual_s: number, celsius: number | null }} */ (dipAt(log, entry));
  let before_s = 0;
  for (let at = entry; at >= 0 && /** @type {any} */ (log[at]).joined;) {
    at = log.findLastIndex((each, k) => k < at && each.kind === "bitten");
    before_s += dipAt(log, at)?.actual_s ?? 0;
    planned_s += /** @type {any} */ (log[at])?.planned_s ?? 0;
  }
  return { entry, planned_s, celsius, ...(before_s > 0 ? { actual_s: Math.round(10 * (before_s + actual_s)) / 10, before_s } : { actual_s }) };
}

/** A moment in words; a project file may hold one that is no date. @param {number} at_ms */
function moment(at_ms) {
  const date = new Date(at_ms);
  return Number.isNaN(date.getTime()) ? null : h("time", { datetime: date.toISOString() }, date.toLocaleString(undefined, { dateStyle: "short", timeStyle: "short" }));
}

/** @param {import("./entries.js").Entries} entries */
export function log(entries) {
  const said = h("ul", { class: "said-of" });
  const held = h("p", { class: "aside" });
  const list = h("ol", { class: "log" });
  const answer = h("p", { class: "aside", role: "status" });
  const root = h("section", { class: "bath-log", "aria-labelledby": "h-log" }, h("h3", { id: "h-log" }, "Log"), said, held, list, answer);
  /** @type {LogEntry[] | null} */
  let drawn = null;
  /** The place of the last thing done, as it was drawn; −1: none, or not known yet. */
  let last = -1;
  /** What is on its way into the log. @type {Set<string>} */
  const underWay = new Set();

  /** @param {Happened} what @param {string} note */
  async function add(what, note) {
    // A button pressed twice has written once.
    const same = JSON.stringify([what, note]);
    if (underWay.has(same)) return;
    underWay.add(same);
    const entry = /** @type {LogEntry} */ ({ at_ms: Date.now(), note, ...what });
    try {
      await entries.add(entry);
      say(answer, `${entryWords(entry)}.`);
    } catch (error) {
      say(answer, /** @type {Error} */ (error).message);
    } finally {
      underWay.delete(same);
    }
  }

  /** The fields that put a dip right; they begin with what holds now. @param {number} at */
  function right(at) {
    const entry = dipAt(drawn ?? [], at);
    if (!entry) return null;
    const seconds = h("input", { type: "text", id: `right-${at}`, autocomplete: "off", value: time(entry.actual_s).replace(" s", "") });
    const celsius = h("input", { type: "text", id: `right-c-${at}`, autocomplete: "off", value: entry.celsius === null ? "" : number(entry.celsius) });
    const note = h("input", { type: "text", id: `right-n-${at}`, autocomplete: "off", maxlength: 2000, class: "wide-field" });
    const field = (/** @type {HTMLInputElement} */ input, /** @type {string} */ words) => h("div", { class: "number" }, h("label", { for: input.id }, words), input);
    const put = h("button", { type: "button", onclick: () => {
      const actual_s = readTime(seconds.value);
      const read = celsius.value.trim() === "" ? null : readCelsius(celsius.value);
      if (actual_s === null || actual_s < 0) return say(answer, `“${seconds.value}” is no time: write it like 0:25 or 25.`);
      if (celsius.value.trim() !== "" && read === null) return say(answer, `“${celsius.value}” is no temperature: write it like 19 or 66 F.`);
      void add({ kind: "corrected", entry: at, to: { kind: "dip", actual_s, celsius: read } }, note.value.trim());
    } }, "Write it as another entry");
    return h("details", null, h("summary", null, "Put right"), h("div", { class: "fields" }, field(seconds, "Really in the bath"), field(celsius, "Bath, °C"), field(note, "Why"), put));
  }

  return {
    root,
    /** @param {import("../../state.js").State} state */
    update({ plan, done, plannedDone }) {
      root.hidden = done.log.length === 0;
      if (root.hidden || !plan) return;
      if (done === plannedDone) {
        const words = plan.standing.said;
        said.replaceChildren(...words.map((text) => h("li", null, text)));
        said.hidden = words.length === 0;
        say(held, plan.standing.locked.said ?? "");
        held.hidden = plan.standing.locked.said === null;
      }
      // What still stands the plan alone knows: a correction may have taken a chosen way with it.
      const stands = done === plannedDone ? plan.standing.last ?? -1 : -1;
      if (done.log === drawn && stands === last) return;
      [drawn, last] = [done.log, stands];
      list.replaceChildren(...drawn.map((entry, at) => h("li", null,
        h("span", null, h("b", null, entryWords(entry)), entry.note ? h("i", null, entry.note) : null),
        moment(entry.at_ms), right(at),
        at === last ? h("details", null, h("summary", null, "It did not happen"),
          h("p", { class: "aside" }, "This corrects the record by another entry. It takes nothing off the metal: what is painted is painted, what is bitten is bitten."),
          entry.kind === "bitten" && entry.joined ? h("p", { class: "aside" }, "The bites that were one dip with it go with it.") : null,
          h("button", { type: "button", onclick: () => void add({ kind: "corrected", entry: at, to: { kind: "not_done" } }, "") }, "It did not happen: write that")) : null)));
    },
  };
}
