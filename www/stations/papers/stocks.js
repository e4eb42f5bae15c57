/** The papers that pieces are cut from: their colours, and how much they grow when pasted. */
import { h, say } from "../../dom.js";
import { radios } from "../../fields.js";
import { number, percent } from "../../format.js";
import { checkbox, colourField, nameField, rangedField, rows } from "../proof/fields.js";
import { fold } from "../proof/fold.js";
import { MOST_STOCKS, RANGES, withoutStock, withStock, withStockPart } from "./pieces.js";

/** @typedef {import("../../../web/types.d.ts").PaperStock} PaperStock */

/** Weight that a paper known by it begins with, g/m²: about a tissue for laying in (common practice, no source). */
const SOME_GRAMS = 30;

/** @param {import("../../state.js").Desk} desk @param {import("../papers.js").Bench} bench */
export function stocks(desk, bench) {
  const cards = h("ol", { class: "cards" });
  const add = h("button", { type: "button", onclick: () => bench.set("another paper", withStock(bench.papers())) }, "Another paper");
  const hint = h("p", { class: "aside" }, "A paper grows when it is pasted, more across its fibres than along them: rule 100 mm both ways on a strip, paste it, wait as long as you would, and measure again. Pieces are cut smaller by that.");
  const each = rows(cards, (index) => card(desk, bench, index));
  const part = fold("The papers", words, [hint, cards, add], (state) => {
    const now = bench.papers();
    add.disabled = now.stocks.length >= MOST_STOCKS;
    each.update(now.stocks, state);
  });
  return part;
}

/** @param {import("../../state.js").State} state */
function words({ papers }) {
  return papers?.stocks.length ? papers.stocks.map(({ name, across_pct }) => `${name} ${number(across_pct)} %`).join(" · ") : "none yet";
}

/** @param {import("../../state.js").Desk} desk @param {import("../papers.js").Bench} bench @param {number} index */
function card(desk, bench, index) {
  const mine = () => bench.papers().stocks[index];
  const set = (/** @type {Partial<PaperStock>} */ part) => bench.set(`paper ${mine().name}`, withStockPart(bench.papers(), index, part), desk.state.dragging ? `paper ${index} ${Object.keys(part)}` : null);
  const name = nameField("Name", (text) => set({ name: text }));
  const grows = (/** @type {string} */ label, /** @type {"along_pct" | "across_pct"} */ key) => rangedField(desk, label, { what: "A growth", range: RANGES.growth, unit: "%", take: (value) => { set({ [key]: value }); } });
  const along = grows("Grows along the fibres", "along_pct");
  const across = grows("And across them", "across_pct");
  const known = radios("Known by", [["patches", "two patches"], ["weight", "its weight"]], (value) => set(value === "weight" ? { weight: { pad: mine().on_white, grams: SOME_GRAMS }, back: null } : { weight: null }));
  const white = colourField(desk, "On white", (hex) => set({ on_white: hex }));
  const black = colourField(desk, "On black", (hex) => set({ on_black: hex }));
  const pad = colourField(desk, "A thick pad of it", (hex) => set({ weight: { grams: SOME_GRAMS, ...mine().weight, pad: hex } }));
  const grams = rangedField(desk, "Weight", { what: "A weight", range: [2, 300], unit: "g/m²", places: 1, take: (value) => { set({ weight: { pad: mine().on_white, ...mine().weight, grams: value } }); } });
  const two = checkbox("Its other side has another colour", (on) => set({ back: on ? mine().on_white : null }));
  const back = colourField(desk, "Other side, on white", (hex) => set({ back: hex }));
  const told = h("p", { class: "aside" });
  const remove = h("button", { type: "button", class: "plain", onclick: () => bench.set(`paper ${mine().name} taken away`, withoutStock(bench.papers(), index)) }, "Take it away");
  const swatch = h("i", { class: "ink-swatch", "aria-hidden": "true" });
  return {
    root: h("li", { class: "card" }, h("div", { class: "head" }, swatch, name.root), h("div", { class: "fields" }, along.root, across.root), known.root,
      h("div", { class: "fields" }, white.root, black.root, pad.root, grams.root), two.root, back.root, told, remove),
    /** @param {PaperStock} stock */
    update(stock) {
      const weight = stock.weight ?? null;
      swatch.style.background = weight ? weight.pad : `linear-gradient(90deg, ${stock.on_white} 50%, ${stock.on_black} 50%)`;
      name.set(stock.name);
      along.set(stock.along_pct);
      across.set(stock.across_pct);
      known.set(weight ? "weight" : "patches");
      white.root.hidden = black.root.hidden = two.root.hidden = weight !== null;
      pad.root.hidden = grams.root.hidden = weight === null;
      white.set(stock.on_white);
      black.set(stock.on_black);
      if (weight) {
        pad.set(weight.pad);
        grams.set(weight.grams);
      }
      two.set(stock.back !== null);
      back.root.hidden = stock.back === null || weight !== null;
      if (stock.back) back.set(stock.back);
      const used = bench.papers().pieces.filter((piece) => piece.stock === index).length;
      remove.hidden = used > 0;
      const grown = `100 mm across the fibres are cut ${number(100 / (1 + stock.across_pct / 100), 2)} mm, along them ${number(100 / (1 + stock.along_pct / 100), 2)} mm.`;
      say(told, [bench.facts?.stocks[index] ?? "", grown, used ? `${percent(used / Math.max(1, bench.papers().pieces.length))} of the pieces are of it.` : ""].filter(Boolean).join(" "));
    },
  };
}
