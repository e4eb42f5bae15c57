/**
 * All plates of the family at the bath: which comes next, where each stands and what of it dries by the log, and the rows of the day in the order
 * of time. A dip is timed by the run of the plate at hand; a plate that lay in the same dip has it written into its own log from here.
 */
import { assign, h, say } from "../../dom.js";
import { clock, count, listed } from "../../format.js";
import { doneWords } from "../../run/all.js";
import { hourWords } from "../../run/hours.js";
import { settled } from "../../stale.js";
import { askDay, bathPlates, biteName, bitesTogether, dayKey, dayOf, dipEntries, matrix, paintedAt, SHORT_S, specOf, wholeDip } from "../../together.js";
import { stale } from "../../family.js";

/** @typedef {import("../../together.js").BathPlate} BathPlate */
/** @typedef {import("../../together.js").Row} Row */
/** @typedef {import("../../../web/types.d.ts").FamilyDayPlan} FamilyDayPlan */
/** @typedef {import("../../../web/types.d.ts").LogEntry} LogEntry */

const WORDS = { none: "", dry: "dries", ready: "waits", out: "out", rest: "" };

/** @param {import("../../state.js").Desk} desk @param {import("./entries.js").Entries} entries @returns {import("../../state.js").Part} */
export function together(desk, entries) {
  let asked = "";
  /** @type {{ plan: FamilyDayPlan, plates: BathPlate[] } | null} */
  let found = null;
  const letter = h("b", { class: "next-letter", "aria-hidden": "true" });
  const next = h("p", { class: "next-words" });
  const act = h("button", { type: "button", class: "first", onclick: () => {
    const id = act.dataset.plate;
    if (id) desk.takeToHand(id);
  } });
  const stands = h("ul", { class: "family-stands" });
  const same = h("div", { class: "same-dip" });
  const said = h("p", { class: "aside", role: "status" });
  const rows = h("div", { class: "scroll family-rows", tabindex: 0, role: "region", "aria-label": "All plates, in the order of time" });
  const root = h("section", { class: "family-bath", "aria-labelledby": "h-family-bath" }, h("h3", { id: "h-family-bath" }, "All plates together"),
    h("div", { class: "family-next" }, letter, h("div", null, next, act)), stands, same, said, rows,
    h("p", { class: "aside" }, "By the day as it is planned at ", h("a", { href: "#plates" }, "Plates"), ". The list goes by the logs: what is painted or bitten drops out of it. It prints as a sheet of its own."));

  /** @param {import("../../state.js").State} state @param {Row | undefined} row @param {BathPlate[]} plates @param {string[]} absent */
  function showNext(state, row, plates, absent) {
    const due = plates.find(({ standing }) => standing.due);
    if (due) {
      say(letter, due.letter);
      say(next, `Plate ${due.letter} came out otherwise than planned: decide first how to go on with it.`);
      return offer(state, due);
    }
    if (!row) {
      say(letter, "✓");
      say(next, `${doneWords(absent)}.`);
      return offer(state, null);
    }
    const at = row.at.map((i) => plates[i]);
    const cell = row.cells[row.at[0]];
    const letters = at.map((plate) => plate.letter);
    const all = plates.filter(({ dips }) => dips.length > 0).length;
    say(letter, letters.join(""));
    const leaving = at.filter((plate) => plate.dips.length === 1).map((plate) => plate.letter);
    say(next, row.kind === "paint" ? `Next: plate ${letters[0]}, paint stop-out ${cell.number}.`
      : `Next into the bath: ${letters.length > 1 ? `plates ${listed(letters)} together` : `plate ${letters[0]} alone`}, ${biteName(cell.number, cell.to)}, ${clock(cell.set_s)}.${
        all > at.length ? ` ${all - at.length === 1 ? "The other stays" : "The others stay"} out.` : ""}${leaving.length ? ` After it ${listed(leaving)} ${leaving.length === 1 ? "leaves" : "leave"} the bath for good.` : ""}`);
    offer(state, at.find(({ hand }) => hand) ?? at[0]);
  }

  /** @param {import("../../state.js").State} state @param {BathPlate | null} plate */
  function offer(state, plate) {
    act.hidden = !plate || plate.hand;
    if (!plate || plate.hand) return;
    act.dataset.plate = plate.id;
    act.disabled = state.running;
    say(act, `Take plate ${plate.letter} to hand`);
  }

  /** @param {import("../../state.js").State} state @param {BathPlate[]} plates */
  function showStands(state, plates) {
    const dry_min = state.settings.bench.dry_min;
    stands.replaceChildren(...plates.map((plate) => {
      const { standing, log } = plate;
      const bites = plate.joins.dips.at(-1)?.[1] ?? 0;
      const painted = paintedAt(log, standing);
      const dries = painted !== null && dry_min ? painted + 60_000 * dry_min : null;
      const time = (/** @type {number} */ ms) => new Date(ms).toLocaleTimeString(undefined, { hour: "numeric", minute: "2-digit" });
      const words = standing.due ? "decide how to go on" : plate.dips.length === 0 ? standing.bitten ? "has left the bath" : "has nothing to bite"
        : standing.next.kind === "bite" ? `stop-out ${standing.painted} painted${dries === null ? "" : `, dry by ${time(dries)}`}; then ${biteName(plate.dips[0].from, plate.dips[0].to)}`
          : standing.bitten ? `bitten up to bite ${standing.bitten}; stop-out ${standing.bitten + 1} comes` : "nothing done yet";
      return h("li", { class: plate.hand ? "now" : null }, h("b", null, plate.letter), h("span", null, `${words}${plate.hand ? " · at hand" : ""}`), h("i", null, `${Math.min(standing.bitten, bites)} of ${bites}`));
    }));
  }

  /** A dip just logged for the plate at hand, which another plate may have shared. @param {import("../../state.js").State} state @param {BathPlate[]} plates */
  function showSame(state, plates) {
    const entry = state.done.log.at(-1);
    const hours = dayOf(state);
    const could = entry?.kind === "bitten" && hours.tray_mm !== null ? plates.filter((plate) => {
      if (plate.hand || plate.standing.next.kind !== "bite" || plate.standing.due || !plate.dips.length) return false;
      const kin = state.family.find(({ id }) => id === plate.id);
      // Its dips are known once it is planned with all that is logged.
      if (!kin || stale(kin, state.settings)) return false;
      const { log } = kin.work.done;
      const planned = wholeDip(state.done.log);
      // Two short bites are never under way at once.
      return planned.planned_s >= SHORT_S && Math.abs(plate.dips[0].set_s - planned.planned_s) < 0.5 && !log.some((each) => each.at_ms === entry.at_ms);
    }) : [];
    same.replaceChildren(...could.map((plate) => h("p", null, `Did plate ${plate.letter} lie in the same dip? `,
      h("button", { type: "button", onclick: () => log(plate.id) }, `Yes: log it for ${plate.letter}`))));
  }

  /** Writes the last dip of the plate at hand into another plate's own log. @param {string} id */
  function log(id) {
    const { state } = desk;
    if (state.kept.looks) return desk.set({});
    const kin = state.family.find((each) => each.id === id);
    const plate = bathPlates(state).plates.find((each) => each.id === id);
    const entry = state.done.log.at(-1);
    if (!kin || stale(kin, state.settings) || !plate?.dips.length || entry?.kind !== "bitten") return;
    const { actual_s } = wholeDip(state.done.log);
    const added = dipEntries(plate.dips[0], kin.facts?.tones.map((tone) => tone.set_s ?? 0) ?? [], { at_ms: entry.at_ms, actual_s, celsius: entry.celsius, factor: entry.factor ?? null });
    const [{ from, to }] = plate.dips;
    entries.into(id, added).then(() => desk.notice(`Logged for plate ${plate.letter} too: ${biteName(from, to)}, ${clock(actual_s)}.`),
      (error) => desk.notice(`Nothing was logged for plate ${plate.letter}. ${error.message}`, "refused"));
  }

  return {
    root,
    update(state) {
      root.hidden = !bitesTogether(state);
      if (root.hidden || state.station !== "bath" || !state.plan) return;
      const { plates, absent } = bathPlates(state);
      showStands(state, plates);
      showSame(state, plates);
      if (!settled(state)) return;
      if (state.plan.strip.kind === "missing") {
        say(said, "No strip yet: the day has no times, and the order is each plate’s own.");
        rows.replaceChildren();
        assign(letter, { hidden: true });
        say(next, "");
        act.hidden = true;
        return;
      }
      assign(letter, { hidden: false });
      const spec = specOf(state, plates);
      const also = dayKey(state);
      const key = JSON.stringify([spec, also, plates.map(({ id, hand }) => [id, hand])]);
      if (key === asked) {
        if (found) showNext(state, matrix(found.plan, found.plates)[0], plates, absent);
        return;
      }
      asked = key;
      // The day of before may have had more plates.
      found = null;
      askDay(desk, spec, also).then((plan) => {
        if (key !== asked) return;
        found = { plan, plates };
        const all = matrix(plan, plates);
        showNext(desk.state, all[0], plates, absent);
        say(said, absent.length ? `Not in it, for want of a plan: ${absent.map((each) => `plate ${each}`).join(", ")}.` : "");
        rows.replaceChildren(drawn(all, plan, plates));
      }, (error) => {
        if (key !== asked) return;
        found = null;
        rows.replaceChildren();
        say(next, "");
        act.hidden = true;
        say(said, error.message);
      });
    },
  };
}

