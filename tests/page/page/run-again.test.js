// A run taken up again: in another tab, after a reload, beside another plate, from the one file; and what is said aloud.
import assert from "node:assert/strict";
import { pathToFileURL } from "node:url";
import { test } from "node:test";
import { at, bathside, biting, blank, enter, into, key, lifted, logged, longer, planned, read, ready, seconds, text } from "./bathside.js";
import { go, ONE_FILE, room, served, settled } from "./site.js";

const it = served();
const record = (page) => page.evaluate(() => JSON.parse(localStorage.getItem("stepbite.run") ?? "null")?.run ?? null);
const log = (page) => page.locator(".log > li b").allInnerTexts();
const hidden = (page) => page.waitForFunction(() => document.querySelector(".bathrun").hidden);

/** The record as if it had been written otherwise. */
const rewrite = (page, part) => page.evaluate((part) => {
  const kept = JSON.parse(localStorage.getItem("stepbite.run"));
  Object.assign(kept.run, part);
  localStorage.setItem("stepbite.run", JSON.stringify(kept));
}, part);

test("a tab that looks on takes the run over in mid-bite when the other is closed, from whatever station, and logs the bite once", async () => {
  const context = await room(it.browser, { viewport: { width: 1440, height: 900 } });
  const first = await blank(context, { clock: false });
  await first.goto(it.site.url);
  await ready(first);
  await go(first, "bath");
  const from = await biting(first);
  const second = await blank(context, { clock: false });
  await second.goto(it.site.url);
  await ready(second);
  await hidden(second);
  // What is pressed there reaches nothing.
  await key(second, " ", true);
  await go(second, "tones");
  assert.equal((await record(second)).phase, "bite");
  await first.close({ runBeforeUnload: false });
  await at(second, "bite");
  assert.match(await text(second, ".where"), /bite 1 of 9/);
  const shown = await second.evaluate(() => ({ digits: document.querySelector(".bathrun .digits").textContent, at: performance.timeOrigin + performance.now() }));
  assert.ok(Math.abs(seconds(shown.digits) - (7 - (shown.at - from) / 1000)) <= 1.1, `${shown.digits}`);
  while (await read(second) - from < 7_000) await second.waitForTimeout(100);
  const until = await read(second);
  await key(second, " ", true);
  await at(second, "out");
  assert.ok(Math.abs(await logged(second) - (until - from) / 1000) <= 0.2);
  await second.locator(".bathrun .leave").click();
  await hidden(second);
  const words = await log(second);
  assert.deepEqual(words.map((word) => word.replace(/,.*|:.*/, "")), ["Stop-out 1 painted", "Bite 1"]);
  assert.deepEqual(second.faults, []);
  await context.close();
});

test("an entry written as the browser's storage gave up is in the log again after a reload, once", async () => {
  const page = await bathside(it);
  await biting(page);
  await page.clock.runFor(6_500);
  // From here on nothing of the work is stored any more (Indexed DB, IDBObjectStore.put throws).
  await page.evaluate(() => { IDBObjectStore.prototype.put = () => { throw new DOMException("full", "QuotaExceededError"); }; });
  await key(page, " ", true);
  await at(page, "out");
  const took = await logged(page);
  assert.equal((await record(page)).unlogged, null);
  for (let i = 0; i < 2; i++) {
    await page.reload();
    await at(page, "out");
    await ready(page);
    await logged(page);
  }
  await planned(page);
  await page.locator(".bathrun .leave").click();
  await hidden(page);
  const words = await log(page);
  assert.deepEqual(words.map((word) => word.replace(/,.*|:.*/, "")), ["Stop-out 1 painted", "Bite 1"]);
  assert.ok(words[1].includes(`${took} s`) || words[1].includes(`0:0${took}`), words[1]);
  await page.context().close();
});

test("a dip that is in the log already is not written twice, whatever the record says", async () => {
  const page = await bathside(it);
  await biting(page);
  await lifted(page, 6_500);
  const { log: entries } = await record(page);
  await page.clock.runFor(3_000);
  await page.waitForTimeout(500);
  // As where the page went between the log and the record.
  await rewrite(page, { unlogged: entries.at(-1), log: entries.slice(0, -1) });
  await page.reload();
  await at(page, "out");
  await ready(page);
  await logged(page);
  await planned(page);
  assert.equal((await record(page)).unlogged, null);
  await page.locator(".bathrun .leave").click();
  await hidden(page);
  assert.equal((await log(page)).length, 2);
  await page.context().close();
});

