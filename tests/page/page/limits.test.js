/** Painting: islands pointed at, what was removed, what a brush can't do, and the printer's own pace. */
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { after, before, test } from "node:test";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { begin, end, go, opened, OUT, pixels, settled } from "./site.js";

const CARD = fileURLToPath(new URL("../../reference/data/line_card.png", import.meta.url));

let site, browser, page;
before(async () => { ({ site, browser, page } = await begin("painting")); });
after(() => end({ site, browser }));

/** Waits for the lists, which come when nothing moves. */
async function known(target = page) {
  await settled(target);
  await target.waitForFunction(() => [...document.querySelectorAll(".known .aside")].every((p) => !/^Being /.test(p.textContent)), null, { timeout: 30_000 });
  await target.waitForTimeout(600);
}

const WORDS = ["no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen"];
const counted = (text) => { const word = text.trim().split(/[ \u00a0]/)[0].toLowerCase(); return WORDS.includes(word) ? WORDS.indexOf(word) : Number(word.replace(/\D/g, "")); };

test("the islands are counted as the table counts them, and the smallest are pointed at", async () => {
  await known();
  for (const number of [1, 5]) {
    await page.locator(`.painting .scroll tbody tr:nth-child(${number}) button`).click();
    await known();
    const said = await page.locator("[aria-labelledby=h-islands] .aside").innerText();
    const inTable = await page.locator(`.painting .scroll tbody tr:nth-child(${number}) td:nth-child(5)`).innerText();
    assert.equal(counted(said), Number(inTable.replace(/\D/g, "")), said);
    const discs = (await page.locator("[aria-labelledby=h-islands] .places .spot").allInnerTexts()).map((text) => Number(/disc of ([\d.]+) mm/.exec(text)[1]));
    assert.ok(discs.length > 0 && discs.every((disc) => disc >= 0.8), `every island holds the mark, to within a pixel or two: ${discs}`);
  }
  assert.equal(await page.locator(".marks .label").count(), 5, "the five smallest are numbered on the picture");
  await page.getByRole("button", { name: "Number the smallest" }).click();
  assert.equal(await page.locator(".marks .label").count(), 0);
});

test("an island picked from the list is pointed at where it is to be painted, in either view", async () => {
  await page.locator("[aria-labelledby=h-islands] .places .spot").first().click();
  assert.equal(await page.locator(".marks .label.picked").count(), 1);
  assert.equal(await page.locator(".marks .around").count(), 1);
  const places = [];
  for (const view of ["print view", "plate view"]) {
    await page.locator(".station.painting label", { hasText: view }).click();
    await settled(page);
    const where = await page.evaluate(() => {
      const canvas = document.querySelector(".station.painting figure canvas");
      const box = canvas.getBoundingClientRect();
      const dot = document.querySelector(".marks .picked circle").getBoundingClientRect();
      const text = document.querySelector(".marks .picked text").getBoundingClientRect();
      const [x, y] = [dot.left + dot.width / 2 - box.left, dot.top + dot.height / 2 - box.top];
      return { x: x / box.width, y: y / box.height, text: text.width > 0 };
    });
    assert.ok(where.text);
    places.push(where);
    // What is painted now is ink on white: grey. Varnish and its dots are brown: red is 24 or more above blue.
    const { data, width, height } = await pixels(page, ".station.painting figure canvas");
    const i = (Math.floor(where.y * height) * width + Math.floor(where.x * width)) * 4;
    assert.ok(data[i] - data[i + 2] < 20, `paint, not varnish: ${data.slice(i, i + 3)}`);
  }
  assert.ok(Math.abs(places[0].x + places[1].x - 1) < 0.01 && Math.abs(places[0].y - places[1].y) < 0.01, JSON.stringify(places));
});

test("what was removed is a picture that is toggled, and its pieces are pointed at", async () => {
  const print = await pixels(page, ".station.painting figure:nth-child(2) canvas");
  const toggle = page.getByRole("button", { name: "Show what was removed" });
  await toggle.click();
  await settled(page);
  assert.equal(await toggle.getAttribute("aria-pressed"), "true");
  const shown = await pixels(page, ".station.painting figure:nth-child(2) canvas");
  const green = (data) => data.filter((_, i) => i % 4 === 1 && data[i] - data[i - 1] > 15).length;
  assert.ok(green(shown.data) > 200 && green(print.data) === 0, "lost lights are in verdigris");
  assert.match(await page.locator(".station.painting figure:nth-child(2)").innerText(), /What clean-up removed[^]*PLATE VIEW[^]*LOST LIGHT[^]*LOST DARK/);
  await page.locator("[aria-labelledby=h-removed] .places .spot").first().click();
  assert.equal(await page.locator(".marks .label.picked").count(), 2, "on the stop-out and on the picture of what was removed");
  // A few square millimetres are none in a table of whole square centimetres, but they are on the picture.
  const held = async () => (await pixels(page, ".station.painting figure:nth-child(1) canvas")).data;
  const before = await held();
  await page.locator("[aria-labelledby=h-removed] .places").first().getByRole("button", { name: "Keep this" }).first().click();
  await settled(page);
  assert.match(await page.locator(".undoes").innerText(), /highlight kept/);
  const kept = await held();
  assert.ok(kept.some((value, i) => value !== before[i]), "the light is back");
  await page.locator(".acts button", { hasText: "Undo" }).click();
  await settled(page);
  const after = await held();
  assert.ok(after.every((value, i) => value === before[i]), "and gone again");
  await page.getByRole("button", { name: "Back to the print" }).click();
  await settled(page);
  assert.equal(await toggle.getAttribute("aria-pressed"), "false");
  assert.equal(green((await pixels(page, ".station.painting figure:nth-child(2) canvas")).data), 0);
});

