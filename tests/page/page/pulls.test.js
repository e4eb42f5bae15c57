// The record of the pulls: written down, put right, struck out; photos, edition, wear, touches; on paper and in the whole set.
import assert from "node:assert/strict";
import { readFile, writeFile } from "node:fs/promises";
import { execFileSync } from "node:child_process";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { after, before, test } from "node:test";
import { axeFaults, begin, end, go, OUT, room, settled } from "./site.js";

const PHOTO = fileURLToPath(new URL("../../demo/ice-house-phone.jpg", import.meta.url));
let site, browser, page;
before(async () => ({ site, browser, page } = await begin("pulls")));
after(() => end({ site, browser }));

const station = () => page.locator("section.station.pull-book");
const entry = () => page.locator(".pull-entry");
const ones = () => page.locator(".pull-one");
const notice = () => page.locator(".notice p").innerText();
const told = (number) => page.waitForFunction((number) => document.querySelector(`[data-pull="${number}"] dl`)?.childElementCount > 0, number);

async function write({ kind = "proof", copy = null, wiping = "", words = "" }) {
  await entry().locator("label", { hasText: { proof: "proof", edition: "of the edition", unique: "unique" }[kind] }).first().click();
  if (copy !== null) await entry().getByLabel("Number in the edition").fill(String(copy));
  if (wiping) await entry().getByLabel("Wiping").fill(wiping);
  if (words) await entry().getByLabel("Your words").fill(words);
  const count = await ones().count();
  await entry().getByRole("button", { name: "Write it down" }).click();
  await page.waitForFunction((count) => document.querySelectorAll(".pull-one").length === count + 1, count);
}
async function saved(button) {
  const download = page.waitForEvent("download", { timeout: 150_000 });
  await button.click();
  const file = await download;
  return { name: file.suggestedFilename(), path: await file.path() };
}

test("the form is filled with what the page knows, and a pull is written down", async () => {
  assert.equal(await entry().locator(".pulled-letter").first().inputValue(), "B");
  const day = await entry().getByLabel("Day").inputValue();
  assert.equal(day, await page.evaluate(() => new Date().toLocaleDateString("sv-SE")));
  await entry().getByLabel("Sheet").fill("rag, 300 g");
  await write({ wiping: "tarlatan, then the hand", words: "The sky is a breath too grey." });
  await told(1);
  const text = await ones().first().innerText();
  for (const words of ["Pull 1", "proof", "rag, 300 g", "tarlatan, then the hand", "breath too grey"]) assert.ok(text.includes(words), `${words}: ${text}`);
  // What was the same last time is there again; the words are not.
  assert.equal(await entry().getByLabel("Wiping").inputValue(), "tarlatan, then the hand");
  assert.equal(await entry().getByLabel("Your words").inputValue(), "");
});

test("a photo is made small and kept, and what is none is refused", async () => {
  const text = join(tmpdir(), "no-photo.jpg");
  await writeFile(text, "this is no picture");
  await page.locator(".pull-entry input[aria-label='Photo of the pull']").setInputFiles(text);
  await page.waitForFunction(() => document.querySelector(".notice p")?.textContent.includes("no picture that this browser can show"));
  await page.locator(".pull-entry input[aria-label='Photo of the pull']").setInputFiles(PHOTO);
  await page.waitForFunction(() => document.querySelector(".pull-entry img")?.naturalWidth > 0, null, { timeout: 60_000 });
  const size = await page.$eval(".pull-entry img", (image) => ({ long: Math.max(image.naturalWidth, image.naturalHeight), bytes: image.src.length * 0.75 }));
  assert.ok(size.long <= 1200 && size.long > 600 && size.bytes <= 300_100, JSON.stringify(size));
  await entry().getByLabel("What is to be seen in it").fill("the second proof, still wet");
  await write({ wiping: "rag" });
  assert.equal(await ones().first().locator("img").getAttribute("alt"), "the second proof, still wet");
});

test("numbers of the edition that are missing or come twice are said", async () => {
  await page.getByLabel("Size of the edition").fill("4");
  await page.getByLabel("Size of the edition").press("Tab");
  await write({ kind: "edition", copy: 1 });
  assert.equal(await entry().getByLabel("Number in the edition").inputValue(), "2", "the next is offered");
  await write({ kind: "edition", copy: 1 });
  await page.waitForFunction(() => document.querySelector(".pull-written .notes")?.textContent.includes("Number 1 comes twice, on pulls 3, 4"));
  assert.match(await page.locator(".pull-written .notes").innerText(), /not written down: 2–4/);
  await entry().getByLabel("Number in the edition").fill("2.5");
  await entry().getByRole("button", { name: "Write it down" }).click();
  assert.match(await notice(), /whole and lies between 1 and/);
  assert.equal(await ones().count(), 4);
  await page.getByLabel("Size of the edition").fill("many");
  await page.getByLabel("Size of the edition").press("Tab");
  assert.match(await notice(), /“many” is no number of pulls/);
  assert.equal(await page.getByLabel("Size of the edition").inputValue(), "4");
});

