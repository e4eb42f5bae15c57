/** The print, or the plate face up, with the pieces over it by their numbers; pieces are drawn and picked on it. */
import { h, say, svg } from "../../dom.js";
import { drawn } from "../../drawn.js";
import { goesRound, hundredths, thinned } from "../../hand-edits.js";
import { Picture, proofWish } from "../../picture.js";
import { label } from "../painting/pointing.js";
import { bounds } from "../proof/choices.js";

/** @typedef {[number, number]} Point */

/** @param {import("../../state.js").Desk} desk @param {import("../papers.js").Bench} bench @param {(what: number | "new", outline: Point[]) => void} done */
export function picture(desk, bench, done) {
  const seen = new Picture(desk, {
    wish: (state) => proofWish(state, bench.view),
    title: () => bench.view === "plate" ? "The plate, face up" : "The print",
    note: () => bench.view === "plate" ? "lowest number first" : "lowest numbers nearest you",
    label: (state) => `The expected print of ${state.title} with its thin papers`,
  });
  const heard = h("p", { class: "hidden", role: "status" });
  const pieces = svg("g", { class: "outlines pieces" });
  seen.marks.append(pieces);
  const draws = drawn(seen, {
    shape: () => (bench.drawing === null ? null : "round"), width: () => 1, face: () => desk.state.plan?.face_mm ?? null, said: (text) => say(heard, text),
    done(points) {
      const what = bench.drawing;
      if (what === null) return;
      if (!goesRound(points)) return desk.notice("That line goes round nothing: draw once round the piece, and let go where you began.", "refused");
      done(what, /** @type {Point[]} */ (thinned(points).map((point) => point.map(hundredths))));
    },
  });
  seen.sheet.addEventListener("keydown", (event) => {
    if (event.key === "Escape" && bench.drawing !== null && !event.defaultPrevented) bench.draw(null);
  });
  // A press picks the piece that shows there: the one with the lowest number.
  seen.sheet.addEventListener("click", (event) => {
    const at = bench.drawing === null ? seen.at(event) : null;
    if (!at) return;
    const facts = bench.facts;
    const all = bench.papers().pieces.map((piece, i) => ({ i, number: facts?.pieces[i]?.number ?? i, outline: piece.outline }));
    const hit = all.filter(({ outline }) => outline !== null && inside(outline, at)).sort((a, b) => a.number - b.number)[0];
    if (hit) bench.pick(hit.i);
  });
  let made = "";
  /** The list that was last drawn. @type {unknown} */
  let shownOf = null;
  return {
    root: h("div", { class: "papers-picture" }, seen.root, heard),
    focus() {
      seen.sheet.focus({ preventScroll: true });
      seen.root.scrollIntoView({ block: "nearest" });
    },
    /** @param {import("../../state.js").State} state */
    update(state) {
      seen.update(state);
      draws.update("Draw once round the piece. By keys: the arrows move a cross, Enter begins and closes the line, Escape drops it.");
      const { plan } = state;
      if (!plan) return;
      const facts = bench.facts;
      const all = bench.papers().pieces;
      const key = JSON.stringify([bench.picked, bench.drawing, bench.view, facts ? facts.pieces.map(({ number }) => number) : null, plan.face_mm]);
      if (pieces.dataset.of === key && made === String(all.length) && shownOf === all) return;
      pieces.dataset.of = key;
      made = String(all.length);
      shownOf = all;
      const lines = all.flatMap(({ outline }, i) => outline === null || bench.drawing === i ? [] : [
        svg("polygon", { class: i === bench.picked ? "casing" : "faint", points: outline.join(" ") }),
        ...(i === bench.picked ? [svg("polygon", { points: outline.join(" ") })] : []), fibres(/** @type {Point[]} */ (outline), all[i].fibre_deg, i === bench.picked)]);
      // The picked one's number lies on top.
      const numbers = all.map((piece, i) => ({ piece, i })).filter(({ piece, i }) => piece.outline !== null && bench.drawing !== i).sort((a, b) => Number(a.i === bench.picked) - Number(b.i === bench.picked));
      pieces.replaceChildren(...lines, ...numbers.map(({ piece, i }) =>
        label(middle(/** @type {Point[]} */ (piece.outline)), String(facts?.pieces[i]?.number ?? i + 1), { picked: i === bench.picked, face: plan.face_mm, off: [0, 0] })));
    },
  };
}


/** An arrow with two points along the fibres of a piece, mm of the face; the plate view mirrors it with the piece. @param {readonly Point[]} outline @param {number} degrees from the level, anticlockwise in print view @param {boolean} picked */
function fibres(outline, degrees, picked) {
  const [x, y] = middle(outline);
  const box = bounds(outline);
  const [dx, dy] = [Math.cos(degrees * Math.PI / 180), -Math.sin(degrees * Math.PI / 180)];
  // As far as its box goes that way, and no farther than is read at a glance.
  const half = Math.min(16, 0.46 * Math.min(box.width / Math.max(1e-6, Math.abs(dx)), box.height / Math.max(1e-6, Math.abs(dy))));
  const head = Math.min(2, half / 3);
  const at = (/** @type {number} */ along, /** @type {number} */ aside) => `${x + along * dx - aside * dy} ${y + along * dy + aside * dx}`;
  const end = (/** @type {1 | -1} */ way) => `M${at(way * (half - head), head * 0.6)}L${at(way * half, 0)}L${at(way * (half - head), -head * 0.6)}`;
  return svg("path", { class: picked ? "fibre picked" : "fibre", d: `M${at(-half, 0)}L${at(half, 0)}${end(1)}${end(-1)}` });
}

/** @param {readonly Point[]} outline @returns {Point} */
function middle(outline) {
  const box = bounds(outline);
  return [box.left + box.width / 2, box.top + box.height / 2];
}

/** Whether a place lies within an outline, by the even-odd rule. @param {readonly Point[]} outline @param {Point} at */
function inside(outline, [x, y]) {
  let within = false;
  outline.forEach(([ax, ay], i) => {
    const [bx, by] = outline[(i + 1) % outline.length];
    if ((ay > y) !== (by > y) && x < ax + (y - ay) / (by - ay) * (bx - ax)) within = !within;
  });
  return within;
}
