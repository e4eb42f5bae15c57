import assert from "node:assert/strict";
import { cp, mkdtemp, readFile, rm, writeFile } from "node:fs/promises";
import { createServer } from "node:http";
import { tmpdir } from "node:os";
import { extname, join } from "node:path";
import { createHash } from "node:crypto";
import { after, before, test } from "node:test";
import { launch, ONE_FILE, openedIn, settled, SITE } from "./site.js";

const TYPES = { ".html": "text/html", ".js": "text/javascript", ".css": "text/css", ".wasm": "application/wasm", ".svg": "image/svg+xml", ".png": "image/png", ".webmanifest": "application/manifest+json" };

/** A host for a folder that can be changed and taken down. @param {string} folder @param {number} [port] */
async function host(folder, port = 0) {
  const asked = [];
  const server = createServer(async (request, response) => {
    const path = new URL(request.url, "http://x").pathname;
    asked.push(path);
    try {
      const body = await readFile(join(folder, path.endsWith("/") ? `${path}index.html` : path));
      // Whatever is there without the network is then the service worker's doing, and not of the browser's ordinary cache.
      response.writeHead(200, { "content-type": TYPES[extname(path) || ".html"] ?? "application/octet-stream", "cache-control": "no-store" }).end(body);
    } catch {
      response.writeHead(404).end();
    }
  });
  await new Promise((done) => server.listen(port, "127.0.0.1", done));
  const { port: bound } = server.address();
  return { url: `http://127.0.0.1:${bound}/`, port: bound, asked, close: () => new Promise((done) => { server.close(done); server.closeAllConnections(); }) };
}

let browser;
let folder;
before(async () => {
  browser = await launch();
  folder = await mkdtemp(join(tmpdir(), "stepbite-site-"));
  await cp(SITE, folder, { recursive: true });
});
after(async () => {
  await browser.close();
  await rm(folder, { recursive: true, force: true });
});

const inUse = (page) => page.waitForFunction(() => navigator.serviceWorker.controller?.state === "activated", null, { timeout: 60_000 });
async function saved(page, press) {
  const [download] = await Promise.all([page.waitForEvent("download", { timeout: 60_000 }), press()]);
  return readFile(await download.path());
}

/** The whole of it with no network: a new plan, the PDF, the project file, and that file opened. */
async function everything(page) {
  await page.getByLabel("Add a bite").click();
  await page.waitForFunction(() => document.querySelectorAll(".block").length === 11);
  await settled(page);
  await page.evaluate(() => { location.hash = "sheets"; });
  await settled(page);
  const pdf = await saved(page, () => page.getByRole("button", { name: "Sheets (PDF)" }).click());
  assert.equal(pdf.subarray(0, 5).toString(), "%PDF-");
  const file = await saved(page, () => page.getByRole("button", { name: "Save", exact: true }).click());
  await page.locator("#file").setInputFiles({ name: "p.zip", mimeType: "application/zip", buffer: file });
  await page.waitForFunction(() => / is open, as it was saved/.test(document.querySelector(".notice p").textContent));
  await settled(page);
  assert.equal(await page.locator(".block").count(), 11);
}

test("loaded once from a host, everything works with the network cut, and no request leaves", async () => {
  const site = await host(folder);
  const context = await browser.newContext({ acceptDownloads: true });
  const first = await openedIn(context, site.url);
  await inUse(first);
  await first.evaluate(() => { location.hash = "kept"; });
  await first.waitForFunction(() => /it opens with the network off/.test(document.querySelector(".station.kept").innerText));
  await first.close();
  await site.close();
  await context.setOffline(true);
  const left = [];
  // What the service worker gives is no request that leaves.
  context.on("request", (request) => !/^(blob|data):/.test(request.url()) && left.push(request));
  const before = site.asked.length;
  const page = await openedIn(context, site.url);
  await everything(page);
  const from = await Promise.all(left.map(async (request) => (await request.response())?.fromServiceWorker() ? null : request.url()));
  assert.ok(left.length > 30, "the page was loaded");
  assert.deepEqual(from.filter((url) => url !== null), []);
  assert.equal(site.asked.length, before);
  assert.deepEqual(page.faults, []);
  await context.close();
});

test("in use nothing is asked of the host; at a start only whether there is a newer page", async () => {
  const site = await host(folder);
  const context = await browser.newContext({ acceptDownloads: true });
  const first = await openedIn(context, site.url);
  await inUse(first);
  await first.close();
  site.asked.length = 0;
  const page = await openedIn(context, site.url);
  await page.waitForTimeout(1500);
  assert.deepEqual([...new Set(site.asked)], ["/service.js"]);
  site.asked.length = 0;
  await everything(page);
  await page.waitForTimeout(500);
  assert.deepEqual(site.asked, []);
  await context.close();
  await site.close();
});