test("what is put right keeps what stood there; a struck pull stays; Undo takes a step back", async () => {
  const last = page.locator("[data-pull='4']");
  await last.locator("summary", { hasText: "Put right" }).click();
  await last.getByLabel("Number in the edition").fill("2");
  await last.getByLabel("Why it is put right").fill("a slip");
  // What is said of the pull changes meanwhile: what is typed stays.
  for (const [size, label] of [["5", "edition 1/5"], ["4", "edition 1/4"]]) {
    await page.getByLabel("Size of the edition").fill(size);
    await page.getByLabel("Size of the edition").press("Tab");
    await page.waitForFunction((text) => document.querySelector("[data-pull='4'] .pull-head")?.textContent.includes(text), label);
    assert.equal(await last.getByLabel("Why it is put right").inputValue(), "a slip");
    assert.equal(await last.getByLabel("Number in the edition").inputValue(), "2");
  }
  await last.getByRole("button", { name: "Write the correction" }).click();
  await page.waitForFunction(() => document.querySelector("[data-pull='4'] .pull-corrections")?.textContent.includes("it was edition 1/4"));
  assert.match(await last.innerText(), /edition 2\/4[^]*Why: a slip\./);
  await last.locator("summary", { hasText: "Strike it out" }).click();
  await last.getByRole("button", { name: "Strike it out" }).click();
  await page.waitForFunction(() => document.querySelector("[data-pull='4']")?.classList.contains("struck"));
  assert.equal(await ones().count(), 4);
  await page.getByRole("button", { name: "Undo", exact: true }).click();
  await page.waitForFunction(() => !document.querySelector("[data-pull='4']")?.classList.contains("struck"));
});

test("wear is a warning band and no promise", async () => {
  await page.getByLabel("Pulls planned in all").fill("40");
  await page.getByLabel("Pulls planned in all").press("Tab");
  await page.waitForFunction(() => document.querySelector(".wear-many")?.getAttribute("aria-current") === "true");
  const said = await page.locator(".wear-said").innerText();
  assert.match(said, /common practice, no source/);
  assert.match(said, /A warning, no promise/);
  await page.getByLabel("A past plate of yours stood").fill("200");
  await page.getByLabel("A past plate of yours stood").press("Tab");
  await page.waitForFunction(() => document.querySelector(".wear-few")?.getAttribute("aria-current") === "true");
  assert.match(await page.locator(".wear-said").innerText(), /20 % of the 200 pulls that a past plate of yours stood/);
});

test("touches are set by a press and by keys, in print view", async () => {
  const sheet = page.locator(".pull-touches .sheet");
  await sheet.scrollIntoViewIfNeeded();
  await settled(page);
  const box = await page.locator(".pull-touches canvas").boundingBox();
  await page.mouse.click(box.x + box.width * 0.25, box.y + box.height * 0.5);
  await page.waitForFunction(() => document.querySelectorAll(".touch-list li").length === 1);
  await page.keyboard.type("a pale breath of blue");
  await sheet.focus();
  await page.keyboard.press("ArrowRight");
  await page.keyboard.press("Enter");
  await page.waitForFunction(() => document.querySelectorAll(".touch-list li").length === 2);
  await page.locator(".touch-list textarea").nth(1).fill("rust, dry");
  await page.locator(".touch-list textarea").nth(1).blur();
  const places = await page.locator(".touch-list .aside").allInnerTexts();
  // A quarter of the 157 mm of face from its left, half of 177 mm from its top; the cross begins in the middle.
  const [[x, y], [cx, cy]] = places.map((text) => text.match(/[\d.]+/g).map(Number));
  assert.ok(Math.abs(x - 39.25) < 1 && Math.abs(y - 88.5) < 1, places[0]);
  assert.ok(Math.abs(cx - 79.5) < 0.6 && Math.abs(cy - 88.5) < 0.6, places[1]);
  assert.equal(await page.locator(".touch-list textarea").first().inputValue(), "a pale breath of blue");
});

test("the record and the touches print alone, by poppler with their words and the photo", async () => {
  const record = await saved(page.getByRole("button", { name: "The record (PDF)" }));
  assert.match(record.name, /-record\.pdf$/);
  const words = execFileSync("pdftotext", ["-layout", record.path, "-"], { encoding: "utf8" });
  for (const wanted of ["Pull 1", "Pull 4", "edition 2/4", "rag, 300 g", "Put right on", "4 pulls written down"]) assert.ok(words.includes(wanted), `${wanted}: ${words}`);
  const pictures = execFileSync("pdfimages", ["-list", record.path], { encoding: "utf8" });
  assert.match(pictures, /image .* jpeg/);
  execFileSync("pdftoppm", ["-r", "60", "-png", record.path, join(OUT, "pulls-record")]);
  const touches = await saved(page.getByRole("button", { name: "The touches (PDF)" }));
  const said = execFileSync("pdftotext", ["-layout", touches.path, "-"], { encoding: "utf8" });
  assert.match(said, /PRINT VIEW/);
  assert.doesNotMatch(said, /PLATE VIEW/);
  assert.match(said, /a pale breath of blue/);
  execFileSync("pdftoppm", ["-r", "60", "-png", touches.path, join(OUT, "pulls-touches")]);
});

