/** The printer's inks: each known by two patches of its own, or by colour and how opaque it is; thinned, or stronger. */
import { h, say } from "../../dom.js";
import { number, percent } from "../../format.js";
import { radios, slider } from "../../fields.js";
import { changed, thing, withInkAgain, withNewInk, withoutInk } from "./choices.js";
import { checkbox, colourField, listField, nameField, rangedField, rows } from "./fields.js";
import { fold } from "./fold.js";
import { patches } from "./patches.js";
import { inksWords, inkWords } from "./words.js";

/** @typedef {import("../../../web/types.d.ts").ProofInk} ProofInk */

/** As many inks are kept. */
const MOST_INKS = 16;

/** What a pale patch begins as, half-way to a white sheet. @param {string} full */
function paler(full) {
  return `#${[1, 3, 5].map((i) => Math.round((parseInt(full.slice(i, i + 2), 16) + 255) / 2).toString(16).padStart(2, "0")).join("")}`;
}

/** @typedef {ReturnType<typeof import("./ink-facts.js").inkFacts>} Facts */

/** @param {import("../../state.js").Desk} desk @param {Facts} asked */
export function inks(desk, asked) {
  const { answer: facts } = asked;
  const list = h("ol", { class: "cards" });
  const none = h("p", { class: "aside" }, "Printed in the strip’s own ink. To see another, make it known: by two patches of it, one of the full tone and one pale, or by its colour alone.");
  const add = h("button", { type: "button", onclick: () => {
    desk.setProof(withNewInk(desk.state.proof));
    list.lastElementChild?.querySelector("input")?.focus();
  } }, "Add an ink");
  const cards = rows(list, (index) => card(desk, index, facts));
  const part = fold("Inks", (state) => inksWords(state.proof), [none, list, add], (state) => {
    add.disabled = state.proof.inks.length >= MOST_INKS;
    none.hidden = state.proof.inks.length > 0;
    facts.update(state);
    cards.update(state.proof.inks, state);
  });
  asked.join({ asks: (state) => part.root.open && state.proof.inks.length > 0, told: (state) => cards.update(state.proof.inks, state) });
  return part;
}

