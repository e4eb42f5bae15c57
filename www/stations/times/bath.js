/** Metal, bath and day: what is dangerous, how warm it is, what a witness says, what the plate takes out of the bath. */
import { assign, h, say } from "../../dom.js";
import { radios } from "../../fields.js";
import { number, percent, readNumber, readTime, sentence } from "../../format.js";
import { ownStrip, withBath } from "../../settings.js";

/** @typedef {import("../../state.js").Desk} Desk */
/** @typedef {import("../../state.js").Part} Part */
/** @typedef {import("../../../web/types.d.ts").Bath} Bath */
/** @typedef {import("../../../web/types.d.ts").BathSettings} BathSettings */

/** @type {[string, string][]} */
const METALS = ["zinc", "copper", "aluminium", "steel", "brass"].map((word) => [word, word]);
/** @type {[string, string][]} */
const MORDANTS = [["nitric acid", "nitric acid"], ["ferric chloride", "ferric chloride"], ["ferric chloride with citric acid", "ferric with citric acid"],
  ["copper sulphate and salt", "copper sulphate and salt"], ["copper sulphate", "copper sulphate alone"], ["Dutch mordant", "Dutch mordant"]];
/** @type {[string, string][]} */
const BEFORE = [["none", "no other metal"], ["zinc", "zinc"], ["copper", "copper"], ["aluminium", "aluminium"]];
const UNSAID = "unsaid";
const OTHER = "other";

let names = 0;

/**
 * One of the trade's words, or the printer's own.
 * @param {string} legend @param {string} unsaid @param {string} own what the own words are asked for as @param {[string, string][]} choices
 * @param {(words: string | null) => void} take
 */
function wordsField(legend, unsaid, own, choices, take) {
  let typing = false;
  /** @type {string | null} */
  let last = null;
  const id = `own-words-${++names}`;
  const input = h("input", { id, type: "text", autocomplete: "off", maxlength: 60, onchange: () => take(input.value.trim() || null) });
  const typed = h("div", { class: "number", hidden: true }, h("label", { for: id }, own), h("span", { class: "typed" }, input));
  const choice = radios(legend, [[UNSAID, unsaid], ...choices, [OTHER, "in my own words"]], (value) => {
    typing = value === OTHER;
    typed.hidden = !typing;
    if (typing) input.focus();
    else take(value === UNSAID ? null : value);
  });
  return {
    root: h("div", { class: "of-words" }, choice.root, typed),
    /** @param {string | null} value */
    set(value) {
      const known = choices.some(([word]) => word === value);
      // Taken back from outside, as by Undo, own words are no longer being typed.
      if (value !== null) typing = !known;
      else if (last !== null && document.activeElement !== input) typing = false;
      last = value;
      choice.set(value === null ? typing ? OTHER : UNSAID : known ? value : OTHER);
      typed.hidden = !typing;
      if (document.activeElement !== input) input.value = known ? "" : value ?? "";
    },
  };
}

/**
 * A number that may be left empty.
 * @param {Desk} desk @param {string} label @param {{ unit: string, take(value: number | null): void, read?(text: string): number | null, write?(value: number): string }} how
 */
function optional(desk, label, how) {
  const id = `optional-${++names}`;
  /** @type {number | null} */
  let value = null;
  const write = (/** @type {number | null} */ x) => x === null ? "" : how.write?.(x) ?? number(x, 3);
  const input = h("input", { id, type: "text", inputmode: "decimal", autocomplete: "off", spellcheck: "false" });
  const unit = h("span", { class: "unit" }, how.unit);
  input.addEventListener("change", () => {
    const text = input.value.trim();
    if (text === write(value)) return;
    if (text === "") return how.take(null);
    const next = (how.read ?? readNumber)(text);
    if (next === null) {
      desk.notice(`“${text}” is not a number. Type one with a point or a comma, as 1.5 or 1,5, or leave the field empty.`, "refused");
      input.value = write(value);
    } else how.take(next);
  });
  return {
    root: h("div", { class: "number" }, h("label", { for: id }, label), h("span", { class: "typed" }, input, unit)), input,
    /** @param {number | null} next @param {string} [unitText] */
    set(next, unitText) {
      const same = next === value && (unitText === undefined || unit.textContent === unitText);
      value = next;
      if (unitText !== undefined) say(unit, unitText);
      if (!same || document.activeElement !== input) input.value = write(next);
    },
  };
}

