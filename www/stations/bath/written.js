/**
 * Takes what is written down into each plate's log: the dip of the run's own plate first, then those of the plates that lay in it too, one after another.
 * What a log does not take stays written down, and is tried again or left on paper.
 * @typedef {import("../../run/record.js").Run} Run
 * @typedef {import("../../run/record.js").Pending} Pending
 * @typedef {import("../../../web/types.d.ts").LogEntry} LogEntry
 */
import { onPaper } from "../../run/all.js";
import { settled } from "../../stale.js";
import { dipEntries } from "../../together.js";

/**
 * What it knows of the run, and asks of it.
 * @typedef {object} Given
 * @property {Run | null} on
 * @property {boolean} taking whether a plate is being taken to hand
 * @property {boolean} away whether the run was taken up from its record and is not yet held against what is open
 * @property {(of: Run) => boolean} isOwn whether a run is of the plate at hand
 * @property {(id: string) => void} touch a plate's log is written
 * @property {(part: Partial<Run>) => void} shown written down and shown, with clock and sound as they are
 * @property {() => void} again the same screen built anew
 * @property {(sentence: string) => void} tell
 * @property {() => void} end there is no run any more
 */

/** @param {import("../../state.js").Desk} desk @param {import("./entries.js").Entries} entries @param {Given} given */
export function written(desk, entries, given) {
  const { isOwn, touch, shown, again, tell } = given;
  /** The entry on its way into the log, and the one that was refused. @type {LogEntry | null} */
  let tidying = null;
  /** @type {LogEntry | null} */
  let refused = null;
  /** What another plate's log did not take. @type {Pending | null} */
  let refusedBeside = null;
  let besides = false;

  /** Whether the log does not take the last dip. */
  function isRefused() {
    const { on } = given;
    return on !== null && on.unlogged !== null && refused === on.unlogged;
  }

  /** Whether the log of a plate that lay in the last dip does not take it. */
  function isRefusedBeside() {
    return refusedBeside !== null && given.on?.pending?.[0] === refusedBeside;
  }

  /** Takes what is written down into the log. */
  function tidy() {
    const { on } = given;
    const entry = on?.unlogged;
    if (!entry) return tidyBeside();
    // Before its plate is open again nothing can take it.
    if (!on || tidying || given.taking || refused === entry || !settled(desk.state)) return;
    // Its own plate may still be on its way to hand.
    if (given.away && !isOwn(on)) return;
    tidying = entry;
    const other = isOwn(on) ? "" : "What is open is another plate than the one that was bitten.";
    const { joins = null } = on;
    (other ? Promise.reject(new Error(other)) : added(entry, joins)).then(() => {
      tell("");
      if (given.on?.unlogged === entry) shown({ unlogged: null, ...(joins ? { number: joins.to, joins: null } : {}) });
    }, (error) => {
      refused = entry;
      again();
      tell(`${error.message} It is not in the log yet: ${"actual_s" in entry ? `bite ${entry.bite}, ${entry.actual_s} s. ` : ""}Write it down, then try again.`);
    }).finally(() => {
      tidying = null;
      tidyBeside();
    });
  }

  /** What lay in the dip too has it written into its own log, one plate after another. */
  function tidyBeside() {
    const { on } = given;
    const next = on?.pending?.[0];
    if (!on || !next || on.unlogged || tidying || given.taking || besides || refusedBeside === next || !settled(desk.state)) return;
    besides = true;
    touch(next.id);
    entries.into(next.id, next.log).then(() => {
      refusedBeside = null;
      tell("");
      if (given.on?.pending) shown({ pending: given.on.pending.filter((each) => each !== next) });
    }, (error) => {
      refusedBeside = next;
      again();
      const dip = next.log.findLast((entry) => "actual_s" in entry);
      tell(`${error.message} It is not in the log of plate ${next.letter} yet: ${dip && "actual_s" in dip ? `bite ${dip.bite}, ${dip.actual_s} s. ` : ""}Write it down, then try again.`);
    }).finally(() => {
      besides = false;
      tidyBeside();
    });
  }

  /** One entry, or as many as there are bites in the dip. @param {LogEntry} entry @param {Run["joins"]} joins */
  async function added(entry, joins) {
    if (entry.kind !== "bitten" || !joins) return entries.add(entry);
    const { at_ms, bite, planned_s, actual_s, celsius, factor = null } = entry;
    // The same entries each time: where the page goes between two of them, the rest follows.
    const all = dipEntries({ from: bite, to: joins.to, set_s: planned_s }, joins.sets, { at_ms, actual_s, celsius, factor });
    for (const each of all) await entries.add(each, { freeze: each.kind === "painted" });
  }

  return {
    get refused() { return isRefused(); },
    get refusedBeside() { return isRefusedBeside(); },
    tidy,
    tidyBeside,
    /** What was refused is tried again. */
    afresh() { refused = refusedBeside = null; },
    /** The printer has it on paper, where the log does not take it. */
    unlog() {
      const { on } = given;
      if (!on) return;
      if (!isRefused()) {
        if (!isRefusedBeside()) return;
        tell("");
        shown(onPaper(on));
        return tidyBeside();
      }
      tell("");
      shown({ unlogged: null });
      if (given.on && isOwn(given.on)) return tidyBeside();
      // What is open is another plate: nothing of this run goes on with it.
      given.end();
    },
  };
}
