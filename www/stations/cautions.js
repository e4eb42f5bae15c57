/**
 * Cautions: the usual hazards of the work, always reachable. No recipes and no proportions; everything defers to the
 * shop's own rules, the safety data sheets and local codes. Where sources differ the stricter view is given.
 */
import { h } from "../dom.js";

/** What must never meet: the pair, why, and who says so. */
const STOP = [
  ["Zinc in a ferric chloride tank, or in one kept for copper", "fast, hot, hydrogen and acid mist, spoiled bath", "T N Lawrence, sheet on ferric chloride"],
  ["Aluminium in ferric chloride or in a tank kept for copper", "a violent reaction, heat and hydrogen", "T N Lawrence, sheet on ferric chloride"],
  ["Copper and zinc in one nitric bath, together or in turn", "toxic fumes", "common practice among etchers"],
  ["Nitric acid and solvents, alcohol, asphaltum or rags", "fire, explosion", "ICSC 0183; SLAC nitric acid guide"],
  ["Chlorate (Dutch mordant) and anything organic, sulfur or sulfuric acid", "fire, explosion", "University of Utah EHS"],
  ["Zinc in Dutch mordant or in hydrochloric acid", "hydrogen, where chlorine may be present", "chemistry; no workshop source found"],
  ["Aluminium in a hot or strong saline sulfate bath", "heat and hydrogen", "common practice, no source"],
  ["Any acid or ferric bath and bleach", "chlorine gas", "chemistry; no workshop source found"],
];

/** What each matter does, and what shops usually do about it. */
const MATTERS = [
  ["Nitric acid", "Burns skin and eyes. Gives off brown nitrogen dioxide, which warns poorly: harm to the lungs can come hours later. Feeds fire.",
    "Exhaust at the tray, goggles, acid gloves, apron, an eyewash within reach. Cover the tray when idle. No solvents near it. Feel unwell after fumes: see a doctor, even if it passes.",
    "ILO/WHO ICSC 0183 (2016); McCann, Acid etching hazards; University of Utah EHS; UNCG"],
  ["Ferric chloride", "Acid. Serious harm to eyes, irritates skin, eats metals and plumbing. Dissolving it gives off heat and acid fume.",
    "Goggles, gloves, ventilation; plastic vessels only.", "ILO/WHO ICSC 1499 (2004); maker’s safety data sheet"],
  ["Dutch mordant", "Chlorine when it is made; the chlorate in it burns and explodes with dirt, cloth and much else. Sealed waste has burst its can.",
    "Most shops now do without it. Ask for what your shop uses in its place; never seal its waste.", "University of Utah EHS; Babin and McCann"],
  ["Copper sulfate baths", "Harmful if swallowed, irritate skin and eyes, very toxic to water life.",
    "No dust in the air, gloves, goggles, nothing to the drain.", "ILO/WHO ICSC 0751 (2023)"],
  ["Strong acid and water", "Wrongly brought together they boil and spit.",
    "Stepbite gives no recipes. Baths are made up only by someone trained, by the shop’s written procedure and the safety data sheet.", "McCann; NACUBO campus guide; University of Utah EHS"],
  ["Rosin dust", "Sensitises the lungs: asthma for good. A cloud of it can explode; sparks and static have set off aquatint boxes.",
    "A fitted respirator, not a paper mask. No flame, no smoking, no bare motor in the box. Let the dust settle before you open up or heat.", "HSE INDG248; University of Utah EHS; UNCG"],
  ["Melting rosin", "The fume sensitises too, and grows steeply with heat.",
    "The lowest heat that melts it, a hot plate under a hood rather than a torch, never while dust is in the air.", "HSE INDG248"],
  ["Asphaltum, solvents, varnish", "Vapour burns, makes dizzy, dries the skin. Oily rags can catch fire by themselves.",
    "Ventilate. A closed metal can for rags. Keep solvents from hot plates, flames and acids.", "University of Utah EHS; Babin and McCann"],
  ["Heat", "Hot plates and hot metal look like cold ones. Warm varnish softens, warm solvent vapour travels.",
    "Gloves or tongs, a sign when the plate is on, nothing flammable beside it.", "common practice, no source"],
  ["Used baths and rinse water", "Copper, zinc and acid are toxic to water life.",
    "Not to the drain, unless your local authority says so in writing. Collect, label, vented lid, hazardous-waste service. Ask first.", "NACUBO; ILO/WHO ICSC 0751 (2023)"],
];

/** @param {import("../state.js").Desk} _desk @returns {import("../state.js").Part} */
export function cautions(_desk) {
  return {
    root: h("section", { class: "station cautions", "aria-labelledby": "h-cautions" },
      h("div", { class: "top" }, h("h2", { id: "h-cautions" }, "Cautions"),
        h("p", { class: "lead" }, "Biting metal can blind, burn and choke. This page plans tones and times; it is no safety instruction. Your shop’s rules, the safety data sheet of what is in your tray, and local codes come first, and where they are stricter, they hold.")),
      h("h3", { class: "stop" }, "STOP: these never meet"),
      h("ul", { class: "stops" }, ...STOP.map(([pair, why, source]) => h("li", null, h("strong", null, pair), h("span", null, why), h("cite", null, source)))),
      h("h3", null, "The usual cautions"),
      h("div", { class: "matters" }, ...MATTERS.map(([name, does, care, source]) =>
        h("section", null, h("h4", null, name), h("p", null, does), h("p", { class: "care" }, care), h("cite", null, source)))),
      h("p", { class: "aside" }, "Know before you start: where the eyewash is, who else is in the building, and the number to ring for poison and for fire. Never bite alone."),
      h("p", { class: "aside" }, "ICSC: International Chemical Safety Cards of the ILO and WHO. HSE: Health and Safety Executive, Britain. EHS: a university’s office of environmental health and safety. UNCG: University of North Carolina at Greensboro, art safety guidelines. NACUBO: the American campus business officers’ guide.")),
    update() {},
  };
}
