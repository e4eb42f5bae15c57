// How large the digits of a running bite are, on the pixels of a screenshot: at least 30 % of the screen's shorter side high, or as wide as the screen.
import assert from "node:assert/strict";
import { test } from "node:test";
import { at, bathside, ready, seconds as read, text } from "./bathside.js";
import { OUT, served } from "./site.js";

const it = served();
const SIZES = [[1440, 900], [820, 1180], [390, 844], [844, 390]];
const BITES = { "0:05": 5, "12:34": 754, "1:02:03": 3723 };
/** Of the screen's width, that its own margins leave. */
const FULL = 0.9;

/** The box of what is drawn light on dark in a picture, px. */
async function drawn(page, picture) {
  return page.evaluate(async (data) => {
    const image = new Image();
    image.src = `data:image/png;base64,${data}`;
    await image.decode();
    const canvas = new OffscreenCanvas(image.width, image.height);
    const pen = canvas.getContext("2d");
    pen.drawImage(image, 0, 0);
    const { data: px, width, height } = pen.getImageData(0, 0, image.width, image.height);
    let [left, top, right, bottom] = [width, height, -1, -1];
    for (let y = 0; y < height; y++) for (let x = 0; x < width; x++) {
      if (px[4 * (y * width + x)] < 128) continue;
      [left, top, right, bottom] = [Math.min(left, x), Math.min(top, y), Math.max(right, x), Math.max(bottom, y)];
    }
    return { wide: right - left + 1, high: bottom - top + 1 };
  }, picture.toString("base64"));
}

test("digits of short, long and very long bites, at four sizes of screen", async () => {
  const page = await bathside(it);
  const eye = await it.browser.newPage();
  const found = [];
  const sized = ([width, height]) => page.setViewportSize({ width, height });
  for (const [i, [digits, seconds]] of Object.entries(BITES).entries()) {
    // Each bite is loaded at another size, and the screen is then turned to the others: as large as it fits at once, and as large afterwards.
    const sizes = [...SIZES.slice(i), ...SIZES.slice(0, i)];
    await sized(sizes[0]);
    await page.evaluate((seconds) => {
      const now = { steady: performance.timeOrigin + performance.now(), wall: Date.now() };
      localStorage.setItem("stepbite.run", JSON.stringify({ version: 1, run: { plate: "ice-house.jpg 160 × 180 mm", phase: "bite", number: 3, back: false,
        timing: { what: "bite", from: now, length_ms: 1000 * seconds + 20_000, spent_ms: 0 }, planned_s: seconds, before_s: 15, celsius: null, factor: 1, unlogged: null, conflict: null,
        words: { letter: "B", title: "Ice house", where: "bite 3 of 9; tones 3 to 9 are bare", next: "rinse, dry, stop-out 4 (tone 3, twelve islands)", example: true }, log: [] } }));
    }, seconds);
    await page.reload();
    await at(page, "bite");
    await ready(page);
    for (const [width, height] of sizes) {
      await sized([width, height]);
      // So much is left, to the second or two that the test takes.
      const left = read(await text(page, ".digits"));
      await page.clock.runFor(Math.max(0, 1000 * (left - seconds - 1)));
      assert.equal((await text(page, ".digits")).length, digits.length);
      // Drawn, so that it has been fitted to this screen.
      await page.screenshot({ path: `${OUT}run-digits-${digits.replaceAll(":", "")}-${width}.png` });
      const box = await page.locator(".bathrun .digits").boundingBox();
      const { wide, high } = await drawn(eye, await page.screenshot({ clip: { x: Math.max(0, box.x), y: Math.max(0, box.y), width: Math.min(width, box.width), height: Math.min(box.height, height - Math.max(0, box.y)) } }));
      const share = high / Math.min(width, height);
      found.push({ screen: `${width} × ${height}`, digits, high_px: high, "of the shorter side": share.toFixed(2), "of the width": (wide / width).toFixed(2) });
      assert.ok(share >= 0.3 || wide / width >= FULL, JSON.stringify(found.at(-1)));
      assert.ok(await page.evaluate(() => document.querySelector(".bathrun").scrollWidth <= innerWidth));
    }
  }
  console.table(found);
  await page.context().close();
});