test("soft passages, bands and places under the mark are told in sentences and drawn", async () => {
  for (const heading of ["Thin dark lines", "Soft passages", "Narrow bands", "Too narrow for the mark"]) {
    const text = await page.locator(".four > div", { has: page.locator("h4", { hasText: heading }) }).locator(".aside").innerText();
    assert.match(text, /^[A-Z0-9].*\.$/s, `${heading}: ${text}`);
  }
  const soft = page.locator(".four > div", { hasText: "Soft passages" }).locator(".spot");
  const lengths = (await soft.allInnerTexts()).map((text) => parseFloat(text));
  assert.ok(lengths.length > 0, "the demo's sky is a wash");
  assert.deepEqual(lengths, [...lengths].sort((a, b) => b - a));
  await soft.first().click();
  assert.equal(await page.locator(".marks .stretch.picked").count(), 1);
  await soft.first().click();
  assert.equal(await page.locator(".marks .stretch").count(), 0);
});

test("a logged stop-out sets the pace of all the others, by a named undo", async () => {
  const cell = () => page.locator(".painting .scroll tbody tr:nth-child(6) td:nth-child(3)").innerText();
  const minutes = (text) => { const found = /(?:(\d+) h ?)?(\d+)? ?(?:min)?/.exec(text); return 60 * Number(found[1] ?? 0) + Number(found[2] ?? 0); };
  await page.locator(".painting .scroll tbody tr:nth-child(1) button").click();
  await known();
  const [before, planned] = [minutes(await cell()), minutes(await page.locator(".painting .scroll tbody tr:nth-child(1) td:nth-child(3)").innerText())];
  assert.match(await page.locator(".station.painting figcaption").first().innerText(), /about .* \(an estimate\)/);
  const took = page.getByLabel("Stop-out 1 really took");
  await took.fill(String(2 * planned));
  await took.press("Enter");
  await settled(page);
  assert.match(await page.locator(".station.painting figcaption").first().innerText(), /by your own pace, from stop-out 1/);
  assert.match(await page.locator(".painting .scroll tbody tr:nth-child(1) td:nth-child(3)").innerText(), /took/);
  assert.ok(Math.abs(minutes(await cell()) / before - 2) < 0.2, `${before} → ${await cell()}`);
  await took.fill("a while");
  await took.press("Enter");
  assert.match(await page.locator(".notice p").innerText(), /“a while” is not a number/);
  assert.match(await page.locator(".undoes").innerText(), /stop-out 1 took/);
  await page.locator(".acts button", { hasText: "Undo" }).click();
  await settled(page);
  assert.equal(minutes(await cell()), before);
});

test("thin lines of a drawing are found, shown, and etched first on demand", async () => {
  // 60 by 45 mm at 10 pixels a mm, lines of 0.4 mm: tests/reference/scripts/limits.py. The file says no true size; the plate is set to it.
  const own = await opened(browser, site.url);
  const [chooser] = await Promise.all([own.waitForEvent("filechooser"), own.getByRole("button", { name: "Open a drawing" }).first().click()]);
  await chooser.setFiles({ name: "lines.png", mimeType: "image/png", buffer: readFileSync(CARD) });
  await own.waitForFunction(() => /“lines” is open/.test(document.querySelector(".notice p").textContent));
  await go(own, "drawing");
  for (const [name, value] of [["Width", "63"], ["Height", "48"]]) {
    await own.getByRole("textbox", { name, exact: true }).fill(value);
    await own.getByRole("textbox", { name, exact: true }).press("Enter");
    await settled(own);
  }
  await go(own, "painting");
  await known(own);
  const lines = own.locator(".four > div", { hasText: "Thin dark lines" });
  const said = await lines.locator(".aside").innerText();
  const length = Number(/([\d.]+) cm in all/.exec(said)[1]);
  assert.ok(length > 29 && length < 33, `${said}: 269 mm are drawn, and writing`);
  assert.match(said, /0\.4 mm wide/);
  await own.getByRole("button", { name: "Show the lines" }).click();
  await settled(own);
  const { data, width } = await pixels(own, ".station.painting figure:nth-child(2) canvas");
  const dark = data.filter((v, i) => i % 4 === 0 && v < 90).length;
  assert.ok(dark > width, `${dark} pixels of ink`);
  await lines.locator("label", { hasText: "etched first" }).click();
  await known(own);
  assert.match(await lines.locator(".aside").innerText(), /left to an etched-line stage/);
  await go(own, "whole");
  assert.match(await own.locator(".station.whole .notes").innerText(), /etched-line stage/);
  assert.deepEqual(own.faults, []);
  await own.context().close();
});

test("the lists fit every screen", async () => {
  for (const width of [1440, 820, 390]) {
    await page.setViewportSize({ width, height: 900 });
    await known();
    const over = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
    assert.ok(over <= 0, `${over} px too wide at ${width}`);
    await page.screenshot({ path: join(OUT, `limits-${width}.png`), fullPage: true });
  }
  assert.deepEqual(page.faults, []);
});
