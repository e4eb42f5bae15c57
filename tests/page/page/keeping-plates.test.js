/** Plates brought in are kept once, however many earlier states hold them; and what an earlier page kept, with its maps in it, opens. */
import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { test } from "node:test";
import { go, opened, served, settled } from "./site.js";
import { another, emptied, lies, until } from "./storage.js";

const it = served();

const ink = (page) => page.$eval(".proof .pulls .picture:first-child .face > canvas", (canvas) => {
  const { data } = canvas.getContext("2d").getImageData(0, 0, canvas.width, canvas.height);
  return data.reduce((sum, v, i) => sum + (i % 4 === 1 ? v : 0), 0) / (data.length / 4);
});
const unfold = (page) => page.locator(".proof .fold-part", { has: page.locator(`summary b:text-is("Plates over one another")`) }).locator("summary").first().click();
const again = async (page) => {
  const context = page.context();
  await page.close();
  const next = await another(context, it.site.url);
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
  // The same database as version 1 had it: no maps beside, one earlier state and the work with theirs in them.
  const bare = await emptied(page, it.site.url);
  await bare.evaluate(() => new Promise((resolve) => {
    const older = indexedDB.open("stepbite", 1);
    older.onupgradeneeded = () => {
      for (const name of ["work", "drawings"]) older.result.createObjectStore(name);
      older.result.createObjectStore("points", { autoIncrement: true }).createIndex("drawing", "drawing");
    };
    older.onsuccess = () => {
      const { maps, ...entry } = window.lay.work[0];
      entry.work.job.plates[0].map = window.lay.maps[0];
      resolve(window.writeAsOlder(older.result, entry));
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
