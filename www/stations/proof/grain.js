/** Which grain is shown, and what the strip tells of the metal. */
import { h, say, table } from "../../dom.js";
import { number, percent } from "../../format.js";
import { radios } from "../../fields.js";
import { Answer } from "../../answer.js";
import { another } from "./choices.js";
import { rangedField } from "./fields.js";
import { fold } from "./fold.js";
import { grainWords } from "./words.js";

/** Share that a cover of one's own begins with. */
const SOME_COVER = 0.5;
/** Median radius that a size of one's own begins with, µm: the usual rosin's. */
const SOME_MEDIAN_UM = 30;

/** @param {import("../../state.js").Desk} desk */
export function grain(desk) {
  /** @param {Partial<import("../../../web/types.d.ts").GrainChoice>} part */
  const set = (part) => desk.setProof({ grain: { ...desk.state.proof.grain, ...part } });
  const kind = radios("Laid by", [["rosin", "rosin dust"], ["sprayed", "spraying"]], (value) => set({ kind: /** @type {any} */ (value) }));
  const size = radios("Size", [["fine", "fine"], ["medium", "medium"], ["coarse", "coarse"], ["own", "measured"]],
    (value) => set(value === "own" ? { median_um: answer.found?.median_um ?? SOME_MEDIAN_UM } : { size: /** @type {any} */ (value), median_um: null }));
  const width = rangedField(desk, "Half are wider than", { what: "A width that half of the grains have", range: [20, 400], unit: "µm", places: 0, take: (value) => set({ median_um: value / 2 }) });
  const told = radios("Cover", [["told", "as told"], ["own", "my own"]], (value) => set({ cover: value === "told" ? null : answer.found?.cover ?? SOME_COVER }));
  const cover = rangedField(desk, "Metal covered", { what: "A cover", range: [5, 95], unit: "%", places: 0, take: (value) => set({ cover: value / 100 }) });
  const other = h("button", { type: "button", onclick: () => set({ seed: another(desk.state.proof.grain.seed) }) }, "Another such grain");
  const seen = h("p", { class: "aside" });
  const rows = h("div", { class: "scroll", tabindex: 0, role: "region", "aria-label": "What the strip tells of the metal" });
  const rest = h("p", { class: "aside" });
  const remarks = h("ul", { class: "notes" });
  const answer = new Answer(desk, "relief", (state) => part.root.open ? state.proof.grain : undefined, draw);
  const part = fold("Grain", (state) => grainWords(state.proof), [
    h("div", { class: "fields" }, kind.root, size.root, width.root, told.root, cover.root), other, seen,
    rows, rest, remarks], update);

  /** @param {import("../../state.js").State} state */
  function update(state) {
    const { grain: now } = state.proof;
    kind.set(now.kind);
    const median = now.median_um ?? null;
    size.set(median === null ? now.size : "own");
    width.root.hidden = median === null;
    if (median !== null) width.set(2 * median);
    told.set(now.cover === null ? "told" : "own");
    cover.root.hidden = now.cover === null;
    if (now.cover !== null) cover.set(Math.round(1000 * now.cover) / 10);
    answer.update(state);
    draw();
  }

  function draw() {
    const { found, trouble } = answer;
    say(seen, trouble || (found && answer.current ? `Shown: half of the grains are wider than ${number(2 * found.median_um, 0)} µm, and ${percent(found.cover)} of the metal is covered. ${typeof desk.state.proof.grain.median_um === "number" ? "The size is yours; covers of the kinds are estimates." : "Sizes and covers of the kinds are estimates."}` : "Being worked out."));
    rows.hidden = rest.hidden = !found;
    if (!found) return remarks.replaceChildren();
    rows.replaceChildren(table("What the strip tells of the metal", ["", "Value", "Give or take", "From"], found.rows.map((row) => [
      row.name, `${figure(row.value)} ${row.unit}`.trim(), `± ${figure(row.spread)} ${row.unit}`.trim(), row.told ? "told by the strip" : "estimate"])));
    say(rest, `By itself this model lies ${number(found.misfit)} L* from the strip’s readings (root mean square). Tones are the strip’s curve all the same: from the model come grain tops, undercut and depth only.`);
    remarks.replaceChildren(...found.remarks.map((text) => h("li", null, text)));
  }

  return part;
}

/** Three figures that count. @param {number} value */
function figure(value) {
  if (value === 0) return "0";
  return number(value, Math.max(0, Math.min(6, 2 - Math.floor(Math.log10(Math.abs(value))))));
}
