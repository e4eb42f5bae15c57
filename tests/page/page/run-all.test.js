// The run with all plates of a family, in a real browser on a clock that the test moves: from plate to plate, a dip that plates share, what dries
// meanwhile, over a reload, and left and taken up again.
import assert from "node:assert/strict";
import { test } from "node:test";
import { bites, calm, choose, four, letter, lifts, log, MIN, next, paints, row, timeWords, until } from "./allside.js";
import { at, enter, key, pass, planned, read, ready, text } from "./bathside.js";
import { axeFaults, go, OUT, served } from "./site.js";

const it = served();

test("from plate to plate: four are painted while others dry, and a dip they share is in each one's own log", { timeout: 600_000 }, async () => {
  const page = await four(it);
  await enter(page);
  await page.screenshot({ path: `${OUT}run-all-next-1440.png` });
  const painted = [];
  for (let i = 0; i < 4; i++) painted.push(await paints(page));
  assert.deepEqual([...painted].sort(), ["A", "B", "C", "D"], "each plate was at hand for its own painting");
  const title = await next(page);
  assert.match(title, /^Plates A, B, C and D together: bite 1$/);
  assert.match(JSON.stringify(await row(page)), /stop-out 1 dries 2\d:\d\d/);
  assert.deepEqual(await axeFaults(page), []);
  await page.screenshot({ path: `${OUT}run-all-together-1440.png` });
  await page.clock.runFor(26 * MIN);
  await bites(page);
  assert.match(await text(page, ".letters"), /^A B C D$/);
  assert.deepEqual(await axeFaults(page), []);
  await page.screenshot({ path: `${OUT}run-all-bite-1440.png` });
  await lifts(page);
  assert.match(await text(page, ".in-dip"), /Each has it in its own log/);
  await page.screenshot({ path: `${OUT}run-all-out-1440.png` });
  const taken = /Logged as ([\d.]+) s/.exec(await text(page, ".lead"))[1];
  await key(page);
  await next(page);
  await page.locator(".bathrun .leave").click();
  await until(page, () => document.querySelectorAll(".family-stands li").length === 4);
  assert.deepEqual(await page.$$eval(".family-stands li", (all) => all.map((each) => each.querySelector("i").textContent)), ["1 of 2", "1 of 2", "1 of 2", "1 of 2"]);
  // Another plate comes to hand from the station: its log has the dip with the same seconds.
  const own = await log(page);
  await go(page, "plates");
  await calm(page);
  await page.locator(".member").filter({ hasNot: page.getByText("At hand", { exact: true }) }).first().getByRole("button", { name: /to hand/ }).click();
  await calm(page);
  await go(page, "bath");
  const theirs = await log(page);
  for (const each of [own, theirs]) assert.ok(each.some((words) => words.includes(`Bite 1: ${timeWords(taken)} `)), `${timeWords(taken)} in ${each}`);
  assert.deepEqual(page.faults, []);
  await page.context().close();
});

test("what dries of another plate rings while this one is painted, is shown in every turn, and not while a plate is in the bath", { timeout: 600_000 }, async () => {
  const page = await four(it, { tray: false });
  await enter(page);
  const first = await paints(page);
  const title = await next(page);
  assert.ok(!title.includes(`Plate ${first}`), title);
  await key(page);
  await at(page, "paint");
  assert.match(await text(page, ".others"), new RegExp(`^${first} dries 2\\d:\\d\\d$`));
  const low = () => page.evaluate(() => window.notes.filter((note) => Math.round(note.hertz) === 659 && note.in_s < 1).length);
  const before = await low();
  await page.clock.runFor(26 * MIN);
  assert.equal(await page.locator(".bathrun").getAttribute("data-rung"), "other");
  assert.match(await page.locator(".bathrun [role=alert]").innerText(), new RegExp(`^Plate ${first}: stop-out 1 has had its time to dry`));
  assert.ok(await low() > before, "and is heard");
  assert.match(await text(page, ".others"), new RegExp(`^${first} is dry$`));
  const second = await letter(page);
  await key(page);
  // The first goes in; what dries meanwhile is shown, and tells itself once it is out.
  await next(page);
  await choose(page, first);
  await bites(page);
  assert.match(await text(page, ".others"), new RegExp(`^${second} dries`));
  const quiet = await low();
  await page.clock.runFor(26 * MIN);
  assert.equal(await low(), quiet);
  assert.equal(await page.locator(".bathrun").getAttribute("data-rung"), "");
  await key(page, " ", true);
  await at(page, "out");
  await page.waitForFunction(() => document.querySelector(".bathrun").dataset.rung === "other");
  assert.match(await page.locator(".bathrun [role=alert]").innerText(), new RegExp(`^Plate ${second}: stop-out 1`));
  assert.deepEqual(page.faults, []);
  await page.context().close();
});

