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
  assert.match(alt, /stop-out 5, as it prints: PLATE VIEW, mirrored/);
  const view = () => page.locator(".page-view").innerText();
  assert.match(await view(), /PLATE VIEW, mirrored$/);
  await press(label("by the press"));
  for (const [name, words] of [["transfer", /PRINT VIEW, not mirrored$/], ["guide", /PLATE VIEW, mirrored, a guide$/]]) {
    await press(page.locator(".page-list button", { hasText: `stop-out 5, ${name}` }));
    assert.match(await view(), words);
    // In view whenever the picture is: above it, within the window.
    const [sign, picture] = await page.evaluate(() => [".page-view .sign", ".page-well img"].map((each) => document.querySelector(each).getBoundingClientRect().toJSON()));
    assert.ok(sign.bottom <= picture.top && picture.top - sign.bottom < 40, `${sign.bottom} and ${picture.top}`);
  }
  await press(page.locator(".page-list button").first());
  assert.equal(await view(), "");
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
  await page.waitForFunction(() => /No sheet is chosen/.test(document.querySelector(".saves span").textContent));
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
  assert.match(await page.locator(".sheet-choices").innerText(), /× 1\.014 and × 1\.000, along the short side and along the long side/);
  for (const [typed, said] of [
    ["94", /read 94 mm along the short side and 100 mm along the long side: more than 3 %.*fit to page/],
    ["104", /read 104 mm/], ["0", /measure both bars/], ["", /“” is not a number/], ["ninety", /is not a number/],
  ]) {
    await field.fill(typed);
    await field.press("Enter");
    await page.waitForFunction((pattern) => new RegExp(pattern).test(document.querySelector(".notice p").textContent), said.source);
    await page.waitForFunction(() => document.querySelector(".more input").value === "98.6");
  }
  const creep = page.getByLabel("Edges drawn inside their line, for varnish that creeps");
  await creep.fill("0,9");
  await creep.press("Enter");
  await page.waitForFunction(() => /0 to 0\.5 mm inside their line, 0\.9 mm came/.test(document.querySelector(".notice p").textContent));
  await page.waitForFunction(() => document.querySelectorAll(".more input")[2].value === "0");
  await field.fill("98,6");
  await field.press("Enter");
  await settled(page);
  assert.match(await page.locator(".sheet-choices").innerText(), /× 1\.014/);
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

test("two presses ask for one file, and a file under way goes on while the paper is changed", async () => {
  const files = [];
  page.on("download", (file) => files.push(file));
  const button = page.getByRole("button", { name: "Sheets (PDF)" });
  await button.dblclick();
  await press(label("A3"));
  await page.waitForFunction(() => document.querySelector(".progress").hidden);
  await page.waitForTimeout(500);
  assert.equal(files.length, 1);
  // The file is what was asked for: A4, 595.28 × 841.89 points.
  assert.match(await readFile(await files[0].path(), "latin1"), /MediaBox\s*\[\s*0 0 595\.\d+ 841\.\d+/);
  await press(label("A4"));
});

test("stopping a ZIP saves nothing and leaves every choice as it was", async () => {
  await press(label("by the press"));
  await press(label("outlines only"));
  const files = [];
  page.on("download", (file) => files.push(file));
  const chosen = () => page.locator(".sheet-choices input:checked").evaluateAll((inputs) => inputs.map((input) => input.parentElement.textContent));
  const before = await chosen();
  for (const name of ["All in one (ZIP)", "Sheets (PDF)"]) {
    await page.getByRole("button", { name }).click();
    // Enough pages that the line with its Cancel is there before the work is done; if it was quicker, there is nothing to stop.
    const cancel = page.getByRole("button", { name: "Cancel" });
    await cancel.waitFor({ state: "visible", timeout: 10_000 });
    assert.match(await page.locator(".progress p").innerText(), /drawing the sheets|writing the files|putting all/);
    await cancel.click();
    await page.waitForFunction(() => /^Stopped\. The work as it was before stays\.$/.test(document.querySelector(".notice p").textContent));
    assert.deepEqual(await chosen(), before);
  }
  assert.equal(files.length, 0);
  await press(label("traced through"));
  await press(label("with hatch and dots"));
  assert.ok((await names()).includes("stop-out 5"));
  assert.equal(pagesOf(await pdf()), (await names()).length);
});

test("titles of any letters make a file", async () => {
  await go(page, "drawing");
  for (const title of ["🖼️ Лёд 氷 ", "x".repeat(300), "בית הקרח", ""]) {
    await page.evaluate(() => scrollTo(0, 0));
    const field = page.getByLabel("Title", { exact: true });
    await field.fill(title);
    await field.press("Enter");
    await go(page, "sheets");
    await settled(page);
    assert.equal(pagesOf(await pdf()), (await names()).length, title);
    await go(page, "drawing");
  }
  await go(page, "sheets");
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
