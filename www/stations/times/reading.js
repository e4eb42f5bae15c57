/** The printer's own strip: typed, pasted or read off a photograph, asked about once, then used and kept. */
import { h, say, table } from "../../dom.js";
import { radios } from "../../fields.js";
import { clock, number, readCelsius } from "../../format.js";
import { EXAMPLE_STRIP, ownStrip } from "../../settings.js";
import { day } from "../../shelf.js";
import { kept, strips } from "./kept.js";

/** @typedef {import("../../../web/types.d.ts").Meaning} Meaning */
/** @typedef {import("../../../web/types.d.ts").Quantity} Quantity */
/** @typedef {import("../../../web/types.d.ts").StripAbout} StripAbout */
/** @typedef {import("../../../web/types.d.ts").StripSettings} StripSettings */

/** Rows offered at first for a strip of one's own, the paper's among them. */
const ROWS = 10;
/** More bands than anyone reads. */
const MOST_ROWS = 61;
/** @type {[Quantity, string][]} */
const QUANTITIES = [["lightness", "L*"], ["density", "density"], ["percent", "reflectance %"]];
/** @type {[NonNullable<StripAbout["read"]>, string][]} */
const READ = [["meter", "a meter"], ["photo", "a photo"], ["scan", "a scan"], ["by_eye", "the eye"]];
/** @type {[NonNullable<StripSettings["made"]>, string][]} */
const MADE = [["one_dip", "in one dip"], ["covered", "covered between dips"]];
/** @type {[keyof StripAbout & string, string, string][]} */
const WORDS = [["bath", "Bath", "as you call it"], ["agitation", "Moved", "still, rocked, feathered"], ["grain", "Grain", "rosin, box load 3"], ["ink", "Ink", ""], ["paper", "Paper", ""]];

