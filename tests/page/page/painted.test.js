import assert from "node:assert/strict";
import { fileURLToPath } from "node:url";
import { after, before, test } from "node:test";
import { axeFaults, begin, end, go, OUT, settled } from "./site.js";

const REFERENCE = fileURLToPath(new URL("../../", import.meta.url));
let site, browser, page;
before(async () => ({ site, browser, page } = await begin("bath")));
after(() => end({ site, browser }));

const part = () => page.locator(".painted-check");
const rows = () => part().locator(".painted-list tbody tr");
// A look that another choice began is waited for, so that the next one is told from it.
const idle = () => page.waitForFunction(() => !document.querySelector(".painted-check").classList.contains("reading"), null, { timeout: 90_000 });
async function choose(name) {
  await idle();
  const looked = await part().getAttribute("data-looked");
  const chooser = page.waitForEvent("filechooser");
  await part().getByRole("button", { name: "Choose a photo", exact: true }).click();
  await (await chooser).setFiles(name);
  await again(looked);
}
const again = (looked) => page.waitForFunction((before) => {
  const root = document.querySelector(".painted-check");
  return root.getAttribute("data-looked") !== before && !root.classList.contains("reading");
}, looked, { timeout: 90_000 });

test("a photo that is no painted plate is not guessed at", async () => {
  await choose(`${REFERENCE}fixtures/painted/zinc-brown.jpg`);
  // The demo's plate is another one: nothing may be marked as if it were known.
  const words = await part().innerText();
  assert.match(words, /[Cc]an['’]t (tell|be told)|mirror image/);
  assert.equal(await part().locator(".painted-list tbody tr th", { hasText: /^\d/ }).count(), 0);
  // Corners are there to be dragged all the same, and are large enough for a glove.
  const corner = part().locator(".handle.corner").first();
  const box = await corner.boundingBox();
  assert.ok(box.width >= 44 && box.height >= 44);
  assert.match(await corner.getAttribute("aria-label"), /^Upper left corner of the plate$/);
});

test("the plate that was painted: gaps and over-runs are marked, numbered, listed with place and area", async () => {
  // Drawing, photo and what is wrong with it by tests/reference/scripts/painted_plates.py: 96 × 80 mm, nine gaps, three over-runs.
  await go(page, "drawing");
  await page.locator("#file").setInputFiles(`${REFERENCE}fixtures/painted/drawing.png`);
  await page.waitForFunction(() => document.body.dataset.ready === "true", null, { timeout: 60_000 });
  await settled(page);
  for (const [label, mm] of [["Width", "96"], ["Height", "80"], ["Bevel, each side", "2"]]) {
    await page.getByRole("textbox", { name: label, exact: true }).fill(mm);
    await page.getByRole("textbox", { name: label, exact: true }).press("Enter");
    await page.waitForTimeout(80);
    await settled(page);
  }
  await go(page, "bath");
  await part().getByLabel("Held to").selectOption("1");
  await choose(`${REFERENCE}fixtures/painted/zinc-brown.jpg`);
  const verdict = await part().locator(".painted-verdict").innerText();
  const [, missed, over] = verdict.match(/^(\w+) pieces missed, (\w+) run over\./) ?? assert.fail(verdict);
  assert.ok(["Seven", "Eight", "Nine"].includes(missed), verdict);
  assert.equal(over, "3");
  const words = (await rows().allInnerTexts()).join("\n");
  assert.match(words, /bare, to be covered/);
  assert.match(words, /covered, to be bare/);
  assert.match(words, /\d mm²/);
  assert.match(await part().locator(".painted-face canvas").getAttribute("aria-label"), /plate view, held to stop-out 1: (ten|eleven|twelve) pieces marked/);
  await page.screenshot({ path: `${OUT}painted-1440.png`, fullPage: true });
});

test("turned by half it says so rather than mark the whole plate", async () => {
  await idle();
  const looked = await part().getAttribute("data-looked");
  await part().getByRole("button", { name: "Turn it by half" }).click();
  await again(looked);
  assert.match(await part().locator(".painted-verdict").innerText(), /turned by half|[Cc]an['’]t tell/);
  assert.equal(await part().locator(".painted-list tbody tr th", { hasText: /^\d/ }).count(), 0);
  const before = await part().getAttribute("data-looked");
  await part().getByRole("button", { name: "Find the corners" }).click();
  await again(before);
  assert.match(await part().locator(".painted-verdict").innerText(), /^\w+ pieces missed, 3 run over\./);
});

test("nothing wider than the screen, no fault of access, at each width", async () => {
  for (const width of [820, 390, 1440]) {
    await page.setViewportSize({ width, height: width === 390 ? 844 : 1000 });
    await settled(page);
    await page.waitForTimeout(400);
    assert.ok(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth + 1), `${width} px`);
    await part().screenshot({ path: `${OUT}painted-${width}-part.png` });
  }
  assert.deepEqual(await axeFaults(page), []);
});