test("a newer page is shown, waits through a run, and is taken only when that is said", async () => {
  const site = await host(folder);
  const context = await browser.newContext();
  const first = await openedIn(context, site.url);
  await inUse(first);
  assert.ok(await first.locator(".newer").isHidden());
  await first.close();

  // Another version on the host: one word of the page is another, and the list says so.
  const main = join(folder, "main.js");
  const service = join(folder, "service.js");
  const [words, list] = [await readFile(main, "utf8"), await readFile(service, "utf8")];
  const hash = (text) => createHash("sha256").update(text).digest("hex");
  const later = `${words}\ndocument.documentElement.dataset.later = "yes";\n`;
  const newer = list.replace(/const VERSION = "[0-9a-f]+"/, 'const VERSION = "feedfacefeedface"').replace(hash(words), hash(later));
  assert.notEqual(newer, list);
  // A host half brought up to date: the list is new, a file is not. Nothing is taken.
  await writeFile(service, newer);
  const half = await openedIn(context, site.url);
  await half.waitForTimeout(1500);
  assert.ok(await half.locator(".newer").isHidden());
  await half.close();

  await writeFile(main, later);
  let page = await openedIn(context, site.url);
  await page.locator(".newer").waitFor({ state: "visible", timeout: 30_000 });
  assert.match(await page.locator(".newer").innerText(), /newer Stepbite/);
  assert.equal(await page.evaluate(() => document.documentElement.dataset.later), undefined, "the version in use is the one before");
  await page.close();
  // Started again with every tab closed between: still the one before, for nobody has agreed.
  page = await openedIn(context, site.url);
  await page.locator(".newer").waitFor({ state: "visible", timeout: 30_000 });
  assert.equal(await page.evaluate(() => document.documentElement.dataset.later), undefined);
  // While a run has the screen it is neither shown nor taken.
  await page.evaluate(() => { location.hash = "bath"; });
  await page.locator(".begin-run").click();
  await page.waitForFunction(() => document.querySelector(".newer").hidden);
  await page.getByRole("button", { name: "Leave the run" }).click();
  await page.locator(".newer").waitFor({ state: "visible" });
  await Promise.all([page.waitForEvent("load"), page.getByRole("button", { name: "Take it now" }).click()]);
  await page.waitForFunction(() => document.documentElement.dataset.later === "yes" && document.body.dataset.ready === "true");
  await page.waitForTimeout(500);
  assert.ok(await page.locator(".newer").isHidden());
  assert.equal((await page.evaluate(() => caches.keys())).length, 2, "the version before is gone");
  await context.close();
  await site.close();
  await writeFile(main, words);
  await writeFile(service, list);
});

/** Makes another version of a site: one word of the page is another, and the list says so. @param {string} at @param {string} version */
async function another(at, version) {
  const [words, list] = [await readFile(join(at, "main.js"), "utf8"), await readFile(join(at, "service.js"), "utf8")];
  const hash = (text) => createHash("sha256").update(text).digest("hex");
  const later = `${words}\ndocument.documentElement.dataset.later = "${version}";\n`;
  const newer = list.replace(/const VERSION = "[0-9a-f]+"/, `const VERSION = "${version}"`).replace(hash(words), hash(later));
  assert.notEqual(newer, list);
  return { words, list, later, newer };
}

test("two of them on one host leave each other alone, and other pages of the host too", async () => {
  const both = await mkdtemp(join(tmpdir(), "stepbite-both-"));
  for (const name of ["one", "two"]) await cp(SITE, join(both, name), { recursive: true });
  const { later, newer } = await another(join(both, "two"), "feedfacefeedface");
  await writeFile(join(both, "two/main.js"), later);
  await writeFile(join(both, "two/service.js"), newer);
  const site = await host(both);
  const context = await browser.newContext({ acceptDownloads: true });
  for (const name of ["one", "two"]) {
    const page = await openedIn(context, `${site.url}${name}/`);
    await inUse(page);
    // A file beside the page comes from its host as ever.
    for (const words of ["before", "after"]) {
      await writeFile(join(both, name, "beside.txt"), words);
      assert.equal(await page.evaluate(async () => (await fetch("beside.txt", { cache: "reload" })).text()), words);
    }
    await page.close();
  }
  await site.close();
  await context.setOffline(true);
  for (const [name, version] of [["one", undefined], ["two", "feedfacefeedface"]]) {
    const page = await openedIn(context, `${site.url}${name}/`);
    assert.equal(await page.evaluate(() => document.documentElement.dataset.later), version);
    await page.close();
  }
  await context.close();
  await rm(both, { recursive: true, force: true });
});

