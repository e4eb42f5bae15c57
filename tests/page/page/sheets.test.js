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
    assert.ok(sign.top >= 0 && sign.bottom <= picture.top && picture.top - sign.bottom < 40, `${sign.bottom} and ${picture.top}`);
  }
  await press(page.locator(".page-list button").first());
  assert.equal(await view(), "");
  await press(label("traced through"));
});

test("a page is read close on a phone", async () => {
  await page.setViewportSize({ width: 390, height: 844 });
  const near = page.getByRole("button", { name: "Read it close" });
  const wide = () => page.$eval(".page-well img", (img) => img.getBoundingClientRect().width);
  const whole = await wide();
  await near.press("Enter");
  // Type of 9 pt, 3.2 mm, on A4 shown 800 px wide is 12 px.
  assert.ok(whole < 390 && await wide() >= 800, String(await wide()));
  await page.locator(".page-well").press("ArrowRight");
  await page.waitForFunction(() => document.querySelector(".page-well").scrollLeft > 0);
  assert.deepEqual(await axeFaults(page), []);
  assert.ok(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth + 1));
  await near.press("Enter");
  await page.setViewportSize({ width: 1440, height: 900 });
  await settled(page);
});

test("keys lead from page to page, and stay where they are at the last", async () => {
  const title = () => page.locator(".page-head h3").innerText();
  await page.locator(".page-list button").first().click();
  await page.getByLabel("The next page").focus();
  await page.keyboard.press("Enter");
  await settled(page);
  assert.match(await title(), /^2 of \d+ · key$/);
  await page.getByLabel("The page before").press("Enter");
  assert.equal(await page.getByLabel("The page before").getAttribute("aria-disabled"), "true");
  await page.keyboard.press("Enter");
  assert.match(await title(), /^1 of/);
  assert.equal(await page.evaluate(() => document.activeElement.getAttribute("aria-label")), "The page before");
});

test("the list holds every page, scrolls downwards alone, and follows the page looked at", async () => {
  await press(label("by the press"));
  const box = () => page.$eval(".page-scroll", ({ scrollWidth, clientWidth, scrollHeight, clientHeight }) => ({ scrollWidth, clientWidth, scrollHeight, clientHeight }));
  for (const [width, height] of [[390, 844], [820, 1100], [1440, 900]]) {
    await page.setViewportSize({ width, height });
    await settled(page);
    const { scrollWidth, clientWidth, scrollHeight, clientHeight } = await box();
    assert.ok(scrollWidth <= clientWidth, `sideways at ${width}`);
    assert.ok(scrollHeight > clientHeight, `25 pages do not fit at ${width}`);
  }
  await page.setViewportSize({ width: 390, height: 844 });
  await press(page.locator(".page-list button").first());
  // Turned fast, the pages between are not drawn: one under way, and the last.
  const asked = await page.evaluate(async () => {
    let asked = 0;
    const post = Worker.prototype.postMessage;
    Worker.prototype.postMessage = function (message, ...rest) {
      if (message.call === "sheet_preview") asked++;
      return post.call(this, message, ...rest);
    };
    for (let i = 0; i < 9; i++) document.querySelector('[aria-label="The next page"]').click();
    while (document.querySelector(".page-well").classList.contains("stale")) await new Promise((done) => setTimeout(done, 20));
    Worker.prototype.postMessage = post;
    return asked;
  });
  assert.ok(asked >= 1 && asked <= 2, `${asked} pages asked for`);
  assert.match(await page.$eval(".page-well img", (img) => img.alt), /^Page 10, /);
  const [frame, current] = await page.evaluate(() => [".page-scroll", ".page-list [aria-current]"].map((each) => document.querySelector(each).getBoundingClientRect().toJSON()));
  assert.ok(current.top >= frame.top - 1 && current.bottom <= frame.bottom + 1, `${current.top} to ${current.bottom} within ${frame.top} to ${frame.bottom}`);
  await page.setViewportSize({ width: 1440, height: 900 });
  await press(label("traced through"));
});

