/** The strip as a chart: the readings, the curve through them and the rungs of the plan. */
import { h, svg } from "../../dom.js";
import { clock, number } from "../../format.js";

/** @typedef {import("../../state.js").State} State */

/** @returns {import("../../state.js").Part} */
export function chart() {
  const root = h("div", { class: "chart" });
  return {
    root,
    update(state) {
      if (state.plan) root.replaceChildren(curve(state));
    },
  };
}

/** L* against ln(1 + t/5 s), dark downwards, with the readings and the plan's rungs. @param {State} state */
function curve(state) {
  const plan = /** @type {import("../../../web/types.d.ts").Plan} */ (state.plan);
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
