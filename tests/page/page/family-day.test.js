/** All plates of a family at one bath: their day, its bars and its bound, nights and tray, the rows at the bath, and what can't be. */
import assert from "node:assert/strict";
import { test } from "node:test";
import { axeFaults, go, opened, served, settled } from "./site.js";

const it = served();
const DAY = ".station.plates .family-day";
/** The example of four plates, planned. @param {number} [width] */
async function four(width = 1440) {
  const page = await opened(it.browser, it.site.url, { width, height: 900 });
  await go(page, "plates");
  await page.getByRole("button", { name: "Open the example of four plates" }).click();
  await page.waitForFunction(() => document.querySelectorAll(".member").length === 4 && !document.querySelector(".member.stale"), null, { timeout: 120_000 });
  await settled(page);
  return page;
}
/** Until the day on screen is that of what was last asked. */
const known = (page) => page.waitForFunction((day) => document.querySelector(day)?.dataset.stale === "false" && document.querySelector(`${day} [role=status]`).textContent !== "", DAY, { timeout: 60_000 });
const said = (page) => page.locator(`${DAY} [role=status]`).innerText();
const type = async (page, label, text) => {
  const field = page.locator(DAY).getByLabel(label, { exact: true });
  await field.fill(text);
  await field.press("Enter");
};

test("four plates have a day with lanes, a list, and the bound that no order gets under", { timeout: 300_000 }, async () => {
  const page = await four();
  await known(page);
  await type(page, "Drying of a stop-out", "25");
  await type(page, "Rinse and dry after a bite", "5");
  await type(page, "until", "23:00");
  await type(page, "Days from", "6");
  await page.waitForFunction((day) => document.querySelector(day).textContent.includes("Four plates"), DAY, { timeout: 120_000 });
  await known(page);
  assert.match(await said(page), /^Four plates: .* of work/);
  assert.match(await page.locator(DAY).innerText(), /No order of the work takes fewer than .*: this one is (as short as any can be|0(\.\d)? % longer|[123](\.\d)? % longer)/);
  assert.deepEqual(await page.$$eval(`${DAY} svg text.lane-letter, ${DAY} svg text.lane`, (all) => all.slice(0, 5).map((text) => text.textContent)), ["A", "B", "C", "D", "hands"]);
  // No two things the hands do lie over each other, and every bite of a plate has its paint before it.
  const lanes = await page.$$eval(`${DAY} svg rect`, (all) => all.map((rect) => ({ kind: rect.getAttribute("class"), x: +rect.getAttribute("x"), y: +rect.getAttribute("y"), w: +rect.getAttribute("width") })));
  const last = Math.max(...lanes.map((bar) => bar.y));
  const hands = lanes.filter((bar) => bar.y === last).sort((a, b) => a.x - b.x);
  assert.ok(hands.length > 60, String(hands.length));
  // Bars of seconds are drawn wider than they last, so that they are seen.
  const end = (bar) => bar.x + (bar.w > 2.6 ? bar.w : 0);
  for (let i = 1; i < hands.length; i++) assert.ok(hands[i].x >= end(hands[i - 1]) - 0.02, `${i}: ${hands[i].x} before ${end(hands[i - 1])}`);
  const lane = (y) => lanes.filter((bar) => bar.y === y).sort((one, other) => one.x - other.x || one.w - other.w);
  for (const y of new Set(lanes.map((bar) => bar.y)).values()) {
    if (y === last) continue;
    const kinds = lane(y).map((bar) => bar.kind.replace("of-", ""));
    // Paint, dry, bite, rinse, over and over; a stop-out that paints nothing has a bite and a rinse.
    assert.match(`${kinds.join(" ")} `, /^((paint dry )?bite rinse )+$/);
    const bars = lane(y);
    bars.forEach((bar, i) => { if (i) assert.ok(bar.x >= end(bars[i - 1]) - 0.02, `${y} ${i}`); });
  }
  await page.locator(`${DAY} summary`).click();
  assert.ok(await page.locator(`${DAY} .day-list tbody tr`).count() > 40);
  await page.waitForFunction(() => !document.querySelector(".member.stale"), null, { timeout: 120_000 });
  assert.deepEqual(await axeFaults(page), []);
  // The night, where the printer wants it.
  await page.locator(`${DAY} select`).selectOption("3");
  await page.waitForFunction((day) => document.querySelector(`${day} .nights`).textContent.includes("bite 3"), DAY, { timeout: 60_000 });
  await known(page);
  assert.match(await page.locator(`${DAY} .nights`).innerText(), /bite 3/);
  // A tray that no plate lies in is refused, and one that holds several is used.
  await type(page, "Tray inside, wide", "100");
  await page.waitForFunction((day) => document.querySelector(`${day} [role=status]`).textContent.includes("does not lie flat"), DAY, { timeout: 60_000 });
  await type(page, "deep", "400");
  await type(page, "Tray inside, wide", "600");
  await page.waitForFunction((day) => /Four plates/.test(document.querySelector(`${day} [role=status]`).textContent), DAY, { timeout: 60_000 });
  await known(page);
  // What was set is a step of Undo.
  await page.keyboard.press("Control+z");
  await known(page);
  assert.equal(await page.locator(DAY).getByLabel("Tray inside, wide", { exact: true }).inputValue(), "100");
  // Hours that end before they begin.
  await type(page, "until", "5:00");
  await page.waitForFunction(() => document.querySelector(".notice p").textContent.includes("ends before it begins"));
  assert.deepEqual(page.faults, []);
  await page.context().close();
});

