/** The Sheets station: every page as it prints, what is chosen, what is saved. */
import { after, before, test } from "node:test";
import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { axeFaults, begin, end, go, settled } from "./site.js";

let begun, page;
before(async () => {
  begun = await begin("sheets");
  page = begun.page;
});
after(() => end(begun));

/** Names of all pages as the list has them. */
const names = () => page.locator(".page-list button").evaluateAll((buttons) => buttons.map((button) => button.lastChild.textContent));
/** Presses a choice and waits until its pages are there. */
async function press(locator) {
  await locator.click();
  await settled(page);
}
const label = (hasText) => page.locator(".station.sheets label", { hasText });
const pdf = async () => {
  const [download] = await Promise.all([page.waitForEvent("download", { timeout: 60_000 }), page.getByRole("button", { name: "Sheets (PDF)" }).click()]);
  return readFile(await download.path(), "latin1");
};
// A page object each, ISO 32000-1 7.7.3.3; the tree above them is "/Type /Pages".
const pagesOf = (bytes) => bytes.match(/\/Type\s*\/Page\b/g).length;

test("every page of the PDF is in the list, in the order of the bench", async () => {
  const list = await names();
  assert.deepEqual([list[0], list[1], list.at(-2), list.at(-1)], ["cover", "key", "look sheet", "pull record"]);
  assert.equal(list.filter((name) => name.startsWith("stop-out")).length, 9);
  assert.equal(pagesOf(await pdf()), list.length);
});

test("a page is shown at the size of its paper, with the words of its sheet, mirrored or not as the transfer says", async () => {
  await press(page.locator(".page-list button", { hasText: /^\d+stop-out 5$/ }));
  const read = () => page.$eval(".page-well img", (img) => ({ wide: img.naturalWidth, high: img.naturalHeight, alt: img.alt }));
  const { wide, high, alt } = await read();
  // ISO 216: A4 is 210 × 297 mm.
  assert.ok(Math.abs(high / wide - 297 / 210) < 0.003, `${wide} × ${high}`);
  assert.match(alt, /stop-out 5, as it prints/);
  await press(label("by the press"));
  assert.ok((await names()).includes("stop-out 5, transfer") && (await names()).includes("stop-out 5, guide"));
  await press(label("traced through"));
});

test("keys lead from page to page", async () => {
  const title = () => page.locator(".page-head h3").innerText();
  await page.locator(".page-list button").first().click();
  await page.getByLabel("The next page").focus();
  await page.keyboard.press("Enter");
  await settled(page);
  assert.match(await title(), /^2 of \d+ · key$/);
  await page.getByLabel("The page before").press("Enter");
  assert.equal(await page.getByLabel("The page before").isDisabled(), true);
});

test("only the kinds chosen print, and none chosen is said", async () => {
  for (const kind of ["Cover, with", "Key: every", "Look sheet", "Pull record", "Stop-outs"]) await press(page.locator(".check", { hasText: kind }));
  assert.ok((await names()).every((name) => name.startsWith("run sheet")), String(await names()));
  await press(page.locator(".check", { hasText: "Run sheet" }));
  await page.waitForFunction(() => /None of the kinds chosen/.test(document.querySelector(".saves span").textContent));
  assert.equal(await page.getByRole("button", { name: "Sheets (PDF)" }).isDisabled(), true);
  for (const kind of ["Cover, with", "Key: every", "Look sheet", "Pull record", "Stop-outs", "Run sheet"]) await press(page.locator(".check", { hasText: kind }));
  assert.equal((await names())[0], "cover");
});

test("measured bars stretch the sheets by the closed form, and more than 3 % is refused", async () => {
  await page.locator(".more summary").click();
  const field = page.getByLabel("Bar along the paper’s short side reads");
  await field.fill("98.6");
  await field.press("Enter");
  await settled(page);
  assert.match(await page.locator(".sheet-choices").innerText(), /× 1\.014 along the short side/);
  await field.fill("94");
  await field.press("Enter");
  assert.match(await page.locator(".notice p").innerText(), /fit to page/);
  assert.equal(await field.inputValue(), "98.6");
  await field.fill("100");
  await field.press("Enter");
  await settled(page);
  assert.match(await page.locator(".sheet-choices").innerText(), /Print a sheet, measure both bars/);
});

test("a plate larger than the paper prints in pieces, and says so", async () => {
  await go(page, "drawing");
  await page.getByLabel("Width", { exact: true }).fill("300");
  await page.getByLabel("Width", { exact: true }).press("Enter");
  await settled(page);
  await go(page, "sheets");
  await page.waitForFunction(() => /overlap by 10 mm/.test(document.querySelector(".station.sheets .notes").textContent));
  assert.match(await page.locator("nav ol").innerText(), /larger than A4: printed in pieces/);
  await settled(page);
  const list = await names();
  assert.equal(list.filter((name) => name.startsWith("stop-out 5")).length, 2);
  assert.equal(pagesOf(await pdf()), list.length);
  await press(label("A3"));
  assert.equal((await names()).filter((name) => name.startsWith("stop-out 5")).length, 1);
  await press(label("A4"));
  await page.locator(".acts button", { hasText: "Undo" }).click();
  await settled(page);
  await page.waitForFunction(() => !/overlap/.test(document.querySelector(".station.sheets .notes").textContent));
});

test("the page can be used by all, at three widths", async () => {
  for (const [width, height] of [[1440, 900], [820, 1100], [390, 844]]) {
    await page.setViewportSize({ width, height });
    await settled(page);
    assert.deepEqual(await axeFaults(page), []);
    assert.ok(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth + 1), `no sideways scrolling at ${width}`);
  }
  assert.deepEqual(page.faults, []);
});
