/**
 * How fast a family of plates answers in the browser: orders of six and twelve plates, the day of the four of the example, and papers, 34 of the
 * example and 199 small ones over a whole ground. A measurement, no test.
 *
 *     cargo run -- bundle && cd tests/page && node speed/family.js
 *
 * Prints milliseconds in the worker, the median and the greatest of nine, and its memory.
 */
import { readFileSync } from "node:fs";
import { EXAMPLE } from "../../../www/settings.js";
import { launch, serve } from "../page/site.js";
import { barePage } from "./bare.js";

const DRAWINGS = ["slipway", "ice-house", "breakwater", "gantry"].map((name) => readFileSync(new URL(`../../../www/demo/${name}.jpg`, import.meta.url)).toString("base64"));
/** Twelve plates of which no two are the same: the four drawings, each at three widths. */
const PLATES = Array.from({ length: 12 }, (_, k) => ({
  drawing: k % 4, letter: "ABCDEFGHIJKL"[k], horizon: 60 + 1.3 * k, plate: { width_mm: [120, 160, 120, 90][k % 4] + 7 * Math.floor(k / 4), height_mm: 180, bevel_mm: 1.5 },
}));
const PAPERS = { lap_mm: 2, open_s: 480, each_s: 11, pace: 0.15, scatter: 0.3, above: [], stocks: [
  { name: "thin cream", on_white: "#efe6d0", on_black: "#6a6455", along_pct: 0.4, across_pct: 1.6 }, { name: "thin blue", on_white: "#c9d6e0", on_black: "#4d5860", along_pct: 0.3, across_pct: 1.4 },
] };
const rectangle = (x, y, wide, high) => [[x, y], [x + wide, y], [x + wide, y + high], [x, y + high]];
const piece = (outline, stock) => ({ name: "", stock, outline, fibre_deg: 0, edge: "cut", turned: false, tear: 1 });
const many = { ...PAPERS, pieces: [piece(null, 0), ...Array.from({ length: 199 }, (_, k) => piece(rectangle(4 + k % 14 * 10.5, 5 + Math.floor(k / 14) * 11, 11, 11.5), 1))] };
const some = { ...PAPERS, pieces: Array.from({ length: 34 }, (_, k) => piece(rectangle(6 + k % 6 * 24, 6 + Math.floor(k / 6) * 27, 26, 29), k % 2)) };

const site = await serve();
const browser = await launch();
try {
  const page = await barePage(browser, site.url);
  const found = await page.evaluate(async ([drawings, plates, settings, asked]) => {
    const file = (at) => new Blob([Uint8Array.from(atob(drawings[at]), (c) => c.charCodeAt(0))]);
    const { call, end } = await bareWorker();
    await call("open", { file: file(1), name: "drawing.jpg" });
    await call("plan", { ...settings, done: { log: [], kept: null } });
    const members = [];
    const bath = [];
    for (const { drawing, letter, horizon, plate } of plates) {
      const facts = await call("kin_plan", { file: file(drawing), settings: { ...settings, plate, done: { log: [], kept: null } }, id: letter, letter, title: letter, grain: asked.grain });
      bath.push({ letter, size_mm: [plate.width_mm, plate.height_mm], dips: facts.joins.to_come.map(({ from, to, set_s }) => ({ from, to, set_s: set_s ?? 0, paint_min: facts.stopouts[from - 1].new_share > 0 ? facts.stopouts[from - 1].paint_min : 0 })) });
      members.push({ plate: facts.plate.id, letter, turned: false, plate_mm: [plate.width_mm, plate.height_mm], horizon_mm: horizon });
    }
    const row = (count, columns = null) => ({ plates: members.slice(0, count), columns, align: "horizon", weigh: "both" });
    const pins = (count) => Array.from({ length: count }, () => ({ place: null, turned: null }));
    // Each time some other dips, so that no answer serves twice.
    const day = (tray_mm, dry_overnight) => (k) => ({
      start_min: 540, day: { from_min: 540, to_min: 1080, dry_overnight, tray_mm, break_after: null },
      plates: bath.slice(0, 4).map((plate) => ({ ...plate, dips: plate.dips.map((dip) => ({ ...dip, set_s: dip.set_s + k })) })),
    });
    const calls = {
      "the day of four plates, each alone in the bath": ["family_day", day(null, true)],
      "the day of four plates, a tray for several": ["family_day", day([900, 900], true)],
      "the day of four plates, no varnish left overnight": ["family_day", day([900, 900], false)],
      "six plates: their joints": ["rows_joints", (k) => ({ ...row(6), plates: row(6).plates.map((each, i) => ({ ...each, horizon_mm: each.horizon_mm + 0.1 * k * i })) })],
      "six plates: the best orders": ["rows_find", (k) => ({ row: { ...row(6), plates: row(6).plates.map((each, i) => ({ ...each, horizon_mm: each.horizon_mm + 0.1 * k * i })) }, turns: true, pins: pins(6), most: 8 })],
      "twelve plates: the best orders": ["rows_find", () => ({ row: row(12), turns: true, pins: pins(12), most: 8 })],
      "34 pieces laid out": ["papers", () => asked.some],
      "199 pieces over a whole ground": ["papers", () => asked.many],
    };
    const all = [];
    for (const [what, [name, args]] of Object.entries(calls)) {
      const times = [];
      for (let k = 0; k < 9; k++) {
        const began = performance.now();
        await call(name, args(k));
        times.push(performance.now() - began);
      }
      times.sort((a, b) => a - b);
      all.push({ what, median: times[4], most: times[8], memory: await call("memory", null) });
    }
    end();
    return all;
  }, [DRAWINGS, PLATES, EXAMPLE, { some, many, grain: { kind: "rosin", size: "medium", cover: null, seed: 1 } }]);
  for (const { what, median, most, memory } of found) console.log(`${what}: ${median.toFixed(0)} ms, ${most.toFixed(0)} at most; ${(memory / 1e6).toFixed(0)} MB in the worker`);
} finally {
  await browser.close();
  site.close();
}
