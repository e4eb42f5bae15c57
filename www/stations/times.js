/** Times: the strip that turns tones into bites, typed by the printer or the example, its curve, and the bites. */
import { h, say, svg, table } from "../dom.js";
import { numberField } from "../fields.js";
import { clock, number, readNumber, readTime } from "../format.js";
import { EXAMPLE_STRIP } from "../settings.js";

/** @typedef {import("../state.js").State} State */

/** Rows offered at first for a strip of one's own, the paper's among them. */
const ROWS = 10;
/** More bands than anyone reads. */
const MOST_ROWS = 61;

/** @param {import("../state.js").Desk} desk @returns {import("../state.js").Part} */
export function times(desk) {
  const badge = h("p", { class: "example large" }, "EXAMPLE, NOT YOUR BATH");
  const said = h("p", { class: "lead" });
  const chart = h("div", { class: "chart" });
  const bites = h("div", { class: "scroll", tabindex: 0, role: "region", "aria-label": "Table of the bites" });
  const name = h("input", { type: "text", id: "strip-id", autocomplete: "off", maxlength: 20, "aria-required": "true" });
  const reserve = numberField("Reserve", {
    read: readNumber, write: (value) => number(value, 2), unit: "L*",
    take: (value) => desk.change("reserve", { ...desk.state.settings, reserve_l: value }), refuse: (sentence) => desk.notice(sentence, "refused"),
  });
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

  const root = h("section", { class: "station times", "aria-labelledby": "h-times" },
    h("div", { class: "top" }, h("h2", { id: "h-times" }, "Times"), said, badge),
    h("div", { class: "side" }, h("div", { class: "wide" }, chart,
      h("div", { class: "reserve" }, reserve.root, h("p", { class: "aside" }, "Lightness kept back from the strip's darkest reading, 0 to 20: a larger reserve ends on a lighter black and shortens the last bite.")), bites), own));
  return {
    root,
    update(state) {
      const { plan } = state;
      reserve.set(state.settings.reserve_l);
      if (!plan) return;
      const example = plan.strip.kind === "example";
      badge.hidden = !example;
      say(said, example && state.planned?.strip
        ? `These are the readings of the example strip ${EXAMPLE_STRIP}, so the times stay an example. Bite a strip of your own, grained with the plate, and type what you read.`
        : example
        ? "Strip 15-A is an example: it shows how times follow from a test strip. Bite a strip of your own, grained with the plate, and type its readings."
        : `By strip ${plan.strip.id}, as you read it. A strip speaks for its own bath, day and temperature.`);
      chart.replaceChildren(curve(state));
      const ranged = plan.tones.some((tone) => tone.range_s);
      bites.replaceChildren(table(example ? "The bites, by the example strip" : `The bites, by strip ${plan.strip.id}`,
        ["Tone", "Set the clock to", "Total", "Bite", "L*", ...(ranged ? ["Range of total"] : [])],
        plan.tones.map((tone, k) => [String(k), k ? h("strong", null, clock(tone.set_s)) : "—", k ? clock(tone.shown_total_s) : "paper", k ? `${number(tone.bite_s)} s` : "—",
          number(tone.lightness),
          ...(ranged ? [tone.range_s ? `${clock(tone.range_s[0])} to ${clock(tone.range_s[1])}` : "—"] : [])])));
    },
  };
}

/** L* against ln(1 + t/5 s), dark downwards, with the readings and the plan's rungs. @param {State} state */
function curve(state) {
  const plan = /** @type {import("../../web/types.d.ts").Plan} */ (state.plan);
  // On a phone the chart is drawn narrow rather than shrunk, so that its words keep their size; its key takes a line of its own.
  const narrow = window.matchMedia("(max-width: 640px)").matches;
  const [W, H, left, right, top, foot] = narrow ? [350, 336, 34, 10, 34, 66] : [640, 344, 40, 12, 34, 44];
  const last = plan.strip_readings[plan.strip_readings.length - 1][0];
  /** @param {number} t */
  const x = (t) => left + (W - left - right) * Math.log1p(t / 5) / Math.log1p(last / 5);
  const high = Math.ceil(Math.max(...plan.strip_readings.map((r) => r[1])) / 10) * 10;
  const low = Math.floor(Math.min(...plan.strip_readings.map((r) => r[1])) / 10) * 10;
  /** @param {number} l */
  const y = (l) => top + (H - top - foot) * (high - l) / (high - low);
  const parts = [];
  for (let l = low; l <= high; l += 10) {
    parts.push(svg("line", { class: "hair", x1: left, x2: W - right, y1: y(l), y2: y(l) }), svg("text", { x: left - 8, y: y(l) + 4, "text-anchor": "end" }, String(l)));
  }
  for (const t of [0, 10, 30, 60, 120, 300, 600, 1200, 2400]) {
    if (t > last) break;
    parts.push(svg("line", { class: "tick", x1: x(t), x2: x(t), y1: H - foot, y2: H - foot + 6 }), svg("text", { x: x(t), y: H - foot + 21, "text-anchor": "middle" }, clock(t)));
  }
  for (const tone of plan.tones.slice(1)) {
    parts.push(svg("path", { class: "rung", d: `M${left} ${y(tone.lightness)}H${x(tone.total_s)}V${H - foot}` }));
  }
  parts.push(svg("path", { class: "curve", d: plan.curve.map(([t, l], i) => `${i ? "L" : "M"}${x(t).toFixed(1)} ${y(l).toFixed(1)}`).join("") }));
  for (const [t, l] of plan.strip_readings) parts.push(svg("circle", { class: "reading", cx: x(t), cy: y(l), r: 4.5 }));
  parts.push(svg("text", { class: "axis", x: left, y: H - (narrow ? 24 : 2) }, "total time in the bath, m:ss"), svg("text", { class: "axis", x: left - 8, y: 13, "text-anchor": "end" }, "L*"),
    svg("circle", { class: "reading", cx: W - right - 212, cy: H - 7, r: 4.5 }), svg("text", { class: "axis", x: W - right - 200, y: H - 2 }, "readings"),
    svg("path", { class: "rung", d: `M${W - right - 126} ${H - 7}h26` }), svg("text", { class: "axis", x: W - right - 94, y: H - 2 }, "rungs of the plan"));
  return svg("svg", { viewBox: `0 0 ${W} ${H}`, role: "img", "aria-label": `Lightness of strip ${plan.strip.id} falls from L* ${number(plan.strip_readings[0][1])} at the paper to ${number(plan.strip_readings[plan.strip_readings.length - 1][1])} after ${clock(last)}; the table below holds the same times` }, ...parts);
}
