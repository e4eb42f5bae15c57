/** For the tests of the run: a page at the bath, on a clock that the test moves (Playwright's), and a hand at its keys. */
import { go, room, settled } from "./site.js";

/** A hand waits so long before it goes on, ms: keys are not taken right after another screen. */
const PAUSE_MS = 700;

/** What sounds is noted in `window.notes`; without sound the browser has none. @param {boolean} sounds */
function ears(sounds) {
  window.notes = [];
  if (!sounds) {
    window.AudioContext = undefined;
    window.webkitAudioContext = undefined;
    return;
  }
  const start = OscillatorNode.prototype.start;
  OscillatorNode.prototype.start = function (at) {
    window.notes.push({ hertz: this.frequency.value, in_s: at - this.context.currentTime });
    return start.call(this, at);
  };
}

/** A page that waits for its first screen. @param {import("playwright-core").BrowserContext} context @param {{ sound?: boolean, clock?: boolean, script?: [(given: any) => void, any] }} [how] */
export async function blank(context, { sound = true, clock = true, script } = {}) {
  const page = await context.newPage();
  page.faults = [];
  page.on("pageerror", (error) => page.faults.push(String(error)));
  page.on("console", (message) => message.type() === "error" && page.faults.push(message.text()));
  page.on("dialog", (dialog) => dialog.accept());
  page.moved = clock;
  if (clock) await page.clock.install();
  await page.addInitScript(ears, sound);
  if (script) await page.addInitScript(...script);
  return page;
}

/** A page at a station, whose clock the test may move. */
export async function bathside({ browser, site }, { viewport = { width: 1440, height: 900 }, tones = 10, reducedMotion = "no-preference", station = "bath", url = site.url, ...how } = {}) {
  const page = await blank(await room(browser, { viewport, reducedMotion, hasTouch: true }), how);
  await page.goto(url);
  await ready(page);
  for (let n = 10; n > tones; n--) await page.locator(".stepper button").first().click();
  await page.waitForFunction((n) => document.querySelectorAll(".bites span").length === n - 1, tones);
  await go(page, station);
  return page;
}

export async function ready(page) {
  await page.waitForFunction(() => document.body.dataset.ready === "true", null, { timeout: 60_000 });
  await settled(page);
}

/** All times longer by the shop's witness, which took 2:40 here. */
export async function longer(page) {
  await go(page, "times");
  await page.locator(".times > .choice label", { hasText: "metal and bath" }).click();
  await page.locator("#witness-time").fill("2:40");
  await page.locator("#witness-l").fill("48,5");
  await page.getByText("Scale all times by it").click();
  await settled(page);
}

/** The shop has no strip yet. */
export async function noStrip(page) {
  await go(page, "times");
  await page.locator(".times > .choice label", { hasText: "your strip" }).click();
  await settled(page);
  await page.getByText("I have no strip yet: show no times").click();
  await settled(page);
}

export const pass = (page, ms) => page.moved ? page.clock.runFor(ms) : page.waitForTimeout(ms);

/** On a screen of the run, and looked at. */
export async function at(page, name) {
  await page.waitForFunction((n) => document.querySelector(".bathrun:not([hidden])")?.dataset.screen === n, name, { timeout: 20_000 });
  await pass(page, PAUSE_MS);
}

/** The page's steady clock, ms. */
export const read = (page) => page.evaluate(() => performance.timeOrigin + performance.now());
export const text = (page, of) => page.locator(`.bathrun ${of}`).first().innerText();
export const seconds = (words) => words.replace("−", "-").split(":").reduce((all, part) => 60 * all + Math.abs(Number(part)), 0) * (words.startsWith("−") ? -1 : 1);

/** Once a key, or twice quickly. */
export async function key(page, name = " ", twice = false) {
  await page.keyboard.press(name);
  if (!twice) return;
  await pass(page, 200);
  await page.keyboard.press(name);
}

/** Lifts the plate so long after the bite began or the clock was last moved, and gives the seconds it was logged with. */
export async function lifted(page, ms) {
  await page.clock.runFor(ms);
  await key(page, " ", true);
  await at(page, "out");
  return logged(page);
}

/** The seconds a bite was logged with. */
export async function logged(page) {
  await pass(page, 1_100);
  await page.waitForFunction(() => /Logged as/.test(document.querySelector(".bathrun .lead")?.textContent ?? ""), null, { timeout: 30_000 });
  return Number(/Logged as ([\d.]+) s/.exec(await text(page, ".lead"))[1]);
}

/** When what the log says of a bite is planned with, and looked at: an answer brings another screen, right after which no key is taken. */
export async function planned(page) {
  await page.waitForFunction(() => !document.querySelector(".bathrun .act").hidden || document.querySelector(".bathrun .choices button"), null, { timeout: 30_000 });
  await pass(page, PAUSE_MS);
}

/** From the list into the run, its alarm heard. */
export async function enter(page) {
  await page.locator(".begin-run").press("Enter");
  await at(page, "check");
  if (await page.evaluate(() => Boolean(window.AudioContext))) await key(page);
  await pass(page, 100);
  await key(page);
}

/** From painting to the running bite, by keys; gives the moment it began. */
export async function into(page) {
  await at(page, "paint");
  await key(page);
  await at(page, "dry");
  await key(page);
  await at(page, "ready");
  const from = await read(page);
  await key(page);
  await at(page, "bite");
  return from;
}

/** From the list to the running bite 1; gives the moment it began. */
export async function biting(page) {
  await enter(page);
  return into(page);
}
