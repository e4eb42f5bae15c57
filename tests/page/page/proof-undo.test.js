/** Undo takes back the proof's changes as it does the plan's; "Put it back" puts back the one thing that was taken, once. */
import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { after, before, test } from "node:test";
import { begin, end, settled } from "./site.js";

let site, browser, page;
before(async () => { ({ site, browser, page } = await begin("proof")); });
after(() => end({ site, browser }));

const PULL = ".proof .pulls .picture:first-child .face > canvas";
const part = (name) => page.locator(".proof .fold-part", { has: page.locator(`summary b:text-is("${name}")`) });
const unfold = async (name) => {
  const found = part(name);
  if (!await found.evaluate((item) => item.open)) await found.locator("summary").first().click();
  return found;
};
const undo = () => page.evaluate(() => document.activeElement?.blur?.()).then(() => page.keyboard.press("Control+z"));
const redo = () => page.keyboard.press("Control+Shift+z");
const undoes = () => page.locator(".undoes").innerText();
const mean = async () => {
  await settled(page);
  return page.$eval(PULL, (canvas) => {
    const { data } = canvas.getContext("2d").getImageData(0, 0, canvas.width, canvas.height);
    return data.reduce((sum, v, i) => sum + (i % 4 === 1 ? v : 0), 0) / (data.length / 4);
  });
};

test("an outline, the extent of a paper and how an ink is known come back by Undo, the last first", async () => {
  const zones = await unfold("Zones of ink");
  await zones.getByRole("button", { name: "A rectangle" }).click();
  assert.equal(await undoes(), "Undo: zone 1 added");
  await zones.locator(".card summary").click();
  const width = zones.getByLabel("Width");
  const was = await width.inputValue();
  await width.fill("20");
  await width.press("Enter");
  assert.equal(await undoes(), "Undo: zone 1 drawn otherwise");
  const papers = await unfold("Papers laid in");
  await papers.getByRole("button", { name: "A rectangle" }).click();
  await papers.locator("label", { hasText: "the whole face" }).click();
  const inks = await unfold("Inks");
  await inks.getByRole("button", { name: "Add an ink" }).click();
  await inks.locator("label", { hasText: "two patches" }).click();
  const known = () => inks.locator("input[value=two]").isChecked();
  assert.ok(await known());
  await undo();
  assert.match(await page.locator(".notice p").innerText(), /^Undone: ink 1 changed\.$/);
  assert.ok(!await known());
  await undo();
  assert.equal(await inks.locator(".card").count(), 0);
  await undo();
  assert.ok(await papers.locator("input[value=piece]").isChecked());
  await undo();
  await undo();
  assert.equal(await width.inputValue(), was);
  await redo();
  assert.equal(await width.inputValue(), "20");
  await undo();
  await undo();
  assert.equal(await zones.locator(".card").count(), 0);
  assert.equal(await undoes(), "");
});

test("a slider that is dragged is one step, and plan and proof come back in the order they were changed", async () => {
  const range = page.locator(".first-asked input[type=range]");
  const box = await range.boundingBox();
  await page.mouse.move(box.x + 6, box.y + box.height / 2);
  await page.mouse.down();
  for (const share of [0.2, 0.4, 0.6]) await page.mouse.move(box.x + share * box.width, box.y + box.height / 2);
  await page.mouse.up();
  const tone = await range.inputValue();
  assert.ok(Number(tone) > 0.1);
  await page.locator(".strip button", { hasText: "+" }).click();
  assert.equal(await undoes(), "Undo: bite 10 added");
  await settled(page);
  await page.locator(".proof .top label", { hasText: "warm" }).click();
  await page.locator(".proof .top label", { hasText: "booth" }).click();
  assert.equal(await undoes(), "Undo: light: booth");
  await undo();
  assert.ok(await page.locator("input[value=daylight]").isChecked(), "one lamp after another is one step");
  await undo();
  assert.equal(await undoes(), `Undo: plate tone ${Number(tone)}`);
  await undo();
  assert.equal(await range.inputValue(), "0");
  // Down to none and up again is one step too, whatever it is called on the way.
  await page.mouse.move(box.x + 6, box.y + box.height / 2);
  await page.mouse.down();
  for (const share of [0.4, 0.2, 0, 0.3]) await page.mouse.move(box.x + Math.max(2, share * box.width), box.y + box.height / 2);
  await page.mouse.up();
  await undo();
  assert.equal(await range.inputValue(), "0");
  await settled(page);
});

test("what was taken away is put back alone, once, and what came meanwhile stays", async () => {
  const zones = await unfold("Zones of ink");
  for (let i = 0; i < 2; i++) await zones.getByRole("button", { name: "A rectangle" }).click();
  await zones.getByRole("button", { name: "Take it away" }).first().click();
  await zones.getByRole("button", { name: "A rectangle" }).click();
  const names = () => zones.locator(".card .named input").evaluateAll((all) => all.map((item) => item.value));
  assert.deepEqual(await names(), ["zone 2", "zone 3"]);
  await page.getByRole("button", { name: "Put it back" }).press("Enter");
  assert.deepEqual(await names(), ["zone 1", "zone 2", "zone 3"]);
  assert.equal(await page.getByRole("button", { name: "Put it back" }).count(), 0, "once");
  assert.equal(await page.evaluate(() => document.activeElement?.textContent), "Close", "the keyboard stays where it was");
  for (let i = 0; i < 4; i++) await undo();
  assert.deepEqual(await names(), ["zone 1"]);
  await undo();
});

test("a plate that was brought in goes by Undo and comes by Redo, in the worker too", async () => {
  const [download] = await Promise.all([page.waitForEvent("download", { timeout: 60_000 }), page.getByRole("button", { name: "Save", exact: true }).click()]);
  const plates = await unfold("Plates over one another");
  const alone = await mean();
  await page.locator("input.plate-file").setInputFiles({ name: "b.zip", mimeType: "application/zip", buffer: await readFile(await download.path()) });
  await page.waitForFunction(() => document.querySelectorAll(".proof .fold-part[open] .plate-letter").length === 2, null, { timeout: 60_000 });
  const both = await mean();
  assert.ok(both < alone - 8);
  await undo();
  assert.equal(await plates.locator(".plate-letter").count(), 1);
  assert.equal(await mean(), alone);
  await redo();
  assert.equal(await mean(), both);
  await plates.getByRole("button", { name: "Turn the order round" }).click();
  assert.equal(await undoes(), "Undo: order of the plates");
  await plates.locator(".card").first().getByRole("button", { name: "Take it away" }).click();
  assert.equal(await mean(), alone);
  await undo();
  assert.equal(await mean(), both);
  await undo();
  await undo();
  assert.equal(await mean(), alone);
});

test("nothing went wrong meanwhile", () => assert.deepEqual(page.faults, []));