/** @param {Row[]} all @param {FamilyDayPlan} day @param {BathPlate[]} plates */
function drawn(all, day, plates) {
  const many = day.nights.length > 0;
  const nights = [...day.nights];
  /** @type {HTMLElement[]} */
  const body = [];
  for (const row of all) {
    while (nights.length && row.from_min >= nights[0].to_min - 1e-6) {
      const night = /** @type {FamilyDayPlan["nights"][number]} */ (nights.shift());
      body.push(h("tr", { class: "night" }, h("td", { colspan: plates.length + 1 }, night.said)));
    }
    body.push(h("tr", { class: row.kind }, h("th", { scope: "row" }, `${many ? `day ${Math.floor(row.from_min / 1440) + 1}, ` : ""}${hourWords(row.from_min)}`),
      ...row.cells.map((cell) => h("td", { class: cell.what }, ...(cell.what === "paint" ? [`PAINT ${cell.number}`]
        : cell.what === "bite" ? [h("span", null, `BITE ${cell.number === cell.to ? cell.to : `${cell.number}+${cell.to}`}`), " ", h("strong", null, cell.undecided ? "decide first" : clock(cell.set_s))] : [WORDS[cell.what]])))));
  }
  return h("table", null, h("caption", null, `${count(all.length, "turn")} of your hands, in order`),
    h("thead", null, h("tr", null, h("th", { scope: "col" }, "about"), ...plates.map(({ letter }) => h("th", { scope: "col" }, letter)))), h("tbody", null, ...body));
}