test("the whole set holds the table and the photo; the work comes back with all of it", async () => {
  await go(page, "sheets");
  const zip = await saved(page.getByRole("button", { name: "All in one (ZIP)" }));
  const names = execFileSync("unzip", ["-Z1", zip.path], { encoding: "utf8" }).split("\n");
  assert.ok(names.includes("pulls.csv") && names.includes("pulls/pull-02.jpg"), names.join());
  const table = execFileSync("unzip", ["-p", zip.path, "pulls.csv"], { encoding: "utf8" });
  assert.equal(table.split("\r\n").length, 6, table);
  assert.match(table, /"rag, 300 g"/);
  const work = await saved(page.getByRole("button", { name: "Save", exact: true }));
  const fresh = await (await room(browser)).newPage();
  await fresh.goto(`${site.url}#pulls`);
  await fresh.waitForFunction(() => document.body.dataset.ready === "true", null, { timeout: 60_000 });
  await fresh.locator("#file").setInputFiles(work.path);
  await fresh.waitForFunction(() => document.querySelectorAll(".pull-one").length === 4, null, { timeout: 60_000 });
  await fresh.waitForFunction(() => document.querySelector("[data-pull='2'] img")?.naturalWidth > 0);
  assert.equal(await fresh.locator(".touch-list li").count(), 2);
  await fresh.close();
});

test("it is there again after the page was closed, its photo too", async () => {
  await go(page, "pulls");
  await page.waitForTimeout(2600);
  await page.reload();
  await page.waitForFunction(() => document.body.dataset.ready === "true" && document.querySelectorAll(".pull-one").length === 4, null, { timeout: 60_000 });
  await page.waitForFunction(() => document.querySelector("[data-pull='2'] img")?.naturalWidth > 0);
});

test("it fits a desk and a phone, and has no fault of access", async () => {
  await page.locator("[data-pull='2'] summary", { hasText: "Put right" }).click();
  for (const width of [1440, 390]) {
    await page.setViewportSize({ width, height: 900 });
    await settled(page);
    const over = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
    assert.ok(over <= 1, `${over} px too wide at ${width}`);
    const small = await station().locator("button, input, select, textarea, summary").evaluateAll((all) => all.filter((item) => item.offsetParent !== null && !["checkbox", "radio"].includes(item.type))
      .map((item) => [item.outerHTML.slice(0, 70), item.getBoundingClientRect().height]).filter(([, high]) => high < 43.5));
    assert.deepEqual(small, []);
    await page.screenshot({ path: `${OUT}pulls-${width}.png`, fullPage: true });
    assert.deepEqual(await axeFaults(page), []);
  }
  await page.setViewportSize({ width: 1440, height: 900 });
  assert.deepEqual(page.faults, []);
});

test("the 501st pull is refused", async () => {
  const pulls = Array.from({ length: 500 }, (_, k) => ({ number: k + 1, corrections: [], now: { day: "2026-03-14", kind: "proof", copy: null, plates: [], papers: [], sheet: "", damping: "", wiping: "", pressure: "", words: `pull ${k + 1}`, photo: null, struck: false } }));
  const work = await saved(page.getByRole("button", { name: "Save", exact: true }));
  const bytes = await readFile(work.path);
  assert.ok(bytes.length > 1000);
  // The same work with a full record, put together by a program of another maker.
  const folder = join(tmpdir(), `pulls-${process.pid}`);
  execFileSync("unzip", ["-q", "-o", work.path, "-d", folder]);
  const project = JSON.parse(await readFile(join(folder, "project.json"), "utf8"));
  project.job.record.pulls = pulls;
  project.job.record.photos = [];
  await writeFile(join(folder, "project.json"), JSON.stringify(project));
  const packed = join(tmpdir(), `pulls-${process.pid}.zip`);
  execFileSync("python3", ["-c", "import sys, zipfile, pathlib\nwith zipfile.ZipFile(sys.argv[2], 'w') as z:\n [z.write(f, f.relative_to(sys.argv[1])) for f in sorted(pathlib.Path(sys.argv[1]).rglob('*'), key=lambda f: (f.name != 'project.json', str(f))) if f.is_file()]", folder, packed]);
  await page.locator("#file").setInputFiles(packed);
  await page.waitForFunction(() => document.querySelector(".pull-written > .aside")?.textContent === "500 proofs", null, { timeout: 60_000 });
  assert.equal(await ones().count(), 20, "the newest are shown, more when asked for");
  await entry().getByRole("button", { name: "Write it down" }).click();
  assert.match(await notice(), /A record holds 500 pulls, and this one is full/);
});
