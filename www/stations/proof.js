/** Proof: the expected print in ink and paper, large; how it is looked at, what is asked of it first, and the rest folded away. */
import { h } from "../dom.js";
import { radios } from "../fields.js";
import { changed } from "./proof/choices.js";
import { edges } from "./proof/edges.js";
import { first } from "./proof/first.js";
import { glass } from "./proof/glass.js";
import { grain } from "./proof/grain.js";
import { hero } from "./proof/hero.js";
import { inkFacts } from "./proof/ink-facts.js";
import { inks } from "./proof/inks.js";
import { laid, withLaid } from "./proof/laid.js";
import { outlines } from "./proof/outlines.js";
import { plates } from "./proof/plates.js";
import { pulled } from "./proof/pulled.js";
import { saving } from "./proof/saving.js";
import { LAMPS } from "./proof/words.js";
import { withZone, zones } from "./proof/zones.js";

/** A plate wider than this, mm, has no room beside the questions when it is shown as large as it is. */
const WIDE_MM = 162;

/** @param {import("../state.js").Desk} desk @returns {import("../state.js").Part} */
export function proof(desk) {
  /** @param {Partial<import("../state.js").Proofing>} part */
  const look = (part) => desk.set({ proofing: { ...desk.state.proofing, ...part } });
  const large = hero(desk);
  const lens = glass(desk, large.pull, large.small.lens);
  const way = radios("Look at", [["pull", "the pull"], ["wipe", "wipe"], ["side", "side by side"], ["difference", "difference"], ["chance", "edges"], ["orders", "both orders"]],
    (value) => look({ way: /** @type {any} */ (value), drawing: null }));
  const lamp = radios("Light", Object.entries(LAMPS), (value) => desk.setProof({ lamp: /** @type {any} */ (value) }));
  const size = radios("Seen", [["fit", "fitted"], ["own", "at arm’s length"]], (value) => look({ size: /** @type {any} */ (value) }));
  /** Ways that there is not always a picture for. */
  const [chance, orders] = ["chance", "orders"].map((name) => /** @type {HTMLElement} */ (way.root.querySelector(`[value=${name}]`)?.parentElement));
  const drawing = outlines(desk, large.pull, ({ of, index }, outline) => {
    const { proof: now } = desk.state;
    if (of === "zone") desk.setProof(index === null ? withZone(now, outline) : { zones: changed(now.zones, index, { outline }) });
    else desk.setProof(index === null ? withLaid(now, outline) : { laid: changed(now.laid, index, { outline }) });
  });
  const facts = inkFacts(desk);
  const colours = inks(desk, facts);
  const zoned = zones(desk, drawing, facts);
  const papers = laid(desk, drawing, facts);
  const parts = [colours, zoned, papers, plates(desk, facts), grain(desk), edges(desk)];
  // Of two that are open, the outlines of the one opened last show.
  for (const [of, part, other] of /** @type {const} */ ([["zone", zoned, papers], ["laid", papers, zoned]])) {
    part.root.addEventListener("toggle", () => {
      drawing.shows(part.root.open ? of : other.root.open ? (of === "zone" ? "laid" : "zone") : null);
      // The plate view is for drawing on: with neither open there is no way back out of it.
      if (!zoned.root.open && !papers.root.open && desk.state.proofing.view === "plate") look({ view: "print", drawing: null });
      drawing.update(desk.state);
    });
  }
  const asked = first(desk, () => {
    colours.open();
    colours.root.scrollIntoView({ block: "nearest" });
  });
  const saved = saving(desk);
  const real = pulled(desk);
  const root = h("section", { class: "station proof", "aria-labelledby": "h-proof" },
    h("div", { class: "top" }, h("h2", { id: "h-proof" }, "Proof"), h("div", { class: "bar" }, way.root, lamp.root, size.root)),
    h("div", { class: "desk" }, large.small.root, large.root,
      h("div", { class: "column" }, lens.root, asked.root, h("div", { class: "folds" }, ...parts.map((part) => part.root)), saved.root, drawing.heard)),
    real.root);

  return {
    root,
    update(state) {
      const { proofing, proof: now } = state;
      root.dataset.way = proofing.way;
      root.dataset.size = proofing.size === "own" && (state.plan?.plate_mm.width ?? 0) > WIDE_MM ? "own-wide" : proofing.size;
      chance.hidden = now.edges === null;
      orders.hidden = now.printings.length < 2;
      way.set(proofing.way);
      lamp.set(now.lamp);
      size.set(proofing.size);
      large.update(state);
      lens.update(state);
      asked.update(state);
      for (const part of parts) part.update(state);
      drawing.update(state);
      saved.update(state);
      real.update(state);
    },
  };
}
