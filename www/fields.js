/** Fields of the page: one of a few words, a number with its unit, a slider with its number. */
import { assign, h, say } from "./dom.js";
import { length, number, readLength, readNumber } from "./format.js";

let names = 0;

/**
 * A row of words, one of them chosen.
 * @param {string} label @param {[string, string][]} choices value and word @param {(value: string) => void} chosen
 */
export function radios(label, choices, chosen) {
  const name = `choice-${++names}`;
  const inputs = choices.map(([value, word]) => {
    const input = h("input", { type: "radio", name, value, onchange: () => chosen(value) });
    return { input, root: h("label", null, input, h("span", null, word)) };
  });
  const root = h("fieldset", { class: "choice" }, h("legend", null, label), h("div", { class: "words" }, ...inputs.map((item) => item.root)));
  return {
    root,
    /** @param {string} value */
    set(value) {
      for (const { input } of inputs) input.checked = input.value === value;
    },
    /** Brings the keyboard to the one chosen. */
    focus() {
      inputs.find(({ input }) => input.checked)?.input.focus({ preventScroll: true });
    },
  };
}

/**
 * A number. Enter or leaving the field takes it; what is no number is said and the old value comes back.
 * @param {string} label
 * @param {{ read(text: string): number | null, write(value: number): string, take(value: number): boolean | void, refuse(text: string): void, unit?: string }} how `take` gives false for a number it refused
 */
export function numberField(label, how) {
  const id = `field-${++names}`;
  let value = 0;
  const input = h("input", { id, type: "text", inputmode: "decimal", autocomplete: "off", spellcheck: "false" });
  const unit = h("span", { class: "unit" }, how.unit ?? "");
  const take = () => {
    if (input.value.trim() === how.write(value)) return;
    const next = how.read(input.value);
    if (next === null) {
      how.refuse(`“${input.value}” is not a number. Type one with a point or a comma, as 1.5 or 1,5.`);
      input.value = how.write(value);
    } else if (next === value) input.value = how.write(value);
    else if (how.take(next) === false) input.value = how.write(value);
  };
  input.addEventListener("change", take);
  input.addEventListener("keydown", (event) => {
    if (event.key === "Enter") take();
  });
  return {
    root: h("div", { class: "number" }, h("label", { for: id }, label), h("span", { class: "typed" }, input, unit)),
    input,
    /** @param {number} next @param {string} [unitText] */
    set(next, unitText) {
      // An empty field's number is NaN, which is equal to itself here: what is being typed into it stays.
      const same = Object.is(next, value) && unit.textContent === (unitText ?? unit.textContent);
      value = next;
      if (unitText !== undefined) say(unit, unitText);
      if (!same || document.activeElement !== input) input.value = how.write(next);
    },
  };
}

/** A length in the units of the page. @param {import("./state.js").Desk} desk @param {string} label @param {(mm: number) => void} take */
export function lengthField(desk, label, take) {
  const field = numberField(label, {
    read: (text) => readLength(text, desk.state.units),
    write: (mm) => length(mm, desk.state.units),
    take,
    refuse: (sentence) => desk.notice(sentence, "refused"),
  });
  return { root: field.root, set: (/** @type {number} */ mm) => field.set(mm, desk.state.units) };
}

/**
 * A slider and its number. While it is being moved the desk knows, and pictures are quick.
 * @param {import("./state.js").Desk} desk @param {string} label
 * @param {{ min: number, max: number, step: number, unit: string, words?: (value: number) => string, take(value: number, gesture: string): void, typed?(value: number): boolean | void }} how `typed` takes a number as it was typed, unclamped
 */
export function slider(desk, label, how) {
  const id = `slider-${++names}`;
  const range = h("input", { id, type: "range", min: how.min, max: how.max, step: how.step });
  const field = numberField(`${label}, typed`, {
    read: readNumber, write: (value) => number(value, 2), unit: how.unit,
    take: (value) => how.typed ? how.typed(value) : how.take(value, `typed ${id}`), refuse: (sentence) => desk.notice(sentence, "refused"),
  });
  field.root.firstElementChild?.classList.add("hidden");
  range.addEventListener("input", () => {
    // Read first: what follows the state sets the slider back to the value it had.
    const value = Number(range.value);
    if (!desk.state.dragging) desk.set({ dragging: true });
    how.take(value, id);
  });
  range.addEventListener("change", () => {
    desk.settle();
    desk.set({ dragging: false });
  });
  return {
    root: h("div", { class: "slider" }, h("label", { for: id }, label), range, field.root),
    /** @param {number} value */
    set(value) {
      if (Number(range.value) !== value) range.value = String(value);
      assign(range, { "aria-valuetext": how.words?.(value) ?? `${number(value, 2)} ${how.unit}` });
      range.style.setProperty("--at", String((value - how.min) / (how.max - how.min)));
      field.set(value);
    },
  };
}