test("a host that goes back to the version in use, half way, takes nothing away", async () => {
  const own = await mkdtemp(join(tmpdir(), "stepbite-back-"));
  await cp(SITE, own, { recursive: true });
  const site = await host(own);
  const context = await browser.newContext();
  const visit = async () => {
    const page = await openedIn(context, site.url);
    await inUse(page);
    return page;
  };
  await (await visit()).close();
  const { list, later, newer } = await another(own, "feedfacefeedface");
  await writeFile(join(own, "main.js"), later);
  await writeFile(join(own, "service.js"), newer);
  const page = await visit();
  await page.locator(".newer").waitFor({ state: "visible", timeout: 30_000 });
  await page.close();
  // The list is the old one again, and the files are not.
  await writeFile(join(own, "service.js"), list);
  const back = await visit();
  await back.waitForTimeout(2000);
  await back.close();
  await site.close();
  await context.setOffline(true);
  const after = await openedIn(context, site.url);
  assert.equal(await after.evaluate(() => document.documentElement.dataset.later), undefined);
  assert.deepEqual(after.faults, []);
  await context.close();
  await rm(own, { recursive: true, force: true });
});

test("a page that is served to be worked on does not come out of a cache", async () => {
  const site = await host(folder);
  const context = await browser.newContext();
  const first = await openedIn(context, site.url);
  await inUse(first);
  await first.close();
  await site.close();
  // The same address now serves www/ itself, over the built bindings, as `cargo run` does.
  const plain = await mkdtemp(join(tmpdir(), "stepbite-www-"));
  await cp(SITE, plain, { recursive: true });
  await cp(new URL("../../../www/", import.meta.url), plain, { recursive: true });
  const worked = await host(plain, site.port);
  const page = await context.newPage();
  await page.goto(worked.url);
  for (const limit = Date.now() + 20_000; Date.now() < limit; await new Promise((done) => setTimeout(done, 200))) {
    const left = await page.evaluate(async () => (await navigator.serviceWorker.getRegistrations()).length).catch(() => 1);
    if (left === 0) break;
  }
  await writeFile(join(plain, "main.js"), 'document.title = "just edited";');
  // It loads itself anew as it leaves the cache, and refuses to be reloaded in the middle of that.
  for (const limit = Date.now() + 10_000; !(await page.reload().then(() => true, () => false)) && Date.now() < limit;) await new Promise((done) => setTimeout(done, 200));
  await page.waitForFunction(() => document.title === "just edited", null, { timeout: 10_000 });
  assert.deepEqual(await page.evaluate(() => caches.keys()), []);
  await context.close();
  await worked.close();
  await rm(plain, { recursive: true, force: true });
});

test("the one file keeps work, saves and opens it, with no network at all", async () => {
  const context = await browser.newContext({ acceptDownloads: true, offline: true });
  const page = await openedIn(context, `file://${ONE_FILE}`);
  const asked = [];
  page.on("request", (request) => !/^(blob|data):/.test(request.url()) && asked.push(request.url()));
  await everything(page);
  await page.waitForFunction(() => /Kept here/.test(document.querySelector(".keeps").textContent));
  assert.deepEqual(asked, []);
  assert.deepEqual(page.faults, []);
  await context.close();
});

test("both pages allow nothing from elsewhere, by their own policy", async () => {
  for (const file of [join(SITE, "index.html"), ONE_FILE]) {
    const policy = (await readFile(file, "utf8")).match(/http-equiv="Content-Security-Policy" content="([^"]+)"/)[1];
    const rules = new Map(policy.split(";").map((rule) => rule.trim().split(/\s+/)).map(([name, ...sources]) => [name, sources]));
    assert.deepEqual(rules.get("default-src"), ["'none'"]);
    for (const [name, sources] of rules) {
      const allowed = new Set(["'none'", "'self'", "data:", "blob:", "'wasm-unsafe-eval'", ...(name === "style-src" ? ["'unsafe-inline'"] : [])]);
      assert.deepEqual(sources.filter((source) => !allowed.has(source) && !source.startsWith("'sha256-")), [], name);
    }
    // What the first rule does not stand in for (CSP Level 3, 6.7 and 6.4).
    for (const name of ["form-action", "base-uri"]) assert.deepEqual(rules.get(name), ["'none'"], name);
    assert.deepEqual(rules.get("connect-src"), file === ONE_FILE ? ["'none'"] : ["'self'"]);
  }
  // The policy as the browser has it: a request elsewhere is stopped before it leaves.
  const site = await host(folder);
  const page = await openedIn(await browser.newContext(), site.url);
  const stopped = await page.evaluate(() => new Promise((resolve) => {
    document.addEventListener("securitypolicyviolation", (event) => resolve(event.effectiveDirective));
    fetch("http://127.0.0.1:9/").catch(() => {});
  }));
  assert.equal(stopped, "connect-src");
  await page.context().close();
  await site.close();
});
