/** The printer's own strip, typed. */
import { h, table } from "../../dom.js";
import { number, readNumber, readTime } from "../../format.js";
import { EXAMPLE_STRIP } from "../../settings.js";

/** Rows offered at first for a strip of one's own, the paper's among them. */
const ROWS = 10;
/** More bands than anyone reads. */
const MOST_ROWS = 61;

/** @param {import("../../state.js").Desk} desk @returns {import("../../state.js").Part & { give(bands: { lightness: number }[]): void }} */
export function reading(desk) {
  const name = h("input", { type: "text", id: "strip-id", autocomplete: "off", maxlength: 20, "aria-required": "true" });
  /** @type {{ seconds: HTMLInputElement, lightness: HTMLInputElement }[]} */
  const rows = [];
  const readings = table("Readings", ["Band", "Total", "L*"], [], { class: "readings" });
  const more = h("button", { type: "button", onclick: () => grow(rows.length + 1)?.seconds.focus() }, "Add a band");

  /** Rows for so many readings. @param {number} length */
  function grow(length) {
    while (rows.length < Math.min(length, MOST_ROWS)) {
      const i = rows.length;
      const seconds = h("input", { type: "text", inputmode: "decimal", autocomplete: "off", "aria-label": `Reading ${i + 1}, total time`, value: i === 0 ? "0" : "" });
      const lightness = h("input", { type: "text", inputmode: "decimal", autocomplete: "off", "aria-label": `Reading ${i + 1}, L* of the dry print` });
      rows.push({ seconds, lightness });
      readings.tBodies[0].append(h("tr", null, h("th", { scope: "row" }, i === 0 ? "paper" : String(i)), h("td", null, seconds), h("td", null, lightness)));
    }
    more.disabled = rows.length >= MOST_ROWS;
    return rows.at(-1);
  }
  grow(ROWS);
  const own = h("form", { class: "own", onsubmit: use },
    h("h3", null, "Your strip"),
    h("p", { class: "aside" }, "Total time in the bath for each band, and the L* of its dry print. The first reading is the paper, at 0 s. Type seconds or m:ss, with a comma or a point."),
    h("div", { class: "number" }, h("label", { for: "strip-id" }, "Called"), h("span", { class: "typed" }, name)),
    readings,
    h("div", { class: "acts" }, more), h("div", { class: "acts" }, h("button", { type: "submit", class: "first" }, "Use my strip"),
      h("button", { type: "button", onclick: () => desk.change("the example strip", { ...desk.state.settings, strip: null }) }, `Use the example ${EXAMPLE_STRIP}`),
      h("button", { type: "button", onclick: copy }, "Copy its readings here")));

  /** @param {Event} event */
  function use(event) {
    event.preventDefault();
    /** @type {[number, number][]} */
    const typed = [];
    for (const [i, row] of rows.entries()) {
      if (!row.seconds.value.trim() && !row.lightness.value.trim()) continue;
      const band = i === 0 ? "the paper" : `band ${i}`;
      if (i === 0 && !row.lightness.value.trim()) return desk.notice("The paper's L* is missing. Read it from the strip's unbitten end and type it beside 0 s.", "refused");
      const seconds = readTime(row.seconds.value);
      const lightness = readNumber(row.lightness.value);
      if (seconds === null) return desk.notice(`The time of ${band} is “${row.seconds.value}”: type seconds or m:ss, as 95 or 1:35.`, "refused");
      if (lightness === null) return desk.notice(`The L* of ${band} is “${row.lightness.value}”: type a number from 0 to 100.`, "refused");
      typed.push([seconds, lightness]);
    }
    const called = name.value.trim();
    if (called === "" || called.toUpperCase() === EXAMPLE_STRIP) {
      name.value = "";
      name.focus();
      return desk.notice(`${called ? `“${called}” is the name of the example strip.` : "Your strip has no name yet."} Give it one of your own, as the plate, the day or the bath it was bitten in.`, "refused");
    }
    desk.notice("");
    desk.change("my strip", { ...desk.state.settings, strip: { id: called, readings: typed } });
  }

  function copy() {
    const { plan } = desk.state;
    grow(plan?.strip_readings.length ?? 0);
    rows.forEach((row, i) => {
      const reading = plan?.strip_readings[i];
      row.seconds.value = reading ? number(reading[0], 2) : "";
      row.lightness.value = reading ? number(reading[1], 2) : "";
    });
    name.value = plan?.strip.kind === "measured" ? plan.strip.id : "";
  }

  /** L* read elsewhere, put into the rows in their order. @param {{ lightness: number }[]} bands */
  function give(bands) {
    grow(bands.length);
    bands.forEach((band, i) => { rows[i].lightness.value = number(band.lightness, 1); });
    rows[1]?.seconds.focus();
  }
  return { root: own, give, update() {} };
}
