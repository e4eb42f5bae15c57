import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { begin, end, go, settled } from "./site.js";

let site, browser, page;
before(async () => { ({ site, browser, page } = await begin("painting")); });
after(() => end({ site, browser }));

const at = async (index) => Number(/L\* ([\d.]+)/.exec(await page.locator(".joint").nth(index).getAttribute("aria-valuetext"))[1]);
const all = async () => Promise.all([...Array(await page.locator(".joint").count()).keys()].map(at));

test("a dragged joint moves its break, and only its break; one undo takes it back", async () => {
  const before = await all();
  const box = await page.locator(".joint").nth(4).boundingBox();
  assert.ok(box.width >= 44, "44 px to grasp");
  const [x, y] = [box.x + box.width / 2, box.y + box.height * 0.6];
  await page.mouse.move(x, y);
  await page.mouse.down();
  for (let i = 1; i <= 12; i++) await page.mouse.move(x + i * 2.5, y);
  await page.mouse.up();
  await settled(page);
  const now = await all();
  assert.ok(now[4] < before[4] - 1, `to the right is darker: ${before[4]} became ${now[4]}`);
  now.forEach((value, i) => i === 4 || assert.equal(value, before[i]));
  assert.ok(await page.locator(".strip input[value=hand]").isChecked());
  assert.match(await page.locator(".undoes").innerText(), /break 5 moved/);
  await page.keyboard.press("Control+z");
  await settled(page);
  assert.deepEqual(await all(), before);
});

test("arrow keys move a joint, shift moves it further, Home and End stop at the neighbours", async () => {
  const [before] = [await at(3)];
  const joint = page.locator(".joint").nth(3);
  await joint.focus();
  await page.keyboard.press("ArrowRight");
  await settled(page);
  assert.ok(Math.abs(await at(3) - (before - 0.5)) < 0.11);
  await page.keyboard.press("Shift+ArrowLeft");
  await settled(page);
  assert.ok(Math.abs(await at(3) - (before + 2.5)) < 0.11);
  assert.match(await joint.getAttribute("aria-valuetext"), /^break 4 at L\* [\d.]+, bite 4 \d+:\d\d$/);
  await page.keyboard.press("End");
  await settled(page);
  assert.ok(await at(3) > await at(4));
  await page.keyboard.press("Home");
  await settled(page);
  assert.ok(await at(3) < await at(2));
  await page.locator(".acts button", { hasText: "Undo" }).click();
  await settled(page);
  assert.ok(Math.abs(await at(3) - before) < 0.11, "one row of presses is one step");
});

test("a bite is added and dropped at the end", async () => {
  const n = await page.locator(".joint").count();
  await page.getByLabel("Add a bite").click();
  await settled(page);
  assert.equal(await page.locator(".joint").count(), n + 1);
  assert.match(await page.locator("nav").innerText(), /eleven tones/);
  await page.getByLabel("Drop a bite").click();
  await page.getByLabel("Drop a bite").click();
  await settled(page);
  assert.equal(await page.locator(".joint").count(), n - 1);
  await page.getByLabel("Add a bite").click();
  await settled(page);
});

test("the plate is typed in inch or with a comma; one that can't be is refused and the old one stays", async () => {
  await go(page, "drawing");
  const width = page.getByRole("textbox", { name: "Width", exact: true });
  await width.fill("150,5");
  await width.press("Enter");
  await settled(page);
  assert.match(await page.locator("nav").innerText(), /150\.5 × 180 mm/);
  await page.locator(".station.drawing label", { hasText: "inch" }).click();
  await width.fill("6");
  await width.press("Enter");
  await settled(page);
  assert.match(await page.locator("nav").innerText(), /6 × 7\.087 in/);
  await page.locator(".station.drawing label", { hasText: /^mm$/ }).click();
  await width.fill("0");
  await width.press("Enter");
  await page.waitForFunction(() => document.querySelector(".notice").dataset.kind === "refused");
  assert.match(await page.locator("nav").innerText(), /152\.4 × 180 mm/);
  assert.deepEqual(page.faults, []);
});

test("a typed number out of range is refused, never bent; Undo names and undoes only what happened", async () => {
  const refusal = () => page.waitForFunction(() => document.querySelector(".notice").dataset.kind === "refused" && document.querySelector(".notice p").textContent !== "");
  const undoes = () => page.locator(".undoes").innerText();
  await go(page, "tones");
  const [name, blocks] = [await undoes(), await page.locator(".block").count()];
  const tries = [["tones", "Tones, typed", ["1", "17", "3,5", "99999999999999999999"]], ["painting", "Smallest mark, typed", ["0.1", "-1", "7"]], ["times", "Reserve", ["-1", "21"]], ["proof", "Plate tone, typed", ["-1", "9"]]];
  for (const [station, label, values] of tries) {
    await go(page, station);
    const field = page.getByLabel(label, { exact: true });
    const before = await field.inputValue();
    for (const value of values) {
      await page.evaluate(() => { document.querySelector(".notice p").textContent = ""; });
      await field.fill(value);
      await field.press("Enter");
      await refusal();
      await settled(page);
      assert.match(await page.locator(".notice p").innerText(), /[.!]$/, `${label} ${value}`);
      assert.equal(await field.inputValue(), before, `${label} ${value}: the old value is back`);
      assert.equal(await undoes(), name, `${label} ${value} is nothing to undo`);
      assert.equal(await page.locator(".block").count(), blocks);
    }
  }
  const film = page.getByLabel("Plate tone, typed", { exact: true });
  await film.fill("0,1");
  await film.press("Enter");
  await page.waitForFunction(() => /what-if/.test(document.querySelector(".based").textContent));
  await settled(page);
  // What was typed and taken is a step of its own.
  const toned = await undoes();
  assert.equal(toned, "Undo: plate tone 0.1");
  await go(page, "times");
  const field = page.getByLabel("Reserve", { exact: true });
  const last = () => page.locator(".block .total").last().innerText();
  const one = await last();
  await field.fill("5");
  await field.press("Enter");
  await page.waitForFunction((was) => [...document.querySelectorAll(".block .total")].at(-1).textContent !== was, one);
  assert.equal(await page.locator(".notice p").innerText(), "", "the refusal is settled by the next plan");
  assert.match(await undoes(), /reserve/);
  await page.locator(".acts button", { hasText: "Undo" }).click();
  await page.waitForFunction((was) => [...document.querySelectorAll(".block .total")].at(-1).textContent === was, one);
  assert.equal(await undoes(), toned);
  assert.match(await page.locator(".notice p").innerText(), /^Undone: reserve\.$/, "what was just said stays");
});

test("the page's own measures are there, and a moved break is timed to its pictures", async () => {
  const names = await page.evaluate(() => [...new Set(performance.getEntriesByType("measure").map((m) => m.name))]);
  for (const name of ["stepbite:plan", "stepbite:picture", "stepbite:repaint"]) assert.ok(names.includes(name), names.join(" "));
});
