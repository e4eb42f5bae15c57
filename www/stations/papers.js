/** Papers: thin papers laid under the ink. Which papers and pieces, what lies above what, in which order they are laid, and whether the paste holds. */
import { assign, h, say } from "../dom.js";
import { radios } from "../fields.js";
import { Answer } from "../answer.js";
import { laying } from "./papers/clock.js";
import { demoPapers } from "./papers/demo.js";
import { late } from "./papers/late.js";
import { order } from "./papers/order.js";
import { list } from "./papers/list.js";
import { picture } from "./papers/picture.js";
import { MOST_PIECES, MOST_STOCKS, NO_PAPERS, piecesOf, takenOver, withPiece, withPieces } from "./papers/pieces.js";
import { stocks } from "./papers/stocks.js";
import { take } from "./papers/take.js";

/**
 * What the parts of the station share.
 * @typedef {import("../../web/types.d.ts").Papers} Papers
 * @typedef {object} Bench
 * @property {() => Papers} papers as they are, or none yet
 * @property {(name: string, papers: Papers, gesture?: string | null) => boolean} set a step of Undo; what the proof had laid in comes along
 * @property {(name: string, stock: number, outlines: ([number, number][] | null)[], part?: Partial<import("../../web/types.d.ts").PaperPiece>) => boolean} add pieces, if there is room
 * @property {import("../../web/types.d.ts").PapersFacts | null} facts of the papers on screen; null while they are worked out
 * @property {number | null} picked the piece looked at
 * @property {(index: number | null) => void} pick
 * @property {number} stock the paper that new pieces are of
 * @property {(stock: number) => void} take the paper for new pieces
 * @property {number | "new" | null} drawing which piece is being drawn
 * @property {(what: number | "new" | null) => void} draw
 * @property {"print" | "plate"} view
 */

