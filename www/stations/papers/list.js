/** The pieces: a list by number, and all of the one that is picked. */
import { assign, h, say } from "../../dom.js";
import { radios } from "../../fields.js";
import { length, number } from "../../format.js";
import { another, bounds, rectangle } from "../proof/choices.js";
import { inUnits, listField, nameField, rangedField } from "../proof/fields.js";
import { fold } from "../proof/fold.js";
import { placeFields } from "../proof/outlines.js";
import { calls, paperNames, RANGES, withoutPiece, withPiece } from "./pieces.js";

/** @typedef {import("../../../web/types.d.ts").PaperPiece} PaperPiece */

/** A length at a glance. @param {number} mm @param {import("../../format.js").Units} units */
const short = (mm, units) => units === "in" ? length(mm, units) : String(Math.round(mm));

/** @param {import("../../state.js").Desk} desk @param {import("../papers.js").Bench} bench */
export function list(desk, bench) {
  const all = h("ol", { class: "piece-list", "aria-label": "Pieces, the first laid first" });
  /** @type {HTMLButtonElement[]} */
  let buttons = [];
  const mine = () => bench.papers().pieces[bench.picked ?? 0];
  const set = (/** @type {Partial<PaperPiece>} */ part, what = "changed") => {
    const at = bench.picked;
    if (at !== null) bench.set(`${calls(bench.papers(), bench.facts, at)} ${what}`, withPiece(bench.papers(), at, part));
  };
  const heading = h("h4", null);
  const name = nameField("Name", (text) => set({ name: text }, "named"));
  const paper = listField("Paper", (value) => set({ stock: Number(value) }, "of another paper"));
  const fibre = rangedField(desk, "Fibres run at", { what: "An angle", range: RANGES.fibre, unit: "°", places: 0, take: (value) => { set({ fibre_deg: value }, "its fibres"); } });
  const edge = radios("Edge", [["cut", "cut"], ["torn", "torn"]], (value) => set({ edge: /** @type {any} */ (value) }, value));
  const side = radios("To the ink", [["good", "the good side"], ["other", "the other side"]], (value) => set({ turned: value === "other" }, "turned"));
  const tear = h("button", { type: "button", class: "plain", onclick: () => set({ tear: another(mine().tear) }, "torn otherwise") }, "Tear it otherwise");
  const extent = radios("Covers", [["whole", "the whole plate"], ["piece", "a part of it"]], (value) => set({ outline: value === "whole" ? null : middle() }, "its extent"));
  const middle = () => {
    const face = desk.state.plan?.face_mm ?? { width: 100, height: 100 };
    return rectangle(0.3 * face.width, 0.3 * face.height, 0.4 * face.width, 0.4 * face.height);
  };
  const place = placeFields(desk, () => mine()?.outline ?? middle(), (outline) => set({ outline }, "moved"));
  const where = h("details", null, h("summary", null, "Place and size"), place.root);
  const told = h("p", { class: "aside", "aria-live": "polite" });
  const anew = h("button", { type: "button", class: "plain", onclick: () => bench.draw(bench.picked) }, "Draw it anew");
  const remove = h("button", { type: "button", class: "plain", onclick: takeAway }, "Take it away");
  const editor = h("div", { class: "card picked-piece" }, heading, h("div", { class: "fields" }, name.root, paper.root, fibre.root), h("div", { class: "row" }, extent.root, edge.root, side.root), where, told, h("div", { class: "row acts-row" }, anew, tear, remove));

  function takeAway() {
    const at = bench.picked;
    if (at === null) return;
    const before = bench.papers();
    const words = calls(before, bench.facts, at);
    if (!bench.set(`${words} taken away`, withoutPiece(before, at))) return;
    desk.notice(`${words[0].toUpperCase()}${words.slice(1)} is taken away.`, "said", { label: "Put it back", press: () => {
      if (bench.papers().pieces.length + 1 === before.pieces.length) bench.set(`${words} back`, before);
      else desk.undo();
    } });
  }

  all.addEventListener("keydown", (event) => {
    const step = { ArrowDown: 1, ArrowUp: -1 }[event.key];
    const at = buttons.indexOf(/** @type {any} */ (document.activeElement));
    if (step === undefined || at < 0) return;
    event.preventDefault();
    buttons[Math.max(0, Math.min(buttons.length - 1, at + step))].focus();
  });

  let made = "";
  const part = fold("The pieces", words, [all, editor], (state) => {
    const { pieces, stocks } = bench.papers();
    const facts = bench.facts;
    const turns = pieces.map((_, i) => i).sort((a, b) => (facts?.pieces[a]?.number ?? a) - (facts?.pieces[b]?.number ?? b));
    const rows = turns.map((i) => {
      const piece = pieces[i];
      const found = facts?.pieces[i];
      const size = piece.outline === null ? "whole ground" : `${short(bounds(piece.outline).width, state.units)} × ${short(bounds(piece.outline).height, state.units)} ${state.units}`;
      return { i, number: String(found?.number ?? i + 1), name: piece.name, stock: stocks[piece.stock], paper: paperNames(stocks)[piece.stock], size: found?.left_out ? "off the plate" : found && found.parts > 1 ? `${size}, ${found.parts} parts` : size };
    });
    const key = JSON.stringify(rows);
    if (key !== made) {
      made = key;
      const held = buttons.findIndex((button) => button === document.activeElement);
      buttons = rows.map(({ i, number: turn, name: called, stock, paper: of, size }) => h("button", { type: "button", "data-piece": i, onclick: () => bench.pick(i) },
        h("b", null, turn), h("i", { class: "paper-dot", "aria-hidden": "true", style: { background: stock?.weight?.pad ?? stock?.on_white ?? "#fff" } }), h("span", null, called || of || ""), h("em", null, size)));
      all.replaceChildren(...buttons.map((button) => h("li", null, button)));
      if (held >= 0) buttons[Math.min(held, buttons.length - 1)]?.focus({ preventScroll: true });
    }
    for (const button of buttons) assign(button, { "aria-current": button.dataset.piece === String(bench.picked) ? "true" : null });
    editor.hidden = bench.picked === null || !pieces[bench.picked];
    if (editor.hidden) return;
    const at = /** @type {number} */ (bench.picked);
    const piece = pieces[at];
    const found = facts?.pieces[at];
    const words = calls(bench.papers(), facts, at);
    say(heading, `${words[0].toUpperCase()}${words.slice(1)}`);
    name.set(piece.name);
    paper.set(String(piece.stock), paperNames(stocks).map((called, i) => [String(i), called]));
    fibre.set(piece.fibre_deg);
    edge.set(piece.edge);
    side.set(piece.turned ? "other" : "good");
    extent.set(piece.outline ? "piece" : "whole");
    edge.root.hidden = where.hidden = anew.hidden = piece.outline === null;
    tear.hidden = piece.outline === null || piece.edge !== "torn";
    if (piece.outline) place.update();
    say(told, [
      found && found.cut_mm[0] > 0 ? `Cut dry it is ${length(found.cut_mm[0], state.units)} × ${inUnits(found.cut_mm[1], state.units)}, ${number(found.area_cm2)} cm² when laid.` : "",
      found?.left_out ?? "",
      found && found.parts > 1 ? `It comes in ${found.parts} parts: each is cut and pasted by itself.` : "",
      found?.lapped ? "It reaches under its neighbours." : "", "0° runs level, 90° up and down."].filter(Boolean).join(" "));
  });
  part.open();
  return part;

  /** @param {import("../../state.js").State} state */
  function words({ papers }) {
    const count = papers?.pieces.length ?? 0;
    return count === 0 ? "none yet" : count === 1 ? "one piece" : `${count} pieces`;
  }
}
