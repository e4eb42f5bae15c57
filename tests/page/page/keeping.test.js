import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { after, before, test } from "node:test";
import { axeFaults, begin, end, go, opened, settled } from "./site.js";

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
  await from.locator(".title").fill(words);
  await from.locator(".title").press("Enter");
  await from.locator(".title").blur();
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
  assert.equal(await other.locator(".title").inputValue(), "Quay, low sun");
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
    ["foreign", await sheet(page, "Masks (ZIP of PNGs)"), /no project\.json/], ["newer", newer(bytes), /version 9/]];
  await go(page, "tones");
  const seen = () => Promise.all([page.locator("nav").innerText(), page.locator(".field").innerText(), page.locator(".title").inputValue()]);
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

/** The same file saying version 9: project.json stored, not packed, after PKWARE APPNOTE 4.3.7 and 4.3.12; its CRC by its definition. */
function newer(bytes) {
  const text = Buffer.from('{ "format": "stepbite project", "version": 9 }');
  let crc = ~0;
  for (const byte of text) {
    crc ^= byte;
    for (let bit = 0; bit < 8; bit++) crc = (crc >>> 1) ^ (crc & 1 ? 0xedb88320 : 0);
  }
  const name = Buffer.from("project.json");
  const common = Buffer.alloc(26);
  common.writeUInt16LE(20, 0);
  common.writeUInt32LE(~crc >>> 0, 10);
  common.writeUInt32LE(text.length, 14);
  common.writeUInt32LE(text.length, 18);
  common.writeUInt16LE(name.length, 22);
  const central = Buffer.concat([Buffer.from("PK\x01\x02\x14\0"), common, Buffer.alloc(14), name]);
  const local = Buffer.concat([Buffer.from("PK\x03\x04"), common, name, text]);
  const end = Buffer.alloc(22);
  end.write("PK\x05\x06");
  end.writeUInt16LE(1, 8);
  end.writeUInt16LE(1, 10);
  end.writeUInt32LE(central.length, 12);
  end.writeUInt32LE(local.length, 16);
  assert.ok(bytes.length > 22);
  return Buffer.concat([local, central, end]);
}

test("what is typed counts when Ctrl+S is pressed in the field", async () => {
  await page.locator(".title").fill("Slack water");
  const { name } = await saved(page, () => page.locator(".title").press("Control+s"));
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
  assert.equal(await page.locator(".title").inputValue(), "Ebb");
  assert.match(await page.locator("nav").innerText(), /ten tones, by hand/);
});

test("sheets saved and another drawing opened put an earlier state by, which opens again", async () => {
  await sheet(page, "Sheets (PDF)");
  await page.waitForFunction(() => /Kept here/.test(document.querySelector(".keeps").textContent));
  await page.locator("#file").setInputFiles({ name: "flood.jpg", mimeType: "image/jpeg", buffer: await readFile(new URL("../../demo/ice-house-phone.jpg", import.meta.url)) });
  await page.waitForFunction(() => document.querySelector(".title").value === "flood");
  await untilKept(page, "flood");
  await go(page, "kept");
  await page.waitForFunction(() => document.querySelectorAll(".points li").length === 2);
  assert.match(await page.locator(".points li").nth(0).innerText(), /Ebb.*before another was opened/s);
  assert.match(await page.locator(".points li").nth(1).innerText(), /Ebb.*sheets saved/s);
  assert.deepEqual(await axeFaults(page), []);
  await page.locator(".points li").nth(1).getByRole("button", { name: /Open again/ }).click();
  await page.waitForFunction(() => document.querySelector(".title").value === "Ebb");
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
  await second.goto(site.url);
  await second.waitForFunction(() => document.body.dataset.ready === "true" && /open in another tab/.test(document.querySelector(".notice p").textContent));
  await settled(second);
  assert.equal(await second.locator(".title").inputValue(), "Ebb");
  await title(second, "Mine");
  assert.equal(await second.locator(".title").inputValue(), "Ebb");
  await second.getByLabel("Add a bite").click();
  await settled(second);
  assert.equal(await second.locator(".block").count(), 10);
  await title(page, "Flood tide");
  await untilKept(page, "Flood tide");
  await page.close();
  page = second;
  await page.waitForFunction(() => /the work goes on here/.test(document.querySelector(".notice p").textContent));
  await settled(page);
  assert.equal(await page.locator(".title").inputValue(), "Flood tide");
  await title(page, "Springs");
  await untilKept(page, "Springs");
});

for (const [what, script, words] of [
  ["no storage at all", () => { Object.defineProperty(window, "indexedDB", { value: undefined }); }, /keeps nothing for this page \(a private window/],
  ["storage that is full", () => { IDBObjectStore.prototype.put = () => { throw new DOMException("full", "QuotaExceededError"); }; }, /storage is full/],
]) {
  test(`${what} is said, and the file offered at once`, async () => {
    const context = await browser.newContext({ acceptDownloads: true });
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

test("everything kept can be forgotten", async () => {
  await go(page, "kept");
  await page.getByRole("button", { name: "Forget everything kept here" }).click();
  await page.getByRole("button", { name: "Yes, forget everything" }).click();
  await page.waitForFunction(() => document.querySelector(".title")?.value === "Ice house" && document.body.dataset.ready === "true");
  assert.deepEqual(await storage(page), { work: [], drawings: [], points: [] });
});