/** @param {import("../../state.js").Desk} desk @param {number} index @param {Facts["answer"]} facts */
function card(desk, index, facts) {
  const mine = () => desk.state.proof.inks[index];
  /** @param {Partial<ProofInk>} patch */
  const set = (patch) => desk.setProof({ inks: changed(desk.state.proof.inks, index, patch) });
  const swatch = h("i", { class: "ink-swatch", "aria-hidden": "true" });
  const said = h("span", { class: "line" });
  const name = nameField("Name", (text) => set({ name: text }));
  const known = radios("Known by", [["two", "two patches"], ["one", "its colour"]], (value) => {
    const { known: { full } } = mine();
    if (value === "two" && (desk.state.plan?.tones.length ?? 0) < 3) {
      desk.notice("A pale patch is of a tone between paper and the darkest, and this plate has none: know the ink by its colour.", "refused");
      return desk.set({});
    }
    set({ known: value === "two" ? { full, pale: paler(full), tone: Math.max(1, Math.round((desk.state.plan?.tones.length ?? 4) / 3)) } : { full, opacity: 0 }, printed: null });
  });
  const full = colourField(desk, "Full tone", (hex) => set({ known: { ...mine().known, full: hex } }));
  const pale = colourField(desk, "Pale patch", (hex) => {
    const { known: now } = mine();
    if ("pale" in now) set({ known: { ...now, pale: hex } });
  });
  const tone = listField("Pale is tone", (value) => {
    const { known: now } = mine();
    if ("pale" in now) set({ known: { ...now, tone: Number(value) }, printed: null });
  });
  const opacity = slider(desk, "Opacity", { min: 0, max: 1, step: 0.05, unit: "", words: (value) => value === 0 ? "transparent" : value === 1 ? "covers everything" : `${percent(value)} opaque`,
    take: (value) => opaque(value), typed: (value) => {
      if (value >= 0 && value <= 1) return opaque(value);
      desk.notice(`An opacity of 0 to 1 was expected, ${number(value, 2)} came: 0 is transparent, 1 covers everything.`, "refused");
      return false;
    } });
  /** @param {number} value */
  const opaque = (value) => set({ known: { full: mine().known.full, opacity: value } });
  const beside = checkbox("On a sheet of another colour", (on) => set({ sheet: on ? desk.state.proof.paper ?? "#f6f3ea" : null }));
  const sheet = colourField(desk, "The sheet beside them", (hex) => set({ sheet: hex }));
  const thinned = rangedField(desk, "Transparent medium", { what: "A share of medium", range: [0, 95], unit: "%", places: 0, take: (value) => set({ thinned: value / 100 }) });
  const strength = rangedField(desk, "As strong as the patch", { what: "A strength", range: [0.1, 3], unit: "times", take: (value) => set({ strength: value }) });
  const picked = patches(desk, {
    of: () => thing(mine()),
    two: () => "pale" in mine().known,
    take: ({ sheet: beside, full, pale }) => {
      const { known: now, sheet: before } = mine();
      set({ known: "pale" in now ? { ...now, full, pale: pale ?? now.pale } : { ...now, full }, sheet: beside ?? before, printed: null });
    },
  });
  const todays = h("button", { type: "button", class: "plain", onclick: () => set({ printed: null }) }, "They are of today’s");
  const earlier = h("div", null, h("p", { class: "aside" }, "Its patches stay as they were printed: by another plan, on another grain or on another paper than today’s."), todays);
  const told = h("p", { class: "aside" });
  const remove = h("button", { type: "button", class: "plain", onclick: () => {
    const before = desk.state.proof;
    const { name: gone } = mine();
    if (!desk.setProof(withoutInk(before, index))) return;
    desk.notice(`${gone} is taken away; what was printed in it prints in the strip’s own ink.`, "said", { label: "Put it back", press: () => {
      const { proof } = desk.state;
      if (proof.inks.length >= MOST_INKS) return desk.notice(`There are ${MOST_INKS} inks again: take one away first.`, "refused");
      desk.setProof(withInkAgain(proof, before, index));
      desk.notice(`${gone} is back.`);
    } });
  } }, "Take it away");
  const root = h("li", { class: "card" },
    h("div", { class: "head" }, swatch, name.root, said), known.root,
    h("div", { class: "fields" }, full.root, pale.root, tone.root), opacity.root,
    h("div", { class: "fields" }, thinned.root, strength.root), picked.root,
    h("div", { class: "row" }, beside.root, sheet.root), told, earlier, remove);
  return {
    root,
    /** @param {ProofInk} ink @param {import("../../state.js").State} state */
    update(ink, state) {
      const two = "pale" in ink.known;
      swatch.style.background = two ? `linear-gradient(90deg, ${ink.known.full} 50%, ${/** @type {any} */ (ink.known).pale} 50%)` : ink.known.full;
      const printed = [...state.proof.printings, ...state.proof.zones].some((each) => each.ink === index);
      say(said, `${inkWords(ink)}${printed ? "" : "; prints nowhere yet"}`);
      name.set(ink.name);
      known.set(two ? "two" : "one");
      full.set(ink.known.full);
      pale.root.hidden = tone.root.hidden = !two;
      opacity.root.hidden = two;
      if ("pale" in ink.known) {
        pale.set(ink.known.pale);
        tone.set(String(ink.known.tone), toneChoices(ink.known.tone, state.plan?.tones.length ?? 0));
      } else opacity.set(ink.known.opacity);
      beside.set(ink.sheet !== null);
      sheet.root.hidden = ink.sheet === null;
      if (ink.sheet) sheet.set(ink.sheet);
      thinned.set(Math.round(1000 * ink.thinned) / 10);
      strength.set(ink.strength);
      picked.update();
      const fact = facts.current ? facts.found?.inks[index] : null;
      say(told, facts.trouble || (fact ? factWords(fact, two) : ""));
      told.hidden = told.textContent === "";
      earlier.hidden = !fact?.earlier;
      // A pale patch of a tone that today's plan has not can't be of today's: another tone is chosen first.
      todays.hidden = "pale" in ink.known && ink.known.tone >= (state.plan?.tones.length ?? 0) - 1;
    },
  };
}

/** The tones between paper and darkest, and one that an earlier plan had. @param {number} tone @param {number} tones @returns {[string, string][]} */
export function toneChoices(tone, tones) {
  const all = Array.from({ length: Math.max(0, tones - 2) }, (_, i) => /** @type {[string, string]} */ ([String(i + 1), String(i + 1)]));
  return all.some(([each]) => each === String(tone)) ? all : [...all, [String(tone), `${tone}, as it was`]];
}

/** @param {import("../../../web/types.d.ts").InkFacts["inks"][number]} fact @param {boolean} two */
function factWords(fact, two) {
  const parts = [];
  if (two && fact.opacity !== null) parts.push(`Its two patches tell an opacity of ${percent(fact.opacity)}.`);
  if (fact.misfit !== null) parts.push(`The pale patch lies ΔE ${number(fact.misfit)} from what such an ink makes (CIEDE2000).`);
  if (fact.remark) parts.push(fact.remark);
  return parts.join(" ");
}
