import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { fileURLToPath } from "node:url";
import { after, before, test } from "node:test";
import { axeFaults, begin, end, go, OUT, settled } from "./site.js";

const FIXTURES = fileURLToPath(new URL("../../fixtures/pulled/", import.meta.url));
let site, browser, page;
before(async () => ({ site, browser, page } = await begin("proof")));
after(() => end({ site, browser }));

const part = () => page.locator("section.pulled");
const read = (before) => page.waitForFunction((before) => {
  const root = document.querySelector("section.pulled");
  return root.getAttribute("data-read") !== before && !root.classList.contains("reading");
}, before, { timeout: 120_000 });
async function choose(name) {
  const before = await part().getAttribute("data-read");
  const chooser = page.waitForEvent("filechooser");
  await part().getByRole("button", { name: "Choose a photo", exact: true }).click();
  await (await chooser).setFiles(FIXTURES + name);
  await read(before);
}

test("a proof of another plate is not guessed at", async () => {
  await choose("slow.jpg");
  assert.match(await part().locator(".pulled-verdict").innerText(), /^Can['’]t tell/);
  assert.equal(await part().locator(".pulled-strip").isVisible(), false);
  const box = await part().locator(".handle.corner").first().boundingBox();
  assert.ok(box.width >= 44 && box.height >= 44);
});

test("the plate's own proof: each tone is read, the slow bath is named, its figure is about right", async () => {
  // Drawing and photos by tests/reference/scripts/pulled_proofs.py: 96 × 80 mm, ten tones; this bath bit exp(-0.4) as fast, 33 % slower.
  await go(page, "drawing");
  await page.locator("#file").setInputFiles(`${FIXTURES}drawing.png`);
  await page.waitForFunction(() => document.body.dataset.ready === "true", null, { timeout: 60_000 });
  await settled(page);
  for (const [label, mm] of [["Width", "96"], ["Height", "80"], ["Bevel, each side", "2"]]) {
    await page.getByRole("textbox", { name: label, exact: true }).fill(mm);
    await page.getByRole("textbox", { name: label, exact: true }).press("Enter");
    await page.waitForTimeout(80);
    await settled(page);
  }
  await go(page, "proof");
  await part().locator("label", { hasText: "measured" }).click();
  const field = part().getByLabel("Its L*");
  await field.fill("93");
  await field.press("Enter");
  await choose("slow.jpg");
  const verdict = await part().locator(".pulled-verdict").innerText();
  const [, percent] = verdict.match(/It is the bite: the bath bit (\d+) % \(± \d+\) slower than the strip's/) ?? assert.fail(verdict);
  assert.ok(Number(percent) > 25 && Number(percent) < 42, verdict);
  const rows = await part().locator(".pulled-scroll").first().locator("tbody tr").allInnerTexts();
  assert.equal(rows.length, 10);
  assert.ok(rows.filter((row) => /\d ± \d/.test(row)).length >= 8, rows.join("\n"));
  await page.screenshot({ path: `${OUT}pulled-1440.png`, fullPage: true });
});

test("a dirty plate is told from a slow bath", async () => {
  await choose("dirty.jpg");
  assert.match(await part().locator(".pulled-verdict").innerText(), /It is wiping: a film of 0\.0[6-9] ± 0\.0\d D more/);
  assert.match(await part().locator(".pulled-table").first().innerText(), /wiping/);
});

test("the reading is kept as a strip and can be used", async () => {
  await part().getByRole("button", { name: "Keep it for the next plate" }).click();
  assert.match(await page.locator("body").innerText(), /is kept among your strips/);
  const kept = await page.evaluate(() => Object.values(localStorage).filter((text) => text.includes("from plate")));
  assert.equal(kept.length, 1);
  const { readings, made } = JSON.parse(kept[0]).items[0];
  assert.equal(made, "covered");
  assert.equal(readings[0][0], 0);
  assert.ok(readings.length >= 8 && readings.every(([s], i) => i === 0 || s > readings[i - 1][0]));
});

test("a dirty plate is not burnished; a slow bath is bitten again, with sheets titled REPAIR", async () => {
  const repair = part().locator(".pulled-repair");
  const plan = async () => {
    const before = await repair.getAttribute("data-planned");
    await repair.getByRole("button", { name: "Plan the repair" }).click();
    await page.waitForFunction((before) => document.querySelector(".pulled-repair").getAttribute("data-planned") !== before, before, { timeout: 120_000 });
  };
  await plan();
  const burnish = repair.locator(".pulled-pane").first();
  const share = Number((await burnish.locator("p").innerText()).match(/([\d.]+) % of the face/)?.[1] ?? 0);
  assert.ok(share < 3, `${share} % to burnish on a plate that is only dirty`);
  await choose("slow.jpg");
  await plan();
  assert.match(await repair.locator(".pulled-pane").nth(1).innerText(), /pieces?, \d+ % of the face, under lines both ways/);
  assert.match(await repair.locator(".pulled-pane").nth(2).innerText(), /bites? by strip 15-A/);
  assert.equal(await repair.locator(".example").isVisible(), true);
  const download = page.waitForEvent("download");
  await repair.getByRole("button", { name: "Save its sheets (PDF)" }).click();
  const file = await download;
  assert.match(file.suggestedFilename(), /-repair\.pdf$/);
  const bytes = await readFile(await file.path());
  assert.equal(bytes.subarray(0, 5).toString(), "%PDF-");
  // The title as the PDF's own metadata has it: bytes of a string, or UTF-16.
  const text = bytes.toString("latin1");
  assert.ok(text.includes("REPAIR") || text.includes("R\0E\0P\0A\0I\0R") || /5245504149522|0052004500500041004900520/.test(text), "no REPAIR in the PDF");
  await page.screenshot({ path: `${OUT}pulled-repair-1440.png`, fullPage: true });
});

test("it fits a tablet and a phone, and has no fault of access", async () => {
  for (const width of [820, 390]) {
    await page.setViewportSize({ width, height: 900 });
    await page.waitForTimeout(300);
    const over = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
    assert.ok(over <= 1, `${over} px too wide at ${width}`);
    await page.screenshot({ path: `${OUT}pulled-${width}.png`, fullPage: true });
  }
  await page.setViewportSize({ width: 1440, height: 900 });
  assert.deepEqual(await axeFaults(page), []);
  assert.deepEqual(page.faults, []);
});

const notice = () => page.locator(".notice p").innerText();
const keptStrips = () => page.evaluate(() => JSON.parse(localStorage.getItem("stepbite.strips")).items.map(({ id, readings }) => [id, readings.at(-1)[1]]));

test("a strip kept of another reading is not overwritten in silence", async () => {
  const [[id, darkest]] = await keptStrips();
  const keep = part().getByRole("button", { name: "Keep it for the next plate" });
  await keep.click();
  assert.match(await notice(), new RegExp(`A strip called ${id} is kept already .* press again`));
  assert.deepEqual(await keptStrips(), [[id, darkest]]);
  const before = await part().getAttribute("data-read");
  await part().getByLabel("Called", { exact: true }).fill("slow bath");
  await part().getByLabel("Called", { exact: true }).press("Enter");
  await read(before);
  await keep.click();
  assert.deepEqual((await keptStrips()).map((each) => each[0]).sort(), [id, "slow bath"]);
  assert.equal((await keptStrips()).find((each) => each[0] === id)[1], darkest);
  assert.match(await part().locator(".pulled-strip").innerText(), /as this proof was wiped and inked/);
});

test("second tones that can't be are refused at the field, and places are named in the units of the page", async () => {
  const repair = part().locator(".pulled-repair");
  const field = repair.getByLabel("Second tones", { exact: true });
  const had = await field.inputValue();
  for (const wrong of ["0", "9"]) {
    await field.fill(wrong);
    await field.press("Enter");
    assert.match(await notice(), /1 to 5 second tones/);
    assert.equal(await field.inputValue(), had);
  }
  const before = await repair.getAttribute("data-planned");
  await repair.getByRole("button", { name: "Plan the repair" }).click();
  await page.waitForFunction((before) => document.querySelector(".pulled-repair").getAttribute("data-planned") !== before, before, { timeout: 120_000 });
  const first = () => repair.locator(".pulled-pane").nth(1).locator("li").first().innerText();
  assert.match(await first(), / mm from the top/);
  await go(page, "drawing");
  await page.locator(".station.drawing label", { hasText: "inch" }).click();
  await go(page, "proof");
  assert.match(await first(), / in from the top/);
  await go(page, "drawing");
  await page.locator(".station.drawing label", { hasText: /^mm$/ }).click();
  await go(page, "proof");
});

test("a second file that is no picture leaves what is being read alone", async () => {
  const before = await part().getAttribute("data-read");
  const file = part().getByLabel("Choose a photo of the proof", { exact: true });
  await file.setInputFiles(`${FIXTURES}dirty.jpg`);
  await file.setInputFiles({ name: "note.jpg", mimeType: "image/jpeg", buffer: Buffer.from("no picture at all") });
  await read(before);
  await page.waitForFunction(() => /[.]$/.test(document.querySelector("section.pulled > .said").textContent), null, { timeout: 20_000 });
  assert.match(await part().locator(".pulled-verdict").innerText(), /It is wiping/);
  assert.equal(await part().evaluate((root) => root.classList.contains("reading")), false);
});

test("a pull in another ink is said to be none that the reading holds for", async () => {
  await page.locator(".station.proof summary", { hasText: /^Inks/ }).click();
  await page.getByRole("button", { name: "Add an ink" }).click();
  await page.getByLabel("Ink of this plate", { exact: true }).selectOption({ label: "ink 1" });
  await settled(page);
  assert.match(await part().locator(".old").innerText(), /another since this was read: read it again/);
  const again = async () => {
    const before = await part().getAttribute("data-read");
    await part().getByRole("button", { name: "Read it" }).click();
    await read(before);
  };
  await again();
  assert.match(await part().locator(".pulled-apart").innerText(), /has “ink 1” for its ink: of a proof that was printed so, nothing here holds/);
  await page.getByLabel("Ink of this plate", { exact: true }).selectOption({ label: "the strip’s own" });
  await settled(page);
  await again();
  assert.equal(await part().locator(".pulled-apart").isVisible(), false);
});

test("a photo that went with a stopped worker is said to be gone", async () => {
  const chooser = page.waitForEvent("filechooser");
  await part().getByRole("button", { name: "Choose a photo", exact: true }).click();
  await (await chooser).setFiles(`${FIXTURES}weak.jpg`);
  const cancel = page.getByRole("button", { name: "Cancel" });
  await cancel.waitFor({ state: "visible", timeout: 20_000 });
  await cancel.click();
  await page.waitForFunction(() => /the photo of the proof is gone/.test(document.querySelector("section.pulled").innerText), null, { timeout: 20_000 });
  await settled(page);
  assert.equal(await part().locator(".pulled-work").isVisible(), false);
  assert.equal(await part().evaluate((root) => root.classList.contains("reading")), false);
});

test("a reading goes with its plate", async () => {
  await choose("slow.jpg");
  assert.equal(await part().locator(".pulled-result").isVisible(), true);
  // Times of a plan that holds no more are shown no more.
  const totals = () => part().locator("table", { hasText: "Left unexplained" }).locator("tbody tr").evaluateAll((rows) => rows.map((row) => row.cells[1].textContent));
  assert.ok((await totals()).some((total) => /\d:\d\d/.test(total)));
  await page.locator(".strip button", { hasText: "+" }).click();
  await settled(page);
  assert.ok((await totals()).every((total) => total === "–"), String(await totals()));
  assert.match(await part().innerText(), /The plan was worked out anew since this was read/);
  await go(page, "drawing");
  await page.locator("#file").setInputFiles(`${FIXTURES}drawing.png`);
  await page.waitForFunction(() => /is open/.test(document.querySelector(".notice p").textContent), null, { timeout: 60_000 });
  await settled(page);
  await go(page, "proof");
  assert.equal(await part().locator(".pulled-work").isVisible(), false);
  assert.match(await part().innerText(), /Another plate is open: photograph its own proof/);
  assert.deepEqual(page.faults, []);
});
