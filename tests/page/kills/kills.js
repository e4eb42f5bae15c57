/**
 * Kills the browser at chance moments while the work is changed, and looks at what is there when it is opened again.
 *
 * Each change has a number. An odd change gives the plate a new title, "t7"; an even one types a reading error made of its number into the settings. Now and then another drawing is opened, which makes a new title by itself. What is found afterwards
 * must be the work as it was after SOME change (title and settings of the same moment, the drawing of that moment), and no change that was two
 * seconds old or older may be missing.
 *
 *     node kills/kills.js [times] [seed]
 */
import { spawn } from "node:child_process";
import { mkdtemp, readFile, rm } from "node:fs/promises";
import { existsSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { chromium } from "playwright-core";
import { serve, STARTS } from "../page/site.js";

/** What may be lost, ms. */
const MAY_BE_LOST = 2000;

/** Numbers from 0 to 1 from a seed: the multiplicative generator of Park and Miller, 1988. @param {number} seed */
export function chances(seed) {
  let at = seed % 2147483647 || 1;
  return () => (at = at * 48271 % 2147483647) / 2147483647;
}

/** A browser of its own with a profile that stays. @param {string} profile */
export async function start(profile) {
  const port = join(profile, "DevToolsActivePort");
  for (let time = 1; ; time++) {
    for (const left of ["DevToolsActivePort", "SingletonLock", "SingletonCookie", "SingletonSocket"]) await rm(join(profile, left), { force: true });
    const child = spawn(process.env.CHROMIUM || "/usr/bin/chromium", [
      "--headless=new", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking", "--disable-component-update", "--disable-sync",
      "--remote-debugging-port=0", `--user-data-dir=${profile}`, "--window-size=1200,800", "about:blank",
    ], { detached: true, stdio: ["ignore", "ignore", "pipe"] });
    let words = "";
    child.stderr.setEncoding("utf8").on("data", (more) => { words = (words + more).slice(-2000); });
    const gone = /** @type {Promise<string>} */ (new Promise((done) => {
      child.once("error", ({ message }) => done(message));
      child.once("exit", (code, signal) => done(`It ended with ${signal ?? code}.`));
    }));
    /** All its processes at once, without a word: what a crash, an empty battery or a system short of memory does. */
    const kill = async () => {
      try { process.kill(-(/** @type {number} */ (child.pid)), "SIGKILL"); } catch { /* It is gone, or never was. */ }
      await gone;
    };
    const number = await Promise.race([listening(port), gone.then(() => null)]);
    if (number) {
      const browser = await chromium.connectOverCDP(`http://127.0.0.1:${number}`);
      return { browser, child, kill: async () => { await kill(); await browser.close().catch(() => {}); } };
    }
    const end = child.exitCode === null && child.signalCode === null && child.pid ? "It said no port in 30 s." : await gone;
    await kill();
    if (time === STARTS) throw new Error(`The browser did not start, ${STARTS} times; the last time: ${end} Its words: ${words || "none"}`);
  }
}

/** The port a browser says it listens on, or null after 30 s. @param {string} file */
async function listening(file) {
  for (const limit = Date.now() + 30_000; Date.now() < limit; await new Promise((done) => setTimeout(done, 20))) {
    const said = existsSync(file) ? await readFile(file, "utf8") : "";
    if (said.includes("\n")) return said.split("\n")[0];
  }
  return null;
}

/** What is on screen, as the work it stands for. */
const seen = (page) => page.evaluate(() => ({
  title: document.querySelector("input.title").value,
  notice: document.querySelector(".notice p").textContent,
  kind: document.querySelector(".notice").dataset.kind,
}));

/** The record as it lies in the browser's storage, read by hand. */
const record = (page) => page.evaluate(() => new Promise((resolve, reject) => {
  const request = indexedDB.open("stepbite");
  request.onerror = () => reject(request.error);
  request.onsuccess = () => {
    const tx = request.result.transaction(["work", "drawings", "points"]);
    const found = {};
    tx.objectStore("work").get("now").onsuccess = ({ target }) => { found.entry = target.result; };
    tx.objectStore("drawings").getAllKeys().onsuccess = ({ target }) => { found.drawings = target.result; };
    tx.objectStore("points").getAll().onsuccess = ({ target }) => { found.points = target.result.map((point) => point.drawing); };
    tx.oncomplete = () => {
      request.result.close();
      const { entry, drawings, points } = found;
      resolve(entry ? { title: entry.work.job.title, reading: entry.work.settings.reading_error_l, name: entry.work.name, drawing: entry.drawing, drawings, points } : null);
    };
  };
}));

/** A small drawing of its own width: the number tells it from the others. @param {import("playwright-core").Page} page @param {number} n */
async function drawn(page, n) {
  return Buffer.from(await page.evaluate(async (n) => {
    const canvas = new OffscreenCanvas(200 + n % 100, 240);
    const pen = canvas.getContext("2d");
    const ramp = pen.createLinearGradient(0, 0, canvas.width, 0);
    ramp.addColorStop(0, "#fff");
    ramp.addColorStop(1, "#000");
    pen.fillStyle = ramp;
    pen.fillRect(0, 0, canvas.width, canvas.height);
    return Array.from(new Uint8Array(await (await canvas.convertToBlob()).arrayBuffer()));
  }, n));
}

/** @param {import("playwright-core").Page} page @param {string} url */
export async function load(page, url) {
  await page.goto(url);
  await page.waitForFunction(() => document.body.dataset.ready === "true", null, { timeout: 60_000 });
}

/**
 * @param {number} times @param {number} seed @param {(line: string) => void} [tell]
 * @returns {Promise<{ kills: number, changes: number, lost: number, torn: string[], oldest: number, opened: number }>} `oldest`: age of the oldest change that was lost, ms
 */
export async function kills(times, seed, tell = () => {}) {
  const chance = chances(seed);
  const site = await serve();
  const profile = await mkdtemp(join(tmpdir(), "stepbite-kills-"));
  const sum = { kills: 0, changes: 0, lost: 0, torn: /** @type {string[]} */ ([]), oldest: 0, opened: 0 };
  /** Every state the work was in, in order, and when it was reached. @type {{ title: string, reading: number, name: string, at: number }[]} */
  let states = [];
  let number = 0;
  /** @type {Awaited<ReturnType<typeof start>> | null} */
  let running = null;
  try {
    for (let round = 0; round <= times; round++) {
      running = await start(profile);
      const page = running.browser.contexts()[0].pages()[0];
      const killed = Date.now();
      await load(page, site.url);
      const now = await seen(page);
      const kept = await record(page);
      let at = -1;
      if (round > 0) {
        // --- what is there after the kill
        at = states.findLastIndex((state) => kept && state.title === kept.title && state.reading === kept.reading && state.name === kept.name);
        if (!kept) {
          if (states.length && lastKill - states[0].at >= MAY_BE_LOST) sum.torn.push(`round ${round}: nothing was kept`);
        } else if (at < 0) {
          sum.torn.push(`round ${round}: ${JSON.stringify(kept)} was never a state of the work; the last were ${JSON.stringify(states.slice(-3))}`);
        } else {
          for (const id of [kept.drawing, ...kept.points]) if (!kept.drawings.includes(id)) sum.torn.push(`round ${round}: drawing ${id} is not there`);
          if (now.kind === "refused" || now.title !== kept.title || !/Opened again as it was left/.test(now.notice)) {
            sum.torn.push(`round ${round}: the page shows ${JSON.stringify(now)}, kept is ${JSON.stringify(kept)}`);
          }
          sum.opened++;
        }
        // A change that was not done when the kill came has no age.
        for (const state of states.slice(at + 1).filter((state) => state.at <= lastKill)) {
          sum.lost++;
          sum.oldest = Math.max(sum.oldest, lastKill - state.at);
          if (lastKill - state.at >= MAY_BE_LOST) sum.torn.push(`round ${round}: a change ${lastKill - state.at} ms old was lost: ${JSON.stringify(state)}`);
        }
        tell(`kill ${round}: ${kept ? `${kept.title}, ${kept.name}` : "nothing kept"}; ${states.length - 1 - at} of ${states.length} states not there`);
      }
      if (round === times) break;
      // --- changes until a chance moment
      let held = kept ?? { title: "Ice house", reading: 1, name: "ice-house.jpg" };
      states = kept && at >= 0 ? [{ title: held.title, reading: held.reading, name: held.name, at: killed - 60_000 }] : [];
      await page.evaluate(() => { location.hash = "times"; });
      const began = Date.now();
      const life = 200 + chance() * 3800;
      /** @param {Partial<typeof held>} change */
      const reached = (change) => {
        held = { ...held, ...change };
        const state = { title: held.title, reading: held.reading, name: held.name, at: Infinity };
        states.push(state);
        return state;
      };
      /** Done by then. @param {typeof states[0]} state @param {number} at */
      const by = (state, at) => {
        state.at = at;
        sum.changes++;
      };
      const changing = (async () => {
        while (Date.now() - began < life) {
          number++;
          if (chance() < 0.08) {
            const name = `d${number}`;
            const buffer = await drawn(page, number);
            const state = reached({ title: name, name: `${name}.png` });
            await page.locator("#file").setInputFiles({ name: `${name}.png`, mimeType: "image/png", buffer });
            await page.waitForFunction((name) => document.querySelector("input.title").value === name, name, { polling: 20 });
            by(state, Date.now());
          } else if (number % 2) {
            const [state, at] = [reached({ title: `t${number}` }), Date.now()];
            await page.evaluate((title) => {
              const field = document.querySelector("input.title");
              field.value = title;
              field.dispatchEvent(new Event("change"));
            }, `t${number}`);
            by(state, at);
          } else {
            const reading = 1 + number % 900 / 100;
            const [state, at] = [reached({ reading }), Date.now()];
            await page.evaluate((value) => {
              const field = [...document.querySelectorAll("label")].find((label) => label.textContent === "Reading error")?.control;
              if (!field) throw new Error("There is no field for the reading error.");
              field.value = String(value);
              field.dispatchEvent(new Event("change"));
            }, reading);
            by(state, at);
          }
          await new Promise((done) => setTimeout(done, 20 + chance() * 250));
        }
      })();
      // The moment of the kill has nothing to do with what is under way.
      await Promise.race([changing, new Promise((done) => setTimeout(done, life))]);
      lastKill = Date.now();
      const going = changing.catch(() => {});
      await running.kill();
      running = null;
      await going;
      sum.kills++;
    }
  } finally {
    await running?.kill().catch(() => {});
    site.close();
    await rm(profile, { recursive: true, force: true, maxRetries: 5 });
  }
  return sum;
}

let lastKill = 0;

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  const [times = 100, seed = 1] = process.argv.slice(2).map(Number);
  const began = Date.now();
  const sum = await kills(times, seed, (line) => console.log(line));
  console.log(`${sum.kills} kills, ${sum.changes} changes; ${sum.lost} lost, the oldest ${sum.oldest} ms before its kill; opened again ${sum.opened} times; ${((Date.now() - began) / 1000).toFixed(0)} s`);
  for (const line of sum.torn) console.log(`FAULT ${line}`);
  process.exitCode = sum.torn.length ? 1 : 0;
}
