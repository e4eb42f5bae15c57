// What is on the metal stays, in a real browser: breaks that are painted, the log put right, wishes on the repair list and as a sheet.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { axeFaults, begin, end, go, OUT, pixels, settled } from "./site.js";

let site, browser, page;
before(async () => { ({ site, browser, page } = await begin("bath")); });
after(() => end({ site, browser }));

async function planned() {
  await page.waitForTimeout(120);
  await settled(page);
}
const log = () => page.locator(".log > li b").allInnerTexts();
const breaks = () => page.$$eval(".joint", (all) => all.map((joint) => joint.getAttribute("aria-valuetext").split(",")[0]));
async function pressed(root, name) {
  await page.locator(root).getByRole("button", { name, exact: true }).click();
  await planned();
}

test("a plate that came bitten is told of once, and what was off is said", async () => {
  await page.locator(".begun summary").click();
  await page.locator("#begun-bites").fill("0:07 0:08 0:40");
  await pressed(".begun", "Begin the log with these");
  await page.waitForFunction(() => document.querySelectorAll(".log > li").length === 1, null, { timeout: 20_000 });
  await page.waitForFunction(() => !document.querySelector(".bath-log .said-of")?.textContent.includes("No map is kept"), null, { timeout: 20_000 });
  assert.match((await log())[0], /^The plate came bitten: bite 1 0:07, bite 2 0:08, bite 3 0:40$/);
  // 15-A's third total is 26.4 s (golden figure); 55 s lie past its fourth, 42.1, and before its fifth, 64.5.
  assert.match(await page.locator(".bath-log .said-of").innerText(), /Bite 3 was 28\.6 s long: tone 3 prints at L\* 5\d\.\d instead of 67\.8, 1\d\.\d darker/);
  assert.match(await page.locator(".bath-log").innerText(), /Stop-outs 1 to 3 are painted: varnish that is wiped off takes grain with it/);
});

test("a painted break stays, and the page says why; another one moves", async () => {
  const then = await breaks();
  assert.equal(await page.locator('.joint[aria-disabled="true"]').count(), 3);
  await page.locator(".joint").nth(1).focus();
  await page.keyboard.press("ArrowRight");
  await planned();
  assert.deepEqual(await breaks(), then);
  assert.match(await page.locator("body").innerText(), /the first 3 breaks stay where they are/);
  await page.locator(".joint").nth(6).focus();
  await page.keyboard.press("ArrowRight");
  await page.waitForFunction((before) => document.querySelectorAll(".joint")[6].getAttribute("aria-valuetext").split(",")[0] !== before, then[6], { timeout: 20_000 });
  await planned();
  const now = await breaks();
  assert.deepEqual([now.slice(0, 3), now[6] === then[6]], [then.slice(0, 3), false]);
});

test("turned upside down, the drawing moves nothing that is painted: the wishes are listed, print, and are undone", async () => {
  await go(page, "painting");
  await page.locator(".step input").fill("3");
  await page.locator(".step input").press("Enter");
  await planned();
  const painted = await pixels(page, ".station.painting figure canvas");
  await go(page, "drawing");
  await pressed(".station.drawing", "Quarter right");
  await pressed(".station.drawing", "Quarter right");
  await go(page, "painting");
  await planned();
  assert.deepEqual((await pixels(page, ".station.painting figure canvas")).data, painted.data);
  await go(page, "bath");
  await planned();
  const words = await page.locator(".repair").innerText();
  assert.match(words, /the plan wants lighter than they are bitten/);
  assert.match(words, /darker though they are covered/);
  assert.ok(await page.locator(".repair tbody tr").count() > 3);
  for (const width of [1440, 820, 390]) {
    await page.setViewportSize({ width, height: 900 });
    await planned();
    assert.ok(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth + 1), `${width} px`);
    await page.screenshot({ path: `${OUT}metal-${width}.png`, fullPage: true });
  }
  await page.setViewportSize({ width: 1440, height: 900 });
  assert.deepEqual(await axeFaults(page), []);
  await go(page, "sheets");
  await planned();
  const list = page.locator(".page-list button", { hasText: "repair list" });
  await list.click();
  await planned();
  await page.locator(".page-well img").screenshot({ path: `${OUT}metal-repair.png` });
  // The two turns, and the break moved before them, which may wish for something too.
  for (let i = 0; i < 3; i++) {
    await page.keyboard.press("Control+z");
    await planned();
  }
  await page.locator(".page-list button", { hasText: "repair list" }).waitFor({ state: "detached", timeout: 20_000 });
});

test("what was written wrong is put right by another entry, and only the last thing done can be taken off the record", async () => {
  await go(page, "bath");
  await page.locator(".log summary", { hasText: "It did not happen" }).click();
  await pressed(".log", "It did not happen: write that");
  await page.waitForFunction(() => document.querySelectorAll(".log > li").length === 2);
  assert.equal((await log())[1], "Entry 1 did not happen");
  assert.equal(await page.locator('.joint[aria-disabled="true"]').count(), 0);
  assert.deepEqual(page.faults, []);
});
