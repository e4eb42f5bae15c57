// The run at the bath, in a real browser on a clock that the test moves (Playwright's), by hand, by keys alone, over sleep and reload.
import assert from "node:assert/strict";
import { test } from "node:test";
import { at, bathside, biting, key, logged, planned, read, ready, seconds, text } from "./bathside.js";
import { axeFaults, OUT, served, settled } from "./site.js";

const it = served();

test("a plan of three tones by pedal alone, from the first painting to the last bite", async () => {
  const page = await bathside(it, { tones: 3 });
  await page.locator(".begin-run").focus();
  await page.keyboard.press("Enter");
  await at(page, "check");
  await key(page, "PageDown");
  assert.ok((await page.evaluate(() => window.notes.length)) > 0, "the alarm is heard first");
  await key(page, "PageDown");
  const took = [];
  for (const j of [1, 2]) {
    await at(page, "paint");
    assert.match(await text(page, ".where"), new RegExp(`stop-out ${j} of 2`));
    await settled(page);
    assert.match(await page.locator(".bathrun canvas").getAttribute("aria-label"), /plate view/);
    await page.clock.runFor(120_000);
    await key(page, "PageDown");
    await at(page, "dry");
    await page.clock.runFor(60_000);
    await key(page, "PageDown");
    await at(page, "ready");
    const set = seconds(await text(page, ".digits"));
    const from = await read(page);
    await key(page, "PageDown");
    await at(page, "bite");
    await page.clock.fastForward(1000 * set - 400);
    const until = await read(page);
    await key(page, "PageDown", true);
    await at(page, "out");
    took.push(await logged(page));
    assert.ok(Math.abs(took.at(-1) - (until - from) / 1000) <= 0.2, `${took.at(-1)} for ${(until - from) / 1000}`);
    await planned(page);
    await key(page, "PageDown");
  }
  await at(page, "finished");
  const total = took.reduce((a, b) => a + b);
  assert.ok(Math.abs(seconds(/in all: ([\d:]+)/.exec(await text(page, ".lead"))[1]) - total) <= 0.5);
  await key(page, "PageDown");
  await page.waitForFunction(() => document.querySelector(".bathrun").hidden);
  assert.match(await page.locator(".stands").innerText(), /All bites are done/);
  assert.deepEqual(page.faults, []);
  await page.context().close();
});

test("a tab asleep for 90 s in mid-bite: the clock is right to 0.2 s, and says so at once", async () => {
  const page = await bathside(it);
  const from = await biting(page);
  await page.clock.fastForward(90_000);
  const shown = await page.evaluate(() => ({ digits: document.querySelector(".bathrun .digits").textContent, at: performance.timeOrigin + performance.now() }));
  assert.ok(Math.abs(seconds(shown.digits) - (7 - (shown.at - from) / 1000)) <= 1.1, `${shown.digits}`);
  assert.equal(await page.locator(".bathrun").getAttribute("data-flash"), "time");
  const until = await read(page);
  await key(page, " ", true);
  await at(page, "out");
  assert.ok(Math.abs(await logged(page) - (until - from) / 1000) <= 0.2);
  await page.context().close();
});

test("a reload in mid-bite: the clock is on at once, and the bite is logged as it was", async () => {
  // Of few tones, so that the bite outlasts the loading of the page on a slow machine.
  const page = await bathside(it, { tones: 4 });
  const from = await biting(page);
  const planned_s = await page.evaluate(() => JSON.parse(localStorage.getItem("stepbite.run")).run.planned_s);
  assert.ok(planned_s >= 20, `bite 1 is of ${planned_s} s`);
  await page.clock.runFor(3_000);
  await page.reload();
  await at(page, "bite");
  assert.match(await text(page, ".where"), /bite 1 of 3/);
  await page.clock.runFor(1_000);
  assert.ok(seconds(await text(page, ".digits")) <= planned_s - 3);
  await ready(page);
  // To the end of the bite, so that nothing is left to put back.
  await page.clock.runFor(Math.max(0, Math.ceil(1000 * planned_s - (await read(page) - from))));
  const until = await read(page);
  await key(page, " ", true);
  await at(page, "out");
  assert.ok(Math.abs(await logged(page) - (until - from) / 1000) <= 0.2);
  await planned(page);
  assert.match(await text(page, ".act"), /stop-out 2/);
  assert.deepEqual(page.faults, []);
  await page.context().close();
});

