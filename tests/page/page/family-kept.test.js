/** A family is kept with all its drawings, as an earlier page kept its work too; and a tab that only looks changes none of it. */
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { mkdtemp, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { test } from "node:test";
import { add, demo, four, letters, openFile, planned, project, said, says } from "./familyside.js";
import { go, opened, served } from "./site.js";
import { another, emptied, until } from "./storage.js";

const it = served();

test("a family is kept with all its drawings, opens again after the page was killed, and goes into one file and out of it", async () => {
  let page = await opened(it.browser, it.site.url);
  await four(page);
  await page.getByLabel("Title of plate C").fill("Mole and beacon");
  await page.getByLabel("Title of plate C").press("Enter");
  const kept = await until(page, ({ work }) => work[0]?.family?.some(({ work }) => work.job.title === "Mole and beacon"));
  assert.deepEqual([kept.version, kept.drawings.length, kept.work[0].kin.length], [3, 4, 3]);
  assert.ok(kept.work[0].work.family === undefined, "the others lie beside the work, not in it");
  const context = page.context();
  const told = await context.newCDPSession(page);
  const crashed = page.waitForEvent("crash");
  told.send("Page.crash").catch(() => {});
  await crashed;
  page = await another(context, it.site.url);
  await says(page, /Opened again as it was left/);
  await go(page, "plates");
  await planned(page, 4);
  assert.equal(await letters(page), "ABCD");
  assert.equal(await page.getByLabel("Title of plate C").inputValue(), "Mole and beacon");
  const file = await project(page);
  assert.ok((await project(page)).equals(file), "equal work, equal bytes");
  // Other programs open it, and every plate in it.
  const folder = await mkdtemp(join(tmpdir(), "stepbite-family-"));
  await writeFile(join(folder, "f.zip"), file);
  const listed = execFileSync("python3", ["-c", `
import io, json, zipfile
outer = zipfile.ZipFile("f.zip")
assert outer.testzip() is None
told = json.loads(outer.read("project.json"))
print(told["version"], told["job"]["letter"], told["family"])
for name in told["family"]:
    inner = zipfile.ZipFile(io.BytesIO(outer.read(name)))
    assert inner.testzip() is None
    told = json.loads(inner.read("project.json"))
    print(told["version"], told["job"]["letter"], told["job"]["title"], told["family"])
`], { cwd: folder }).toString().trim().split("\n");
  await rm(folder, { recursive: true });
  assert.deepEqual(listed, ["3 B ['plates/01.stepbite.zip', 'plates/02.stepbite.zip', 'plates/03.stepbite.zip']", "3 A Slipway []", "3 C Mole and beacon []", "3 D Gantry []"]);
  const other = await opened(it.browser, it.site.url);
  await openFile(other, file);
  await planned(other, 4);
  assert.equal(await letters(other), "ABCD");
  assert.ok((await project(other)).equals(file), "saved again, the file is the same");
  // Added to a plate of its own it brings all of them, and the letter that is there twice is said.
  const third = await opened(it.browser, it.site.url);
  await go(third, "plates");
  await add(third, "family.zip", file);
  await says(third, /lie beside this one/);
  assert.match(await said(third), /The letter B is there twice now/);
  await planned(third, 5);
  assert.match(await third.locator(".family > .warn").innerText(), /Two plates have the letter B/);
  assert.match(await third.locator("nav li.on .warn").innerText(), /two plates have the letter B/);
  assert.deepEqual([...page.faults, ...other.faults, ...third.faults], []);
  for (const each of [page, other, third]) await each.context().close();
});

test("what version 2 of the storage kept opens, and is kept the new way at the next change", async () => {
  let page = await opened(it.browser, it.site.url);
  await page.locator("input.title").fill("Before families");
  await page.locator("input.title").press("Enter");
  await until(page, ({ work }) => work[0]?.work.job.title === "Before families");
  // The same database as version 2 had it: no index of other plates' drawings, one earlier state.
  const bare = await emptied(page, it.site.url);
  await bare.evaluate(() => new Promise((resolve) => {
    const older = indexedDB.open("stepbite", 2);
    older.onupgradeneeded = () => {
      for (const name of ["work", "drawings", "maps"]) older.result.createObjectStore(name);
      const points = older.result.createObjectStore("points", { autoIncrement: true });
      points.createIndex("drawing", "drawing");
      points.createIndex("maps", "maps", { multiEntry: true });
    };
    older.onsuccess = () => {
      const { family, kin, ...entry } = window.lay.work[0];
      for (const name of ["id", "row", "day", "record", "papers"]) delete entry.work.job[name];
      delete entry.work.job.sheets.notch;
      resolve(window.writeAsOlder(older.result, entry));
    };
  }));
  const context = bare.context();
  await bare.close();
  page = await another(context, it.site.url);
  await says(page, /Opened again as it was left/);
  await go(page, "plates");
  await add(page, "gantry.png", await demo("gantry.png"));
  await planned(page, 2);
  const kept = await until(page, ({ work }) => work[0].family?.length === 1);
  assert.deepEqual([kept.version, kept.drawings.length, kept.points.length, kept.points[0].family], [3, 2, 1, undefined]);
  assert.ok(kept.work[0].work.job.id, "it has an id now");
  await go(page, "kept");
  await page.locator(".points li").first().getByRole("button", { name: /Open again/ }).click();
  await says(page, /Opened again as it was on/);
  await go(page, "plates");
  assert.equal(await page.locator(".member").count(), 1);
  // The plate that lay beside it is in the list of earlier states with its drawing, and comes back.
  const left = await until(page, ({ points }) => points.length === 2);
  assert.deepEqual([left.points[1].kin.length, left.drawings.length], [1, 2]);
  await go(page, "kept");
  await page.locator(".points li").first().getByRole("button", { name: /Open again/ }).click();
  await page.waitForFunction(() => /before another was opened/.test(document.querySelector(".notice p").textContent));
  await go(page, "plates");
  await planned(page, 2);
  assert.deepEqual(page.faults, []);
  await page.context().close();
});

test("a tab that only looks adds, takes out and exchanges nothing", async () => {
  const page = await opened(it.browser, it.site.url);
  await four(page);
  await until(page, ({ work }) => work[0]?.family?.length === 3);
  const second = await another(page.context(), it.site.url);
  await second.waitForFunction(() => /only look|only to look/i.test(document.querySelector("nav").innerText), null, { timeout: 60_000 });
  await go(second, "plates");
  await planned(second, 4);
  for (const name of ["Take out plate A", "Copy plate A", "Take to hand: plate A", "Open the example of four plates"]) await second.getByRole("button", { name }).click();
  await second.waitForTimeout(800);
  assert.equal(await letters(second), "ABCD");
  assert.equal(await second.locator(".member.in-hand .member-letter").inputValue(), "B");
  assert.deepEqual(second.faults, []);
  await page.context().close();
});
