// Hands that slip, at the real run: held keys, palms, bounces, a touch on a button, a field that is being typed in.
import assert from "node:assert/strict";
import { test } from "node:test";
import { at, bathside, biting, enter, into, key, lifted, logged, pass, planned, read, ready, text } from "./bathside.js";
import { served } from "./site.js";

const it = served();
const on = (page) => page.locator(".bathrun").getAttribute("data-screen");

/** A finger at a place of the screen, as the browser tells of it (Pointer Events, W3C), without the mouse of the test. */
async function finger(page, kind, id, x = 700, y = 500) {
  await page.evaluate(([kind, id, x, y]) => document.elementFromPoint(x, y).dispatchEvent(new PointerEvent(kind, {
    pointerId: id, pointerType: "touch", isPrimary: id === 1, clientX: x, clientY: y, bubbles: true, cancelable: true })), [kind, id, x, y]);
}

test("Enter held down on the button of a running bite does not lift the plate", async () => {
  const page = await bathside(it);
  await biting(page);
  await page.clock.runFor(700);
  await page.locator(".bathrun .act").focus();
  // The first press is one of two; what follows are repeats (UI Events, KeyboardEvent.repeat), which browsers turn into clicks.
  await page.keyboard.down("Enter");
  for (let i = 0; i < 5; i++) await page.keyboard.down("Enter");
  await page.keyboard.up("Enter");
  await page.clock.runFor(1_000);
  assert.equal(await on(page), "bite");
  await page.keyboard.press("Control+Enter");
  assert.equal(await on(page), "bite", "nor with another key");
  await page.locator(".bathrun .act").focus();
  await page.keyboard.press("Space");
  await page.clock.runFor(1_000);
  assert.equal(await on(page), "bite", "nor by the space bar once");
  await key(page, "Enter", true);
  await at(page, "out");
  await page.context().close();
});

test("a pedal that is pressed twice out of habit goes one screen on, not two: no bite begins by it", async () => {
  const page = await bathside(it);
  await enter(page);
  await at(page, "paint");
  await key(page);
  await at(page, "dry");
  await key(page);
  for (const ms of [25, 100, 100]) {
    await page.clock.runFor(ms);
    await page.keyboard.press("PageDown");
  }
  await page.clock.runFor(500);
  assert.equal(await on(page), "ready");
  await page.context().close();
});

test("a palm beside the press changes nothing; a press the system takes away is dropped", async () => {
  const page = await bathside(it);
  const from = await biting(page);
  await page.clock.runFor(1_000);
  await finger(page, "pointerdown", 1);
  await page.clock.runFor(300);
  await finger(page, "pointercancel", 1);
  await page.clock.runFor(1_500);
  assert.equal(await on(page), "bite");
  const until = await read(page);
  await finger(page, "pointerdown", 1);
  await page.clock.runFor(300);
  await finger(page, "pointerdown", 2, 300, 300);
  await page.clock.runFor(100);
  await finger(page, "pointercancel", 2, 300, 300);
  await page.clock.runFor(500);
  await at(page, "out");
  assert.ok(Math.abs(await logged(page) - (until - from) / 1000) <= 0.2);
  await page.context().close();
});

test("two quick touches of a wet glove are no press, and a hold on any corner of the screen lifts", async () => {
  const page = await bathside(it);
  const from = await biting(page);
  for (let i = 0; i < 2; i++) {
    await finger(page, "pointerdown", 1);
    await page.clock.runFor(500);
    await finger(page, "pointerup", 1);
    await page.clock.runFor(40);
  }
  await page.clock.runFor(1_000);
  assert.equal(await on(page), "bite");
  // The corner with the button for the look of the screen.
  const box = await page.locator(".bathrun .look").boundingBox();
  const until = await read(page);
  await finger(page, "pointerdown", 1, box.x + 20, box.y + 20);
  await page.clock.runFor(850);
  await at(page, "out");
  assert.ok(Math.abs(await logged(page) - (until - from) / 1000) <= 0.2);
  await page.context().close();
});

/** After a reload the run's record is held back on the disk until `window.answers()`; the page, which waits 5 s for it, waits on. */
function slowDisk() {
  const { get } = IDBObjectStore.prototype;
  const later = window.setTimeout;
  const slow = () => localStorage.getItem("slow") !== null;
  IDBObjectStore.prototype.get = function (key) {
    const asked = get.call(this, key);
    if (this.name !== "run" || !slow()) return asked;
    const held = {};
    window.answers = () => {
      held.result = asked.result;
      held.onsuccess();
    };
    return held;
  };
  window.setTimeout = (work, ms, ...given) => slow() && ms === 5_000 ? 0 : later(work, ms, ...given);
}

