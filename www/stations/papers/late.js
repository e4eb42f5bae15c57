/** Whether all pieces are down before the paste is dry: the chance, what makes it smaller, and the way into the laying clock. */
import { h, say } from "../../dom.js";
import { numberField } from "../../fields.js";
import { clock, count, number, readTime } from "../../format.js";
import { rangedField, within } from "../proof/fields.js";
import { fold } from "../proof/fold.js";
import { exampleFigures, RANGES, rowsPapers } from "./pieces.js";

/** A chance in words a printer weighs: never sure, never none. @param {number} chance 0–1 */
export function chanceWords(chance) {
  if (chance < 0.005) return "under 1 %";
  return chance > 0.995 ? "over 99 %" : `${Math.round(100 * chance)} %`;
}

/** @param {import("../../../web/types.d.ts").PapersFacts["remedies"][number]} remedy @param {number} now how many pieces there are @returns {[string, string]} what to do, and why the figure is what it is */
export function remedyWords({ way, pieces }, now) {
  switch (way) {
    case "merge": return [`Cut neighbours of one paper as one piece: ${pieces} instead of ${now}`, "pieces that meet, of one paper, fibres and side"];
    case "second_pair": return ["A second pair of hands: one pastes, one lays", "a piece then takes 55 % of its time (estimate)"];
    case "misted": return ["Paste all beforehand, let it dry, and mist it when you lay", "a piece then takes 60 % of its time (estimate); try one first"];
    case "two_pulls": return [`Two pulls: ${pieces} pieces, then ${now - pieces} over the dry print`, "that either of the two is late"];
  }
}

/** @param {import("../../state.js").Desk} desk @param {import("../papers.js").Bench} bench @param {ReturnType<typeof import("./clock.js").laying>} laying */
export function late(desk, bench, laying) {
  const set = (/** @type {Partial<import("../../../web/types.d.ts").Papers>} */ part) => { bench.set("figures of the paste", { ...bench.papers(), ...part }); };
  const open = numberField("Paste stays open", {
    read: readTime, write: clock, unit: "m:ss", refuse: (sentence) => desk.notice(sentence, "refused"),
    take: (seconds) => {
      if (within(seconds, RANGES.open, 1) !== null) return set({ open_s: seconds, open_own: true });
      desk.notice(seconds === 0 ? "Paste that is open for no time at all lays no paper: paste a trial piece, and time how long it still holds." : `Paste stays open for 10 s to 2 h, ${number(seconds)} s came: time a trial piece.`, "refused");
      return false;
    },
  });
  const each = rangedField(desk, "A piece takes", { what: "A time a piece", range: RANGES.each, unit: "s", places: 1, take: (value) => { set({ each_s: value, each_own: true }); } });
  const pace = rangedField(desk, "A pull’s pace scatters by", { what: "A scatter", range: RANGES.scatter, unit: "%", places: 0, take: (value) => { set({ pace: value / 100 }); } });
  const scatter = rangedField(desk, "A piece’s time by", { what: "A scatter", range: RANGES.scatter, unit: "%", places: 0, take: (value) => { set({ scatter: value / 100 }); } });
  const hint = h("p", { class: "aside" }, "Open time: paste a waste piece as you would, and time how long it still holds to damp paper. Each piece’s clock runs from its own pasting to the press; the first one’s runs longest. 12 % and 35 % are estimates: after a pull, type what you saw.");
  const said = h("p", { class: "figures chance", "aria-live": "polite" });
  const example = h("p", { class: "example" });
  const mine = h("button", { type: "button", class: "plain", onclick: () => set({ open_own: true, each_own: true }) }, "I timed these: they are mine");
  const rows = h("p", { class: "figures rows-papers" });
  const remedies = h("ol", { class: "remedies" });
  const begin = h("button", { type: "button", class: "first", onclick: () => laying.begin() }, "To the laying clock");
  const goOn = h("button", { type: "button", onclick: () => laying.goOn() });
  const sheets = h("a", { href: "#sheets" }, "Cutting sheets and laying map are under Sheets");
  const none = h("p", { class: "aside" });
  let made = "";
  const part = fold("Before the paste is dry", words, [example, h("div", { class: "fields" }, open.root, each.root, pace.root, scatter.root), mine, hint, said, rows, remedies, none, h("div", { class: "row" }, begin, goOn), sheets], (state) => {
    const papers = bench.papers();
    const facts = bench.facts;
    open.set(papers.open_s);
    each.set(papers.each_s);
    pace.set(100 * papers.pace);
    scatter.set(100 * papers.scatter);
    const pieces = facts?.paste.pieces ?? papers.pieces.length;
    const not = exampleFigures(papers);
    say(example, not);
    example.hidden = mine.hidden = not === "";
    const kept = laying.kept;
    goOn.hidden = kept === null;
    if (kept) say(goOn, `Go on with the pull left at ${kept.pasted.length} of ${kept.pieces.length}`);
    begin.disabled = pieces === 0 || !facts?.order;
    say(none, pieces > 0 && facts && !facts.order ? "The clock waits for an order that lays all pieces." : "");
    none.hidden = none.textContent === "";
    said.hidden = remedies.hidden = !facts;
    const all = facts ? rowsPapers(state, facts.paste) : null;
    rows.hidden = all === null;
    if (all) say(rows, `The plates of the row go under the press at once: ${all.plates.map((plate) => `${plate.letter || "this plate"} ${count(plate.pieces, "piece")}`).join(", ")}, ${count(all.pieces, "piece")} in all, about ${clock(all.takes_s)} one after another; the paste is open for ${clock(all.open_s)}${all.takes_s > all.open_s ? ", which is less: lay them by two pairs of hands, or print the plates one by one" : ""}. The chance above is of this plate’s alone.`);
    if (!facts) return;
    const { takes_s, spread_s, late: chance, most } = facts.paste;
    say(said, `${count(pieces, "piece")[0].toUpperCase()}${count(pieces, "piece").slice(1)} take about ${clock(takes_s)}, give or take ${clock(spread_s)}; the paste is open for ${clock(papers.open_s)}${not ? " (EXAMPLE)" : ""}. The chance that the first piece is dry before the press: ${chanceWords(chance)}. At this pace ${most >= 200 ? "200 or more" : count(most, "piece")} can be laid and be late once in twenty pulls.`);
    const ways = facts.remedies.map((remedy) => [...remedyWords(remedy, pieces), chanceWords(remedy.late)]);
    const key = JSON.stringify(ways);
    if (key !== made) {
      made = key;
      remedies.replaceChildren(...ways.map(([what, why, left]) => h("li", null, h("span", null, what, h("em", null, why)), h("b", null, left))));
    }
  });
  part.open();
  return part;

  function words() {
    const { facts } = bench;
    const pieces = bench.papers().pieces.length;
    return pieces === 0 ? "no pieces yet" : facts ? `late with a chance of ${chanceWords(facts.paste.late)}${exampleFigures(bench.papers()) ? " (EXAMPLE)" : ""}` : "…";
  }
}
