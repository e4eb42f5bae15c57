/** Files of other programs through the page: an F stands upright whichever way its file stores it, what can't be read is refused, notes are said. */
import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { after, before, test } from "node:test";
import { begin, end, go, pixels, settled } from "./site.js";

let site, browser, page;
before(async () => { ({ site, browser, page } = await begin()); });
after(() => end({ site, browser }));

const fixture = (name) => readFile(new URL(`../../fixtures/drawings/${name}`, import.meta.url));

/** Opens a fixture; gives the words of the notice. */
async function open(name) {
  await page.evaluate(() => { document.querySelector(".notice p").textContent = ""; });
  await page.locator("#file").setInputFiles({ name, mimeType: "application/octet-stream", buffer: await fixture(name) });
  await page.waitForFunction(() => document.querySelector(".notice p").textContent !== "", null, { timeout: 60_000 });
  await settled(page);
  return page.locator(".notice p").innerText();
}

/**
 * The F as it is shown on the plate, in cells, dark 1: it is three wide and five high, its bar on top, its arm in the third row
 * (make_drawings.py).
 */
async function cells() {
  const { width, height, data } = await pixels(page, ".station.drawing canvas");
  const dark = (x, y) => data[4 * (y * width + x)] < 128 && data[4 * (y * width + x) + 3] > 0;
  let [left, right, top, bottom] = [width, 0, height, 0];
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      if (!dark(x, y)) continue;
      [left, right, top, bottom] = [Math.min(left, x), Math.max(right, x), Math.min(top, y), Math.max(bottom, y)];
    }
  }
  // The dark is three cells wide and five high.
  const cell = (i, j) => Number(dark(Math.round(left + ((i + 0.5) * (right + 1 - left)) / 3), Math.round(top + ((j + 0.5) * (bottom + 1 - top)) / 5)));
  return [0, 1, 2, 3, 4].map((j) => [0, 1, 2].map((i) => cell(i, j)).join("")).join(" ");
}

test("an F is upright through the page, stored in each of the eight ways, and in four formats", async () => {
  await go(page, "drawing");
  await page.getByRole("radio", { name: "whole, on paper" }).check();
  await settled(page);
  // The core's own test has every one of them in each format; here all of a JPEG, and of the rest a turn and a mirrored turn.
  for (const [kind, tags] of /** @type {const} */ ([["jpg", [1, 2, 3, 4, 5, 6, 7, 8]], ["png", [6, 7]], ["webp", [6, 7]], ["tif", [6, 7]]])) {
    for (const tag of tags) {
      assert.match(await open(`f${tag}.${kind}`), /is open/, `f${tag}.${kind}`);
      assert.equal(await cells(), "111 100 110 100 100", `f${tag}.${kind}`);
    }
  }
});

for (const [name, words] of [["phone.heic", /HEIC/], ["picture.pdf", /PDF/], ["inks-unmarked.jpg", /which way/], ["bomb.png", /400 million/], ["empty.png", /empty/], ["cut.tif", /stops before/]]) {
  test(`${name} is refused in a sentence`, async () => {
    assert.match(await open(name), words);
    await page.locator(".notice button").click();
  });
}

test("inks stay dark where they were dark", async () => {
  assert.match(await open("inks-dark.jpg"), /is open/);
  const { width, height, data } = await pixels(page, ".station.drawing canvas");
  const at = (x) => data[4 * (Math.round(height / 2) * width + Math.round(x * width))];
  assert.ok(at(0.3) < 60 && at(0.7) > 240, `${at(0.3)}, ${at(0.7)}`);
  assert.deepEqual(page.faults, []);
});