/** @param {string} id @param {string} title @param {...(Node | string | null)} children */
function section(id, title, ...children) {
  return h("section", { class: "part", "aria-labelledby": id }, h("h3", { id }, title), ...children);
}

/** @param {Desk} desk @returns {Part} */
export function bath(desk) {
  const parts = [pair(desk), temperature(desk), witness(desk), taken(desk)];
  const [first, ...others] = parts;
  return {
    root: h("div", { class: "day" }, first.root, h("div", { class: "day-parts" }, ...others.map((part) => part.root))),
    update(state) {
      for (const part of parts) part.update(state);
    },
  };
}

/** @param {Desk} desk @param {string} name @param {Partial<BathSettings>} part @param {string | null} [gesture] */
function change(desk, name, part, gesture = null) {
  desk.change(name, withBath(desk.state.settings, part), gesture);
}

/** The panel that says STOP or SHOP SIGN-OFF. */
export function verdict() {
  const word = h("strong", null);
  const said = h("span", null);
  const why = h("ul", { class: "reasons" });
  const root = h("div", { class: "pair-verdict", role: "status" }, h("p", { class: "word" }, word, said), why);
  return {
    root,
    /** @param {Bath} bath */
    set(bath) {
      const stop = bath.pair.verdict === "stop";
      assign(root, { "data-verdict": bath.pair.verdict });
      say(word, stop ? "STOP" : "SHOP SIGN-OFF");
      say(said, stop ? `${sentence(bath.pair.pair)}. No run sheet prints, and no list of bites is shown.` : `${bath.named ? sentence(bath.pair.pair) : "Metal and mordant not said"}. Only once whoever answers for the shop has agreed.`);
      const key = JSON.stringify(bath.pair.reasons);
      if (why.dataset.key === key) return;
      why.dataset.key = key;
      why.replaceChildren(...bath.pair.reasons.map((reason) => h("li", null, reason.verdict === "stop" ? h("b", null, "STOP ") : null, reason.words, reason.source.startsWith("none") ? null : h("cite", null, ` ${reason.source}`))));
    },
  };
}

/** @param {Desk} desk @returns {Part} */
function pair(desk) {
  const metal = wordsField("Metal", "not said", "Metal, in your words", METALS, (words) => change(desk, words ? `metal ${words}` : "metal not said", { metal: words }));
  const mordant = wordsField("Mordant", "not said", "Mordant, in your words", MORDANTS, (words) => change(desk, words ? `mordant ${words}` : "mordant not said", { mordant: words }));
  const before = wordsField("Has this tray bitten another metal?", "not asked yet", "What it has bitten", BEFORE, (words) => change(desk, "what the tray has bitten", { before: words }));
  const panel = verdict();
  return {
    root: section("h-pair", "Metal and mordant", metal.root, mordant.root, before.root, panel.root,
      h("p", { class: "aside" }, "No bath is called safe here, and no recipe is given. Where sources differ the stricter holds; the shop’s own rules, the safety data sheets and local codes come before this page. ", h("a", { href: "#cautions" }, "All cautions"))),
    update({ settings, plan }) {
      metal.set(settings.bath.metal);
      mordant.set(settings.bath.mordant);
      before.set(settings.bath.before);
      if (plan) panel.set(plan.bath);
    },
  };
}