test("a page that goes between the log and the turn after it goes on by the log, and what was painted then has dried since", async () => {
  const page = await bathside(it);
  await enter(page);
  await at(page, "paint");
  const painting = await record(page);
  const from = await read(page);
  await key(page);
  await at(page, "dry");
  const { log: entries, timing } = await record(page);
  assert.ok(Math.abs(timing.from.wall - from) < 500);
  // The work is kept; the record is of before the entry, or of the moment between.
  await page.clock.runFor(3_000);
  await page.waitForTimeout(500);
  for (const part of [painting, { ...painting, log: entries }]) {
    await rewrite(page, part);
    await page.reload();
    await at(page, "dry");
    const found = await record(page);
    assert.equal(found.number, 1);
    assert.deepEqual(found.log, entries);
    assert.ok(Math.abs(found.timing.from.wall - timing.from.wall) < 500, `it dries since ${found.timing.from.wall}, and was painted at ${timing.from.wall}`);
    assert.ok(Math.abs(found.timing.from.wall - found.timing.from.steady) < 500);
    assert.equal(found.timing.length_ms, timing.length_ms);
  }
  await key(page);
  await at(page, "ready");
  assert.deepEqual(page.faults, []);
  await page.context().close();
});

test("a run taken up late asks nothing that the log beside it has answered", async () => {
  const page = await bathside(it);
  await biting(page);
  // More than the next bites have.
  await lifted(page, 28_000);
  await page.getByRole("button", { name: /^Drop what comes too soon/ }).evaluate((button) => button.click());
  await page.waitForFunction(() => !document.querySelector(".bathrun .choices button"));
  await planned(page);
  const { log: entries } = await record(page);
  assert.equal(entries.at(-1).kind, "way");
  await page.clock.runFor(3_000);
  await page.waitForTimeout(500);
  // As after a crash a moment after the choice: the work has the bite and nothing more, and what answers at once has nothing.
  const bare = await page.context().newPage();
  await bare.goto(`${it.site.url}icon.svg`);
  await page.close();
  await bare.evaluate(async (log) => {
    localStorage.removeItem("stepbite.run");
    const db = await new Promise((done) => { indexedDB.open("stepbite").onsuccess = ({ target }) => done(target.result); });
    const store = db.transaction("work", "readwrite").objectStore("work");
    const entry = await new Promise((done) => { store.get("now").onsuccess = ({ target }) => done(target.result); });
    entry.work.done.log = log;
    await new Promise((done) => { store.put(entry, "now").onsuccess = done; });
    db.close();
  }, entries.slice(0, -1));
  // A disk that answers when it is told to, so that the plan is there first, and a page that waits for it.
  const second = await blank(bare.context(), { clock: false, script: [() => {
    const later = window.setTimeout;
    window.setTimeout = (work, ms, ...rest) => later(work, ms === 5_000 ? 600_000 : ms, ...rest);
    const get = IDBObjectStore.prototype.get;
    IDBObjectStore.prototype.get = function (key) {
      const request = get.call(this, key);
      if (this.name === "run") Object.defineProperty(request, "onsuccess", { set: (answer) => { request.addEventListener("success", () => { window.answer = answer; }); } });
      return request;
    };
    window.asked = [];
    new MutationObserver(() => {
      if (document.querySelector(".bathrun:not([hidden]) .choices button")) window.asked.push(document.querySelector(".bathrun .question").textContent);
    }).observe(document, { subtree: true, childList: true });
  }, null] });
  await second.goto(it.site.url);
  await ready(second);
  await second.waitForFunction(() => window.answer);
  assert.ok(await second.evaluate(() => !document.querySelector(".bathrun:not([hidden])")), "the plan is there before the disk has answered");
  await second.evaluate(() => window.answer());
  await at(second, "out");
  await planned(second);
  await second.locator(".bathrun .leave").click();
  await hidden(second);
  assert.deepEqual((await log(second)).map((word) => word.replace(/,.*|:.*/, "")), ["Stop-out 1 painted", "Bite 1", "After bite 1"]);
  assert.deepEqual(await second.evaluate(() => window.asked), []);
  assert.deepEqual(second.faults, []);
  await bare.context().close();
});

test("beside another plate a run is not taken up; only a plate in the bath keeps its clock, and its bite goes into no other log", async () => {
  const page = await bathside(it);
  await enter(page);
  await at(page, "paint");
  await rewrite(page, { plate: "other.png 10 × 10 mm" });
  await page.reload();
  await ready(page);
  await hidden(page);
  assert.equal(await record(page), null);
  await biting(page);
  await page.clock.runFor(6_500);
  await rewrite(page, { plate: "other.png 10 × 10 mm" });
  await page.reload();
  await at(page, "bite");
  await ready(page);
  await key(page, " ", true);
  await at(page, "out");
  await page.waitForFunction(() => /another plate.*not in the log yet: bite 1/.test(document.querySelector(".bathrun .said").textContent));
  await page.getByRole("button", { name: "go on without it in the log" }).click();
  await hidden(page);
  assert.deepEqual((await log(page)).map((word) => word.replace(/,.*/, "")), ["Stop-out 1 painted"]);
  await page.context().close();
});

