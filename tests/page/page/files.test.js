import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { after, before, test } from "node:test";
import { begin, end, go, opened, pixels, settled } from "./site.js";

let site, browser, page;
before(async () => { ({ site, browser, page } = await begin()); });
after(() => end({ site, browser }));

const BAD = [
  ["nothing.png", Buffer.alloc(0)],
  ["words.jpg", Buffer.from("not a picture at all, only words")],
  ["cut.jpg", null],
];

for (const [name, content] of BAD) {
  test(`${name} is refused in a sentence and the work on screen stays`, async () => {
    await go(page, "whole");
    const before = await pixels(page, ".station.whole canvas");
    const title = await page.locator(".title").inputValue();
    const buffer = content ?? (await readFile(new URL("../../../www/demo/ice-house.jpg", import.meta.url))).subarray(0, 9000);
    await page.locator("#file").setInputFiles({ name, mimeType: "image/png", buffer });
    await page.waitForFunction(() => document.querySelector(".notice").dataset.kind === "refused" && document.querySelector(".notice p").textContent !== "");
    assert.match(await page.locator(".notice p").innerText(), /[.!]$/, "a sentence");
    assert.deepEqual(await pixels(page, ".station.whole canvas"), before);
    assert.equal(await page.locator(".title").inputValue(), title);
    await page.locator(".notice button").click();
    assert.equal(await page.locator(".notice p").innerText(), "");
  });
}

/** One colour all over as PNG, made by the browser itself. */
async function flat(width, height, colour) {
  return Buffer.from(await page.evaluate(async ([width, height, colour]) => {
    const canvas = new OffscreenCanvas(width, height);
    const pen = canvas.getContext("2d");
    pen.fillStyle = colour;
    pen.fillRect(0, 0, width, height);
    return Array.from(new Uint8Array(await (await canvas.convertToBlob()).arrayBuffer()));
  }, [width, height, colour]));
}

/** Presses a button of the sheets station and gives the bytes saved. */
async function saved(word) {
  const [download] = await Promise.all([page.waitForEvent("download", { timeout: 60_000 }), page.getByRole("button", { name: word }).click()]);
  return readFile(await download.path());
}

// Each can be read as a picture, but no plan can be made from it.
const PLANLESS = [["all white", 200, 200, "#fff"], ["all black", 200, 200, "#000"], ["one pixel", 1, 1, "#888"], ["transparent", 200, 200, "transparent"]];
for (const [what, width, height, colour] of PLANLESS) {
  test(`a drawing that gives no plan (${what}) leaves plan, pictures, undo and files as they were`, async () => {
    await go(page, "sheets");
    const [steps, plan] = [await saved("Step map (PNG)"), await saved("Plan (JSON)")];
    await go(page, "whole");
    // When it was kept is no part of the work.
    const seen = () => Promise.all([page.locator("nav").innerText().then((words) => words.replace(/Kept here at .*/, "")), page.locator(".title").inputValue(), page.locator(".letter").inputValue(), page.locator(".field").innerText()]);
    const [before, words] = [await pixels(page, ".station.whole canvas"), await seen()];
    await page.locator("#file").setInputFiles({ name: `${what}.png`, mimeType: "image/png", buffer: await flat(width, height, colour) });
    await page.waitForFunction(() => document.querySelector(".notice").dataset.kind === "refused" && document.querySelector(".notice p").textContent !== "");
    await settled(page);
    assert.match(await page.locator(".notice p").innerText(), /[.!]$/, "a sentence");
    assert.deepEqual(await seen(), words);
    assert.deepEqual(await pixels(page, ".station.whole canvas"), before);
    await go(page, "sheets");
    assert.deepEqual(await saved("Step map (PNG)"), steps);
    assert.deepEqual(await saved("Plan (JSON)"), plan);
    await page.getByLabel("Add a bite").click();
    await page.waitForFunction(() => /eleven tones/.test(document.querySelector("nav").innerText) && document.querySelectorAll(".block").length === 11);
    assert.equal(await page.locator(".notice p").innerText(), "", "the refusal is settled by the next plan");
    await page.locator(".acts button", { hasText: "Undo" }).click();
    await page.waitForFunction(() => document.querySelectorAll(".block").length === 10);
    await page.locator(".notice button").click();
    assert.deepEqual(await saved("Step map (PNG)"), steps);
    assert.deepEqual(page.faults, []);
  });
}

/** A small grey ramp as PNG, made by the browser itself. */
async function ramp() {
  return Buffer.from(await page.evaluate(async () => {
    const canvas = new OffscreenCanvas(240, 120);
    const pen = canvas.getContext("2d");
    for (let x = 0; x < 240; x++) {
      pen.fillStyle = `rgb(${x},${x},${x})`;
      pen.fillRect(x, 0, 1, 120);
    }
    return Array.from(new Uint8Array(await (await canvas.convertToBlob()).arrayBuffer()));
  }));
}