/** @param {import("../../state.js").Desk} desk */
export function reading(desk) {
  const name = h("input", { type: "text", id: "strip-id", autocomplete: "off", maxlength: 20, "aria-required": "true" });
  /** @type {{ seconds: HTMLInputElement, lightness: HTMLInputElement }[]} */
  const rows = [];
  const readings = table("Readings", ["Band", "Time", "L*"], [], { class: "readings" });
  const unit = /** @type {HTMLElement} */ (readings.tHead?.rows[0].cells[2]);
  const more = h("button", { type: "button", onclick: () => grow(rows.length + 1)?.seconds.focus() }, "Add a band");
  let quantity = /** @type {Quantity} */ ("lightness");
  let read = /** @type {NonNullable<StripAbout["read"]>} */ ("meter");
  let made = /** @type {NonNullable<StripSettings["made"]>} */ ("one_dip");
  /** Times the printer has said the meaning of. */
  let confirmed = "";

  /** Rows for so many readings. @param {number} length */
  function grow(length) {
    while (rows.length < Math.min(length, MOST_ROWS)) {
      const i = rows.length;
      const seconds = h("input", { type: "text", inputmode: "decimal", autocomplete: "off", "aria-label": `Reading ${i + 1}, time`, value: i === 0 ? "0" : "" });
      const lightness = h("input", { type: "text", inputmode: "decimal", autocomplete: "off", "aria-label": `Reading ${i + 1}, what was read` });
      rows.push({ seconds, lightness });
      readings.tBodies[0].append(h("tr", null, h("th", { scope: "row" }, i === 0 ? "paper" : String(i)), h("td", null, seconds), h("td", null, lightness)));
    }
    more.disabled = rows.length >= MOST_ROWS;
    return rows.at(-1);
  }
  grow(ROWS);
  readings.addEventListener("paste", (event) => {
    const text = event.clipboardData?.getData("text/plain") ?? "";
    if (!/[\n\t;]/.test(text.trim())) return;
    event.preventDefault();
    paste(text);
  });

  const quantities = radios("Read as", QUANTITIES, (value) => setQuantity(/** @type {Quantity} */ (value)));
  const how = radios("Read with", READ, (value) => { setRead(/** @type {any} */ (value)); });
  const eye = h("p", { class: "aside" }, "Held against a printed grey scale whose L* is known. The eye is off by 3 L* easily; times by eye say so.");
  const making = radios("Made", MADE, (value) => { made = /** @type {any} */ (value); });
  const bitten = h("input", { type: "date", id: "strip-bitten", autocomplete: "off" });
  const warmth = h("input", { type: "text", id: "strip-celsius", inputmode: "decimal", autocomplete: "off" });
  const words = WORDS.map(([key, label, hint]) => {
    const input = h("input", { type: "text", id: `strip-${key}`, autocomplete: "off", maxlength: 60, placeholder: hint || null });
    return { key, input, root: h("div", { class: "number" }, h("label", { for: input.id }, label), h("span", { class: "typed" }, input)) };
  });
  const pasted = h("textarea", { id: "strip-pasted", rows: 6, spellcheck: "false", placeholder: "0\t89\n5\t85\n10\t81" });
  const ask = h("div", { class: "asked", role: "group", "aria-labelledby": "h-asked", hidden: true });

  /** @param {Quantity} next */
  function setQuantity(next) {
    quantity = next;
    quantities.set(next);
    say(unit, QUANTITIES.find(([value]) => value === next)?.[1] ?? "reflectance");
  }
  /** @param {NonNullable<StripAbout["read"]>} next */
  function setRead(next) {
    read = next;
    how.set(next);
    eye.hidden = next !== "by_eye";
  }
  setQuantity("lightness");
  setRead("meter");
  making.set(made);

  const list = kept(desk, fill);
  const submit = h("button", { type: "submit", class: "first" }, "Use my strip");
  const own = h("form", { class: "own", onsubmit: use },
    h("h3", null, "Your strip"),
    h("p", { class: "aside" }, "One row a band: its time, and what you read on the dry print. The first is the paper, never bitten. Seconds or m:ss, comma or point; a whole table may be pasted."),
    h("div", { class: "fields" }, h("div", { class: "number" }, h("label", { for: "strip-id" }, "Called"), h("span", { class: "typed" }, name)),
      h("div", { class: "number" }, h("label", { for: "strip-bitten" }, "Bitten on"), h("span", { class: "typed" }, bitten))),
    quantities.root, how.root, eye, readings,
    h("div", { class: "acts" }, more),
    ask,
    h("div", { class: "acts" }, submit,
      h("button", { type: "button", onclick: copy }, "Copy the readings in use")),
    h("details", { class: "pasting" }, h("summary", null, "Paste a table"),
      h("label", { for: "strip-pasted" }, "Times and readings, one band a line"), pasted,
      h("div", { class: "acts" }, h("button", { type: "button", onclick: () => paste(pasted.value) }, "Put it into the rows"))));
  const besides = h("section", { class: "part", "aria-labelledby": "h-bitten-with" }, h("h3", { id: "h-bitten-with" }, "What it was bitten with"),
    h("p", { class: "aside" }, "A strip speaks for its own bath, day and grain. What you note here stands beside every time."),
    making.root,
    h("p", { class: "aside" }, "In one dip: the strip was drawn out band by band and never came back. Covered: it was lifted, rinsed and stopped out between dips, as the plate is."),
    h("div", { class: "fields" }, h("div", { class: "number" }, h("label", { for: "strip-celsius" }, "Bath was at"), h("span", { class: "typed" }, warmth, h("span", { class: "unit" }, "°C"))), ...words.map((word) => word.root)));
  const example = h("div", { class: "acts" }, h("button", { type: "button", onclick: () => desk.change("the example strip", { ...desk.state.settings, strip: null }) }, `Use the example ${EXAMPLE_STRIP}`));
  const root = h("div", { class: "side strips" }, own, h("div", { class: "column" }, besides, list.root, example));

  /** The rows that hold anything. */
  function typed() {
    const last = rows.findLastIndex((row, i) => row.lightness.value.trim() !== "" || (i > 0 && row.seconds.value.trim() !== ""));
    return rows.slice(0, last + 1).map((row) => ({ time: row.seconds.value.trim(), value: row.lightness.value.trim() }));
  }

  /** @param {Event} event */
  async function use(event) {
    event.preventDefault();
    ask.hidden = true;
    const called = name.value.trim();
    if (called === "" || called.toUpperCase() === EXAMPLE_STRIP) {
      name.value = "";
      name.focus();
      return desk.notice(`${called ? `“${called}” is the name of the example strip.` : "Your strip has no name yet."} Give it one of your own, as the plate, the day or the bath it was bitten in.`, "refused");
    }
    const warm = warmth.value.trim();
    const celsius = warm === "" ? null : readCelsius(warm);
    if (warm !== "" && celsius === null) {
      warmth.focus();
      return desk.notice(`The bath's temperature is “${warm}”: type degrees Celsius, as 19 or 19,5, or Fahrenheit with its letter, as 66 F, or leave it empty.`, "refused");
    }
    const given = typed();
    try {
      const { meanings, lightness } = await desk.bridge.call("strip_typed", { rows: given, quantity });
      const times = given.map((row) => row.time).join("|");
      const before = meanings.find((meaning) => `${times}=${meaning.totals_s.join("|")}` === confirmed);
      if (before) take(called, before, lightness, celsius);
      else question(meanings, (meaning) => {
        confirmed = `${times}=${meaning.totals_s.join("|")}`;
        ask.hidden = true;
        submit.focus({ preventScroll: true });
        take(called, meaning, lightness, celsius);
      });
    } catch (error) {
      desk.notice(/** @type {Error} */ (error).message, "refused");
    }
  }

  /** Shows every meaning of the times, with its longest band, and waits for one to be chosen. @param {Meaning[]} meanings @param {(meaning: Meaning) => void} chosen */
  function question(meanings, chosen) {
    const several = new Set(meanings.map((meaning) => meaning.unit)).size > 1;
    const only = !meanings.some((meaning) => meaning.lists === "totals");
    const answers = meanings.map((meaning) => h("button", { type: "button", onclick: () => chosen(meaning) }, ...meant(meaning, several)));
    ask.replaceChildren(h("h4", { id: "h-asked" }, "What do these times list?"),
      h("p", { class: "aside" }, only
        ? "They don't rise from row to row, so they can't be totals. Say that they are dips, or mend the rows."
        : "Numbers that rise prove nothing: dips that double rise too. Which was the longest band?"),
      h("div", { class: "answers" }, ...answers));
    ask.hidden = false;
    desk.notice("");
    answers[0].focus();
    ask.scrollIntoView({ block: "nearest" });
  }

  /** @param {string} id @param {Meaning} meaning @param {number[]} lightness @param {number | null} celsius */
  function take(id, meaning, lightness, celsius) {
    /** @type {StripSettings} */
    const strip = {
      id, made, readings: meaning.totals_s.map((total, i) => /** @type {[number, number]} */ ([total, lightness[i]])),
      about: { bitten: bitten.value, celsius, read, ...Object.fromEntries(words.map((word) => [word.key, word.input.value.trim()])) },
    };
    waiting = strip;
    desk.notice("");
    desk.change(`strip ${id}`, { ...desk.state.settings, strip });
  }
  /** A strip that is kept as soon as a plan was made with it: what the core refuses is not. @type {StripSettings | null} */
  let waiting = null;

  /** @param {string} text */
  async function paste(text) {
    try {
      const found = await desk.bridge.call("strip_pasted", { text });
      grow(found.rows.length);
      rows.forEach((row, i) => {
        row.seconds.value = found.rows[i]?.time ?? "";
        row.lightness.value = found.rows[i]?.value ?? "";
      });
      if (found.quantity) setQuantity(found.quantity);
      ask.hidden = true;
      desk.notice([`${found.rows.length} rows were pasted, in the order they came.`, ...found.notes].join(" "));
    } catch (error) {
      desk.notice(/** @type {Error} */ (error).message, "refused");
    }
  }

  /** Puts a strip into the form; its times are totals and were confirmed. @param {StripSettings} strip */
  function fill(strip) {
    grow(strip.readings.length);
    rows.forEach((row, i) => {
      const pair = strip.readings[i];
      row.seconds.value = pair ? number(pair[0], 2) : "";
      row.lightness.value = pair ? number(pair[1], 2) : "";
    });
    setQuantity("lightness");
    setRead(strip.about?.read ?? "meter");
    made = strip.made ?? "one_dip";
    making.set(made);
    name.value = strip.id;
    bitten.value = strip.about?.bitten ?? "";
    warmth.value = strip.about?.celsius === null || strip.about?.celsius === undefined ? "" : number(strip.about.celsius, 1);
    for (const word of words) word.input.value = String(strip.about?.[word.key] ?? "");
    const given = typed();
    confirmed = `${given.map((row) => row.time).join("|")}=${strip.readings.map(([total]) => total).join("|")}`;
    ask.hidden = true;
    own.scrollIntoView({ block: "nearest" });
  }

  function copy() {
    const { plan, planned } = desk.state;
    const own = ownStrip(planned);
    if (own) return fill(own);
    fill({ id: "", readings: plan?.strip_readings ?? [] });
    confirmed = "";
  }

  /** L* read elsewhere, put into the rows in their order. A band that could not be told is null: its row stays empty. @param {{ lightness: number | null }[]} bands @param {"photo" | "scan"} from */
  function give(bands, from) {
    grow(bands.length);
    rows.forEach((row, i) => {
      const lightness = bands[i]?.lightness ?? null;
      row.lightness.value = lightness === null ? "" : number(lightness, 1);
    });
    setQuantity("lightness");
    setRead(from);
    desk.notice(`${bands.length} readings stand in the rows, the paper first. Type the time of each band beside them.`);
    rows[1]?.seconds.focus();
  }

  return {
    root, give,
    /** @param {import("../../state.js").State} state */
    update(state) {
      if (!bitten.value && !name.value) bitten.max = day(new Date());
      if (waiting && state.planned?.strip === waiting) {
        if (state.plan?.strip.kind === "measured" && !strips.put(waiting, new Date())) desk.notice("This browser keeps nothing (a private window, or its storage is full): the strip is in use, but will be gone when the page is closed.");
        waiting = null;
      }
      list.update(state);
    },
  };
}

/** A meaning in words. @param {Meaning} meaning @param {boolean} several whether units differ among the meanings */
function meant(meaning, several) {
  const of = { seconds: "in seconds", minutes: "in minutes", minutes_and_seconds: "in minutes and seconds" }[meaning.unit];
  const lead = meaning.lists === "totals" ? "Totals" : "Dips, each added to the one before";
  return [h("strong", null, `${lead}${several ? `, ${of}` : ""}`),
    h("span", null, `longest band ${clock(meaning.longest_s)} (${number(meaning.longest_s, 1)} s)`)];
}