test("a reload between two turns, in a painting and in a dip of several: each time the right plate, and its clock", { timeout: 600_000 }, async () => {
  const page = await four(it);
  await enter(page);
  const painted = [await paints(page)];
  await next(page);
  const stood = await row(page);
  await page.reload();
  await ready(page);
  await next(page);
  assert.deepEqual(Object.keys(await row(page)), Object.keys(stood));
  assert.match((await row(page))[painted[0]], /^stop-out 1 dries 2\d:\d\d$/, "it dries on over a reload");
  await key(page);
  await at(page, "paint");
  const own = await letter(page);
  await page.reload();
  await ready(page);
  await at(page, "paint");
  assert.equal(await letter(page), own);
  await key(page);
  painted.push(own, await paints(page), await paints(page));
  assert.equal(new Set(painted).size, 4);
  await next(page);
  await page.clock.runFor(26 * MIN);
  await bites(page);
  const from = await read(page);
  await page.clock.runFor(5_000);
  await page.reload();
  await at(page, "bite");
  assert.match(await text(page, ".letters"), /^A B C D$/, "at once, before any plan is there");
  await ready(page);
  await page.clock.runFor(Math.max(0, 105_000 - (await read(page) - from)));
  await key(page, " ", true);
  await at(page, "out");
  // Gone again before all of it is in the logs.
  await page.reload();
  await ready(page);
  await at(page, "out");
  await pass(page, 1_100);
  await until(page, () => /Each has it in its own log/.test(document.querySelector(".bathrun .screen").textContent));
  await planned(page);
  await key(page);
  await next(page);
  assert.ok(Object.values(await row(page)).every((words) => /rinsed, drying/.test(words)), JSON.stringify(await row(page)));
  await page.locator(".bathrun .leave").click();
  await until(page, () => [...document.querySelectorAll(".family-stands li i")].every((each) => each.textContent === "1 of 2"));
  assert.deepEqual(page.faults, []);
  await page.context().close();
});

test("a plate exchanged a moment before the page went, and not kept yet, comes to hand again with its log, in mid-bite too", { timeout: 600_000 }, async () => {
  const page = await four(it, { tray: false, dry: "1" });
  await enter(page);
  await next(page);
  await page.waitForTimeout(1_500);
  // From here on the storage of the work takes nothing more; the run's own does.
  await page.evaluate(() => {
    const put = IDBObjectStore.prototype.put;
    IDBObjectStore.prototype.put = function (...given) {
      if (this.name === "run") return put.apply(this, given);
      throw new DOMException("full", "QuotaExceededError");
    };
  });
  const other = Object.keys(await row(page)).find((each) => each !== "B");
  await choose(page, other);
  await key(page);
  await at(page, "paint");
  assert.equal(await letter(page), other);
  await key(page);
  await next(page);
  await choose(page, other);
  await bites(page);
  const from = await page.evaluate(() => JSON.parse(localStorage.getItem("stepbite.run")).run.timing.from.steady);
  await page.clock.runFor(4_000);
  await page.reload();
  await at(page, "bite");
  assert.equal(await letter(page), other);
  await ready(page);
  await page.clock.runFor(Math.max(0, 105_000 - (await read(page) - from)));
  const lift = await read(page);
  await key(page, " ", true);
  await at(page, "out");
  await pass(page, 1_100);
  await until(page, () => /Logged as/.test(document.querySelector(".bathrun .lead")?.textContent ?? ""));
  const taken = Number(/Logged as ([\d.]+) s/.exec(await text(page, ".lead"))[1]);
  assert.ok(Math.abs(taken - (lift - from) / 1000) <= 0.3, `${taken} for ${(lift - from) / 1000}`);
  await planned(page);
  await key(page);
  await next(page);
  await page.locator(".bathrun .leave").click();
  await until(page, () => document.querySelectorAll(".family-stands li").length === 4);
  assert.deepEqual(await page.$$eval(".family-stands li", (all) => all.filter((each) => each.querySelector("i").textContent === "1 of 2").map((each) => each.querySelector("b").textContent)), [other]);
  assert.ok((await log(page)).some((words) => words.includes("Bite 1")), "its log is its own");
  await page.context().close();
});