/** @param {Desk} desk @returns {Part} */
function temperature(desk) {
  /** @type {"C" | "F"} */
  let degrees = "C";
  const units = radios("In", [["C", "°C"], ["F", "°F"]], (value) => {
    degrees = /** @type {"C" | "F"} */ (value);
    update(desk.state);
  });
  const how = {
    unit: "°C",
    read: (/** @type {string} */ text) => {
      const value = readNumber(text.replace(/°?\s*[CF]\s*$/i, ""));
      const own = /([CF])\s*$/i.exec(text.trim())?.[1]?.toUpperCase() ?? degrees;
      return value === null ? null : own === "F" ? (value - 32) / 1.8 : value;
    },
    write: (/** @type {number} */ celsius) => number(degrees === "F" ? celsius * 1.8 + 32 : celsius, 1),
  };
  const strip = optional(desk, "When the strip was bitten", { ...how, take: (strip_c) => change(desk, "the strip’s temperature", strip_c === null ? { strip_c, warmth_kj: null } : { strip_c }) });
  const today = optional(desk, "Today", { ...how, take: (today_c) => change(desk, "today’s temperature", today_c === null ? { today_c, warmth_kj: null } : { today_c }) });
  const said = h("p", null);
  const source = h("cite", null);
  const range = h("input", { id: "warmth", type: "range", step: 0.1 });
  const chosen = h("output", { class: "unit", for: "warmth" });
  const choose = h("div", { class: "slider" }, h("label", { for: "warmth" }, "Activation energy"), range, chosen);
  const apply = h("button", { type: "button", onclick: () => change(desk, "the temperature applied", { warmth_kj: Number(range.value) }) }, "Apply to all times");
  const off = h("button", { type: "button", onclick: () => change(desk, "the temperature taken off", { warmth_kj: null }) }, "Take it off again");
  const acts = h("div", { class: "acts" }, apply, off);
  range.addEventListener("input", () => tell(desk.state.plan?.bath));
  range.addEventListener("change", () => {
    // Every press of an arrow key is a change: all of them together are one thing to undo.
    if (desk.state.settings.bath.warmth_kj !== null) change(desk, "the energy applied", { warmth_kj: Number(range.value) }, "warmth");
  });
  range.addEventListener("blur", () => desk.settle());
  const root = section("h-warmth", "Warmth", h("p", { class: "aside" }, "A colder bath bites more slowly; by how much is not well known, so this is a band and a hint. Nothing changes unless you apply it."),
    units.root, h("div", { class: "fields" }, strip.root, today.root), said, source, choose, acts);

  /** @param {Bath | undefined} bath */
  function tell(bath) {
    if (!bath?.temperature) return;
    const { low, high } = bath.energies;
    const [least, most] = bath.temperature.factor;
    // Between the ends the factor is exponential in the energy: exact from the two ends alone.
    const share = high > low ? (Number(range.value) - low) / (high - low) : 0;
    const [at, to] = bath.temperature.factor[0] < 1 ? [most, least] : [least, most];
    const factor = at * (to / at) ** share;
    say(chosen, `${number(Number(range.value), 1)} kJ/mol: × ${number(factor, 2)}`);
  }

  /** @param {import("../../state.js").State} state */
  function update({ settings, plan }) {
    units.set(degrees);
    const noted = ownStrip(settings)?.about?.celsius ?? null;
    strip.set(settings.bath.strip_c ?? noted, `°${degrees}`);
    today.set(settings.bath.today_c, `°${degrees}`);
    if (!plan) return;
    const { temperature: band, energies, witness } = plan.bath;
    const one = energies.high - energies.low < 1e-9;
    for (const item of [choose, acts, source]) item.hidden = band === null;
    if (!band) return say(said, "Type both temperatures to see the band.");
    const [least, most] = band.factor.map((factor) => number(factor, 2));
    say(said, band.applied !== null && !witness ? `Applied: all times are ${number(band.applied, 2)} times the strip’s.`
      : `${one ? `All times × ${least}` : `All times between × ${least} and × ${most}`}, by published activation energies. ${witness ? "Today’s witness says more, and stands in its place." : "Not applied."}`);
    say(source, `${number(energies.low, 1)}${one ? "" : ` to ${number(energies.high, 1)}`} kJ/mol: ${energies.source}`);
    assign(range, { min: energies.low, max: energies.high });
    const value = String(band.applied_kj ?? (energies.low + energies.high) / 2);
    // While the plan is behind the hand, the hand's own place stands.
    if (document.activeElement !== range || settings.bath.warmth_kj === band.applied_kj && band.applied_kj !== null) range.value = value;
    choose.hidden = one;
    const held = acts.contains(document.activeElement);
    off.hidden = band.applied === null;
    apply.hidden = band.applied !== null || witness !== null || plan.strip.kind === "missing";
    if (held) (off.hidden ? apply : off).focus();
    tell(plan.bath);
  }
  return { root, update };
}