/** @param {import("../state.js").Desk} desk @returns {import("../state.js").Part} */
export function papers(desk) {
  const answer = new Answer(desk, "papers", (state) => piecesOf(state.papers).length ? /** @type {Papers} */ (state.papers) : undefined, () => root.hidden || update(desk.state),
    ({ planned, plannedDrawing }) => planned && [planned.plate, plannedDrawing, planned.strip]);

  /** What a project file would refuse is refused here, before it is there. @param {Papers} next */
  function fits(next) {
    const much = next.pieces.length > MOST_PIECES ? `Up to ${MOST_PIECES} pieces go into one pull, ${next.pieces.length} would be there: take some away first, or join some.`
      : next.stocks.length > MOST_STOCKS ? `Up to ${MOST_STOCKS} papers go into one pull, ${next.stocks.length} would be there: give pieces that are alike one paper.` : "";
    if (much) desk.notice(much, "refused");
    return much === "";
  }

  /** @type {Bench} */
  const bench = {
    papers: () => desk.state.papers ?? NO_PAPERS,
    set(name, next, gesture = null) {
      const { proof } = desk.state;
      const patch = proof.laid.length && next.pieces.length ? takenOver(next, proof) : { papers: next };
      return fits(patch.papers) && desk.changeJob(name, patch, gesture);
    },
    add(name, stock, outlines, part = {}) {
      const { papers: now, proof } = desk.state;
      const over = takenOver(now ?? NO_PAPERS, proof).papers;
      if (over.pieces.length + outlines.length > MOST_PIECES) {
        desk.notice(`Up to ${MOST_PIECES} pieces go into one pull, ${over.pieces.length + outlines.length} would be there: take some away first, or join some.`, "refused");
        return false;
      }
      const next = withPieces(over, stock, outlines, part);
      if (!fits(next)) return false;
      if (!desk.changeJob(name, { papers: next, ...(proof.laid.length ? { proof: { ...proof, laid: [] } } : {}) })) return false;
      bench.pick(next.pieces.length - 1);
      return true;
    },
    // Of pieces that are gone nothing is said any more.
    get facts() { return answer.current && piecesOf(desk.state.papers).length ? answer.found : null; },
    picked: null,
    pick(index) {
      bench.picked = index;
      update(desk.state);
    },
    stock: 0,
    take(stock) {
      bench.stock = stock;
      update(desk.state);
    },
    drawing: null,
    draw(what) {
      bench.drawing = what;
      update(desk.state);
      if (what !== null) shown.focus();
    },
    view: "print",
  };

  const shown = picture(desk, bench, (what, outline) => {
    bench.drawing = null;
    if (what === "new") bench.add("a piece drawn", bench.stock, [outline]);
    else bench.set("a piece drawn anew", withPiece(bench.papers(), what, { outline }));
  });
  const view = radios("Seen", [["print", "print view"], ["plate", "plate view"]], (value) => {
    bench.view = /** @type {any} */ (value);
    update(desk.state);
  });
  const example = h("button", { type: "button", onclick: () => {
    const face = desk.state.plan?.face_mm;
    if (face && bench.set("the example’s papers", demoPapers(face))) bench.pick(0);
  } }, "Use the example’s papers");
  const over = h("button", { type: "button", onclick: () => {
    const next = takenOver(bench.papers(), desk.state.proof);
    if (fits(next.papers) && desk.changeJob("papers of the proof taken over", next)) bench.pick(0);
  } });
  const draw = h("button", { type: "button", class: "toggle", onclick: () => bench.draw(bench.drawing === "new" ? null : "new") });
  const whole = h("button", { type: "button", onclick: () => bench.add("a whole ground", bench.stock, [null]) }, "A ground as large as the plate");
  const taking = take(desk, bench);
  const troubles = h("ul", { class: "troubles", "aria-live": "polite" });
  const clock = laying(desk, bench);
  const parts = [stocks(desk, bench), list(desk, bench), order(desk, bench), late(desk, bench, clock)];
  const root = h("section", { class: "station papers", "aria-labelledby": "h-papers" },
    h("div", { class: "top" }, h("h2", { id: "h-papers" }, "Papers"),
      h("p", { class: "lead" }, "Thin papers under the ink, cut in pieces: laid on the inked plate good side down, paste towards you, then the sheet. What is laid first ends nearest the viewer.")),
    h("div", { class: "papers-desk" },
      h("div", { class: "papers-seen" }, h("div", { class: "bar" }, view.root), shown.root),
      h("div", { class: "papers-parts" },
        h("div", { class: "papers-ways" }, draw, taking.open, whole, example, over), taking.root, troubles, ...parts.map((part) => part.root))));

  /** @param {import("../state.js").State} state */
  function update(state) {
    const now = bench.papers();
    answer.update(state);
    if (bench.picked !== null && bench.picked >= now.pieces.length) bench.picked = now.pieces.length ? now.pieces.length - 1 : null;
    bench.stock = Math.max(0, Math.min(bench.stock, now.stocks.length - 1));
    if (typeof bench.drawing === "number" && bench.drawing >= now.pieces.length) bench.drawing = null;
    view.set(bench.view);
    say(draw, bench.drawing === "new" ? "Drawing: go once round" : "Draw a piece");
    assign(draw, { "aria-pressed": String(bench.drawing === "new") });
    draw.disabled = whole.disabled = now.pieces.length >= MOST_PIECES;
    example.hidden = now.pieces.length > 0;
    over.hidden = state.proof.laid.length === 0;
    say(over, `Take over the proof’s ${state.proof.laid.length === 1 ? "paper" : `${state.proof.laid.length} papers`}`);
    const said = answer.trouble && now.pieces.length ? [answer.trouble] : bench.facts?.notes ?? [];
    if (troubles.dataset.said !== said.join("\n")) {
      troubles.dataset.said = said.join("\n");
      troubles.replaceChildren(...said.map((sentence) => h("li", null, sentence)));
    }
    troubles.hidden = said.length === 0;
    shown.update(state);
    taking.update(state);
    for (const part of parts) part.update(state);
  }

  return { root, update };
}
