/** Plates side by side: the joints of the example as they stand, dragged about and moved by keys, the best orders, a seam, the bed, one plate alone. */
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { axeFaults, begin, end, settled } from "./site.js";

let site, browser, page;
before(async () => { ({ site, browser, page } = await begin("plates")); });
after(() => end({ site, browser }));

const plate = (letter) => page.locator(`.row-plate[aria-label^="Plate ${letter},"]`);
/** The letters as they are numbered: what is seen may still be sliding to its place. */
const order = async () => {
  const all = await page.locator(".row-plate").evaluateAll((plates) => plates.map((each) => [Number(/number (\d+) of/.exec(each.getAttribute("aria-label"))[1]), each.querySelector("b").textContent]));
  return all.sort((a, b) => a[0] - b[0]).map(([, letter]) => letter).join("");
};
/** Until every joint has its figures. */
const known = () => page.waitForFunction(() => {
  const joints = [...document.querySelectorAll(".row-joint")];
  return joints.length > 0 && joints.every((each) => !each.classList.contains("stale") && /L\*$/.test(each.querySelector("b").textContent));
}, null, { timeout: 120_000 });
const figures = () => page.locator(".row-joint").evaluateAll((all) => all.sort((a, b) => a.getBoundingClientRect().left - b.getBoundingClientRect().left).map((each) => Number.parseFloat(each.querySelector("b").textContent)));
/** The best order that the list has. */
const best = () => page.locator(".row-found .row-order").first();

test("one plate alone says what is missing, and still has its bed", async () => {
  assert.match(await page.locator(".row-part .lead").innerText(), /Only one plate so far/);
  assert.ok(!await page.locator(".row-scene").isVisible());
  await page.locator(".bed-on svg").waitFor();
  assert.match(await page.locator(".bed-order").first().innerText(), /From the left: B$/);
});

test("the example runs on as it was drawn to, and the list takes it there", async () => {
  await page.getByRole("button", { name: "Open the example of four plates" }).click();
  await page.waitForFunction(() => document.querySelectorAll(".row-plate").length === 4, null, { timeout: 120_000 });
  await known();
  assert.equal(await order(), "ABCD");
  await best().waitFor();
  assert.match(await best().innerText(), /^C · A · B · D\s+worst joint [\d.]+ \(B \| D\), sum [\d.]+ L\*/);
  await best().click();
  await known();
  assert.equal(await order(), "CABD");
  const found = await figures();
  const [, sum] = /sum ([\d.]+)/.exec(await best().innerText());
  assert.ok(Math.abs(found.reduce((a, b) => a + b, 0) - Number(sum)) < 0.2, `${found} for ${sum}`);
  assert.equal(await best().getAttribute("aria-pressed"), "true");
  // Colour is never alone: each joint says in a word how it looks, and its seam is ruled.
  const looks = await page.locator(".row-joint em").allInnerTexts();
  assert.ok(looks.every((word) => ["runs on", "a step shows", "breaks"].includes(word)), looks.join());
});

test("keys move a plate, turn it and keep it in its place, and it is said", async () => {
  await plate("D").focus();
  await page.keyboard.press("ArrowLeft");
  await known();
  assert.equal(await order(), "CADB");
  assert.match(await page.locator(".row-many > .hidden").innerText(), /Plate D is number 3 of 4 now: worst joint [\d.]+, sum/);
  await page.keyboard.press("t");
  await known();
  assert.match(await plate("D").getAttribute("aria-label"), /number 3 of 4, turned round/);
  await page.keyboard.press("p");
  assert.match(await plate("D").getAttribute("aria-label"), /keeps its place/);
  assert.equal(await page.evaluate(() => document.activeElement.querySelector("b").textContent), "D", "the keyboard stays with it");
  await page.waitForFunction(() => /those that keep/.test(document.querySelector(".row-found .aside").textContent));
  for (let i = 0; i < 3; i++) await page.locator(".ticket button", { hasText: "Undo" }).click();
  assert.equal(await order(), "CABD");
});

