/** For the tests of a run with all plates of a family: the example of four at the bath on a short ladder, and a hand that goes from turn to turn. */
import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { at, bathside, key, longer, pass, planned, seconds, text } from "./bathside.js";
import { go, settled } from "./site.js";

const DAY = ".station.plates .family-day";
export const MIN = 60_000;

/** Waits for something on the page whose own clock has to go on for it. */
export async function until(page, is, given, tries = 200) {
  for (let i = 0; i < tries; i++) {
    if (await page.evaluate(is, given)) return;
    await page.clock.runFor(200);
    await page.waitForTimeout(50);
  }
  throw new Error(`It did not come: ${is} on ${await page.evaluate(() => document.querySelector(".bathrun")?.innerText)}`);
}
export const calm = (page, count = 4) => until(page, (n) => document.querySelectorAll(".member").length === n && !document.querySelector(".member.stale"), count);

/** The work that a test of the same file has prepared and saved, by what it asked for. @type {Map<string, Buffer>} */
const saved = new Map();

/**
 * The example of four plates on a ladder of three tones, with a tray for several and its minutes, at the bath. Prepared by hand the first time,
 * and opened from the file it was saved in by the tests after it: planning four plates by ten tones and then by each ladder down to three took
 * half of a test.
 */
export async function four(it, { tray = true, dry = "25", ...how } = {}) {
  const page = await bathside(it, { station: "plates", ...how });
  const asked = JSON.stringify([tray, dry]);
  const buffer = saved.get(asked);
  if (buffer) {
    await page.locator("#file").setInputFiles({ name: "four.zip", mimeType: "application/zip", buffer });
    await until(page, () => / is open, as it was saved/.test(document.querySelector(".notice p").textContent));
  } else {
    await prepared(page, tray, dry);
    const [download] = await Promise.all([page.waitForEvent("download"), page.getByRole("button", { name: "Save", exact: true }).click()]);
    saved.set(asked, await readFile(await download.path()));
  }
  await go(page, "plates");
  await calm(page);
  await settled(page);
  await go(page, "bath");
  return page;
}

/** @param {import("playwright-core").Page} page @param {boolean} tray @param {string} dry */
async function prepared(page, tray, dry) {
  await page.getByRole("button", { name: "Open the example of four plates" }).click();
  await calm(page);
  for (let n = 10; n > 3; n--) await page.locator(".stepper button").first().click();
  await until(page, () => document.querySelectorAll(".bites span").length === 2);
  const type = async (label, words) => {
    const field = page.locator(DAY).getByLabel(label, { exact: true });
    await field.fill(words);
    await field.press("Enter");
  };
  await type("Drying of a stop-out", dry);
  // Shorter than a dip: else it pays to bite two by two, and to paint while the others are in.
  await type("Rinse and dry after a bite", tray ? "1" : "5");
  if (!tray) return;
  await type("Tray inside, wide", "900");
  await type("deep", "900");
  // Dips of under a minute are shared with none: by this witness all times are twice as long.
  await longer(page);
}

/** On the screen between two turns, when it knows what comes: its title. */
export async function next(page) {
  await at(page, "next");
  await until(page, () => document.querySelector(".bathrun").dataset.screen === "next" && !document.querySelector(".bathrun .act").hidden);
  await pass(page, 700);
  return text(page, ".headline");
}
export const letter = (page) => text(page, ".work-letter");
/** Where the plates stand, as the printer reads them from the row of letters. */
export const row = (page) => page.$$eval(".bathrun .plates-row button", (all) => Object.fromEntries(all.map((each) => [each.querySelector("b").textContent, `${each.querySelector("span").textContent} ${each.querySelector("i").textContent}`.trim()])));

/** From the screen between two turns through a painting; gives its plate. */
export async function paints(page) {
  const title = await next(page);
  assert.match(title, /^Plate .: paint stop-out/);
  await key(page);
  await at(page, "paint");
  const own = await letter(page);
  assert.equal(own, title[6], title);
  await key(page);
  return own;
}

/** From the screen between two turns to a running dip; gives its letters. */
export async function bites(page) {
  const title = await next(page);
  assert.match(title, /(alone|together): bite/);
  await key(page);
  await until(page, () => ["dry", "ready"].includes(document.querySelector(".bathrun").dataset.screen));
  await pass(page, 700);
  if (await page.locator(".bathrun").getAttribute("data-screen") === "dry") await key(page);
  await at(page, "ready");
  await key(page);
  await at(page, "bite");
  return title;
}

/** Lifts at the end of the dip, or so long before it. */
export async function comesOut(page, early_s = 0) {
  const set = seconds(/(?:left of bites? [^,]*, |were |was )([\d:]+)/.exec(await text(page, ".sub:not([hidden])"))?.[1] ?? "0");
  await page.clock.runFor(1000 * (set - early_s));
  await key(page, " ", true);
  await at(page, "out");
}

/** The same, until it is in every log. */
export async function lifts(page, early_s = 0) {
  await comesOut(page, early_s);
  await pass(page, 1_100);
  await until(page, () => /Logged as/.test(document.querySelector(".bathrun .lead")?.textContent ?? "") && !/writing/.test(document.querySelector(".bathrun .screen").textContent));
  await planned(page);
}

/** Another plate's turn, by its letter. */
export async function choose(page, which) {
  await page.locator(".bathrun .plates-row button").filter({ has: page.locator("b", { hasText: new RegExp(`^${which}$`) }) }).click();
  await until(page, (own) => new RegExp(`^Plates? [^:]*\\b${own}\\b`).test(document.querySelector(".bathrun .headline").textContent) && !document.querySelector(".bathrun .act").hidden, which);
  await pass(page, 700);
}

/** A time that the screen gives as "108.0", as the log writes it: to the second, or to the tenth where it has one. */
export const timeWords = (taken) => Number.isInteger(Number(taken)) ? `${Math.floor(taken / 60)}:${String(taken % 60).padStart(2, "0")}` : `${taken} s`;

/** The log of a plate, as it stands under At the bath. */
export const log = (page) => page.$$eval(".station.bath ol.log li", (all) => all.map((each) => each.innerText));
