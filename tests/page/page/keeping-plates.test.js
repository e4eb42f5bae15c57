/** Plates brought in are kept once, however many earlier states hold them; and what an earlier page kept, with its maps in it, opens. */
import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { test } from "node:test";
import { go, opened, served, settled } from "./site.js";

const it = served();

/** The records as they lie there. */
const lies = (page) => page.evaluate(() => new Promise((resolve, reject) => {
  const request = indexedDB.open("stepbite");
  request.onerror = () => reject(request.error);
  request.onsuccess = () => {
    const names = [...request.result.objectStoreNames];
    const transaction = request.result.transaction(names);
    const found = {};
    for (const name of names) transaction.objectStore(name).getAll().onsuccess = ({ target }) => { found[name] = target.result.map((each) => each.byteLength ?? each); };
    transaction.oncomplete = () => { request.result.close(); resolve(found); };
  };
}));
const until = async (page, right) => {
  for (const limit = Date.now() + 10_000; Date.now() < limit; await page.waitForTimeout(50)) {
    const found = await lies(page);
    if (right(found)) return found;
  }
  assert.fail("it was not kept in ten seconds");
};
const ink = (page) => page.$eval(".proof .pulls .picture:first-child .face > canvas", (canvas) => {
  const { data } = canvas.getContext("2d").getImageData(0, 0, canvas.width, canvas.height);
  return data.reduce((sum, v, i) => sum + (i % 4 === 1 ? v : 0), 0) / (data.length / 4);
});
const unfold = (page) => page.locator(".proof .fold-part", { has: page.locator(`summary b:text-is("Plates over one another")`) }).locator("summary").first().click();
const again = async (page) => {
  const context = page.context();
  await page.close();
  const next = await context.newPage();
  next.faults = [];
  next.on("pageerror", (error) => next.faults.push(String(error)));
  await next.goto(it.site.url);
  await next.waitForFunction(() => /Opened again as it was left on/.test(document.querySelector(".notice p")?.textContent), null, { timeout: 60_000 });
  await go(next, "proof");
  return next;
};

test("a map is kept once, beside the work and its earlier states, and goes with the last that needs it", async () => {
  let page = await opened(it.browser, it.site.url);
  const [download] = await Promise.all([page.waitForEvent("download", { timeout: 60_000 }), page.getByRole("button", { name: "Save", exact: true }).click()]);
  const buffer = await readFile(await download.path());
  await go(page, "proof");
  const alone = await ink(page);
  await unfold(page);
  await page.locator("input.plate-file").setInputFiles({ name: "b.zip", mimeType: "application/zip", buffer });
  await page.waitForFunction(() => document.querySelectorAll(".plate-letter").length === 2, null, { timeout: 60_000 });
  await settled(page);
  const both = await ink(page);
  assert.ok(both < alone - 8);
  for (const count of [1, 2]) {
    await go(page, "sheets");
    await Promise.all([page.waitForEvent("download", { timeout: 60_000 }), page.getByRole("button", { name: "Sheets (PDF)" }).first().click()]);
    await until(page, ({ points }) => points.length === count);
  }
  const kept = await lies(page);
  assert.equal(kept.maps.length, 1);
  assert.ok(kept.maps[0].length > 1000);
  for (const { work, maps } of [...kept.work, ...kept.points]) {
    assert.deepEqual(work.job.plates.map(({ id, map }) => [id, map]), [[maps[0], ""]]);
  }
  page = await again(page);
  assert.equal(await ink(page), both, "the plate prints");
  // Taken away it stays for the earlier states; with everything forgotten it goes.
  await unfold(page);
  await page.locator(".proof .fold-part[open] .card").nth(1).getByRole("button", { name: "Take it away" }).click();
  await until(page, ({ work, maps }) => work[0].work.job.plates.length === 0 && maps.length === 1);
  await go(page, "kept");
  await page.locator(".points li").first().getByRole("button", { name: /Open again/ }).click();
  await page.waitForFunction(() => /Opened again as it was on/.test(document.querySelector(".notice p").textContent), null, { timeout: 60_000 });
  await go(page, "proof");
  assert.equal(await ink(page), both);
  assert.deepEqual(page.faults, []);
  await page.context().close();
});

test("what the page before kept, with the maps in it, opens, and is kept the new way at the next change", async () => {
  let page = await opened(it.browser, it.site.url);
  const [download] = await Promise.all([page.waitForEvent("download", { timeout: 60_000 }), page.getByRole("button", { name: "Save", exact: true }).click()]);
  await go(page, "proof");
  await unfold(page);
  await page.locator("input.plate-file").setInputFiles({ name: "b.zip", mimeType: "application/zip", buffer: await readFile(await download.path()) });
  await page.waitForFunction(() => document.querySelectorAll(".plate-letter").length === 2, null, { timeout: 60_000 });
  await settled(page);
  const both = await ink(page);
  await until(page, ({ work }) => work[0]?.work.job.plates.length === 1);
  // The same database as version 1 had it: no maps beside, one earlier state and the work with theirs in them. Written where no page holds it.
  const bare = await page.context().newPage();
  await bare.goto(`${it.site.url}icon.svg`);
  await page.close();
  await bare.evaluate(() => new Promise((resolve, reject) => {
    const request = indexedDB.open("stepbite");
    request.onsuccess = () => {
      const db = request.result;
      const transaction = db.transaction([...db.objectStoreNames]);
      const found = {};
      transaction.objectStore("work").get("now").onsuccess = ({ target }) => { found.entry = target.result; };
      transaction.objectStore("maps").getAll().onsuccess = ({ target }) => { [found.map] = target.result; };
      transaction.objectStore("drawings").getAll().onsuccess = ({ target }) => { [found.bytes] = target.result; };
      transaction.oncomplete = () => {
        db.close();
        indexedDB.deleteDatabase("stepbite").onsuccess = () => {
          const older = indexedDB.open("stepbite", 1);
          older.onupgradeneeded = () => {
            for (const name of ["work", "drawings"]) older.result.createObjectStore(name);
            older.result.createObjectStore("points", { autoIncrement: true }).createIndex("drawing", "drawing");
          };
          older.onsuccess = () => {
            const { maps, ...entry } = found.entry;
            entry.work.job.plates[0].map = found.map;
            const writes = older.result.transaction(["work", "drawings", "points"], "readwrite");
            writes.objectStore("work").put(entry, "now");
            writes.objectStore("points").add({ ...entry, why: "sheets saved" });
            writes.objectStore("drawings").put(found.bytes, entry.drawing);
            writes.oncomplete = () => { older.result.close(); resolve(null); };
            writes.onabort = () => reject(writes.error);
          };
        };
      };
    };
  }));
  page = await again(bare);
  assert.equal(await ink(page), both);
  await go(page, "kept");
  assert.equal(await page.locator(".points li").count(), 1);
  await page.locator("input.title").fill("Later");
  await page.locator("input.title").press("Enter");
  const kept = await until(page, ({ work }) => work[0].work.job.title === "Later");
  assert.equal(kept.maps.length, 1);
  assert.equal(kept.work[0].work.job.plates[0].map, "");
  assert.ok(kept.points[0].work.job.plates[0].map.length > 1000, "what was kept is not written over");
  await page.locator(".points li").first().getByRole("button", { name: /Open again/ }).click();
  await page.waitForFunction(() => /Opened again as it was on/.test(document.querySelector(".notice p").textContent), null, { timeout: 60_000 });
  await go(page, "proof");
  assert.equal(await ink(page), both);
  assert.deepEqual(page.faults, []);
  await page.context().close();
});
