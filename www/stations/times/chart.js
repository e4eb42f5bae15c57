/** The strip as it looks and as a curve: its bands in their own greys, the readings, the curve, its range, and the rungs of the plan. */
import { h, svg, table } from "../../dom.js";
import { clock, factorWords, number } from "../../format.js";

/** @typedef {import("../../state.js").State} State */
/** @typedef {import("../../../web/types.d.ts").Plan} Plan */

/** What is wrong with a band, in a word for its block and in a sentence for the table. */
const SAID = {
  disagrees: ["repeat", "disagrees with its neighbour: repeat both"],
  over_bitten: ["over-bitten", "over-bitten: not planned by"],
  reread: ["read again", "reads lighter than the darkest: read it again"],
  flat: ["no darker", "no darker than the darkest: not planned by"],
};
/** Places of the time axis that carry a number, s. */
const TICKS = [0, 5, 10, 20, 30, 60, 120, 300, 600, 1200, 2400, 4800, 9600, 19200, 38400];

/** @returns {import("../../state.js").Part} */
export function chart() {
  const findings = h("ul", { class: "findings" });
  const bands = h("div", { class: "bands scroll", tabindex: 0, role: "region", "aria-label": "The strip as it looks" });
  const picture = h("div", { class: "chart" });
  const facts = h("div", { class: "scroll", tabindex: 0, role: "region", "aria-label": "Table of the strip's readings" });
  const root = h("div", { class: "fit" }, findings, bands, picture, h("details", { class: "behind" }, h("summary", null, "The readings in a table"), facts));
  /** @type {Plan | null} */
  let shown = null;
  // On a phone the chart is drawn narrow rather than shrunk, so that its words keep their size.
  const phone = window.matchMedia("(max-width: 640px)");
  phone.addEventListener("change", () => {
    if (shown) picture.replaceChildren(curve(shown, phone.matches), key(shown));
  });
  return {
    root,
    update({ plan }) {
      if (!plan || plan.strip_bands.length === 0 || plan === shown) return;
      shown = plan;
      const factor = factorWords(plan);
      const said = [factor && `${factor} The bands below${plan.verdict.length ? ", and what is said of them," : ""} keep the strip’s own times.`, ...plan.verdict].filter(Boolean);
      findings.replaceChildren(...said.map((sentence) => h("li", null, sentence)));
      findings.hidden = said.length === 0;
      bands.replaceChildren(blocks(plan));
      picture.replaceChildren(curve(plan, phone.matches), key(plan));
      facts.replaceChildren(readings(plan));
    },
  };
}

/** The strip as it looks: a block a band, its total beneath. @param {Plan} plan */
function blocks(plan) {
  return h("ol", null, ...plan.strip_bands.map((band, i) => {
    const [total, lightness] = plan.strip_readings[i];
    return h("li", { class: band.said },
      h("span", { class: "band", style: { backgroundColor: band.colour } }),
      h("b", null, i ? clock(total) : "paper"), h("span", null, `L* ${number(lightness)}`), band.said && h("em", null, SAID[band.said][0]));
  }));
}

