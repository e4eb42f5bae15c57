/** Fields of the proof: a number within its range that refuses in a sentence, a colour, a choice from a list, a checkbox. */
import { h, say } from "../../dom.js";
import { lengthField, numberField } from "../../fields.js";
import { INCH_MM, length, number, readNumber } from "../../format.js";
import { outside } from "./words.js";

/** @typedef {import("../../state.js").Desk} Desk */

/** So long after the last colour the picture may take its time again, ms. */
const CALM_MS = 350;
let names = 0;

/**
 * A number within a range. `what` as in "A trap".
 * @param {Desk} desk @param {string} label
 * @param {{ what: string, range: [number, number], unit?: string, places?: number, take(value: number): void }} how
 */
export function rangedField(desk, label, { what, range, unit = "", places = 2, take }) {
  return numberField(label, {
    read: readNumber, write: (value) => number(value, places), unit, refuse: (sentence) => desk.notice(sentence, "refused"),
    take: (value) => {
      const near = within(value, range, 10 ** -places);
      if (near !== null) return take(near);
      desk.notice(outside(what, range, unit, value, places), "refused");
      return false;
    },
  });
}

/** A length within a range, in the units of the page. @param {Desk} desk @param {string} label @param {{ what: string, range: [number, number], take(mm: number): void }} how */
export function rangedLength(desk, label, { what, range, take }) {
  return lengthField(desk, label, /** @type {(mm: number) => void} */ ((mm) => {
    const { units } = desk.state;
    const near = within(mm, range, units === "in" ? INCH_MM / 1000 : 0.01);
    if (near !== null) return take(Math.round(near * 1000) / 1000);
    const shown = units === "in" ? { range: /** @type {[number, number]} */ (range.map((each) => each / INCH_MM)), came: mm / INCH_MM, places: 3 } : { range, came: mm, places: 2 };
    desk.notice(outside(what, shown.range, units, shown.came, shown.places), "refused");
    return false;
  }));
}

/** A value in its range, or the end of it that is shown alike: within half of the last place. Null: neither. @param {number} value @param {[number, number]} range @param {number} place the last that is shown */
export function within(value, [low, high], place) {
  const near = Math.min(high, Math.max(low, value));
  return Math.abs(near - value) <= place / 2 ? near : null;
}

/** "2 mm" in the units of the page. @param {number} mm @param {import("../../format.js").Units} units */
export function inUnits(mm, units) {
  return `${length(mm, units)} ${units}`;
}

/**
 * A colour. While it is being chosen pictures are quick.
 * @param {Desk} desk @param {string} label @param {(hex: string) => void} take
 */
export function colourField(desk, label, take) {
  const id = `colour-${++names}`;
  const input = h("input", { type: "color", id });
  const hex = h("span", { class: "unit" });
  let timer = 0;
  input.addEventListener("input", () => {
    const value = input.value;
    if (!desk.state.dragging) desk.set({ dragging: true });
    take(value);
    clearTimeout(timer);
    timer = setTimeout(() => desk.set({ dragging: false }), CALM_MS);
  });
  return {
    root: h("div", { class: "number colour" }, h("label", { for: id }, label), h("span", { class: "typed" }, input, hex)),
    input,
    /** @param {string} value */
    set(value) {
      if (input.value !== value) input.value = value;
      say(hex, value);
    },
  };
}

/**
 * One of a list that grows.
 * @param {string} label @param {(value: string) => void} chosen
 */
export function listField(label, chosen) {
  const id = `list-${++names}`;
  const select = h("select", { id, onchange: () => chosen(select.value) });
  let made = "";
  return {
    root: h("div", { class: "number chosen" }, h("label", { for: id }, label), select),
    /** @param {string} value @param {[string, string][]} choices value and word */
    set(value, choices) {
      const key = JSON.stringify(choices);
      if (key !== made) {
        made = key;
        select.replaceChildren(...choices.map(([each, word]) => h("option", { value: each }, word)));
      }
      select.value = value;
    },
  };
}

/** Words of one's own. @param {string} label @param {(text: string) => void} take */
export function nameField(label, take) {
  const id = `name-${++names}`;
  let before = "";
  const input = h("input", { type: "text", id, maxlength: 40, autocomplete: "off", spellcheck: "false", onchange: () => {
    const text = input.value.trim();
    if (text) take(text);
    else input.value = before;
  } });
  return {
    root: h("div", { class: "number named" }, h("label", { for: id }, label), input),
    /** @param {string} text */
    set(text) {
      before = text;
      if (document.activeElement !== input) input.value = text;
    },
  };
}

/** @param {string} label @param {(on: boolean) => void} take */
export function checkbox(label, take) {
  const input = h("input", { type: "checkbox", onchange: () => take(input.checked) });
  return {
    root: h("label", { class: "check" }, input, h("span", null, label)),
    /** @param {boolean} on */
    set(on) { input.checked = on; },
  };
}

/** An ink by place as a list has it. @param {import("../../../web/types.d.ts").ProofSettings} proof @returns {[string, string][]} */
export function inkChoices({ inks }) {
  return [["", "the strip’s own"], ...inks.map((ink, i) => /** @type {[string, string]} */ ([String(i), ink.name]))];
}

/** What a list gives for an ink, and back. @param {number | null} ink */
export function inkValue(ink) {
  return ink === null ? "" : String(ink);
}

/** @param {string} value @returns {number | null} */
export function inkOf(value) {
  return value === "" ? null : Number(value);
}

/**
 * As many parts as there are things in a list, made when they are first needed and kept.
 * @template T @param {HTMLElement} parent @param {(index: number) => { root: HTMLElement, update(item: T, state: import("../../state.js").State): void }} make
 */
export function rows(parent, make) {
  /** @type {ReturnType<typeof make>[]} */
  const made = [];
  return {
    /** @param {readonly T[]} list @param {import("../../state.js").State} state */
    update(list, state) {
      while (made.length > list.length) {
        const root = made.pop()?.root;
        const held = root?.contains(document.activeElement);
        root?.remove();
        // The keyboard stays where the list is.
        const last = [...made.at(-1)?.root.querySelectorAll("button") ?? []].findLast((button) => button.offsetParent !== null);
        if (held) (last ?? parent.closest("details")?.querySelector("summary"))?.focus({ preventScroll: true });
      }
      while (made.length < list.length) {
        const row = make(made.length);
        made.push(row);
        parent.append(row.root);
      }
      list.forEach((item, i) => made[i].update(item, state));
    },
  };
}
