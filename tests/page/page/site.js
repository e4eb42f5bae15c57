/** For the tests: the built site on a loopback port, and a browser that may go nowhere else. */
import { createServer } from "node:http";
import { readFile } from "node:fs/promises";
import { existsSync, mkdirSync } from "node:fs";
import { createRequire } from "node:module";
import { after, before } from "node:test";
import { extname, join, normalize } from "node:path";
import { fileURLToPath } from "node:url";
import { chromium } from "playwright-core";

const root = fileURLToPath(new URL("../../../", import.meta.url));
export const SITE = process.env.STEPBITE_SITE ?? join(root, "target/site");
export const ONE_FILE = process.env.STEPBITE_FILE ?? join(root, "target/stepbite.html");
export const OUT = fileURLToPath(new URL("../out/", import.meta.url));
mkdirSync(OUT, { recursive: true });

const TYPES = { ".html": "text/html; charset=utf-8", ".js": "text/javascript", ".css": "text/css", ".wasm": "application/wasm", ".svg": "image/svg+xml", ".jpg": "image/jpeg", ".woff2": "font/woff2", ".png": "image/png", ".webmanifest": "application/manifest+json" };

/** Serves the site; `asked` collects every path. */
export async function serve() {
  if (!existsSync(join(SITE, "index.html"))) throw new Error(`There is no site at ${SITE}: run "cargo run -- bundle" first.`);
  const asked = [];
  const server = createServer(async (request, response) => {
    const path = normalize(decodeURIComponent(new URL(request.url, "http://x").pathname)).replace(/^(\.\.[/\\])+/, "");
    asked.push(path);
    try {
      const body = await readFile(join(SITE, path.endsWith("/") ? `${path}index.html` : path));
      response.writeHead(200, { "content-type": TYPES[extname(path) || ".html"] ?? "application/octet-stream" }).end(body);
    } catch {
      response.writeHead(404).end();
    }
  });
  await new Promise((done) => server.listen(0, "127.0.0.1", done));
  return { url: `http://127.0.0.1:${server.address().port}/`, asked, close: () => server.close() };
}

/** How often a browser is started before it counts as none: that it starts is not what is tested, and once, on a busy machine, one did not. */
export const STARTS = 3;

export async function launch() {
  for (let time = 1; ; time++) {
    try {
      return await chromium.launch({
        executablePath: process.env.CHROMIUM || "/usr/bin/chromium",
        args: ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking", "--disable-component-update", "--disable-sync"],
      });
    } catch (error) {
      if (time === STARTS) throw error;
    }
  }
}

/**
 * A context whose pages are not kept for use without a network, as in a browser that has no service workers: a page that is kept fetches itself
 * whole a second time, into storage of its own, beside what is tested. What rests on that asks the browser itself for a context.
 * @param {import("playwright-core").Browser} browser @param {import("playwright-core").BrowserContextOptions} [options]
 */
export async function room(browser, options) {
  const context = await browser.newContext(options);
  await context.addInitScript(() => Object.defineProperty(Navigator.prototype, "serviceWorker", { value: undefined }));
  return context;
}

/** A page with the demo worked through. Errors of the page fail the test that asks for them. */
export async function opened(browser, url, viewport = { width: 1440, height: 900 }) {
  return openedIn(await room(browser, { viewport, acceptDownloads: true }), url);
}

/** The same in a context that is there. @param {import("playwright-core").BrowserContext} context @param {string} url */
export async function openedIn(context, url) {
  const page = await context.newPage();
  page.faults = [];
  page.on("pageerror", (error) => page.faults.push(String(error)));
  page.on("console", (message) => message.type() === "error" && page.faults.push(message.text()));
  page.requests = [];
  page.on("request", (request) => page.requests.push(request.url()));
  await page.goto(url);
  await page.waitForFunction(() => document.body.dataset.ready === "true", null, { timeout: 60_000 });
  await settled(page);
  return page;
}

/** The site served and a browser for all tests of a file, which open pages of their own. */
export function served() {
  /** @type {{ site: Awaited<ReturnType<typeof serve>>, browser: import("playwright-core").Browser }} */
  const it = /** @type {any} */ ({});
  before(async () => {
    it.site = await serve();
    it.browser = await launch();
  });
  after(() => end(it));
  return it;
}

