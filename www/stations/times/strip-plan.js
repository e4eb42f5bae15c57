/** A strip to bite, planned: bands, totals, dips; drawn, listed, printed. */
import { h, say, svg, table } from "../../dom.js";
import { download } from "../../downloads.js";
import { lengthField, numberField, radios } from "../../fields.js";
import { clock, INCH_MM, number, readNumber, readTime } from "../../format.js";
import { withoutStrip } from "../../settings.js";

/** @typedef {import("../../../web/types.d.ts").StripPlanSettings} Asked */

/** @param {import("../../state.js").Desk} desk @returns {import("../../state.js").Part} */
export function stripPlan(desk) {
  /** @param {string} name @param {Partial<Asked>} part */
  const change = (name, part) => desk.change(name, { ...desk.state.settings, strip_plan: { ...desk.state.settings.strip_plan, ...part } });
  const refuse = (/** @type {string} */ text) => desk.notice(text, "refused");
  const time = (/** @type {string} */ label, /** @type {"first_s" | "last_s"} */ name, /** @type {string} */ step) =>
    numberField(label, { read: readTime, write: clock, take: (value) => change(step, { [name]: value }), refuse: (text) => refuse(text.replace("a number. Type one with a point or a comma, as 1.5 or 1,5.", "a time. Type seconds or m:ss, as 95 or 1:35.")), unit: "m:ss" });
  const first = time("Lightest band", "first_s", "the strip’s first time");
  const last = time("Darkest band", "last_s", "the strip’s last time");
  const bands = numberField("Bitten bands", { read: readNumber, write: (value) => number(value, 2), unit: "",
    take: (value) => {
      if (!Number.isSafeInteger(value) || value < 0) {
        refuse(`Bands are counted: a whole number was expected, ${number(value, 2)} came.`);
        return false;
      }
      change("the strip’s bands", { bands: value });
    }, refuse });
  const width = lengthField(desk, "Strip, across", (mm) => change("the strip’s size", { width_mm: mm }));
  const height = lengthField(desk, "Strip, along the bands", (mm) => change("the strip’s size", { height_mm: mm }));
  const way = radios("Bitten", [["covered", "covered between dips, as the plate"], ["withdrawn", "in one dip, drawn out"]], (value) => change("how the strip is bitten", { way: /** @type {Asked["way"]} */ (value) }));
  const picture = h("div", { class: "strip-drawing" });
  const list = h("div", { class: "scroll", tabindex: 0, role: "region", "aria-label": "Table of the strip to bite" });
  const said = h("p", { class: "aside" });
  const print = h("button", { type: "button", class: "first", onclick: () => download(desk, "strip") }, "Print its sheet (PDF)");
  const none = h("button", { type: "button", onclick: () => desk.change("no strip yet", withoutStrip(desk.state.settings)) }, "I have no strip yet: show no times");
  const root = h("section", { class: "part strip-plan", "aria-labelledby": "h-strip-plan" }, h("h3", { id: "h-strip-plan" }, "A strip to bite"),
    h("p", { class: "aside" }, "Bands at totals spaced geometrically between two times of your choice. They promise no tone: the strip is there to find out. Grain it in the same box load as the plate."),
    h("div", { class: "fields" }, first.root, last.root, bands.root, width.root, height.root), way.root,
    h("div", { class: "acts" }, print, none),
    h("div", { class: "strip-side" }, h("div", null, h("p", { class: "view" }, "PLATE VIEW"), picture), h("div", null, list, said)));
  return {
    root,
    update(state) {
      const { plan, settings, units } = state;
      const asked = settings.strip_plan;
      first.set(asked.first_s);
      last.set(asked.last_s);
      bands.set(asked.bands);
      width.set(asked.width_mm);
      height.set(asked.height_mm);
      way.set(asked.way);
      none.hidden = settings.strip === "none";
      // A strip is bitten as the plate is: a pair that must not be bitten has no dips to set a clock by.
      const stop = plan?.bath.pair.verdict === "stop";
      print.hidden = list.hidden = stop;
      if (!plan || state.planned?.strip_plan !== asked) return;
      const { strip_plan: strip } = plan.bath;
      picture.replaceChildren(drawing(strip, asked));
      const at = (/** @type {number} */ mm) => units === "in" ? number(mm / INCH_MM, 2) : number(mm, 1);
      const covered = asked.way === "covered";
      list.replaceChildren(table(covered ? "What to set on the clock for each dip" : "What to set on the clock for each wait",
        ["Band", covered ? "Dip: set the clock to" : "Wait: set the clock to", "Total", covered ? "Cover" : "Draw out", "From the top"],
        [["paper", "never bitten", "—", covered ? "before everything" : "stays above the bath", `0 to ${at(strip.paper_mm)} ${units}`],
          ...strip.bands.map((band) => [String(band.number), h("strong", null, clock(band.dip_s)), clock(band.total_s), band.act, `${at(band.from_mm)} to ${at(band.to_mm)} ${units}`])]));
      say(said, stop ? `STOP: ${plan.bath.pair.pair}. No strip is bitten in this bath either: its dips are hidden, and its sheet does not print.` : `Each total is ${number(strip.ratio, 2)} times the one before, rounded to what a hand can do; what is set on the clock is the difference. ${covered
        ? "Every dip is a restart, as on the plate: say so when you type the readings." : "One dip has no restarts; the plate will have one for every bite."} The shop’s own rules come before this plan.`);
    },
  };
}

/** The strip as it lies face up, its paper band at the top. @param {import("../../../web/types.d.ts").Bath["strip_plan"]} strip @param {Asked} asked */
function drawing(strip, asked) {
  const label = 16;
  const scale = 340 / Math.max(asked.height_mm, asked.width_mm * 1.6);
  const [w, high] = [asked.width_mm * scale, asked.height_mm * scale];
  const parts = [svg("rect", { class: "metal", x: 1, y: 1, width: w, height: high })];
  const words = (/** @type {number} */ from, /** @type {number} */ to, /** @type {string} */ text) =>
    svg("text", { x: 1 + w / 2, y: 1 + (from + to) / 2 * scale + 5, "text-anchor": "middle" }, text);
  if (strip.paper_mm * scale >= label) parts.push(words(0, strip.paper_mm, "paper"));
  for (const band of strip.bands) {
    const shade = Math.round(232 - 150 * (band.number - 1) / Math.max(1, strip.bands.length - 1));
    parts.push(svg("rect", { x: 1, y: 1 + band.from_mm * scale, width: w, height: (band.to_mm - band.from_mm) * scale, fill: `rgb(${shade} ${shade} ${shade})`, stroke: "#181a19" }));
    if ((band.to_mm - band.from_mm) * scale >= label) {
      const text = words(band.from_mm, band.to_mm, String(band.number));
      if (shade < 140) text.setAttribute("fill", "#fff");
      parts.push(text);
    }
  }
  return svg("svg", { viewBox: `0 0 ${w + 2} ${high + 2}`, width: w + 2, preserveAspectRatio: "xMinYMin", role: "img", "aria-label": `The strip: a paper band, then ${strip.bands.length} bands, the lightest next to the paper; the table holds their edges` }, ...parts);
}