test("a clock set in mid-bite: both answers are shown, neither is taken, and lifting works", async () => {
  const page = await bathside(it);
  const from = await biting(page);
  await page.clock.runFor(2_000);
  // An hour back, as at the end of summer time where it is set by hand; then the answers by pedal after the plate is out.
  await page.clock.setSystemTime(new Date(await page.evaluate(() => Date.now()) + 3_600_000));
  await page.clock.runFor(500);
  await page.waitForFunction(() => document.querySelectorAll(".bathrun .choices button").length === 2);
  const both = await page.locator(".bathrun .choices").innerText();
  assert.match(both, /by the running clock/);
  assert.match(both, /1:00:0\d/);
  assert.deepEqual(await axeFaults(page), []);
  await page.screenshot({ path: `${OUT}run-conflict-1440.png` });
  const until = await read(page);
  await key(page, " ", true);
  await at(page, "asked");
  await page.clock.runFor(1_100);
  assert.deepEqual(await axeFaults(page), []);
  await page.screenshot({ path: `${OUT}run-asked-1440.png` });
  assert.equal(await page.locator(".bathrun .choices button").count(), 2);
  // Once moves the mark, twice takes the one marked.
  await key(page, " ");
  await page.clock.runFor(900);
  assert.match(await page.locator(".bathrun .choices [data-marked=true]").innerText(), /time of day/);
  await key(page, " ");
  await page.clock.runFor(900);
  await key(page, " ", true);
  await at(page, "out");
  assert.ok(Math.abs(await logged(page) - (until - from) / 1000) <= 0.2);
  await page.context().close();
});

test("an answer in mid-bite holds for the moment it is given, and the bite goes on", async () => {
  const page = await bathside(it);
  const from = await biting(page);
  await page.clock.runFor(1_000);
  await page.clock.setSystemTime(new Date(await page.evaluate(() => Date.now()) - 7_200_000));
  await page.waitForFunction(() => document.querySelectorAll(".bathrun .choices button").length >= 1);
  assert.equal(await page.locator(".bathrun .choices button").count(), 1, "less than nothing has not passed: only one answer can be meant");
  await page.clock.runFor(3_000);
  await page.locator(".bathrun .choices button").hover();
  await page.mouse.down();
  await page.clock.runFor(850);
  await page.mouse.up();
  await page.waitForFunction(() => !document.querySelector(".bathrun .choices button"));
  const shown = await page.evaluate(() => ({ digits: document.querySelector(".bathrun .digits").textContent, at: performance.timeOrigin + performance.now() }));
  assert.ok(Math.abs(seconds(shown.digits) - (7 - (shown.at - from) / 1000)) <= 1.1, `${shown.digits}`);
  const until = await read(page);
  await key(page, " ", true);
  await at(page, "out");
  assert.ok(Math.abs(await logged(page) - (until - from) / 1000) <= 0.3);
  await page.context().close();
});

test("the whole screen held for 0.8 s starts and stops; a touch does neither; the press's own moment counts", async () => {
  const page = await bathside(it);
  await page.locator(".begin-run").click();
  await at(page, "check");
  const hold = async (ms) => {
    await page.mouse.move(700, 500);
    await page.mouse.down();
    await page.clock.runFor(ms);
    await page.mouse.up();
  };
  await hold(850);
  await hold(850);
  await at(page, "paint");
  await hold(300);
  assert.equal(await page.locator(".bathrun").getAttribute("data-screen"), "paint", "a touch is no tick");
  await hold(850);
  await at(page, "dry");
  await hold(850);
  await at(page, "ready");
  const from = await read(page);
  await hold(850);
  await at(page, "bite");
  await page.clock.runFor(3_000);
  await hold(500);
  await key(page, " ");
  await page.clock.runFor(1_500);
  assert.equal(await page.locator(".bathrun").getAttribute("data-screen"), "bite", "neither a touch nor one key ends a bite");
  const until = await read(page);
  await hold(850);
  await at(page, "out");
  assert.ok(Math.abs(await logged(page) - (until - from) / 1000) <= 0.2, "the time of holding is not in it");
  await page.context().close();
});