test("the run is left, another plate comes to hand, and it goes on; one plate alone is run as before", { timeout: 600_000 }, async () => {
  const page = await four(it, { tray: false });
  await enter(page);
  const first = await paints(page);
  await next(page);
  await page.locator(".bathrun .leave").click();
  await page.waitForFunction(() => document.querySelector(".bathrun").hidden);
  assert.match(await page.locator(".begin-run").innerText(), /Go on: all plates in turn/);
  await go(page, "plates");
  await calm(page);
  await page.getByRole("button", { name: /^Take to hand: plate/ }).first().click();
  await calm(page);
  // What dries tells itself on whatever station.
  await page.clock.runFor(26 * MIN);
  const rung = new RegExp(`^Plate ${first}: stop-out 1 has had its time to dry`);
  assert.match(await page.locator(".rung li").innerText(), rung);
  await page.evaluate(() => scrollTo(0, document.documentElement.scrollHeight));
  const { top, bottom } = await page.$eval(".rung", (line) => line.getBoundingClientRect().toJSON());
  assert.ok(top >= 0 && bottom <= 900, `from ${top} to ${bottom} of 900: in sight at the foot of the page too`);
  // What else is said does not put it out.
  const hand = await page.evaluate(() => document.querySelector(".notice p").textContent);
  await page.getByRole("button", { name: /^Take to hand: plate/ }).last().click();
  await until(page, (before) => /is at hand/.test(document.querySelector(".notice p").textContent) && document.querySelector(".notice p").textContent !== before, hand);
  assert.match(await page.locator(".rung li").innerText(), rung);
  await go(page, "bath");
  await page.locator(".begin-run").press("Enter");
  await next(page);
  assert.equal(await page.locator(".rung li").count(), 0, "the run's own screen says it");
  assert.match((await row(page))[first], /bite 1/);
  // The printer would rather go on with the one that is dry.
  await choose(page, first);
  await key(page);
  await at(page, "ready");
  assert.equal(await letter(page), first);
  // And with another after all.
  await page.getByRole("button", { name: "Another plate first" }).click();
  await next(page);
  await page.locator(".bathrun .leave").click();
  await page.waitForFunction(() => document.querySelector(".bathrun").hidden);
  assert.deepEqual(page.faults, []);
  await page.context().close();
  // One alone.
  const alone = await four(it, { tray: false });
  await alone.locator(".begin-run").press("Enter");
  await at(alone, "check");
  await alone.locator(".bathrun .before li").filter({ hasText: "All 4 in turn" }).getByRole("checkbox").uncheck();
  await key(alone);
  await pass(alone, 100);
  await key(alone);
  await at(alone, "paint");
  await key(alone);
  await at(alone, "dry");
  await key(alone);
  await at(alone, "ready");
  assert.equal(await alone.getByRole("button", { name: "Another plate first" }).count(), 0);
  assert.deepEqual(alone.faults, []);
  await alone.context().close();
});

test("a plate run alone from a dip of several has another logged for it by a press, once the core has taken it", { timeout: 600_000 }, async () => {
  const page = await four(it);
  await enter(page);
  const [one, two] = [await paints(page), await paints(page)];
  await next(page);
  await page.clock.runFor(26 * MIN);
  await choose(page, two);
  await key(page);
  await at(page, "ready");
  const hand = await letter(page);
  assert.deepEqual([one, two].includes(hand), true);
  const other = hand === one ? two : one;
  const alone = page.getByRole("button", { name: `Plate ${hand} alone`, exact: true });
  await alone.click();
  await page.waitForFunction(() => !document.querySelector(".bathrun .in-dip"));
  await key(page);
  await at(page, "bite");
  assert.equal(await page.locator(".bathrun .letters").count(), 0, "one alone has no letters over its clock");
  await lifts(page);
  const taken = /Logged as ([\d.]+) s/.exec(await text(page, ".lead"))[1];
  await key(page);
  await next(page);
  await page.locator(".bathrun .leave").click();
  await calm(page);
  const press = page.getByRole("button", { name: `Yes: log it for ${other}`, exact: true });
  await until(page, (name) => [...document.querySelectorAll(".same-dip button")].some((each) => each.textContent === name), `Yes: log it for ${other}`);
  await press.click();
  await until(page, (own) => document.querySelector(".notice p").textContent.includes(`Logged for plate ${own} too: bite 1`), other);
  // Its plan knows of it at once, and the question is gone.
  await until(page, (own) => [...document.querySelectorAll(".family-stands li")].some((each) => each.querySelector("b").textContent === own && each.querySelector("i").textContent === "1 of 2"), other);
  assert.equal(await press.count(), 0);
  await go(page, "plates");
  await page.getByRole("button", { name: `Take to hand: plate ${other}`, exact: true }).click();
  await calm(page);
  await go(page, "bath");
  assert.ok((await log(page)).some((words) => words.includes(`Bite 1: ${timeWords(taken)} `)), taken);
  assert.deepEqual(page.faults, []);
  await page.context().close();
});
