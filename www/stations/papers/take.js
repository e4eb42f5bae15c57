/** Pieces taken off the regions of some tones, as the plan has them now. */
import { h, say } from "../../dom.js";
import { percent } from "../../format.js";
import { checkbox, listField, rangedField } from "../proof/fields.js";
import { MOST_PIECES, paperNames } from "./pieces.js";

/** The least that is cut, cm², to begin with: what fingers lay with paste on it (estimate). */
const LEAST_CM2 = 1;

/** @param {import("../../state.js").Desk} desk @param {import("../papers.js").Bench} bench */
export function take(desk, bench) {
  /** @type {Set<number>} */
  const chosen = new Set();
  let least = LEAST_CM2;
  let isOpen = false;
  const tones = h("div", { class: "words tones-taken" });
  /** @type {ReturnType<typeof checkbox>[]} */
  let boxes = [];
  const size = rangedField(desk, "Nothing smaller than", { what: "A least size", range: [0.01, 1000], unit: "cm²", take: (value) => { least = value; } });
  size.set(least);
  const paper = listField("Of paper", (value) => bench.take(Number(value)));
  const go = h("button", { type: "button", onclick: taken }, "Take the pieces");
  const root = h("div", { class: "taking", hidden: true },
    h("p", { class: "aside" }, "Each region of the tones you choose becomes a piece, as it lies in the plan now: a later change of the plan does not cut it anew. Holes smaller than the least size are closed."),
    h("fieldset", { class: "choice" }, h("legend", null, "Tones"), tones), h("div", { class: "fields" }, size.root, paper.root), go);
  const open = h("button", { type: "button", class: "toggle", "aria-expanded": "false", onclick: () => {
    isOpen = !isOpen;
    update(desk.state);
    if (isOpen) boxes[0]?.root.querySelector("input")?.focus();
  } }, "Take pieces off tones");

  async function taken() {
    const { drawing } = desk.state;
    go.disabled = true;
    try {
      const { outlines, small } = await desk.busy("taking pieces off the tones", desk.bridge.call("papers_taken", { tones: [...chosen].sort((a, b) => a - b), least_mm2: Math.max(1, least * 100) }));
      if (desk.state.drawing !== drawing) return;
      const room = MOST_PIECES - bench.papers().pieces.length - desk.state.proof.laid.length;
      if (outlines.length === 0) return desk.notice(`No region of these tones is as large as ${least} cm²: choose a smaller least size, or more tones.`, "refused");
      if (outlines.length > room) return desk.notice(`These tones come in ${outlines.length} pieces, and there is room for ${room}: choose a larger least size, or fewer tones.`, "refused");
      if (!bench.add(outlines.length === 1 ? "a piece off tones" : `${outlines.length} pieces off tones`, bench.stock, outlines)) return;
      desk.notice(`${outlines.length === 1 ? "One piece is" : `${outlines.length} pieces are`} taken${small ? `; ${small} smaller ${small === 1 ? "region is" : "regions are"} left to the sheet` : ""}.`);
      isOpen = false;
      update(desk.state);
      open.focus();
    } catch (error) {
      desk.refused(/** @type {Error} */ (error));
    } finally {
      go.disabled = chosen.size === 0;
    }
  }

  /** @param {import("../../state.js").State} state */
  function update(state) {
    root.hidden = !isOpen;
    open.setAttribute("aria-expanded", String(isOpen));
    const all = state.plan?.tones ?? [];
    if (boxes.length !== all.length) {
      boxes = all.map((_, k) => checkbox("", (on) => {
        if (on) chosen.add(k);
        else chosen.delete(k);
        update(desk.state);
      }));
      tones.replaceChildren(...boxes.map((box) => box.root));
      for (const k of chosen) if (k >= all.length) chosen.delete(k);
    }
    all.forEach((tone, k) => {
      say(/** @type {Element} */ (boxes[k].root.querySelector("span")), `${k}, ${percent(tone.share)}`);
      boxes[k].set(chosen.has(k));
    });
    const { stocks } = bench.papers();
    paper.set(String(bench.stock), stocks.length ? paperNames(stocks).map((name, i) => [String(i), name]) : [["0", "paper 1"]]);
    go.disabled = chosen.size === 0;
  }
  return { root, open, update };
}
