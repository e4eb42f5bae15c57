/** The browser and the machine itself make the same bytes: the headless example is the second one to ask. */
import assert from "node:assert/strict";
import { execFile } from "node:child_process";
import { mkdtemp, readFile, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { fileURLToPath } from "node:url";
import { promisify } from "node:util";
import { go, launch, opened, serve } from "./site.js";

const root = fileURLToPath(new URL("../../../", import.meta.url));
let site, browser, page, folder;
before(async () => {
  site = await serve();
  browser = await launch();
  page = await opened(browser, site.url);
  folder = await mkdtemp(join(tmpdir(), "stepbite-"));
});
after(async () => {
  await browser?.close();
  site?.close();
  await rm(folder, { recursive: true, force: true });
});

test("step map and proof of the demo are equal, byte for byte and pixel for pixel, in the browser and on the machine", { timeout: 400_000 }, async () => {
  const out = join(folder, "out");
  const plan = ["--plate", "160x180", "--bevel", "1.5", "--tones", "10", "--out", out];
  await promisify(execFile)(await example(), ["www/demo/ice-house.jpg", ...plan], { cwd: root });
  await go(page, "sheets");
  for (const [button, file] of [[/^Step map/, "steps.png"], [/^Proof/, "proof.png"]]) {
    const [download] = await Promise.all([page.waitForEvent("download", { timeout: 60_000 }), page.getByRole("button", { name: button }).click()]);
    const [ours, theirs] = [await readFile(await download.path()), await readFile(join(out, file))];
    if (file === "steps.png") assert.ok(ours.equals(theirs), `${file} differs: ${ours.length} bytes in the browser, ${theirs.length} on the machine`);
    // Below the print the browser's has in letters what it rests on.
    else assert.deepEqual(await page.evaluate(alike, [ours, theirs].map((bytes) => bytes.toString("base64"))), { width: 1570, height: 1770, below: true, other: 0 });
  }
});

/** The example `plan`, built with what the workspace asks of each crate, as every other test builds it: `cargo run` would compile them anew. */
async function example() {
  const built = await promisify(execFile)("cargo", ["build", "-q", "--workspace", "--example", "plan", "--message-format", "json-render-diagnostics"], { cwd: root, maxBuffer: 1 << 26 });
  return built.stdout.split("\n").filter(Boolean).map((line) => JSON.parse(line).executable).findLast(Boolean);
}

/** Counts the pixels that two pictures don't share where both are; runs in the page. @param {string[]} files PNGs in base64, the first the taller */
async function alike(files) {
  const [one, other] = await Promise.all(files.map(async (file) => {
    const picture = await createImageBitmap(new Blob([Uint8Array.from(atob(file), (letter) => letter.charCodeAt(0))], { type: "image/png" }));
    const canvas = new OffscreenCanvas(picture.width, picture.height);
    const context = /** @type {OffscreenCanvasRenderingContext2D} */ (canvas.getContext("2d"));
    context.drawImage(picture, 0, 0);
    return context.getImageData(0, 0, picture.width, picture.height);
  }));
  let off = 0;
  for (let i = 0; i < other.data.length; i++) off += Number(one.data[i] !== other.data[i]);
  return { width: other.width, height: other.height, below: one.width === other.width && one.height > other.height, other: off };
}