test("only the kinds chosen print, and none chosen is said", async () => {
  const left = await page.$eval(".sheet-choices", (each) => each.getBoundingClientRect().left);
  for (const kind of ["Cover, with", "Key: every", "Look sheet", "Pull record", "Stop-outs"]) await press(page.locator(".check", { hasText: kind }));
  assert.ok((await names()).every((name) => name.startsWith("run sheet")), String(await names()));
  await press(page.locator(".check", { hasText: /^Run sheet$/ }));
  await page.waitForFunction(() => /No sheet is chosen/.test(document.querySelector(".saves span").textContent));
  for (const name of ["Sheets (PDF)", "All in one (ZIP)"]) assert.equal(await page.getByRole("button", { name }).isDisabled(), true);
  assert.match(await page.locator(".page-none").innerText(), /No sheet is chosen/);
  assert.equal(await page.$eval(".sheet-choices", (each) => each.getBoundingClientRect().left), left, "what is chosen stays where it is");
  for (const kind of ["Cover, with", "Key: every", "Look sheet", "Pull record", "Stop-outs", /^Run sheet$/]) await press(page.locator(".check", { hasText: kind }));
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
  // In inches it is a length as any other: 0.03 in is 0.762 mm.
  await go(page, "drawing");
  await page.locator(".station.drawing label", { hasText: /^in/ }).first().click();
  await go(page, "sheets");
  await creep.fill("0.03");
  await creep.press("Enter");
  await page.waitForFunction(() => /, 0\.762 mm came/.test(document.querySelector(".notice p").textContent));
  await go(page, "drawing");
  await page.locator(".station.drawing label", { hasText: /^mm/ }).first().click();
  await go(page, "sheets");
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
  await page.getByRole("textbox", { name: "Width", exact: true }).fill("300");
  await page.getByRole("textbox", { name: "Width", exact: true }).press("Enter");
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
  // The list is made anew under the keyboard, which stays in it.
  await page.locator(".page-list button").first().focus();
  await page.keyboard.press("Control+z");
  await settled(page);
  assert.equal(await page.evaluate(() => document.activeElement.closest("ol")?.className), "page-list");
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

test("the progress of one file only rises", async () => {
  await press(label("by the press"));
  await page.evaluate(() => {
    window.shares = [];
    const bar = document.querySelector("progress");
    new MutationObserver(() => bar.hasAttribute("value") && window.shares.push(bar.value)).observe(bar, { attributeFilter: ["value"] });
  });
  await Promise.all([page.waitForEvent("download", { timeout: 60_000 }), page.getByRole("button", { name: "All in one (ZIP)" }).click()]);
  const shares = await page.evaluate(() => window.shares);
  assert.ok(shares.length >= 3 && shares.every((share, i) => i === 0 || share >= shares[i - 1]), String(shares));
  await press(label("traced through"));
});

test("a file asked for while another drawing is opened is of that drawing, and bears its name", async () => {
  const given = await readFile(new URL("../../demo/gantry.png", import.meta.url));
  const files = [];
  page.on("download", (file) => files.push(file));
  const [chooser] = await Promise.all([page.waitForEvent("filechooser"), page.getByRole("button", { name: "Open a drawing" }).click()]);
  await chooser.setFiles({ name: "gantry.png", mimeType: "image/png", buffer: given });
  await page.getByRole("button", { name: "Sheets (PDF)" }).click();
  await page.waitForFunction(() => document.querySelector(".ticket .title").value === "gantry", null, { timeout: 60_000 });
  await settled(page);
  for (let i = 0; i < 100 && files.length === 0; i++) await page.waitForTimeout(100);
  await page.waitForTimeout(500);
  assert.deepEqual(files.map((file) => file.suggestedFilename()), ["gantry-a-sheets.pdf"]);
  const bytes = await readFile(await files[0].path(), "latin1");
  assert.equal(pagesOf(bytes), (await names()).length);
  assert.match(bytes, /gantry: stop-out sheets/);
});

test("stopping a ZIP saves nothing and leaves every choice as it was", async () => {
  await press(label("by the press"));
  await press(label("outlines only"));
  const files = [];
  page.on("download", (file) => files.push(file));
  const chosen = () => page.locator(".sheet-choices input:checked").evaluateAll((inputs) => inputs.map((input) => input.parentElement.textContent));
  const before = (await chosen()).filter((word) => word !== "A4");
  for (const name of ["All in one (ZIP)", "Sheets (PDF)"]) {
    await page.getByRole("button", { name }).click();
    // A page that waits for the file is drawn all the same once that is stopped.
    await label(name === "Sheets (PDF)" ? "A4" : "Letter").click();
    // Enough pages that the line with its Cancel is there before the work is done; if it was quicker, there is nothing to stop.
    const cancel = page.getByRole("button", { name: "Cancel" });
    await cancel.waitFor({ state: "visible", timeout: 10_000 });
    assert.match(await page.locator(".progress p").innerText(), /(drawing the sheets|writing the files|putting all).*/i);
    await cancel.click();
    await page.waitForFunction(() => /^Stopped\. The work as it was before stays\.$/.test(document.querySelector(".notice p").textContent));
    await settled(page);
    assert.deepEqual((await chosen()).filter((word) => !["A4", "Letter"].includes(word)), before);
  }
  assert.equal(files.length, 0);
  await press(label("traced through"));
  await press(label("with hatch and dots"));
  assert.ok((await names()).includes("stop-out 5"));
  assert.equal(pagesOf(await pdf()), (await names()).length);
});

test("titles of any letters make a file", async () => {
  const field = page.getByLabel("Title of the plate");
  for (const title of ["🖼️ Лёд 氷 ", "x".repeat(300), "בית הקרח", "Ice house"]) {
    await field.fill(title);
    await field.press("Enter");
    await settled(page);
    assert.equal(pagesOf(await pdf()), (await names()).length, title);
  }
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