test("another drawing is opened, keeps the settings, and says what became of the plate", async () => {
  await page.locator("#file").setInputFiles({ name: "ramp.png", mimeType: "image/png", buffer: await ramp() });
  await page.waitForFunction(() => /ramp/.test(document.querySelector(".notice p").textContent));
  await settled(page);
  assert.match(await page.locator(".notice p").innerText(), /the plate stays 160 × 180 mm/);
  assert.match(await page.locator("nav").innerText(), /ten tones, even/);
  assert.equal(await page.locator(".title").inputValue(), "ramp");
  assert.equal(await page.locator(".letter").inputValue(), "A", "the demo's plate letter does not go with another drawing");
});

test("breaks set by hand for the drawing before become even, and the page says so", async () => {
  await page.locator(".joint").nth(2).press("ArrowRight");
  await page.waitForFunction(() => /by hand/.test(document.querySelector("nav").innerText));
  await settled(page);
  await page.locator("#file").setInputFiles({ name: "again.png", mimeType: "image/png", buffer: await ramp() });
  await page.waitForFunction(() => /again/.test(document.querySelector(".notice p").textContent));
  assert.match(await page.locator(".notice p").innerText(), /breaks set by hand belonged to the drawing before and are even now/);
  assert.match(await page.locator("nav").innerText(), /ten tones, even/);
});

test("a drawing is opened by paste and by drop", async () => {
  const bytes = [...await ramp()];
  for (const [way, name] of [["paste", "pasted.png"], ["drop", "dropped.png"]]) {
    await page.evaluate(({ way, name, bytes }) => {
      const data = new DataTransfer();
      data.items.add(new File([new Uint8Array(bytes)], name, { type: "image/png" }));
      const event = way === "paste" ? new ClipboardEvent("paste", { clipboardData: data, bubbles: true }) : new DragEvent("drop", { dataTransfer: data, bubbles: true, cancelable: true });
      document.body.dispatchEvent(event);
    }, { way, name, bytes });
    await page.waitForFunction((word) => document.querySelector(".title").value === word, name.replace(".png", ""));
    await settled(page);
  }
});

// First bytes: ISO 32000-1 7.5.2; PNG 3rd edition 5.2; APPNOTE.TXT 4.3.7 (local file header)
const SAVES = [
  ["Sheets (PDF)", ".pdf", [0x25, 0x50, 0x44, 0x46, 0x2d]],
  ["Step map (PNG)", ".png", [0x89, 0x50, 0x4e, 0x47]],
  ["Proof (PNG)", ".png", [0x89, 0x50, 0x4e, 0x47]],
  ["All in one (ZIP)", ".zip", [0x50, 0x4b, 0x03, 0x04]],
  ["Masks (ZIP of PNGs)", ".zip", [0x50, 0x4b, 0x03, 0x04]],
];
for (const [word, extension, magic] of SAVES) {
  test(`${word} is saved`, async () => {
    await go(page, "sheets");
    const [download] = await Promise.all([page.waitForEvent("download", { timeout: 60_000 }), page.getByRole("button", { name: word }).click()]);
    assert.ok(download.suggestedFilename().endsWith(extension));
    const bytes = await readFile(await download.path());
    assert.deepEqual([...bytes.subarray(0, magic.length)], magic);
  });
}

test("the plan is saved as JSON that speaks of this plate", async () => {
  await go(page, "sheets");
  const [download] = await Promise.all([page.waitForEvent("download"), page.getByRole("button", { name: "Plan (JSON)" }).click()]);
  const plan = JSON.parse(await readFile(await download.path(), "utf8"));
  assert.deepEqual(plan.plate_mm, { width: 160, height: 180 });
  assert.equal(plan.tones.length, 10);
  assert.equal(plan.stopouts.length, 9);
  assert.deepEqual(page.faults, []);
});

test("nothing is asked of any other host, and nothing at all after loading", async () => {
  const fresh = await opened(browser, site.url);
  const loaded = fresh.requests.length;
  assert.ok(loaded > 0);
  await go(fresh, "painting");
  await go(fresh, "proof");
  await fresh.locator("#file").setInputFiles({ name: "ramp.png", mimeType: "image/png", buffer: await ramp() });
  await settled(fresh);
  // The browser itself may ask this host for the icon again when the address changes; the page asks for nothing.
  const late = fresh.requests.slice(loaded).filter((url) => !/^(blob|data):/.test(url) && url !== `${site.url}icon.svg`);
  assert.deepEqual(late, []);
  assert.deepEqual(fresh.requests.filter((url) => !url.startsWith(site.url) && !/^(blob|data):/.test(url)), []);
});