/** The site served, a browser, and a page with the demo on a station: what most tests begin with. @param {string} [station] */
export async function begin(station) {
  const begun = {};
  try {
    begun.site = await serve();
    begun.browser = await launch();
    begun.page = await opened(begun.browser, begun.site.url);
    if (station) await go(begun.page, station);
    return begun;
  } catch (error) {
    await end(begun);
    throw error;
  }
}

/** Ends what was begun, as far as it came. @param {{ site?: { close(): void }, browser?: { close(): Promise<void> } }} begun */
export async function end({ site, browser }) {
  await browser?.close();
  site?.close();
}

/** Waits until the plan is of what is wanted, and no picture on screen is out of date. */
export async function settled(page) {
  await page.waitForTimeout(60);
  await page.waitForFunction(() => document.body.dataset.planned !== "false" && [...document.querySelectorAll(".stale, .draft, .melting")].every((item) => item.offsetParent === null), null, { timeout: 60_000 });
  await page.waitForTimeout(60);
}

export async function go(page, station) {
  await page.evaluate((name) => { location.hash = name; }, station);
  await page.waitForFunction((name) => document.body.dataset.station === name, station);
  await settled(page);
}

/**
 * A canvas' pixels, RGBA. They come over as one text: a million numbers one by one take seconds.
 * @returns {Promise<{ width: number, height: number, data: Buffer }>}
 */
export async function pixels(page, selector) {
  const { text, ...size } = await page.$eval(selector, (canvas) => {
    const { data, width, height } = canvas.getContext("2d").getImageData(0, 0, canvas.width, canvas.height);
    let bytes = "";
    for (let at = 0; at < data.length; at += 8192) bytes += String.fromCharCode(...data.subarray(at, at + 8192));
    return { width, height, text: btoa(bytes) };
  });
  return { ...size, data: Buffer.from(text, "base64") };
}

const axe = readFile(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");

/**
 * What is seen and reaches beyond the sides of the window: the page cuts it off there without a word. What scrolls by itself may be wider.
 * @param {import("playwright-core").Page} page
 */
export function cutOff(page) {
  return page.evaluate(() => {
    const within = (/** @type {Element | null} */ item) => {
      for (let at = item?.parentElement; at && !at.matches(".bench, body"); at = at.parentElement) if (getComputedStyle(at).overflowX !== "visible") return true;
      return false;
    };
    return [...document.querySelectorAll("body *")].filter((item) => {
      const { left, right, width } = item.getBoundingClientRect();
      // Of a handle only the middle is to be seen, round which it is grasped.
      return width > 1 && !item.matches(".handle") && (left < -1 || right > innerWidth + 1) && item.checkVisibility() && !within(item);
    }).map((item) => item.outerHTML.slice(0, 90));
  });
}

/**
 * Framed buttons side by side of which one stands higher, or is taller, than the one before it. Those without a frame stand on the line of their words.
 * @param {import("playwright-core").Page} page
 */
export function unlevel(page) {
  return page.evaluate(() => {
    const framed = (/** @type {Element} */ item) => item.matches("button") && item.checkVisibility() && getComputedStyle(item).position === "static" && parseFloat(getComputedStyle(item).borderTopWidth) > 0;
    return [...document.querySelectorAll("main *")].flatMap((parent) => {
      const all = [...parent.children].filter(framed);
      return all.slice(1).flatMap((item, i) => {
        const [before, own] = [all[i].getBoundingClientRect(), item.getBoundingClientRect()];
        const beside = Math.min(before.bottom, own.bottom) - Math.max(before.top, own.top) > 10;
        return beside && (Math.abs(before.top - own.top) > 1 || Math.abs(before.height - own.height) > 1) ? [`${all[i].textContent} | ${item.textContent}`] : [];
      });
    });
  });
}

/** Serious faults of access by axe-core's rules for WCAG 2.2 A and AA, in words. */
export async function axeFaults(page) {
  // The page's own policy lets no foreign script in; the test speaks to it through the debugger instead.
  await page.evaluate(await axe);
  const result = await page.evaluate(() => window.axe.run(document, { runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"] }));
  return result.violations.filter((fault) => ["serious", "critical"].includes(fault.impact ?? ""))
    .map((fault) => `${fault.id} ${fault.nodes.map((node) => `${node.target} ${node.failureSummary}`).slice(0, 3).join(" | ")}`);
}
