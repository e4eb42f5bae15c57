/** The proof by keys and by figures: the ring of the glass, where the keyboard goes when a card goes, views that end, ranges in inches. */
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { axeFaults, begin, end, settled } from "./site.js";

let site, browser, page;
before(async () => { ({ site, browser, page } = await begin("proof")); });
after(() => end({ site, browser }));

const part = (name) => page.locator(".proof .fold-part", { has: page.locator(`summary b:text-is("${name}")`) });
const fold = async (name) => {
  const found = part(name);
  await found.locator("summary").first().click();
  await settled(page);
  return found;
};
const way = (name) => page.locator(".proof .top label", { hasText: name }).click();
const notice = () => page.locator(".notice p").innerText();

test("the ring of the glass is a slider that says where it is, and its keys do what they say", async () => {
  const ring = page.getByRole("slider", { name: "The glass on the pull" });
  assert.match(await ring.getAttribute("aria-description"), /Arrow keys .* Shift .* Home and End/);
  const at = async (key) => {
    await ring.press(key);
    const [, x, y] = /^([\d.]+) mm from the left, ([\d.]+) mm from the top; it shows \d/.exec(await ring.getAttribute("aria-valuetext"));
    assert.equal(Number(await ring.getAttribute("aria-valuenow")), Math.round(Number(x)));
    return [Number(x), Number(y)];
  };
  assert.deepEqual(await at("ArrowRight"), [63, 77]);
  assert.deepEqual(await at("Shift+ArrowDown"), [63, 87]);
  assert.deepEqual(await at("PageUp"), [63, 77]);
  assert.deepEqual(await at("Home"), [0, 77]);
  assert.deepEqual(await at("End"), [157, 77]);
  await page.locator(".wipe-line").waitFor({ state: "hidden" });
});

test("an outline is begun on the pull alone, and the plate view ends with the part that it is drawn from", async () => {
  await way("wipe");
  const zones = await fold("Zones of ink");
  await zones.locator("label", { hasText: "plate view" }).click();
  await settled(page);
  assert.equal(await page.locator(".proof .pulls .picture").first().getAttribute("data-view"), "plate");
  await zones.getByRole("button", { name: "Draw a zone" }).click();
  assert.ok(!await page.locator(".wipe-line").isVisible(), "no line takes the pointer");
  assert.ok(await page.locator(".proof .top input[value=pull]").isChecked());
  await fold("Zones of ink");
  assert.equal(await page.locator(".proof .pulls .picture").first().getAttribute("data-view"), "print");
});

test("when the last card goes the keyboard stays with the list, and what can be undone is in sight", async () => {
  const zones = await fold("Zones of ink");
  for (let i = 0; i < 2; i++) await zones.getByRole("button", { name: "A rectangle" }).click();
  await zones.locator(".card").nth(1).scrollIntoViewIfNeeded();
  await zones.locator(".card").nth(1).getByRole("button", { name: "Take it away" }).press("Enter");
  const here = () => page.evaluate(() => [document.activeElement.textContent, document.activeElement.closest(".card, summary")?.tagName]);
  assert.deepEqual(await here(), ["Take it away", "LI"]);
  const back = await page.getByRole("button", { name: "Put it back" }).boundingBox();
  assert.ok(back.y >= 0 && back.y + back.height <= 900, JSON.stringify(back));
  await page.keyboard.press("Enter");
  assert.deepEqual(await here(), ["Zones of inkone ink over the whole plate", "SUMMARY"]);
});

test("in inches the ends of a range are taken as they are shown", async () => {
  const zones = part("Zones of ink");
  await zones.getByRole("button", { name: "A rectangle" }).click();
  await page.evaluate(() => { location.hash = "drawing"; });
  await page.locator(".station:not([hidden]) .choice label", { hasText: /^(in|inch|inches)$/ }).first().click();
  await page.evaluate(() => { location.hash = "proof"; });
  const border = zones.getByLabel("Borders run over");
  const typed = async (text) => {
    await border.fill(text);
    await border.press("Enter");
    return border.inputValue();
  };
  // 10 mm is 0.3937 in, shown as 0.394, which is 10.008 mm; 5 mm is 0.197.
  assert.equal(await typed("0.394"), "0.394");
  assert.equal(await typed("0.197"), "0.197");
  assert.doesNotMatch(await notice(), /was expected/);
  await typed("0.396");
  assert.match(await notice(), /^A soft border of 0\.197 to 0\.394 in was expected, 0\.396 came/);
  await page.evaluate(() => { location.hash = "drawing"; });
  await page.locator(".station:not([hidden]) .choice label", { hasText: /^mm$/ }).first().click();
  await page.evaluate(() => { location.hash = "proof"; });
});

test("figures that are on their way are as easy to read, and nothing fails in access", async () => {
  await way("difference");
  await page.waitForFunction(() => /^ΔE /.test(document.querySelector(".proof .figures").textContent), null, { timeout: 30_000 });
  await page.locator(".proof .figures").evaluate((item) => item.classList.add("waiting"));
  assert.deepEqual(await page.locator(".proof .figures").evaluate((item) => [getComputedStyle(item).opacity, getComputedStyle(item).color]), ["1", "rgb(88, 96, 93)"]);
  assert.deepEqual(await axeFaults(page), []);
});

test("nothing went wrong meanwhile", () => assert.deepEqual(page.faults, []));
