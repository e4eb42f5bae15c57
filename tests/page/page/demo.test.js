import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { begin, end, go, pixels, settled } from "./site.js";

let site, browser, page;
before(async () => { ({ site, browser, page } = await begin()); });
after(() => end({ site, browser }));

test("opens with the demo worked through: drawing, tones, nine stop-outs and proof at once", async () => {
  assert.equal(await page.locator(".station.whole").isVisible(), true);
  const seen = await page.$$eval(".station.whole canvas", (all) => all.filter((c) => c.offsetParent).map((c) => ({
    label: c.getAttribute("aria-label"), bottom: c.getBoundingClientRect().bottom,
    spread: new Set(c.getContext("2d").getImageData(0, 0, c.width, c.height).data.filter((_, i) => i % 4 === 0)).size,
  })));
  assert.equal(seen.length, 3 + 9);
  for (const picture of seen) {
    assert.ok(picture.spread > 1, `${picture.label} is blank`);
    assert.ok(picture.bottom <= 900, `${picture.label} is below the fold`);
  }
  assert.match(await page.locator("nav").innerText(), /ten tones, even/);
  assert.match(await page.locator("nav").innerText(), /EXAMPLE, NOT YOUR BATH/);
  assert.deepEqual(page.faults, []);
});

test("every picture says which view it is", async () => {
  // A sheet carries its own sign.
  for (const station of ["whole", "drawing", "tones", "painting", "proof"]) {
    await go(page, station);
    const signs = await page.$$eval("canvas", (all) => all.filter((c) => c.offsetParent).map((c) => c.closest("figure").querySelector(".sign")?.textContent));
    assert.ok(signs.length > 0);
    for (const sign of signs) assert.match(sign ?? "", /^F(PLATE|PRINT) VIEW$/);
  }
});

test("blocks show the printed tones, joints the bites, and totals add up", async () => {
  const seconds = (text) => Number(text.split(":")[0]) * 60 + Number(text.split(":")[1]);
  const totals = (await page.$$eval(".block .total", (all) => all.map((s) => s.textContent))).slice(1).map(seconds);
  await go(page, "whole");
  const bites = (await page.$$eval(".bites span", (all) => all.map((s) => s.textContent))).map(seconds);
  assert.equal(bites.length, 9);
  let sum = 0;
  bites.forEach((bite, i) => assert.equal(sum += bite, totals[i]));
  // golden ladder of strip 15-A, ten tones, exact totals rounded to what a hand can do
  [7.5, 15.4, 26.4, 42.1, 64.5, 99.1, 155.5, 266, 561.5].forEach((exact, i) => assert.ok(Math.abs(totals[i] - exact) <= 2.6, `${totals[i]} for ${exact}`));
});

test("plate view is print view mirrored, pixel for pixel", async () => {
  await go(page, "tones");
  await go(page, "painting");
  await page.locator(".block").nth(4).press("Enter");
  await settled(page);
  const plate = await pixels(page, ".station.painting figure:first-child canvas");
  await page.locator(".station.painting label", { hasText: "print view" }).click();
  await settled(page);
  const print = await pixels(page, ".station.painting figure:first-child canvas");
  assert.deepEqual([plate.width, plate.height], [print.width, print.height]);
  let same = 0;
  let straight = 0;
  for (let y = 0; y < plate.height; y++) for (let x = 0; x < plate.width; x++) {
    const a = print.data[4 * (y * plate.width + x)];
    if (a === plate.data[4 * (y * plate.width + plate.width - 1 - x)]) same++;
    if (a === plate.data[4 * (y * plate.width + x)]) straight++;
  }
  const n = plate.width * plate.height;
  assert.ok(same / n > 0.995, `${same / n} of the pixels are mirrored`);
  assert.ok(straight / n < 0.95, "and the picture is not its own mirror image");
  await page.locator(".station.painting label", { hasText: "plate view" }).click();
});

test("stepping through the stop-outs by button, keys and number", async () => {
  await go(page, "painting");
  const title = page.locator(".station.painting h3").first();
  await page.locator(".step input").fill("2");
  await page.locator(".step input").press("Enter");
  assert.equal(await title.innerText(), "Stop-out 2");
  await page.locator(".step button").last().click();
  assert.equal(await title.innerText(), "Stop-out 3");
  await page.locator(".step button").last().press("ArrowRight");
  assert.equal(await title.innerText(), "Stop-out 4");
  await settled(page);
  assert.match(await page.locator(".station.painting .caption").first().innerText(), /cm², .* islands?, .* cm of edge, about .*; then \d+\s% is covered\./);
  assert.deepEqual(await page.$$eval(".block", (all) => all.map((b) => b.dataset.cover)), ["before", "before", "before", "now", "bare", "bare", "bare", "bare", "bare", "bare"]);
});

test("a pressed block shows where its tone lies and when it is covered", async () => {
  await go(page, "tones");
  const box = await page.locator(".block").nth(4).boundingBox();
  await page.mouse.click(box.x + box.width / 2, box.y + box.height / 2);
  await settled(page);
  assert.match(await page.locator(".readout").innerText(), /Tone 4: .* of the face, prints L\* 60\.1; bare for bites 1 to 4, covered at stop-out 5; total 0:40\./);
  await page.mouse.click(box.x + box.width / 2, box.y + box.height / 2);
});

test("the glass shows grain at plate scale and enlarged, and is moved by keys", async () => {
  await go(page, "proof");
  const seen = {};
  for (const word of ["plate scale", "10 times"]) {
    await page.locator(".station.proof label", { hasText: word }).click();
    await settled(page);
    const { data } = await pixels(page, ".lens canvas");
    seen[word] = new Set(data).size;
  }
  assert.ok(seen["plate scale"] > 2 && seen["10 times"] > 2, JSON.stringify(seen));
  const before = await page.locator(".ring").getAttribute("aria-valuetext");
  await page.locator(".ring").press("ArrowRight");
  assert.notEqual(await page.locator(".ring").getAttribute("aria-valuetext"), before);
  await settled(page);
});

test("the times of the strip are marked as an example wherever they show", async () => {
  for (const station of ["whole", "painting", "times", "sheets", "bath", "proof"]) {
    await go(page, station);
    assert.ok(await page.locator(".strip .example").isVisible(), station);
  }
  for (const station of ["whole", "times", "bath", "painting", "proof"]) {
    await go(page, station);
    assert.ok(await page.locator(`.station.${station} .example`).first().isVisible(), station);
  }
});
