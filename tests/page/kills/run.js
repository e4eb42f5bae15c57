/**
 * Kills the browser at chance moments while a run is under way, in mid-bite too, and looks at whether the run goes on where it was.
 *
 * Every turn is noted with the moment it was seen, and its presses. What is found afterwards must be one of these turns, and none that was seen for
 * longer than a moment may be missing; a bite's start must be the moment of its key.
 *
 *     node kills/run.js [times] [seed]
 */
import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { serve } from "../page/site.js";
import { chances, load, start } from "./kills.js";

/** What may be lost of a run, ms: the time its record takes to reach the disk, on a busy machine. */
const MAY_BE_LOST = 400;

/** Which turn is on screen, with its words: "bite: bite 2 of 9; …". @param {import("playwright-core").Page} page */
const turn = (page) => page.evaluate(() => {
  const screen = document.querySelector(".bathrun:not([hidden])");
  return screen ? `${screen.dataset.screen}: ${screen.querySelector(".where")?.textContent ?? ""}` : null;
});

/** The record as it lies on the disk, read by hand. @param {import("playwright-core").Page} page */
const onDisk = (page) => page.evaluate(() => new Promise((resolve, reject) => {
  const request = indexedDB.open("stepbite-run");
  request.onerror = () => reject(request.error);
  request.onsuccess = () => {
    const db = request.result;
    if (!db.objectStoreNames.contains("run")) return resolve(null);
    db.transaction("run").objectStore("run").get("now").onsuccess = ({ target }) => {
      db.close();
      resolve(JSON.parse(target.result ?? "null"));
    };
  };
}));

/** What the page and the disk say where no run is on screen. @param {import("playwright-core").Page} page */
async function standing(page) {
  const [here, kept] = [await page.evaluate(() => localStorage.getItem("stepbite.run")), await onDisk(page)].map((record) => (typeof record === "string" ? record : JSON.stringify(record))?.slice(0, 400));
  const seen = await page.evaluate(() => [".notice", ".kept", "ol.log"].map((part) => document.querySelector(part)?.textContent?.slice(0, 300)).join(" | "));
  return `on the page “${seen}”; in storage ${here}; on the disk ${kept}`;
}

/** It came out early, or the next bite has too little left: what is asked is answered, until the run can go on. @param {import("playwright-core").Page} page */
async function decided(page) {
  const ways = page.locator(".bathrun").getByRole("button", { name: /^(Leave it so|Space the rest anew|Drop what comes too soon)/ });
  for (;;) {
    await page.waitForFunction(() => !document.querySelector(".bathrun .act").hidden || document.querySelector(".bathrun .question:not(:empty)"), null, { polling: 20 });
    if (!await ways.count()) return;
    // As a key on it does: no pointer's press.
    await ways.first().evaluate((button) => button.click(), null, { timeout: 1000 }).catch(() => {});
  }
}

/**
 * @param {number} times @param {number} seed @param {(line: string) => void} [tell]
 * @returns {Promise<{ kills: number, inBite: number, lost: number, oldest: number, apart: number, faults: string[] }>} `apart`: how far a bite's start was from its key at most, ms
 */
