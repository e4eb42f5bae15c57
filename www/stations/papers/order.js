/** What lies above what: pairs of pieces that lie over one another or meet, and what is said of them; overlap added beneath. */
import { h, say } from "../../dom.js";
import { radios } from "../../fields.js";
import { number } from "../../format.js";
import { rangedLength } from "../proof/fields.js";
import { fold } from "../proof/fold.js";
import { calls, RANGES, saidAbove, withAbove, withOpenDecided } from "./pieces.js";

/** As many pairs are shown at once. */
const SHOWN = 40;

/** @param {import("../../state.js").Desk} desk @param {import("../papers.js").Bench} bench */
export function order(desk, bench) {
  const hint = h("p", { class: "aside" }, "Above means nearer the viewer in the print: that piece is laid first. Where nothing is said the one with the lower number lies above, and a whole ground beneath all pieces.");
  const pairs = h("ul", { class: "pairs-above" });
  const which = radios("Show", [["open", "what is open"], ["all", "all that meet"], ["picked", "those of the piece picked"]], (value) => {
    shows = value;
    part.update(desk.state);
  });
  const rest = h("button", { type: "button", onclick: () => bench.facts && bench.set("what lies above decided", withOpenDecided(bench.papers(), bench.facts)) }, "Leave them all as they lie");
  const free = h("button", { type: "button", class: "plain", onclick: () => bench.set("nothing said of above", { ...bench.papers(), above: [] }) }, "Forget all that is said");
  const lap = rangedLength(desk, "Overlap where pieces meet", { what: "An overlap", range: RANGES.lap, take: (mm) => { bench.set("overlap of pieces", { ...bench.papers(), lap_mm: mm }); } });
  const more = h("p", { class: "aside" });
  let shows = "open";
  let made = "";
  const part = fold("Above and below", words, [hint, h("div", { class: "fields" }, lap.root), which.root, pairs, more, h("div", { class: "row" }, rest, free)], () => {
    const papers = bench.papers();
    const facts = bench.facts;
    lap.set(papers.lap_mm);
    which.set(shows);
    const all = (facts?.meet ?? []).filter(({ pieces: [a, b], decided }) => shows === "all" || (shows === "open" ? !decided || facts?.cycle?.includes(a) && facts.cycle.includes(b) : a === bench.picked || b === bench.picked));
    const open = (facts?.meet ?? []).filter(({ decided }) => !decided).length;
    rest.hidden = open === 0;
    free.hidden = papers.above.length === 0;
    say(more, !facts ? "" : all.length > SHOWN ? `${all.length - SHOWN} more pairs: pick a piece to see its own.` : all.length === 0 ? shows === "open" ? "Nothing is open." : "None." : "");
    const rows = all.slice(0, SHOWN);
    const key = JSON.stringify([rows, papers.pieces.map(({ name }) => name), facts?.pieces.map(({ number: turn }) => turn)]);
    if (facts && key !== made) {
      made = key;
      const held = document.activeElement instanceof HTMLInputElement ? document.activeElement.closest("li")?.dataset.pair : null;
      pairs.replaceChildren(...rows.map(({ pieces: [a, b], over_mm2 }) => {
        const [one, other] = [calls(papers, facts, a), calls(papers, facts, b)];
        const field = radios(`${one} and ${other}`, [["one", `${one} above`], ["other", `${other} above`], ["", "not said"]],
          (value) => bench.set(`${value === "other" ? other : one} ${value ? "above" : "left open"}`, withAbove(bench.papers(), a, b, /** @type {any} */ (value))));
        field.set(saidAbove(papers, a, b));
        const over = over_mm2 > 0 ? `${number(over_mm2 / 100, over_mm2 < 995 ? 1 : 0)} cm² over one another` : "meet at an edge";
        return h("li", { "data-pair": `${a} ${b}` }, field.root, h("span", { class: "aside" }, over));
      }));
      if (held) /** @type {HTMLInputElement | null} */ (pairs.querySelector(`[data-pair="${held}"] input:checked`))?.focus({ preventScroll: true });
    } else {
      for (const { pieces: [a, b] } of rows) {
        const chosen = saidAbove(papers, a, b);
        for (const input of /** @type {NodeListOf<HTMLInputElement>} */ (pairs.querySelectorAll(`[data-pair="${a} ${b}"] input`))) input.checked = input.value === chosen;
      }
    }
  });
  return part;

  function words() {
    const { facts } = bench;
    if (!bench.papers().pieces.length) return "nothing to say yet";
    if (!facts) return "…";
    if (facts.cycle) return `no order: ${[...facts.cycle, facts.cycle[0]].map((i) => bench.papers().pieces[i].name || String(i + 1)).join(" > ")}`;
    const open = facts.meet.filter(({ decided }) => !decided).length;
    return open ? `${open} of ${facts.meet.length} pairs are open` : facts.meet.length ? `${facts.meet.length} pairs, all said` : "no piece meets another";
  }
}
