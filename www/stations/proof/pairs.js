/** The colours that two plates' tones make over one another: a grid, marked where they really meet, and those that take most of the face. */
import { h, say, svg, table } from "../../dom.js";
import { percent, sentence } from "../../format.js";
import { radios } from "../../fields.js";
import { Answer } from "../../answer.js";
import { plateName } from "./words.js";
import { proofOf } from "../papers/pieces.js";

/** A cell of the grid, and the gap, in its own units. */
const CELL = 10;
/** Size of its figures to its width: 12 px where a phone shows it 350 px wide. */
const FIGURES = 12 / 350;

/** @param {import("../../state.js").Desk} desk @param {() => boolean} open */
export function pairs(desk, open) {
  /** By place among the printings. @type {[number, number]} */
  let chosen = [0, 1];
  const fields = h("div", { class: "fields" });
  let made = "";
  const grid = h("div", { class: "pair-grid" });
  const key = h("p", { class: "aside" }, "Full squares occur on the face; small ones do not.");
  const list = h("div", { class: "scroll", tabindex: 0, role: "region", "aria-label": "Colours of two plates, the largest first" });
  const said = h("p", { class: "aside" });
  const root = h("section", { class: "pairs-of", "aria-labelledby": "h-pairs" }, h("h4", { id: "h-pairs" }, "Colours of two plates"), fields, said, grid, key, list);
  const answer = new Answer(desk, "pairs", (state) => {
    const count = state.proof.printings.length;
    return open() && count > 1 && chosen.every((place) => place < count) ? { proof: proofOf(state), first: chosen[0], second: chosen[1] } : undefined;
  }, draw);

  function draw() {
    const { found, trouble, current } = answer;
    say(said, trouble || (found ? "" : "Being worked out."));
    said.hidden = said.textContent === "";
    for (const part of [grid, key, list]) {
      part.hidden = !found;
      part.classList.toggle("waiting", !current);
    }
    if (!found) return;
    const rows = 1 + Math.max(...found.rows.map((row) => row.first));
    const columns = 1 + Math.max(...found.rows.map((row) => row.second));
    const present = found.rows.filter((row) => row.share > 0).sort((a, b) => b.share - a.share);
    grid.style.fontSize = `${(columns + 1) * CELL * FIGURES}px`;
    grid.replaceChildren(svg("svg", { viewBox: `0 0 ${(columns + 1) * CELL} ${(rows + 1) * CELL}`, role: "img", "aria-label": `${rows} by ${columns} colours, ${present.length} of which occur on the face; the table beneath has them all` },
      ...Array.from({ length: columns }, (_, c) => svg("text", { x: (c + 1.5) * CELL, y: 0.72 * CELL }, String(c))),
      ...Array.from({ length: rows }, (_, r) => svg("text", { x: 0.5 * CELL, y: (r + 1.66) * CELL }, String(r))),
      ...found.rows.map((row) => {
        const side = row.share > 0 ? CELL - 0.8 : 3.4;
        const off = (CELL - side) / 2;
        return svg("rect", { x: (row.second + 1) * CELL + off, y: (row.first + 1) * CELL + off, width: side, height: side, fill: row.colour },
          svg("title", {}, `tone ${row.first} of ${found.first} under tone ${row.second} of ${found.second}: ${row.share > 0 ? percent(row.share) : "does not occur"}, ${row.colour}`));
      })));
    list.replaceChildren(table(`${sentence(`${present.length}`)} of ${found.rows.length} colours occur`, [`Tone of ${found.first}, then of ${found.second}`, "Of the face", "Colour", "Turned round"],
      present.map((row) => [`${row.first}, then ${row.second}`, percent(row.share), swatched(row.colour), row.other === row.colour ? "the same" : swatched(row.other)])));
  }

  return {
    root,
    /** @param {import("../../state.js").State} state */
    update(state) {
      const { printings } = state.proof;
      root.hidden = printings.length < 2;
      if (printings.length < 2) return;
      if (chosen.some((place) => place >= printings.length)) chosen = [0, 1];
      const names = printings.map((each) => plateName(each.plate, state.plates, state.letter));
      const now = JSON.stringify([names, chosen]);
      if (now !== made) {
        made = now;
        fields.hidden = printings.length === 2;
        const couples = names.flatMap((first, i) => names.slice(i + 1).map((second, k) => /** @type {[string, string]} */ ([`${i},${i + 1 + k}`, `${first} and ${second}`])));
        const which = radios("Of plates", couples, (value) => {
          chosen = /** @type {[number, number]} */ (value.split(",").map(Number));
          update(desk.state);
        });
        which.set(chosen.join(","));
        fields.replaceChildren(which.root);
      }
      answer.update(state);
      draw();
    },
  };

  /** @param {import("../../state.js").State} state */
  function update(state) {
    made = JSON.stringify([state.proof.printings.map((each) => plateName(each.plate, state.plates, state.letter)), chosen]);
    answer.update(state);
    draw();
  }
}

/** @param {string} hex */
function swatched(hex) {
  return h("span", { class: "tone-cell" }, h("i", { class: "swatch", style: { background: hex }, "aria-hidden": "true" }), hex);
}