test("a plate is dragged to another place, and its figures follow while it is held", async () => {
  await plate("C").scrollIntoViewIfNeeded();
  const [from, to] = [await plate("C").boundingBox(), await plate("D").boundingBox()];
  await page.mouse.move(from.x + from.width / 2, from.y + 60);
  await page.mouse.down();
  await page.mouse.move(from.x + from.width, from.y + 70, { steps: 4 });
  await page.mouse.move(to.x + to.width - 10, to.y + 60, { steps: 12 });
  await page.locator(".row-item.held").waitFor();
  await page.mouse.up();
  await known();
  assert.equal(await order(), "ABDC");
  await page.locator(".ticket button", { hasText: "Undo" }).click();
  await known();
  assert.equal(await order(), "CABD");
});

test("a joint opens its seam at true size, and a higher picture is weighed in a sentence", async () => {
  await page.locator(".row-joint").first().click();
  const canvas = page.locator(".seam canvas");
  await canvas.waitFor();
  await page.waitForFunction(() => document.querySelector(".seam canvas").width > 100);
  // 180 mm of plate at 96 px an inch.
  const { height } = await canvas.boundingBox();
  assert.ok(Math.abs(height - 180 * 96 / 25.4) < 1, String(height));
  assert.match(await page.locator(".seam-figures").innerText(), /tones [\d.]+ L\* apart on the mean/);
  await plate("B").focus();
  await page.waitForFunction(() => /With the picture of B 4 mm higher, joint A\|B/.test(document.querySelector(".row-wins").textContent));
  await page.locator(".row-raise input").fill("40");
  await page.keyboard.press("Enter");
  assert.match(await page.locator(".notice p").innerText(), /15 mm/);
  assert.equal(await page.locator(".row-raise input").inputValue(), "4");
});

test("in rows of two joints are across and down, and the bed is the print's mirror", async () => {
  const count = page.locator(".row-bar .number", { hasText: "Plates in a row" }).locator("input");
  await count.fill("2");
  await count.press("Enter");
  await known();
  assert.equal(await page.locator(".row-joint").count(), 4);
  await count.fill("4");
  await count.press("Enter");
  await page.waitForFunction(() => document.querySelectorAll(".row-joint").length === 3);
  await page.waitForFunction(() => !document.querySelector(".bed-pictures.stale") && /: D · B · A · C$/.test(document.querySelector(".bed-on .bed-order").textContent));
  assert.match(await page.locator(".bed-print .bed-order").innerText(), /From the left: C · A · B · D$/);
  const letters = (where) => page.locator(`${where} svg text`).evaluateAll((all) => all.filter((each) => each.textContent.length === 1).sort((a, b) => a.getBoundingClientRect().left - b.getBoundingClientRect().left).map((each) => each.textContent).join(""));
  assert.equal(await letters(".bed-on"), "DBAC");
  assert.equal(await letters(".bed-print"), "CABD");
});

test("what does not fit is said with its sizes, and a growth with what it does", async () => {
  const field = (label) => page.locator(".bed-fields .number", { hasText: label }).first().locator("input");
  await field("Bed, along its run").fill("480");
  await field("Bed, along its run").press("Enter");
  await page.waitForFunction(() => /499 × 180 mm \(19\.6 × 7\.1 in\).*480 × 500 mm/.test(document.querySelector(".bed-trouble").textContent));
  assert.ok(!await page.locator(".bed-on svg").isVisible(), "no picture of what can't be");
  await field("Bed, along its run").fill("1000");
  await field("Bed, along its run").press("Enter");
  await page.getByLabel("Print a template for a second run").check();
  await page.waitForFunction(() => /±2\.50 mm|±2\.49 mm/.test(document.querySelector(".bed-growth").textContent));
  assert.deepEqual(await axeFaults(page), []);
  assert.deepEqual(page.faults, []);
});

test("on a phone everything stands within the page", async () => {
  await page.setViewportSize({ width: 390, height: 844 });
  await settled(page);
  const wide = await page.evaluate(() => document.documentElement.scrollWidth);
  assert.ok(wide <= 390, String(wide));
  await known();
});