test("a foot that presses three times lifts the plate, and does nothing more", async () => {
  const page = await bathside(it);
  await biting(page);
  await page.clock.runFor(7_000);
  await key(page, " ", true);
  // At once: a second later a press would be one that was meant.
  for (let i = 0; i < 3; i++) await key(page, " ");
  await at(page, "out");
  await page.waitForTimeout(800);
  assert.equal(await page.locator(".bathrun").getAttribute("data-screen"), "out");
  await page.context().close();
});

test("sound and flash 10 s before the end and at it", async () => {
  const page = await bathside(it);
  for (let j = 1; j < 5; j++) {
    if (j === 1) await biting(page);
    else {
      for (const name of ["paint", "dry", "ready"]) {
        await at(page, name);
        await key(page, " ");
      }
      await at(page, "bite");
    }
    // What is laid for this bite comes after what was heard before it.
    const earlier = await page.evaluate(() => window.notes.findLastIndex((note) => note.in_s <= 2)) + 1;
    const set = seconds(/bite \d+, ([\d:]+)/.exec(await text(page, ".sub"))[1]);
    if (set > 10) {
      await page.clock.fastForward(1000 * set - 9_800);
      await page.waitForFunction(() => document.querySelector(".bathrun").dataset.flash === "ten");
    }
    await page.clock.fastForward(1000 * Math.min(set, 10));
    await page.waitForFunction(() => document.querySelector(".bathrun").dataset.flash === "time");
    const heard = await page.evaluate((from) => window.notes.slice(from).map((note) => Math.round(note.hertz)), earlier);
    assert.ok(heard.filter((hertz) => hertz === 1047).length >= 3, "three high notes");
    assert.equal(heard.filter((hertz) => hertz === 523).length >= 2, set > 10, "and two low ones before, where there is time for them");
    // A plate that stays in is told of again, every time.
    const again = () => page.evaluate(() => window.notes.filter((note) => Math.round(note.hertz) === 1047).length);
    for (let i = 0; j === 4 && i < 3; i++) {
      const before = await again();
      await page.clock.runFor(10_000);
      assert.ok(await again() >= before + 3, `${i + 1}`);
    }
    await key(page, " ", true);
    await at(page, "out");
    await logged(page);
    await planned(page);
    if (j < 4) await key(page, " ");
  }
  await page.context().close();
});

test("without sound the page says so, and the run goes on", async () => {
  const page = await bathside(it, { sound: false });
  await page.locator(".begin-run").click();
  await at(page, "check");
  assert.match(await text(page, ".before"), /This browser has no sound/);
  await key(page, " ");
  await at(page, "paint");
  await page.context().close();
});

test("the screen is kept awake, again on return, and where that is refused a sentence says so", async () => {
  const page = await bathside(it);
  await page.evaluate(() => {
    window.locks = [];
    window.refuse = false;
    Object.defineProperty(navigator, "wakeLock", { configurable: true, value: {
      async request(kind) {
        if (window.refuse) throw new DOMException("refused", "NotAllowedError");
        const lock = { kind, released: false, async release() { this.released = true; } };
        window.locks.push(lock);
        return lock;
      },
    } });
  });
  await page.locator(".begin-run").click();
  await at(page, "check");
  await page.waitForFunction(() => window.locks.length === 1);
  // Hidden, the browser takes the lock away; on return the page takes another.
  await page.evaluate(() => { window.locks[0].released = true; document.dispatchEvent(new Event("visibilitychange")); });
  await page.waitForFunction(() => window.locks.length === 2);
  await page.evaluate(() => { window.refuse = true; window.locks[1].released = true; document.dispatchEvent(new Event("visibilitychange")); });
  await page.waitForFunction(() => /won’t keep its screen awake/.test(document.querySelector(".bathrun .said").textContent));
  await page.locator(".bathrun .leave").click();
  await page.waitForFunction(() => document.querySelector(".bathrun").hidden);
  await page.context().close();
});