/** @param {Desk} desk @returns {Part} */
function witness(desk) {
  const seconds = h("input", { id: "witness-time", type: "text", inputmode: "decimal", autocomplete: "off" });
  const lightness = h("input", { id: "witness-l", type: "text", inputmode: "decimal", autocomplete: "off" });
  const said = h("p", null);
  const use = h("button", { type: "submit" }, "Scale all times by it");
  const off = h("button", { type: "button", onclick: () => desk.change("the witness taken off", { ...desk.state.settings, witness: null }) }, "Take it off");
  const form = h("form", {
    onsubmit: (/** @type {Event} */ event) => {
      event.preventDefault();
      const time = readTime(seconds.value);
      const l = readNumber(lightness.value);
      if (time === null) return desk.notice(`The witness’s time is “${seconds.value}”: type seconds or m:ss, as 95 or 1:35.`, "refused");
      if (l === null) return desk.notice(`The witness’s L* is “${lightness.value}”: type a number from 0 to 100.`, "refused");
      desk.change("a witness", { ...desk.state.settings, witness: { seconds: time, lightness: l } });
    },
  }, h("div", { class: "fields" },
    h("div", { class: "number" }, h("label", { for: "witness-time" }, "Time in the bath"), h("span", { class: "typed" }, seconds, h("span", { class: "unit" }, "s or m:ss"))),
    h("div", { class: "number" }, h("label", { for: "witness-l" }, "Its dry print"), h("span", { class: "typed" }, lightness, h("span", { class: "unit" }, "L*")))),
  h("div", { class: "acts" }, use, off));
  let shown = "";
  return {
    root: section("h-witness", "Witness of the day", h("p", { class: "aside" }, "First thing on the day, bite one scrap, grained with the plate, for one known time; print and read it dry. How long the strip took to the same tone scales all times: warmth, fatigue and strength at once."), form, said),
    update({ settings, plan }) {
      const key = JSON.stringify(settings.witness);
      if (key !== shown) {
        shown = key;
        seconds.value = settings.witness ? number(settings.witness.seconds, 1) : "";
        lightness.value = settings.witness ? number(settings.witness.lightness, 1) : "";
      }
      if (!plan) return;
      const missing = plan.strip.kind === "missing";
      use.disabled = missing;
      if (settings.witness === null && document.activeElement === off) use.focus();
      off.hidden = settings.witness === null;
      say(said, missing ? "A witness is compared with a strip, and there is none yet." : plan.bath.witness?.said ?? "None today: the strip’s own times stand.");
      said.className = plan.bath.witness?.unlikely ? "warned" : "";
    },
  };
}

/** @param {Desk} desk @returns {Part} */
function taken(desk) {
  /** @param {keyof BathSettings} name @param {string} label @param {string} unit @param {string} step */
  const field = (name, label, unit, step) => optional(desk, label, { unit, take: (value) => change(desk, step, { [name]: value }) });
  const depth = field("depth_um", "Blacks end at", "µm", "the depth assumed");
  const litres = field("litres", "In the tray", "litres", "the tray’s litres");
  const strength = field("strength_g_l", "Strength, your own figure", "g/L", "the bath’s strength");
  const capacity = field("capacity_g_l", "Or metal it can take", "g/L", "the bath’s capacity");
  const said = h("p", null);
  const share = h("p", null);
  return {
    root: section("h-taken", "Metal taken", h("p", { class: "aside" }, "What this plate gives up to the bath: a note on fatigue, no correction. Strength and capacity are figures of your own bath; none is suggested."),
      h("div", { class: "fields" }, depth.root, litres.root, strength.root, capacity.root), said, share),
    update({ settings, plan }) {
      litres.set(settings.bath.litres);
      strength.set(settings.bath.strength_g_l);
      capacity.set(settings.bath.capacity_g_l);
      if (!plan) return;
      const { taken: metal, depth_um } = plan.bath;
      depth.set(settings.bath.depth_um ?? depth_um);
      say(said, metal
        ? `At most ${number(metal.grams, 2)} g of ${settings.bath.metal}, if the blacks end ${number(depth_um, 1)}\u00a0µm deep and depth grows evenly with time: assumptions, no facts. The grain is not taken off; about half of what is bare lies under it.`
        : plan.strip.kind === "missing" ? "It needs a strip: the depth of each bite goes by its time." : "Name the metal, zinc, copper or aluminium, to see how much of it this plate gives up.");
      say(share, !metal ? "" : metal.share !== null && metal.capacity_g !== null
        ? `That is ${percent(metal.share)} of the ${number(metal.capacity_g, 1)} g this tray would ideally take up. A bath tires well before that: bite a witness.`
        : "With litres and a strength or capacity of your own, it is said as a share of what the tray ideally takes up.");
    },
  };
}
