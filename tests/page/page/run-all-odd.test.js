// A run with all plates of a family when a dip goes otherwise than planned: out early, not taken by the log of one that lay in it, without a strip.
import assert from "node:assert/strict";
import { test } from "node:test";
import { bites, calm, choose, comesOut, four, letter, lifts, log, MIN, next, paints, row, timeWords, until } from "./allside.js";
import { at, enter, key, noStrip, pass, planned, seconds, text } from "./bathside.js";
import { axeFaults, go, OUT, served } from "./site.js";

const it = served();

/** The example of four in the bath together, for its first bite. */
async function together() {
  const page = await four(it);
  await enter(page);
  for (let i = 0; i < 4; i++) await paints(page);
  await next(page);
  await page.clock.runFor(26 * MIN);
  await bites(page);
  return page;
}

/** The seconds that the last dip was logged with. */
const taken = async (page) => /Logged as ([\d.]+) s/.exec(await text(page, ".lead"))[1];

/** From here on this plate's log comes to the core with an entry out of turn, as a log that was spoilt would, and is refused; `window.spoilt` says which. */
const spoil = (page, which) => page.evaluate((which) => {
  const post = Worker.prototype.postMessage;
  window.spoilt = which;
  Worker.prototype.postMessage = function (message, ...rest) {
    if (message?.call === "kin_plan" && message.args.letter === window.spoilt) {
      const { settings } = message.args;
      const log = [...settings.done.log, { ...settings.done.log.at(-1), kind: "painted", stop_out: 9, minutes: null }];
      message = { ...message, args: { ...message.args, settings: { ...settings, done: { ...settings.done, log } } } };
    }
    return post.call(this, message, ...rest);
  };
}, which);

/** Leaves the run and gives every plate's log by its letter, each taken to hand in turn. */
async function logs(page) {
  await page.locator(".bathrun .leave").click();
  await calm(page);
  /** @type {Record<string, string[]>} */
  const all = {};
  for (const own of "ABCD") {
    await go(page, "plates");
    const press = page.getByRole("button", { name: `Take to hand: plate ${own}`, exact: true });
    if (await press.count()) {
      await press.click();
      await until(page, (own) => document.querySelector(".member.in-hand .member-letter")?.value === own, own);
    }
    await calm(page);
    await go(page, "bath");
    all[own] = await log(page);
  }
  return all;
}

test("four that come out early are put back together before any is painted, and each has both dips in its log", { timeout: 600_000 }, async () => {
  const page = await together();
  await lifts(page, 40);
  const first = await taken(page);
  assert.match(await text(page, ".lead"), /s too short/);
  const choice = page.locator(".bathrun .choices button").first();
  const back = /Put them back for (\d:\d\d)\s*Plates A, B, C and D; a dip of its own/.exec(await choice.innerText());
  // Each wants what it was taken out too early by; the wait for the screens is in it.
  assert.ok(back && Math.abs(seconds(back[1]) - 40) <= 2, await choice.innerText());
  assert.deepEqual(await axeFaults(page), []);
  await page.screenshot({ path: `${OUT}run-all-early-1440.png` });
  await key(page, " ", true);
  await at(page, "ready");
  assert.equal(await text(page, ".headline"), "Put plates A, B, C and D back for bite 1");
  assert.equal(await text(page, ".digits"), back[1]);
  await key(page);
  await at(page, "bite");
  assert.match(await text(page, ".letters"), /^A B C D$/);
  await lifts(page);
  const second = await taken(page);
  assert.match(await text(page, ".in-dip"), /Plates A, B, C and D lay in it together\. Each has it in its own log/);
  await key(page);
  await next(page);
  for (const [own, words] of Object.entries(await logs(page))) {
    const dips = words.filter((each) => /^(Bite 1:|Put back for bite 1:)/.test(each));
    assert.equal(dips.length, 2, `${own}: ${words}`);
    for (const time of [first, second]) assert.ok(dips.some((each) => each.includes(timeWords(time))), `${time} in ${own}: ${dips}`);
  }
  assert.deepEqual(page.faults, []);
  await page.context().close();
});

