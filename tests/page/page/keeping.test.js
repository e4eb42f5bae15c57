import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { mkdtemp, readFile, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { axeFaults, begin, end, go, opened, openedIn, room, settled } from "./site.js";

let site, browser, page;
before(async () => { ({ site, browser, page } = await begin()); });
after(() => end({ site, browser }));

/** What a button saves, and under which name. */
async function saved(from, press) {
  const [download] = await Promise.all([from.waitForEvent("download", { timeout: 60_000 }), press()]);
  return { name: download.suggestedFilename(), bytes: await readFile(await download.path()) };
}
const project = (from) => saved(from, () => from.getByRole("button", { name: "Save", exact: true }).click());
const sheet = async (from, name) => {
  await go(from, "sheets");
  return (await saved(from, () => from.getByRole("button", { name }).click())).bytes;
};
const said = (from) => from.locator(".notice p").innerText();
/** The browser's storage as another reader finds it. */
const storage = (from) => from.evaluate(() => new Promise((resolve, reject) => {
  const request = indexedDB.open("stepbite");
  request.onerror = () => reject(request.error);
  request.onsuccess = () => {
    const tx = request.result.transaction(["work", "drawings", "points"]);
    const found = {};
    for (const name of ["work", "drawings", "points"]) {
      const all = tx.objectStore(name).getAll();
      all.onsuccess = () => { found[name] = all.result.map((each) => each.byteLength ?? { title: each.work.job.title, why: each.why, tones: each.work.settings.tones }); };
    }
    tx.oncomplete = () => { request.result.close(); resolve(found); };
  };
}));
async function untilKept(from, title) {
  for (const limit = Date.now() + 10_000; Date.now() < limit; await from.waitForTimeout(20)) {
    if ((await storage(from)).work[0]?.title === title) return;
  }
  assert.fail(`“${title}” was not kept in ten seconds`);
}

async function title(from, words) {
  await from.locator("input.title").fill(words);
  await from.locator("input.title").press("Enter");
  await from.locator("input.title").blur();
}

test("the example, untouched, is not kept as work", async () => {
  await page.waitForTimeout(1500);
  assert.deepEqual(await storage(page), { work: [], drawings: [], points: [] });
  assert.match(await page.locator(".keeps").innerText(), /What is kept/);
});

test("saved and opened in a fresh profile, the plan is the same to the bit", async () => {
  await title(page, "Quay, low sun");
  await page.locator(".joint").nth(2).press("ArrowRight");
  await page.waitForFunction(() => /by hand/.test(document.querySelector("nav").innerText));
  await settled(page);
  const { name, bytes } = await project(page);
  assert.equal(name, "quay-low-sun-b.stepbite.zip");
  assert.deepEqual([...bytes.subarray(0, 4)], [0x50, 0x4b, 3, 4]);
  assert.match(await said(page), /Saved as quay-low-sun-b\.stepbite\.zip/);
  assert.deepEqual((await project(page)).bytes, bytes, "equal work, equal bytes");
  const wanted = [await sheet(page, "Plan (JSON)"), await sheet(page, "Masks (ZIP of PNGs)"), await sheet(page, "Step map (PNG)")];

  const other = await opened(browser, site.url);
  await other.locator("#file").setInputFiles({ name: "anything.zip", mimeType: "application/zip", buffer: bytes });
  await other.waitForFunction(() => /“Quay, low sun” is open/.test(document.querySelector(".notice p").textContent));
  await settled(other);
  assert.equal(await other.locator("input.title").inputValue(), "Quay, low sun");
  assert.match(await other.locator("nav").innerText(), /ten tones, by hand/);
  assert.ok(await other.locator(".acts button", { hasText: "Undo" }).isDisabled(), "Undo begins anew");
  const got = [await sheet(other, "Plan (JSON)"), await sheet(other, "Masks (ZIP of PNGs)"), await sheet(other, "Step map (PNG)")];
  assert.deepEqual(got.map((bytes, k) => bytes.equals(wanted[k])), [true, true, true]);
  assert.deepEqual((await project(other)).bytes, bytes, "saved again, the file is the same");
  assert.deepEqual(other.faults, []);
  await other.context().close();
});

test("a broken, foreign or newer file is refused in a sentence and nothing on screen changes", async () => {
  const { bytes } = await project(page);
  const middle = Buffer.from(bytes);
  middle[middle.length >> 1] ^= 0xff;
  const bad = [["cut", bytes.subarray(0, bytes.length - 400), /broken or cut short/], ["damaged", middle, /damaged/],
    ["foreign", await sheet(page, "Masks (ZIP of PNGs)"), /no project\.json/], ["newer", zip([["project.json", Buffer.from('{ "format": "stepbite project", "version": 9 }')]]), /version 9/]];
  await go(page, "tones");
  const seen = () => Promise.all([page.locator("nav").innerText(), page.locator(".field").innerText(), page.locator("input.title").inputValue()]);
  const before = await seen();
  for (const [what, buffer, words] of bad) {
    await page.locator("#file").setInputFiles({ name: `${what}.zip`, mimeType: "application/zip", buffer });
    await page.waitForFunction(() => document.querySelector(".notice").dataset.kind === "refused" && document.querySelector(".notice p").textContent !== "");
    assert.match(await said(page), words, what);
    assert.match(await said(page), /\.$/);
    await page.locator(".notice button").click();
    await settled(page);
    assert.deepEqual(await seen(), before, what);
  }
  assert.deepEqual(page.faults, []);
});

/** A ZIP of files stored, not packed, after PKWARE APPNOTE 4.3.7, 4.3.12 and 4.3.16; the CRC by its definition. @param {[string, Buffer][]} files */
function zip(files) {
  const local = [];
  const central = [];
  let at = 0;
  for (const [title, bytes] of files) {
    let crc = ~0;
    for (const byte of bytes) {
      crc ^= byte;
      for (let bit = 0; bit < 8; bit++) crc = (crc >>> 1) ^ (crc & 1 ? 0xedb88320 : 0);
    }
    const name = Buffer.from(title);
    const common = Buffer.alloc(26);
    common.writeUInt16LE(20, 0);
    common.writeUInt32LE(~crc >>> 0, 10);
    common.writeUInt32LE(bytes.length, 14);
    common.writeUInt32LE(bytes.length, 18);
    common.writeUInt16LE(name.length, 22);
    const place = Buffer.alloc(14);
    place.writeUInt32LE(at, 10);
    central.push(Buffer.from("PK\x01\x02\x14\0"), common, place, name);
    local.push(Buffer.from("PK\x03\x04"), common, name, bytes);
    at += 30 + name.length + bytes.length;
  }
  const directory = Buffer.concat(central);
  const end = Buffer.alloc(22);
  end.write("PK\x05\x06");
  end.writeUInt16LE(files.length, 8);
  end.writeUInt16LE(files.length, 10);
  end.writeUInt32LE(directory.length, 12);
  end.writeUInt32LE(at, 16);
  return Buffer.concat([...local, directory, end]);
}

/** The files in a ZIP, by Info-ZIP's unzip. @param {Buffer} bytes */
async function unzipped(bytes) {
  const folder = await mkdtemp(join(tmpdir(), "stepbite-zip-"));
  await writeFile(join(folder, "p.zip"), bytes);
  const run = (...words) => execFileSync("unzip", words, { cwd: folder, maxBuffer: 1 << 28 });
  const names = run("-Z1", "p.zip").toString().trim().split("\n");
  const files = new Map(names.map((name) => [name, run("-p", "p.zip", name)]));
  await rm(folder, { recursive: true });
  return files;
}

test("what was done to the metal goes with the file, and the map that was painted by", async () => {
  const files = await unzipped((await project(page)).bytes);
  const told = JSON.parse(files.get("project.json").toString());
  assert.deepEqual([...files.keys()], ["project.json", "drawing.jpg"]);
  assert.ok(files.get("drawing.jpg").equals(await readFile(new URL("../../../www/demo/ice-house.jpg", import.meta.url))), "the drawing's own bytes");
  told.done.log = [{ at_ms: 1, note: "dry by ten", kind: "painted", stop_out: 1, minutes: 12 }, { at_ms: 2, note: "", kind: "bitten", bite: 1, planned_s: 7.5, actual_s: 8, celsius: 19 }];
  told.job.title = "Half bitten";
  const own = await opened(browser, site.url);
  await own.locator("#file").setInputFiles({ name: "p.zip", mimeType: "application/zip", buffer: zip([["project.json", Buffer.from(JSON.stringify(told))], ["drawing.jpg", files.get("drawing.jpg")]]) });
  await own.waitForFunction(() => /“Half bitten” is open/.test(document.querySelector(".notice p").textContent));
  await go(own, "bath");
  const standing = /Painted up to stop-out 1, bitten up to bite 1; total so far 0:08/;
  assert.match(await own.locator(".station.bath").innerText(), standing);
  const wanted = await untilMap(own);
  const log = JSON.parse(wanted.get("project.json").toString()).done.log;
  assert.deepEqual(log.map(({ kind, note }) => [kind, note]), [["painted", "dry by ten"], ["bitten", ""]]);

  const other = await opened(browser, site.url);
  await other.locator("#file").setInputFiles({ name: "p.zip", mimeType: "application/zip", buffer: zip([...wanted]) });
  await other.waitForFunction(() => /“Half bitten” is open/.test(document.querySelector(".notice p").textContent));
  await go(other, "bath");
  assert.match(await other.locator(".station.bath").innerText(), standing);
  const again = await unzipped((await project(other)).bytes);
  assert.deepEqual([...again.keys()], [...wanted.keys()]);
  for (const [name, bytes] of wanted) assert.ok(again.get(name).equals(bytes), name);
  const unlike = structuredClone(told);
  unlike.done.log[1].bite = 7;
  await other.locator("#file").setInputFiles({ name: "p.zip", mimeType: "application/zip", buffer: zip([["project.json", Buffer.from(JSON.stringify(unlike))], ["drawing.jpg", files.get("drawing.jpg")]]) });
  await other.waitForFunction(() => document.querySelector(".notice").dataset.kind === "refused");
  assert.match(await said(other), /Entry 2 of the log can't be/);
  await settled(other);
  assert.match(await other.locator(".station.bath").innerText(), standing, "a log that can't be changes nothing");
  // A moment that has no date, which would stop the page where it is shown.
  unlike.done.log[1] = { ...told.done.log[1], at_ms: 1e300 };
  await other.locator(".notice button").click();
  await other.locator("#file").setInputFiles({ name: "p.zip", mimeType: "application/zip", buffer: zip([["project.json", Buffer.from(JSON.stringify(unlike))], ["drawing.jpg", files.get("drawing.jpg")]]) });
  await other.waitForFunction(() => document.querySelector(".notice").dataset.kind === "refused");
  assert.match(await said(other), /Entry 2 of the log.*no moment/);
  await settled(other);
  assert.match(await other.locator(".station.bath").innerText(), standing);
  await own.context().close();
  await other.context().close();
});

/** The page keeps the map by itself once it has painted. */
async function untilMap(from) {
  for (const limit = Date.now() + 15_000; Date.now() < limit; await from.waitForTimeout(200)) {
    const files = await unzipped((await project(from)).bytes);
    if (files.has("kept-map.png")) return files;
  }
  assert.fail("no map was kept");
}

test("what is typed counts when Ctrl+S is pressed in the field", async () => {
  await page.locator("input.title").fill("Slack water");
  const { name } = await saved(page, () => page.locator("input.title").press("Control+s"));
  assert.equal(name, "slack-water-b.stepbite.zip");
});

test("a change is kept within two seconds, and opened again after the tab went", async () => {
  await title(page, "Ebb");
  const from = Date.now();
  await untilKept(page, "Ebb");
  assert.ok(Date.now() - from < 2000, `${Date.now() - from} ms`);
  const kept = await storage(page);
  assert.equal(kept.work.length, 1);
  assert.equal(kept.drawings.length, 1, "the drawing is there once");
  const context = page.context();
  await page.close();
  page = await context.newPage();
  page.faults = [];
  page.on("pageerror", (error) => page.faults.push(String(error)));
  await page.goto(site.url);
  await page.waitForFunction(() => /Opened again as it was left on/.test(document.querySelector(".notice p")?.textContent));
  await settled(page);
  assert.equal(await page.locator("input.title").inputValue(), "Ebb");
  assert.match(await page.locator("nav").innerText(), /ten tones, by hand/);
});

test("sheets saved and another drawing opened put an earlier state by, which opens again", async () => {
  await sheet(page, "Sheets (PDF)");
  await page.waitForFunction(() => /Kept here/.test(document.querySelector(".keeps").textContent));
  await page.locator("#file").setInputFiles({ name: "flood.jpg", mimeType: "image/jpeg", buffer: await readFile(new URL("../../demo/ice-house-phone.jpg", import.meta.url)) });
  await page.waitForFunction(() => document.querySelector("input.title").value === "flood");
  await untilKept(page, "flood");
  await go(page, "kept");
  await page.waitForFunction(() => document.querySelectorAll(".points li").length === 2);
  assert.match(await page.locator(".points li").nth(0).innerText(), /Ebb.*before another was opened/s);
  assert.match(await page.locator(".points li").nth(1).innerText(), /Ebb.*sheets saved/s);
  assert.deepEqual(await axeFaults(page), []);
  await page.locator(".points li").nth(1).getByRole("button", { name: /Open again/ }).click();
  await page.waitForFunction(() => document.querySelector("input.title").value === "Ebb");
  await settled(page);
  assert.match(await page.locator("nav").innerText(), /ten tones, by hand/);
  await untilKept(page, "Ebb");
  const kept = await storage(page);
  assert.equal(kept.points.length, 3);
  assert.equal(kept.drawings.length, 2, "each drawing once");
  const file = await saved(page, () => page.locator(".points li").nth(0).getByRole("button", { name: /Save as a file/ }).click());
  assert.equal(file.name, "flood-a.stepbite.zip");
});

test("a second tab looks on, says so, changes nothing, and goes on when the first closes", async () => {
  const second = await page.context().newPage();
  page.on("dialog", (dialog) => dialog.accept());
  await second.goto(site.url);
  await second.waitForFunction(() => document.body.dataset.ready === "true" && /open in another tab/.test(document.querySelector(".notice p").textContent));
  await settled(second);
  assert.equal(await second.locator("input.title").inputValue(), "Ebb");
  await title(second, "Mine");
  assert.equal(await second.locator("input.title").inputValue(), "Ebb");
  await second.getByLabel("Add a bite").click();
  await settled(second);
  assert.equal(await second.locator(".block").count(), 10);
  // Nor does it take anything away, which the first would only write back at its next change.
  await go(second, "kept");
  for (const name of ["Begin anew with the example", "Forget everything kept here", "Yes, forget everything"]) await second.getByRole("button", { name }).click();
  await second.waitForTimeout(500);
  assert.equal((await storage(second)).work[0].title, "Ebb");
  await title(page, "Flood tide");
  await untilKept(page, "Flood tide");
  await page.close();
  page = second;
  await page.waitForFunction(() => /the work goes on here/.test(document.querySelector(".notice p").textContent));
  await settled(page);
  assert.equal(await page.locator("input.title").inputValue(), "Flood tide");
  await title(page, "Springs");
  await untilKept(page, "Springs");
});

for (const [what, script, words] of [
  ["no storage at all", () => { Object.defineProperty(window, "indexedDB", { value: undefined }); }, /keeps nothing for this page \(a private window/],
  ["storage that is full", () => { IDBObjectStore.prototype.put = () => { throw new DOMException("full", "QuotaExceededError"); }; }, /storage is full/],
]) {
  test(`${what} is said, and the file offered at once`, async () => {
    const context = await room(browser, { acceptDownloads: true });
    const own = await context.newPage();
    await own.addInitScript(script);
    await own.goto(site.url);
    await own.waitForFunction(() => document.body.dataset.ready === "true");
    await settled(own);
    await title(own, "Neap");
    await own.waitForFunction(() => document.querySelector(".notice").dataset.kind === "refused");
    assert.match(await said(own), words);
    assert.match(await own.locator(".keeps").innerText(), /Not kept here: save a file/);
    const { name } = await saved(own, () => own.locator(".notice button", { hasText: "Save as a file" }).click());
    assert.equal(name, "neap-b.stepbite.zip");
    await context.close();
  });
}

/** A drawing of noise, which no PNG makes small. */
async function noise(from) {
  return Buffer.from(await from.evaluate(async () => {
    const canvas = new OffscreenCanvas(1500, 1500);
    const pen = canvas.getContext("2d");
    const picture = pen.createImageData(canvas.width, canvas.height);
    for (let at = 0; at < picture.data.length; at += 65536) crypto.getRandomValues(picture.data.subarray(at, at + 65536));
    for (let at = 3; at < picture.data.length; at += 4) picture.data[at] = 255;
    pen.putImageData(picture, 0, 0);
    const bytes = new Uint8Array(await (await canvas.convertToBlob()).arrayBuffer());
    let text = "";
    for (let at = 0; at < bytes.length; at += 32768) text += String.fromCharCode(...bytes.subarray(at, at + 32768));
    return btoa(text);
  }), "base64");
}

test("a disk that is full in the middle of a write leaves what was kept, takes nothing away, and is tried again", async () => {
  const own = await openedIn(await browser.newContext(), site.url);
  // The browser itself refuses, as on a full disk: there is room for the example, and not for a drawing of 6 MB.
  const told = await own.context().newCDPSession(own);
  const { origin } = new URL(site.url);
  // The page itself is kept there too, for use without a network: what it takes is counted first.
  await own.waitForFunction(() => navigator.serviceWorker.controller !== null);
  const usage = await own.evaluate(async () => (await navigator.storage.estimate()).usage);
  await told.send("Storage.overrideQuotaForOrigin", { origin, quotaSize: usage + 3e6 });
  await title(own, "Before");
  await untilKept(own, "Before");
  await own.locator("#file").setInputFiles({ name: "flood.png", mimeType: "image/png", buffer: await noise(own) });
  await own.waitForFunction(() => document.querySelector("input.title").value === "flood");
  await own.waitForFunction(() => /storage is full/.test(document.querySelector(".notice p").textContent), null, { timeout: 15_000 });
  assert.deepEqual((await storage(own)).work.map((each) => each.title), ["Before"]);
  await go(own, "kept");
  await own.getByRole("button", { name: "Begin anew with the example" }).click();
  await own.waitForTimeout(700);
  assert.equal(await own.locator("input.title").inputValue(), "flood", "what could not be put into the list is not taken off the screen");
  assert.deepEqual((await storage(own)).work.map((each) => each.title), ["Before"]);
  // There is room again: no change is needed for it to be written.
  await told.send("Storage.overrideQuotaForOrigin", { origin });
  for (const limit = Date.now() + 60_000; Date.now() < limit && (await storage(own)).work[0].title !== "flood";) await own.waitForTimeout(200);
  const kept = await storage(own);
  assert.equal(kept.work[0].title, "flood");
  assert.ok(kept.points.some((each) => each.title === "Before"), "the work before is in the list");
  await own.waitForFunction(() => /Kept here/.test(document.querySelector(".keeps").textContent));
  await own.context().close();
});

test("storage that never answers does not keep the page waiting; a connection that ended is made again", async () => {
  const context = await room(browser);
  const own = await context.newPage();
  await own.addInitScript(() => { IDBFactory.prototype.open = () => ({}); });
  await own.goto(site.url);
  await own.waitForFunction(() => document.body.dataset.ready === "true", null, { timeout: 30_000 });
  await title(own, "Neap");
  await own.waitForFunction(() => /does not answer/.test(document.querySelector(".notice p").textContent));
  await own.close();
  const other = await opened(browser, site.url);
  await other.evaluate(() => {
    const begin = IDBDatabase.prototype.transaction;
    // As after a long time in the background: the first call finds the connection closed.
    IDBDatabase.prototype.transaction = function (...given) {
      if (given[1] === "readwrite") {
        IDBDatabase.prototype.transaction = begin;
        this.close();
      }
      return begin.apply(this, given);
    };
  });
  await title(other, "Long away");
  await untilKept(other, "Long away");
  // A later page takes the storage over: this one says so, and not that the window is private.
  await other.evaluate(() => new Promise((resolve) => { indexedDB.open("stepbite", 99).onsuccess = ({ target }) => { target.result.close(); resolve(null); }; }));
  await title(other, "Too late");
  await other.waitForFunction(() => /A newer Stepbite keeps the work/.test(document.querySelector(".notice p").textContent));
  await other.reload();
  await other.waitForFunction(() => document.body.dataset.ready === "true");
  await title(other, "Too late too");
  await other.waitForFunction(() => /A newer Stepbite keeps the work/.test(document.querySelector(".notice p").textContent));
  await other.context().close();
  await context.close();
});

test("a long name, and a change just before all is forgotten", async () => {
  const own = await opened(browser, site.url);
  const long = "Ümläut ".repeat(30);
  await own.locator("#file").setInputFiles({ name: `${long}.jpg`, mimeType: "image/jpeg", buffer: await readFile(new URL("../../demo/ice-house-phone.jpg", import.meta.url)) });
  await own.waitForFunction(() => document.querySelector("input.title").value.startsWith("Ümläut"));
  const { bytes } = await project(own);
  assert.equal(JSON.parse((await unzipped(bytes)).get("project.json").toString()).job.title, long.slice(0, 120).trim());
  await go(own, "kept");
  await own.getByRole("button", { name: "Forget everything kept here" }).click();
  await own.evaluate(() => {
    const field = document.querySelector("input.title");
    field.value = "Back from the dead";
    field.dispatchEvent(new Event("change"));
  });
  await own.getByRole("button", { name: "Yes, forget everything" }).click();
  await own.waitForFunction(() => document.querySelector("input.title")?.value === "Ice house" && document.body.dataset.ready === "true");
  await own.waitForTimeout(1500);
  assert.deepEqual(await storage(own), { work: [], drawings: [], points: [] });
  await own.context().close();
});

test("a run is of one plate: it does not go on with another of the same drawing and size, and none is opened into it", async () => {
  const own = await opened(browser, site.url);
  await go(own, "bath");
  const at = (name) => own.waitForFunction((n) => document.querySelector(".bathrun:not([hidden])")?.dataset.screen === n, name);
  await own.locator(".begin-run").click();
  await at("check");
  await own.keyboard.press(" ");
  await own.keyboard.press(" ");
  await at("paint");
  await own.locator("#file").setInputFiles({ name: "flood.jpg", mimeType: "image/jpeg", buffer: await readFile(new URL("../../demo/ice-house-phone.jpg", import.meta.url)) });
  await own.waitForTimeout(800);
  assert.equal(await own.locator("input.title").inputValue(), "Ice house", "nothing is opened into a run");
  await own.keyboard.press(" ");
  await at("dry");
  await own.getByRole("button", { name: "Leave the run" }).click();
  await untilKept(own, "Ice house");
  await go(own, "kept");
  await Promise.all([own.waitForEvent("load"), own.getByRole("button", { name: "Begin anew with the example" }).click()]);
  await own.waitForFunction(() => document.body.dataset.ready === "true");
  await own.waitForTimeout(1000);
  await settled(own);
  assert.ok(await own.locator(".bathrun").isHidden());
  await go(own, "bath");
  assert.match(await own.locator(".station.bath").innerText(), /Nothing is done to the metal yet/);
  await own.context().close();
});

test("everything kept can be forgotten", async () => {
  await go(page, "kept");
  await page.getByRole("button", { name: "Forget everything kept here" }).click();
  await page.getByRole("button", { name: "Yes, forget everything" }).click();
  await page.waitForFunction(() => document.querySelector("input.title")?.value === "Ice house" && document.body.dataset.ready === "true");
  assert.deepEqual(await storage(page), { work: [], drawings: [], points: [] });
});