test("where motion is not wanted nothing blinks: the colours turn and stay", async () => {
  const page = await bathside(it, { reducedMotion: "reduce" });
  await biting(page);
  await page.clock.fastForward(8_000);
  await page.waitForFunction(() => document.querySelector(".bathrun").dataset.flash === "time");
  const style = await page.$eval(".bathrun", (root) => { const { animationName, backgroundColor } = getComputedStyle(root); return { animationName, backgroundColor }; });
  assert.deepEqual(style, { animationName: "none", backgroundColor: "rgb(243, 244, 241)" });
  await page.context().close();
});

test("where neither clock is right the time is typed", async () => {
  const page = await bathside(it);
  await biting(page);
  await page.clock.setSystemTime(new Date(await page.evaluate(() => Date.now()) + 3_600_000));
  await page.clock.runFor(500);
  await key(page, " ", true);
  await at(page, "asked");
  await page.locator("#asked-time").fill("banana");
  await page.getByRole("button", { name: "Log that" }).click();
  assert.match(await text(page, ".said"), /A time reads like/);
  await page.locator("#asked-time").fill("0:07,5");
  await page.locator("#asked-time").press("Enter");
  await at(page, "out");
  assert.equal(await logged(page), 7.5);
  await page.context().close();
});

for (const viewport of [{ width: 1440, height: 900 }, { width: 820, height: 1180 }, { width: 390, height: 844 }, { width: 844, height: 390 }]) {
  test(`every screen at ${viewport.width} × ${viewport.height}: no fault of access, large digits, targets of 64 px, nothing wider than the screen`, async () => {
    const page = await bathside(it, { viewport });
    const found = [];
    const look = async (name) => {
      await at(page, name);
      if (name === "paint") await settled(page);
      await page.screenshot({ path: `${OUT}run-${name}-${viewport.width}.png` });
      found.push(...(await axeFaults(page)).map((fault) => `${name}: ${fault}`));
      const facts = await page.evaluate(() => ({
        wide: Math.max(document.documentElement.scrollWidth, document.querySelector(".bathrun").scrollWidth),
        small: [...document.querySelectorAll(".bathrun button, .bathrun label.check, .bathrun input[type=text], .bathrun summary")].filter((item) => item.offsetParent !== null)
          .map((item) => ({ what: item.textContent || item.id, high: item.getBoundingClientRect().height })).filter(({ high }) => high < 63.5),
      }));
      if (facts.wide > viewport.width) found.push(`${name} is ${facts.wide} wide`);
      found.push(...facts.small.map((item) => `${name}: ${JSON.stringify(item)}`));
    };
    await page.locator(".begin-run").press("Enter");
    await look("check");
    await key(page, " ");
    await look("check");
    await key(page, " ");
    await look("paint");
    await key(page, " ");
    await look("dry");
    await key(page, " ");
    await look("ready");
    await key(page, " ");
    await look("bite");
    // How high a figure is, on the drawn type: the box of "0" by the canvas' own measure (HTML Standard, TextMetrics).
    const digits = await page.evaluate(() => {
      const one = document.querySelector(".bathrun .digits");
      const style = getComputedStyle(one);
      const pen = document.createElement("canvas").getContext("2d");
      pen.font = `${style.fontSize} ${style.fontFamily}`;
      const of = pen.measureText("0");
      return { high: of.actualBoundingBoxAscent + of.actualBoundingBoxDescent, wide: one.getBoundingClientRect().width / one.parentElement.clientWidth };
    });
    assert.ok(digits.high >= 0.3 * Math.min(viewport.width, viewport.height) || digits.wide > 0.9, JSON.stringify(digits));
    await page.locator(".bathrun .look").click();
    found.push(...(await axeFaults(page)).map((fault) => `light: ${fault}`));
    await page.screenshot({ path: `${OUT}run-bite-light-${viewport.width}.png` });
    await page.clock.fastForward(12_000);
    await look("bite");
    await key(page, " ", true);
    await at(page, "out");
    await logged(page);
    await page.locator(".bathrun summary").click().catch(() => {});
    await look("out");
    assert.deepEqual(found, []);
    assert.deepEqual(page.faults, []);
    await page.context().close();
  });
}