test("a hand that is lifting the plate is not interrupted when the screen is built anew", async () => {
  for (const by of ["key", "hold"]) {
    const page = await bathside(it, { script: [slowDisk, null] });
    const from = await biting(page);
    await page.evaluate(() => localStorage.setItem("slow", ""));
    await page.reload();
    await at(page, "bite");
    await ready(page);
    await page.evaluate(() => { document.querySelector(".bathrun .figures").dataset.before = ""; });
    const until = await read(page);
    if (by === "key") await key(page);
    else await finger(page, "pointerdown", 1);
    await page.clock.runFor(100);
    await page.evaluate(() => window.answers());
    await page.waitForFunction(() => document.querySelector(".bathrun .figures").dataset.before === undefined);
    if (by === "key") await key(page);
    else await page.clock.runFor(750);
    await at(page, "out");
    assert.ok(Math.abs(await logged(page) - (until - from) / 1000) <= 0.2, by);
    assert.deepEqual(page.faults, []);
    await page.context().close();
  }
});

test("while the temperature is still in its field the hold starts the clock, and so does the pedal", async () => {
  for (const by of ["hold", "pedal"]) {
    const page = await bathside(it);
    await enter(page);
    await at(page, "paint");
    await key(page);
    await at(page, "dry");
    await key(page);
    await at(page, "ready");
    await page.locator("#run-celsius").click();
    await page.keyboard.type("19,5");
    if (by === "hold") {
      await page.mouse.move(700, 700);
      await page.mouse.down();
      await page.clock.runFor(850);
      await page.mouse.up();
    } else await page.keyboard.press("Space");
    await at(page, "bite");
    await page.clock.runFor(6_500);
    await key(page, " ", true);
    await at(page, "out");
    await logged(page);
    const entry = await page.evaluate(() => JSON.parse(localStorage.getItem("stepbite.run")).run.log.at(-1));
    assert.equal(entry.celsius, 19.5, by);
    assert.equal(entry.factor, 1, "and with what the strip's times were multiplied by, so that a later day does not count it anew");
    assert.deepEqual(page.faults, []);
    await page.context().close();
  }
});

test("an answer is held, not touched; what Tab went to is what Enter takes; a button beside the answers is pressed by space", async () => {
  const page = await bathside(it);
  await enter(page);
  await into(page);
  await lifted(page, 7_000);
  await planned(page);
  await key(page);
  await into(page);
  await page.clock.runFor(1_500);
  await key(page, " ", true);
  await at(page, "out");
  await page.waitForFunction(() => document.querySelectorAll(".bathrun .choices button").length === 2);
  await page.locator(".bathrun .choices button").first().click();
  await page.clock.runFor(500);
  assert.equal(await on(page), "out", "a drop of water puts nothing back");
  await page.locator(".bathrun summary").focus();
  await page.keyboard.press("Space");
  assert.equal(await page.locator(".bathrun details").evaluate((it) => it.open), true);
  await page.locator("#out-time").fill("1:02:03");
  await page.getByRole("button", { name: "1 s less" }).focus();
  await page.keyboard.press("Space");
  assert.equal(await page.locator("#out-time").inputValue(), "1:02:02");
  // A pedal that sends Enter moves the mark; a keyboard that went to an answer takes it.
  await page.locator(".bathrun .choices button").first().focus();
  await page.keyboard.press("Shift+Tab");
  await page.keyboard.press("Tab");
  await page.keyboard.press("Tab");
  assert.match(await page.evaluate(() => document.activeElement.textContent), /Leave it so/);
  assert.match(await page.locator(".bathrun .choices [data-marked=true]").innerText(), /Leave it so/);
  await page.keyboard.press("Enter");
  await page.waitForFunction(() => !document.querySelector(".bathrun .choices button"));
  assert.match(await text(page, ".act"), /stop-out 3/);
  assert.deepEqual(page.faults, []);
  await page.context().close();
});

test("keys that come late to a busy page count when they were pressed", async () => {
  const page = await bathside(it, { clock: false });
  const from = await biting(page);
  await pass(page, 1_000);
  // The page is busy for 1.5 s; both presses come meanwhile.
  const busy = page.evaluate(() => new Promise((done) => setTimeout(() => {
    const until = performance.now() + 1_500;
    while (performance.now() < until);
    done(performance.timeOrigin + performance.now());
  }, 100)));
  await new Promise((done) => setTimeout(done, 300));
  const presses = [page.keyboard.press("PageDown")];
  await new Promise((done) => setTimeout(done, 250));
  presses.push(page.keyboard.press("Space"));
  const [free] = await Promise.all([busy, ...presses]);
  await at(page, "out");
  const took = await logged(page);
  assert.ok(from + 1000 * took < free - 500, `${took} s, and the page was free after ${(free - from) / 1000} s`);
  await page.context().close();
});
