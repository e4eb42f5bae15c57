/**
 * How fast a pull of four plates over one another is in the browser: a measurement, no test.
 *
 *     cargo run -- bundle && cd tests/page && node speed/pull.js
 *
 * Four demo drawings on plates of one size, ten tones each, seen at two megapixels in one's own worker, call by call as the page asks: the
 * first look, another ink, one plate moved, another plate's place at the window; in mean colours and with grain. Then one plate as a file of
 * 54 megapixels.
 */
import { readFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { projectOf, jobOf } from "../../../www/keeping/work.js";
import { EXAMPLE } from "../../../www/settings.js";
import { beginning, NOTHING_DONE, PLAIN_PROOF } from "../../../www/state.js";
import { launch, serve } from "../page/site.js";
import { barePage } from "./bare.js";

const here = dirname(fileURLToPath(import.meta.url));
const drawings = ["breakwater", "gantry", "slipway", "ice-house"].map((name) => readFileSync(join(here, `../../demo/${name}.png`)).toString("base64"));
const ink = (name, full) => ({ name, known: { full, opacity: 0 }, sheet: null, thinned: 0, strength: 1, printed: null });
const INKS = [ink("red", "#b02030"), ink("blue", "#203a90"), ink("ochre", "#c09020"), ink("umber", "#50382a")];

const site = await serve();
const browser = await launch();
const page = await barePage(browser, site.url);
page.setDefaultTimeout(600_000);

/** Opens all four, brings the first three to the last, and asks; milliseconds of each call. */
const measured = (size, [width, height]) => page.evaluate(async ([drawings, settings, project, proof, inks, [width, height]]) => {
  const { call, end } = await bareWorker();
  const brought = [];
  for (const bytes of drawings) {
    const file = new Blob([Uint8Array.from(atob(bytes), (c) => c.charCodeAt(0))]);
    await call("open", { file, name: "drawing.png" });
    await call("plan", { ...settings, done: { log: [], kept: null } });
    const whole = { ...project, job: { ...project.job, letter: String.fromCharCode(65 + brought.length) } };
    brought.push(await call("project_write", { file, project: JSON.stringify(whole), kept: null, family: [] }));
  }
  const plates = [];
  for (const file of brought.slice(0, -1)) {
    const plate = await call("plate_read", { file });
    await call("plate_bring", plate);
    plates.push(plate.id);
  }
  const printing = { ink: null, trap: 0.75, shift_mm: [0, 0], growth: [0, 0], turn: 0 };
  let now = { ...proof, inks, printings: [null, ...plates].map((plate, p) => ({ ...printing, plate, ink: p, shift_mm: [0.2 * p, -0.1 * p] })) };
  const times = {};
  const asked = async (what, change, rounds) => {
    const each = [];
    for (let round = 0; round < rounds; round++) {
      now = change(now, round);
      const took = [];
      for (const grain of [false, true]) {
        const began = performance.now();
        const { ms } = await call("picture", { kind: "proof", view: "print", width, height, grain, proof: now });
        took.push({ whole: performance.now() - began, ms });
      }
      each.push(took);
    }
    const median = (of) => each.map(of).sort((a, b) => a - b)[Math.floor(each.length / 2)];
    times[what] = [0, 1].map((grain) => ({ worked: median((took) => took[grain].ms), heard: median((took) => took[grain].whole) }));
  };
  await asked("the first look", (now) => now, 1);
  const inked = (now, round) => ({ ...now, inks: now.inks.map((ink, i) => (i === 1 ? { ...ink, known: { ...ink.known, full: `#20${(30 + round).toString(16)}90` } } : ink)) });
  await asked("another ink", inked, 9);
  await asked("another paper", (now, round) => ({ ...now, paper: `#e${round}e0d0` }), 9);
  const moved = (more) => (now, round) => ({ ...now, printings: now.printings.map((p, i) => (i === 2 ? { ...p, shift_mm: [0.1 * round, 0.3], ...more } : p)) });
  await asked("one plate moved", moved({}), 9);
  await asked("one plate moved and turned", moved({ turn: 0.4 }), 9);
  await asked("all four moved", (now, round) => ({ ...now, printings: now.printings.map((p) => ({ ...p, shift_mm: [0.1 * round, 0.2], turn: 0 })) }), 9);
  const memory = await call("memory", null);
  end();
  return { times, memory, width, height };
}, [drawings, { ...EXAMPLE, plate: { width_mm: size[0], height_mm: size[1], bevel_mm: 0 }, tones: 10, px_per_mm: 10 },
  projectOf({ name: "drawing.png", settings: { ...EXAMPLE, plate: { width_mm: size[0], height_mm: size[1], bevel_mm: 0 }, tones: 10, px_per_mm: 10 }, good: null, done: NOTHING_DONE, job: jobOf(beginning()) }),
  PLAIN_PROOF, INKS, [width, height]]);

/** One plate of 54 megapixels as a file: seconds, and how often it was told how far it is. */
const written = () => page.evaluate(async ([drawing, settings, proof]) => {
  const worker = new Worker("worker.js");
  const heard = [];
  const call = (id, name, args) => new Promise((done, failed) => {
    worker.onmessage = ({ data }) => {
      if (data.error || data.failed) failed(new Error(data.failed ?? data.error.message));
      else if (data.progress) heard.push(data.progress.share);
      else if (data.ready || "ok" in data) done(data.ok);
    };
    worker.postMessage(name ? { id, call: name, args } : { start: {} });
  });
  await call(0);
  const file = new Blob([Uint8Array.from(atob(drawing), (c) => c.charCodeAt(0))]);
  await call(1, "open", { file, name: "drawing.png" });
  await call(2, "plan", { ...settings, done: { log: [], kept: null } });
  const before = await call(3, "memory", null);
  heard.length = 0;
  const began = performance.now();
  const blob = await call(4, "proof_png", { proof, px_per_mm: null, head: { title: "Speed", letter: "A", date: "" } });
  const ms = performance.now() - began;
  const rising = heard.every((share, i) => i === 0 || share >= heard[i - 1]);
  const memory = await call(5, "memory", null);
  end();
  return { ms, size: blob.size, told: heard.length, rising, before, memory };
}, [drawings[3], { ...EXAMPLE, plate: { width_mm: 300, height_mm: 450, bevel_mm: 0 }, tones: 10, px_per_mm: 20 }, PLAIN_PROOF]);

try {
  for (const [size, window] of [[[160, 125], [1600, 1250]], [[300, 235], [1600, 1253]]]) {
    const { times, memory, width, height } = await measured(size, window);
    console.log(`four plates of ${size.join(" × ")} mm at ${width} × ${height} pixels, ms in the worker (and until the page has it); memory ${(memory / 1e6).toFixed(0)} MB`);
    for (const [what, [flat, grain]] of Object.entries(times)) {
      const said = ({ worked, heard }) => `${worked.toFixed(0)} (${heard.toFixed(0)})`;
      console.log(`  ${what.padEnd(28)} mean colours ${said(flat)}, with grain ${said(grain)}`);
    }
  }
  const { ms, size, told, rising, before, memory } = await written();
  console.log(`54 megapixels as a file: ${(ms / 1000).toFixed(1)} s, ${(size / 1e6).toFixed(1)} MB; told ${told} times how far, ${rising ? "rising" : "NOT RISING"}; memory ${(before / 1e6).toFixed(0)} MB before, ${(memory / 1e6).toFixed(0)} MB after`);
} finally {
  await browser.close();
  site.close();
}