/** L* against ln(1 + t/5 s), dark downwards. @param {Plan} plan @param {boolean} phone */
function curve(plan, phone) {
  const [W, H, left, right, top, foot] = phone ? [350, 320, 34, 12, 28, 44] : [760, 380, 44, 14, 28, 46];
  const points = plan.strip_bands.map((band, i) => /** @type {const} */ ([band.effective_s, plan.strip_readings[i][1], band.said]));
  const last = Math.max(...points.map((point) => point[0]));
  const lights = points.map((point) => point[1]);
  const high = Math.min(100, Math.ceil((Math.max(...lights) + 1) / 10) * 10);
  const low = Math.max(0, Math.floor((Math.min(...lights) - 1) / 10) * 10);
  /** @param {number} t */
  const x = (t) => left + (W - left - right) * Math.log1p(Math.max(0, t) / 5) / Math.log1p(last / 5);
  /** @param {number} l */
  const y = (l) => top + (H - top - foot) * (high - l) / (high - low);
  /** @param {readonly (readonly [number, number])[]} line */
  const path = (line) => line.map(([t, l], i) => `${i ? "L" : "M"}${x(t).toFixed(1)} ${y(l).toFixed(1)}`).join("");
  const parts = [svg("defs", {}, svg("pattern", { id: "past-end", width: 7, height: 7, patternUnits: "userSpaceOnUse", patternTransform: "rotate(45)" }, svg("line", { x1: 0, x2: 0, y1: 0, y2: 7 })))];
  if (last > plan.curve_limit_s) parts.push(svg("rect", { class: "past", x: x(plan.curve_limit_s), y: top, width: x(last) - x(plan.curve_limit_s), height: H - top - foot }));
  for (let l = low; l <= high; l += 10) {
    parts.push(svg("line", { class: "hair", x1: left, x2: W - right, y1: y(l), y2: y(l) }), svg("text", { x: left - 8, y: y(l) + 5, "text-anchor": "end" }, String(l)));
  }
  let free = -Infinity;
  for (const t of TICKS.filter((t) => t <= last)) {
    parts.push(svg("line", { class: "tick", x1: x(t), x2: x(t), y1: H - foot, y2: H - foot + 6 }));
    if (x(t) < free) continue;
    parts.push(svg("text", { x: x(t), y: H - foot + 22, "text-anchor": "middle" }, clock(t)));
    free = x(t) + 42;
  }
  const rungs = plan.tones.slice(1);
  /** The range of a rung, in the time that bites. @param {import("../../../web/types.d.ts").Tone} tone @param {0 | 1} end @returns {[number, number]} */
  const reach = (tone, end) => [(tone.range_s?.[end] ?? tone.total_s) + tone.effective_s - tone.total_s, tone.lightness];
  /** @type {[number, number]} */
  const paper = [0, plan.strip_readings[0][1]];
  parts.push(svg("path", { class: "range", d: `${path([paper, ...rungs.map((tone) => reach(tone, 0)), ...[...rungs].reverse().map((tone) => reach(tone, 1))])}Z` }));
  for (const tone of rungs) parts.push(svg("path", { class: "rung", d: `M${left} ${y(tone.lightness)}H${x(tone.effective_s)}V${H - foot}` }));
  parts.push(svg("path", { class: `curve ${plan.curve_kind}`, d: path(plan.curve) }));
  for (const [t, l, said] of points) {
    parts.push(svg("circle", { class: "reading", cx: x(t), cy: y(l), r: 4.5 }));
    if (said === "disagrees") parts.push(svg("circle", { class: "doubt", cx: x(t), cy: y(l), r: 9.5 }));
  }
  const moved = plan.strip_bands.some((band, i) => Math.abs(band.effective_s - plan.strip_readings[i][0]) > 1e-6);
  const axis = plan.bath.factor !== 1 ? "total time in today's bath, m:ss" : moved ? "total time that bites, m:ss" : "total time in the bath, m:ss";
  parts.push(svg("text", { class: "axis", x: left, y: H - 6 }, axis), svg("text", { class: "axis", x: left - 8, y: 13, "text-anchor": "end" }, "L*"));
  const [first, darkest] = [plan.strip_readings[0], plan.strip_readings.reduce((a, b) => b[1] < a[1] ? b : a)];
  return svg("svg", { viewBox: `0 0 ${W} ${H}`, role: "img", "aria-label": `Lightness of strip ${plan.strip.id} falls from L* ${number(first[1])} at the paper to ${number(darkest[1])} after ${clock(darkest[0])}; the tables below hold the same figures` }, ...parts);
}

/** What the marks mean. @param {Plan} plan */
function key(plan) {
  /** @param {Node[]} marks @param {string} words */
  const item = (marks, words) => h("li", null, svg("svg", { viewBox: "0 0 34 16", width: 34, height: 16, "aria-hidden": "true" }, ...marks), words);
  const past = plan.strip_bands.some((band) => band.said === "over_bitten" || band.said === "flat" || band.said === "reread");
  return h("ul", { class: "key" },
    item([svg("circle", { class: "reading", cx: 17, cy: 8, r: 4.5 })], "readings"),
    item([svg("path", { class: `curve ${plan.curve_kind}`, d: "M2 3L32 13" })], plan.curve_kind === "through" ? "curve through them" : "curve between them"),
    item([svg("rect", { class: "range", x: 2, y: 2, width: 30, height: 12 })], "range of the totals, 8 times in 10"),
    item([svg("path", { class: "rung", d: "M2 8h30" })], "rungs of the plan"),
    ...(plan.strip_bands.some((band) => band.said === "disagrees") ? [item([svg("circle", { class: "doubt", cx: 17, cy: 8, r: 7 }), svg("circle", { class: "reading", cx: 17, cy: 8, r: 4.5 })], "disagree, repeat")] : []),
    ...(past ? [item([svg("rect", { class: "past", x: 2, y: 1, width: 30, height: 14 })], "nothing is planned here")] : []));
}

/** @param {Plan} plan */
function readings(plan) {
  return table(`The readings of strip ${plan.strip.id}`, ["Band", "Total", "L* read", "L* of the curve", "What it says"], plan.strip_bands.map((band, i) => {
    const [total, lightness] = plan.strip_readings[i];
    return [i ? String(i) : "paper", clock(total), number(lightness), band.curve_l === null ? "—" : number(band.curve_l), band.said ? SAID[band.said][1] : "—"];
  }));
}