test("at the bath the rows follow time, a column a plate, and the next plate is taken to hand", { timeout: 300_000 }, async () => {
  const page = await four();
  await type(page, "Begin on the first day at", "10:30");
  await go(page, "bath");
  await page.waitForFunction(() => document.querySelectorAll(".family-rows tbody tr").length > 40, null, { timeout: 120_000 });
  assert.deepEqual(await page.$$eval(".family-rows thead th", (all) => all.map((head) => head.textContent)), ["about", "A", "B", "C", "D"]);
  const rows = await page.$$eval(".family-rows tbody tr:not(.night)", (all) => all.map((row) => [...row.querySelectorAll("td")].map((cell) => cell.className)));
  for (const row of rows) assert.equal(row.filter((cell) => cell === "paint" || cell === "bite").length, 1, row.join());
  const first = await page.locator(".next-letter").innerText();
  assert.match(await page.locator(".family-next").innerText(), new RegExp(`plate ${first}, paint stop-out 1`));
  const next = page.locator(".family-next").getByRole("button", { name: /^Take plate/ });
  const atHand = () => page.locator(".family-stands li.now b").innerText();
  // Another plate than the next comes to hand, so that the next is to be taken.
  if (await atHand() === first) {
    await go(page, "plates");
    await page.getByRole("button", { name: /^Take to hand: plate/ }).first().click();
    await page.waitForFunction(() => document.querySelectorAll(".member").length === 4 && !document.querySelector(".member.stale"), null, { timeout: 120_000 });
    await settled(page);
    await go(page, "bath");
    await page.waitForFunction((letter) => document.querySelector(".next-letter")?.textContent === letter && document.querySelector(".family-stands li.now b")?.textContent !== letter, first, { timeout: 120_000 });
  }
  assert.notEqual(await atHand(), first);
  await next.click();
  await page.waitForFunction((letter) => document.querySelector(".family-stands li.now b")?.textContent === letter, first, { timeout: 60_000 });
  await settled(page);
  // The plate that was at hand is planned anew.
  await page.waitForFunction(() => document.querySelectorAll(".family-stands li").length === 4, null, { timeout: 120_000 });
  await page.waitForFunction(() => ![...document.querySelectorAll(".family-next button")].some((button) => button.offsetParent !== null), null, { timeout: 60_000 });
  assert.deepEqual(await page.$$eval(".family-stands li", (all) => all.map((row) => row.querySelector("b").textContent)), ["A", "B", "C", "D"]);
  assert.deepEqual(await axeFaults(page), []);
  await page.locator(".station.bath").screenshot();
  // The day is the family's: it begins as was typed, whichever plate is at hand.
  await go(page, "plates");
  assert.equal(await page.locator(DAY).getByLabel("Begin on the first day at", { exact: true }).inputValue(), "10:30");
  assert.deepEqual(page.faults, []);
  await page.context().close();
});

test("one plate has neither a day of several nor rows", async () => {
  const page = await opened(it.browser, it.site.url);
  await go(page, "plates");
  assert.equal(await page.locator(DAY).isVisible(), false);
  await go(page, "bath");
  assert.equal(await page.locator(".family-bath").isVisible(), false);
  await page.context().close();
});