test("a run left before its bite takes the times of now when it is gone on with", async () => {
  const page = await bathside(it);
  await enter(page);
  await at(page, "paint");
  await key(page);
  await at(page, "dry");
  await key(page);
  await at(page, "ready");
  const before = seconds(await text(page, ".digits"));
  await page.locator(".bathrun .leave").click();
  await hidden(page);
  await longer(page);
  await go(page, "bath");
  const listed = await page.locator("ol.run .bite strong").first().innerText();
  await page.locator(".begin-run").press("Enter");
  await at(page, "ready");
  assert.equal(await text(page, ".digits"), listed);
  assert.ok(seconds(listed) > before, `${listed} for ${before} s: a witness that took longer makes every bite longer`);
  assert.deepEqual(page.faults, []);
  await page.context().close();
});

test("two corrections written at once are both in the log, and a button pressed twice has written once", async () => {
  const page = await bathside(it);
  await biting(page);
  await lifted(page, 6_500);
  await planned(page);
  await key(page);
  await into(page);
  await lifted(page, 8_000);
  await planned(page);
  await page.locator(".bathrun .leave").click();
  await hidden(page);
  const rows = page.locator(".log > li").filter({ hasText: "Bite" });
  for (let i = 0; i < 2; i++) {
    await rows.nth(i).locator("summary", { hasText: "Put right" }).click();
    await rows.nth(i).locator("[id^=right-c-]").fill(`${18 + i}`);
  }
  // All in one turn of the page, before any is answered; one button is pressed twice.
  await page.evaluate(() => {
    const [first, second] = [...document.querySelectorAll(".log button")].filter((button) => button.textContent === "Write it as another entry");
    first.click();
    first.click();
    second.click();
  });
  await page.waitForFunction(() => document.querySelectorAll(".log > li").length >= 6);
  await settled(page);
  await page.waitForTimeout(1_000);
  assert.deepEqual((await log(page)).slice(4).map((word) => /Entry \d+ put right.*bath (\d+)/.exec(word)?.[1]), ["18", "19"], "pressed twice, written once; and none written over");
  await page.context().close();
});

/** A browser's own voice (Web Speech API), which says what it is asked to into `window.told`. */
function voice() {
  window.told = [];
  const own = { name: "own", lang: "en-GB", localService: true };
  const far = { name: "far", lang: "en-US", localService: false };
  Object.defineProperty(window, "speechSynthesis", { configurable: true, value: {
    getVoices: () => [far, own], addEventListener() {}, cancel() {},
    speak(said) { window.told.push([said.text, said.voice?.name]); },
  } });
  window.SpeechSynthesisUtterance = class { constructor(text) { this.text = text; } };
}

test("aloud where it was asked for, by a voice of the device: ten seconds, and the moment, once each; also after a reload", async () => {
  const page = await bathside(it, { script: [voice, null] });
  await page.locator(".begin-run").press("Enter");
  await at(page, "check");
  await page.getByText("Say it aloud as well").click();
  await page.locator(".bathrun").evaluate((root) => root.querySelector("h2").focus());
  await key(page);
  await page.clock.runFor(100);
  await key(page);
  for (let bite = 1; bite <= 5; bite++) {
    await page.evaluate(() => { window.told = []; });
    await into(page);
    const set = seconds(/bite \d+, ([\d:]+)/.exec(await text(page, ".sub"))[1]);
    if (bite === 5) {
      await page.reload();
      await at(page, "bite");
      await ready(page);
    }
    await page.clock.runFor(1000 * set);
    const told = await page.evaluate(() => window.told);
    assert.deepEqual(told.map(([words]) => words).filter((words, i, all) => all.indexOf(words) === i), set > 10 ? ["Ten seconds.", "Lift the plate."] : ["Lift the plate."]);
    assert.equal(told.filter(([words]) => words === "Ten seconds.").length, set > 10 ? 1 : 0);
    assert.ok(told.every(([, by]) => by === "own"), "never by one that would be fetched");
    assert.match(await page.locator(".bathrun [role=alert]").textContent(), /Lift the plate/);
    if (bite === 5) break;
    await key(page, " ", true);
    await at(page, "out");
    await logged(page);
    await planned(page);
    const choices = await page.locator(".bathrun .choices button").count();
    assert.equal(choices, 0, "to the second: nothing is asked");
    await key(page);
  }
  await page.context().close();
});

test("the one file runs a bite from disk, over a reload, with the network cut", async () => {
  const page = await bathside(it, { url: pathToFileURL(ONE_FILE).href });
  await page.context().setOffline(true);
  const from = await biting(page);
  await page.reload();
  await at(page, "bite");
  await ready(page);
  await page.clock.runFor(Math.max(0, Math.ceil(7_000 - (await read(page) - from))));
  const until = await read(page);
  await key(page, " ", true);
  await at(page, "out");
  assert.ok(Math.abs(await logged(page) - (until - from) / 1000) <= 0.2);
  assert.deepEqual(page.faults, []);
  await page.context().close();
});