test("a log that does not take a dip of several says so by letter; on paper, the run goes on without it there, and the others have it", { timeout: 600_000 }, async () => {
  const page = await together();
  await spoil(page, "C");
  await comesOut(page);
  const refused = () => until(page, () => /It is not in the log of plate C yet: bite 1, [\d.]+ s\. Write it down, then try again\./.test(document.querySelector(".bathrun > .said:not([hidden])")?.textContent ?? ""));
  await refused();
  assert.match(await text(page, ".in-dip"), /C and D: not in the log yet/);
  assert.equal(await page.locator(".bathrun .act").isVisible(), false, "nothing goes on before it is written down somewhere");
  assert.deepEqual(await axeFaults(page), []);
  await page.screenshot({ path: `${OUT}run-all-refused-1440.png` });
  // Still refused: it is said again.
  const again = page.getByRole("button", { name: "Try again to log it" });
  // Looked at in the turn of the press itself: on a busy machine the answer may be there before the test asks.
  assert.equal(await again.evaluate((button) => {
    button.click();
    return document.querySelectorAll(".bathrun > .said:not([hidden])").length;
  }), 0, "while it is on its way");
  await refused();
  // The dip of C is on paper, and the log of D takes its own behind it.
  await page.getByRole("button", { name: "I have it on paper: go on without it in the log" }).click();
  await until(page, () => /Plates A, B and D lay in it together\. Each has it in its own log/.test(document.querySelector(".bathrun .screen").textContent));
  await planned(page);
  const first = await taken(page);
  await page.evaluate(() => { window.spoilt = ""; });
  await key(page);
  assert.doesNotMatch(await next(page), /^Plates/);
  assert.match((await row(page)).C, /rinsed, drying/, "it is wet all the same");
  await page.clock.runFor(2 * MIN);
  assert.match((await row(page)).C, /^bite 1/, "by its log it has had no bite");
  const all = await logs(page);
  for (const [own, words] of Object.entries(all)) {
    assert.equal(words.filter((each) => each.startsWith("Bite 1") && each.includes(timeWords(first))).length, own === "C" ? 0 : 1, `${own}: ${words}`);
  }
  assert.deepEqual(page.faults, []);
  await page.context().close();
});

test("a log that takes a dip at the second try has it once", { timeout: 600_000 }, async () => {
  const page = await together();
  await spoil(page, "D");
  await comesOut(page);
  await until(page, () => /not in the log of plate D yet/.test(document.querySelector(".bathrun > .said:not([hidden])")?.textContent ?? ""));
  await page.evaluate(() => { window.spoilt = ""; });
  await page.getByRole("button", { name: "Try again to log it" }).click();
  await until(page, () => /Each has it in its own log/.test(document.querySelector(".bathrun .screen").textContent));
  await planned(page);
  assert.equal(await page.locator(".bathrun > .said:not([hidden])").count(), 0, "what was refused is said no more");
  const time = timeWords(await taken(page));
  await key(page);
  await next(page);
  for (const [own, words] of Object.entries(await logs(page))) assert.equal(words.filter((each) => each.startsWith("Bite 1") && each.includes(time)).length, 1, `${own}: ${words}`);
  assert.deepEqual(page.faults, []);
  await page.context().close();
});

test("a family without a strip: the turns go on, each alone, and the clock counts up", { timeout: 600_000 }, async () => {
  const page = await four(it);
  await noStrip(page);
  await go(page, "plates");
  await calm(page);
  await go(page, "bath");
  await enter(page);
  const first = await paints(page);
  await next(page);
  await choose(page, first);
  assert.match(await text(page, ".headline"), new RegExp(`^Plate ${first} alone: bite 1`));
  assert.match(await text(page, ".sub"), /No strip, so the clock counts up\./);
  await bites(page);
  await page.clock.runFor(31_000);
  assert.match(await text(page, ".digits"), /^0:3[12]$/);
  assert.equal(await page.locator(".bathrun").getAttribute("data-flash"), "");
  await key(page, " ", true);
  await at(page, "out");
  await pass(page, 1_100);
  await until(page, () => /No strip.*Logged as 3[123]/.test(document.querySelector(".bathrun .lead")?.textContent ?? ""));
  await planned(page);
  assert.equal(await letter(page), first);
  await key(page);
  assert.match(await next(page), /^Plate [ABCD]: paint stop-out 1/);
  assert.match((await row(page))[first], /rinsed, drying|paint stop-out 2/);
  assert.deepEqual(page.faults, []);
  await page.context().close();
});
