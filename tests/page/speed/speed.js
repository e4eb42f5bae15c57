/**
 * How fast the separation is in the browser, beside the same written with OpenCV, run in one go: a measurement, no test.
 *
 *     cargo run -- bundle && cd tests/page && node speed/speed.js [python3]
 *
 * The python named must have numpy and opencv-python-headless. Prints both times and their ratio for a 6000 × 4000 face at
 * 15 px/mm, ten tones, mark 1 mm, and what a moved break and a changed mark take on a face of two megapixels.
 */
import { execFileSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { EXAMPLE } from "../../../www/settings.js";
import { launch, serve } from "../page/site.js";
import { barePage } from "./bare.js";

const here = dirname(fileURLToPath(import.meta.url));
const python = process.argv[2] ?? "python3";
const folder = mkdtempSync(join(tmpdir(), "stepbite-speed-"));
const large = join(folder, "large.png");
const small = join(here, "../../demo/ice-house.png");
execFileSync(python, [join(here, "picture.py"), small, large]);

const site = await serve();
const browser = await launch();
const page = await barePage(browser, site.url);

/** One fresh worker: opens a file, then plans with each of the settings; milliseconds of each plan and the memory taken in the end. */
function planned(file, list) {
  return page.evaluate(async ([bytes, list]) => {
    const file = new Blob([Uint8Array.from(atob(bytes), (c) => c.charCodeAt(0))]);
    const { call, end } = await bareWorker();
    await call("open", { file, name: "drawing.png" });
    const opened = await call("memory", null);
    const times = [];
    for (const settings of list) {
      const began = performance.now();
      const plan = await call("plan", settings);
      times.push({ ms: performance.now() - began, stages: plan.stage_ms });
    }
    const memory = await call("memory", null);
    end();
    return { times, opened, memory };
  }, [readFileSync(file).toString("base64"), list]);
}

const median = (values) => values.toSorted((a, b) => a - b)[Math.floor(values.length / 2)];
const seconds = (ms) => `${(ms / 1000).toFixed(2)} s`;

try {
  const whole = { ...EXAMPLE, plate: { width_mm: 400, height_mm: 266.6667, bevel_mm: 0 }, px_per_mm: 15, tones: 10, breaks: "fitted", mark_mm: 1 };
  const runs = [];
  for (let run = 0; run < 3; run++) runs.push(await planned(large, [whole]));
  const ours = Math.min(...runs.map((run) => run.times[0].ms));
  const peer = Number(execFileSync(python, [join(here, "peer.py"), large, "400", "10", "1.0"], { encoding: "utf8" }).split(" ")[0]) * 1000;
  const { memory, opened, times } = runs[0];
  console.log(`whole separation, 24 megapixels: ${seconds(ours)} in the browser, ${seconds(peer)} by OpenCV on one thread: ratio ${(ours / peer).toFixed(3)}`);
  console.log(`stages, ms: ${JSON.stringify(times[0].stages)}`);
  console.log(`memory: ${(opened / 24e6).toFixed(0)} bytes a face pixel with the drawing open, ${(memory / 24e6).toFixed(0)} in the end`);

  const face = { ...EXAMPLE, plate: { width_mm: 127, height_mm: 160, bevel_mm: 0 }, px_per_mm: 10, tones: 10 };
  const breaks = (shift) => Array.from({ length: 9 }, (_, i) => 86 - 8 * i + shift);
  const moved = await planned(small, Array.from({ length: 16 }, (_, i) => ({ ...face, breaks: breaks(i * 0.3) })));
  const marked = await planned(small, Array.from({ length: 16 }, (_, i) => ({ ...face, mark_mm: 0.8 + i * 0.1 })));
  for (const [what, run] of [["a moved break", moved], ["another mark", marked]]) {
    console.log(`${what}, 2 megapixels: ${median(run.times.slice(1).map((time) => time.ms)).toFixed(0)} ms; stages of the last, ms: ${JSON.stringify(run.times.at(-1).stages)}`);
  }
} finally {
  await browser.close();
  site.close();
  rmSync(folder, { recursive: true });
}