export async function runKills(times, seed, tell = () => {}) {
  const chance = chances(seed);
  const site = await serve();
  let profile = await mkdtemp(join(tmpdir(), "stepbite-run-kills-"));
  const sum = { kills: 0, inBite: 0, lost: 0, oldest: 0, apart: 0, faults: /** @type {string[]} */ ([]) };
  /** @type {Awaited<ReturnType<typeof start>> | null} */
  let running = null;
  /** The turns so far, and when each was seen; the kill that ended them. @type {{ name: string, at: number, keys: number[] }[]} */
  let turns = [];
  let killed = 0;
  /** Whether a key was pressed and what it brought not seen yet. */
  let pressed = false;
  try {
    for (let round = 0; round <= times; round++) {
      running = await start(profile);
      const page = running.browser.contexts()[0].pages()[0];
      await load(page, site.url);
      let name = await page.waitForFunction(() => document.querySelector(".bathrun:not([hidden])") !== null, null, { timeout: turns.length ? 30_000 : 1 }).then(() => turn(page), () => null);
      if (turns.length) {
        const seen = turns.findLastIndex((each) => each.name === name);
        // The kill may have come between the turn and this look at it.
        const at = seen < 0 && pressed && name !== null ? turns.length - 1 : seen;
        const missing = turns.slice(at + 1).filter((each) => each.at <= killed);
        sum.lost += missing.length;
        for (const each of missing) sum.oldest = Math.max(sum.oldest, killed - each.at);
        if (at < 0) sum.faults.push(`round ${round}: “${name}” was no turn of the run; the last was ${turns.at(-1)?.name}; ${await standing(page)}`);
        else if (missing.some((each) => killed - each.at > MAY_BE_LOST)) sum.faults.push(`round ${round}: “${name}” is on screen, and “${missing[0].name}” was ${killed - missing[0].at} ms old`);
        if (seen >= 0 && /^bite/.test(turns[at].name) && turns[at].keys.length) {
          sum.inBite++;
          const { from, spent_ms } = (await onDisk(page)).run.timing;
          // Which of several presses was heard is not seen from outside.
          const apart = Math.min(...turns[at].keys.map((key) => Math.abs(from.wall - spent_ms - key)));
          sum.apart = Math.max(sum.apart, apart);
          if (apart > 200) sum.faults.push(`round ${round}: the bite's start is ${apart} ms from its key`);
        }
        tell(`kill ${round}: ${name}; ${missing.length} turns not there`);
        if (at < 0) tell(`FAULT ${sum.faults.at(-1)}`);
      }
      if (round === times) break;
      if (name === null) {
        await page.evaluate(() => { location.hash = "bath"; });
        await page.locator(".begin-run").click();
        // What comes before the first painting is no turn to go on with.
        while (!/^paint/.test(name = /** @type {string} */ (await turn(page)))) {
          await page.keyboard.press(" ");
          await new Promise((done) => setTimeout(done, 200));
        }
      }
      const life = 300 + chance() * 4000;
      const began = Date.now();
      const before = turns.findLast((each) => each.name === name);
      pressed = false;
      turns = [before ?? { name: /** @type {string} */ (name), at: began, keys: [] }];
      const running_ = running;
      const going = (async () => {
        while (Date.now() - began < life) {
          const now = turns[turns.length - 1].name;
          if (/^out/.test(now)) await decided(page);
          else await new Promise((done) => setTimeout(done, 60 + chance() * 300));
          const next = { name: now, at: 0, keys: /** @type {number[]} */ ([]) };
          pressed = true;
          // A hand that slips is not heard just after a turn: it is pressed again.
          while (next.name === now && Date.now() - began < life) {
            next.keys.push(Date.now());
            await page.keyboard.press(" ");
            if (/^bite/.test(now)) {
              await new Promise((done) => setTimeout(done, 150));
              await page.keyboard.press(" ");
            }
            await page.waitForFunction((now) => {
              const screen = document.querySelector(".bathrun:not([hidden])");
              return screen && `${screen.dataset.screen}: ${screen.querySelector(".where")?.textContent ?? ""}` !== now;
            }, now, { polling: 10, timeout: 400 }).catch(() => {});
            next.name = /** @type {string} */ (await turn(page));
          }
          next.at = Date.now();
          if (next.name !== now) turns.push(next);
          pressed = false;
          // In a bite for a while: that is where a plate is spoilt.
          if (/^bite/.test(next.name)) await new Promise((done) => setTimeout(done, chance() * 1500));
        }
      })();
      await Promise.race([going, new Promise((done) => setTimeout(done, life))]);
      killed = Date.now();
      const over = going.catch(() => {});
      await running_.kill();
      running = null;
      await over;
      sum.kills++;
      if (turns.some((each) => /^(out|paint): .*9 of 9/.test(each.name))) {
        // Almost through: another plate.
        await rm(profile, { recursive: true, force: true, maxRetries: 5 });
        profile = await mkdtemp(join(tmpdir(), "stepbite-run-kills-"));
        turns = [];
      }
    }
  } finally {
    await running?.kill().catch(() => {});
    site.close();
    await rm(profile, { recursive: true, force: true, maxRetries: 5 });
  }
  return sum;
}

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  const [times = 40, seed = 1] = process.argv.slice(2).map(Number);
  const sum = await runKills(times, seed, (line) => console.log(line));
  console.log(`${sum.kills} kills, ${sum.inBite} in mid-bite; ${sum.lost} turns lost, the oldest ${sum.oldest} ms before its kill; a bite's start at most ${sum.apart} ms from its key`);
  for (const line of sum.faults) console.log(`FAULT ${line}`);
  process.exitCode = sum.faults.length ? 1 : 0;
}
