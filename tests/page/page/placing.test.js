import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { fileURLToPath } from "node:url";
import { after, before, test } from "node:test";
import { begin, end, opened, OUT, pixels, settled } from "./site.js";

const DEMO = fileURLToPath(new URL("../../demo/", import.meta.url));
let site, browser, page;
before(async () => { ({ site, browser, page } = await begin("drawing")); });
after(() => end({ site, browser }));

const station = () => page.locator(".station.drawing");
const said = () => page.locator(".ticket .undoes").innerText();
const field = (label) => station().getByLabel(label, { exact: true });
async function type(label, text) {
  await field(label).fill(text);
  await field(label).press("Enter");
  await planned();
}
const press = async (name) => {
  await station().getByRole("button", { name, exact: true }).click();
  await planned();
};
const choose = (word) => station().locator("label", { hasText: word }).first().click();
/** Until the plan on screen is that of the settings, and its pictures too. */
async function planned() {
  await page.waitForTimeout(80);
  await settled(page);
}
const lies = () => station().locator("#h-place").locator("xpath=..").locator("p").innerText();

test("turned by quarters, the placed drawing turns; undo names it and brings it back byte for byte", async () => {
  const before = await pixels(page, ".station.drawing .two figure:last-child canvas");
  await press("Quarter right");
  assert.equal(await said(), "Undo: turned a quarter right");
  assert.equal(await field("Turned").inputValue(), "90");
  const turned = await pixels(page, ".station.drawing .two figure:last-child canvas");
  assert.notDeepEqual(turned.data, before.data);
  await press("Quarter left");
  assert.deepEqual((await pixels(page, ".station.drawing .two figure:last-child canvas")).data, before.data);
  for (const turn of ["90", "0"]) {
    await page.keyboard.press("Control+z");
    await planned();
    assert.equal(await field("Turned").inputValue(), turn);
  }
  assert.deepEqual((await pixels(page, ".station.drawing .two figure:last-child canvas")).data, before.data);
});

test("position by numbers, by keys and by dragging; centred again by one press", async () => {
  await type("Moved right", "12.5");
  assert.match(await said(), /drawing moved/);
  const mover = page.locator(".handle.mover");
  await mover.focus();
  await page.keyboard.press("ArrowRight");
  await page.keyboard.press("ArrowDown");
  await planned();
  assert.equal(await field("Moved right").inputValue(), "13.5");
  assert.equal(await field("Moved down").inputValue(), "1");
  const box = await mover.boundingBox();
  assert.ok(box.width >= 44 && box.height >= 44);
  await page.mouse.move(box.x + 22, box.y + 22);
  await page.mouse.down();
  await page.mouse.move(box.x + 82, box.y + 2, { steps: 4 });
  await page.mouse.up();
  await planned();
  assert.ok(Number(await field("Moved right").inputValue()) > 25);
  assert.ok((await field("Moved down").inputValue()).startsWith("−"));
  await press("Centre it");
  assert.equal(await field("Moved right").inputValue(), "0");
});

test("a crop by its corner is the same as by its number, and the part used is told in millimetres", async () => {
  const handle = page.locator(".handle.crop.begins");
  await handle.focus();
  for (let i = 0; i < 10; i++) await page.keyboard.press("ArrowRight");
  await planned();
  const cut = await field("Left").inputValue();
  assert.ok(Math.abs(Number(cut) - 2.25) < 0.02, cut);
  assert.equal(await said(), "Undo: crop");
  await page.keyboard.press("Control+z");
  await planned();
  assert.equal(await field("Left").inputValue(), "0");
  await type("Left", "25");
  await type("Right", "25");
  // Half of 160 × 180 mm fills a face of 157 × 177: 157 mm wide, 353 high.
  assert.match(await lies(), /is 157 × 353\.3 mm on the plate/);
  await choose("true size");
  await planned();
  assert.match(await lies(), /is 80 × 180 mm on the plate, with 12 of its pixels/);
  await press("Use all of it");
  await choose("fills the face");
  await planned();
});

test("what can't be is refused in a sentence, and the drawing stays where it was", async () => {
  for (const [label, text, word] of [["Turned", "4000", /turn in degrees/], ["Times that", "0", /size of 1 to 10000/], ["Moved right", "900", /move it back/], ["Left", "120", /crop within the drawing/]]) {
    await type(label, text);
    assert.match(await page.locator(".notice").innerText(), word);
    assert.notEqual(await field(label).inputValue(), text);
  }
  await type("Moved right", "abc");
  assert.match(await page.locator(".notice").innerText(), /is not a number/);
});

test("inches are typed and shown as inches", async () => {
  await choose("inch");
  await type("Width", "6");
  assert.equal(await field("Width").inputValue(), "6");
  assert.match(await station().innerText(), /5\.882 × 6\.969 in/);
  await choose("mm");
  assert.equal(await field("Width").inputValue(), "152.4");
  await type("Width", "160");
});

test("a phone photograph: corners found by one press, straightened, evened, its shadow named", async () => {
  const chooser = page.waitForEvent("filechooser");
  await page.locator(".station.drawing").getByRole("button", { name: "Open a drawing" }).click();
  await (await chooser).setFiles(`${DEMO}ice-house-phone.jpg`);
  await page.waitForFunction(() => document.querySelector(".station.drawing .facts")?.textContent.includes("ice-house-phone"), null, { timeout: 120_000 });
  await settled(page);
  await choose("a photo of a sheet");
  await page.waitForFunction(() => /corners are found/.test(document.querySelector(".notice")?.textContent ?? ""), null, { timeout: 60_000 });
  await page.waitForTimeout(200);
  await settled(page);
  assert.match(await said(), /photo straightened/);
  // The true corners, from the demo's own file, to a millimetre (about 12 pixels).
  const truth = JSON.parse(await readFile(`${DEMO}ice-house-phone.json`, "utf8"));
  const labels = await page.$$eval(".station.drawing .handle.corner", (all) => all.map((item) => item.getAttribute("aria-label")));
  for (const [label, name] of labels.map((text, i) => [text, ["top_left", "top_right", "bottom_right", "bottom_left"][i]])) {
    const [x, y] = label.replaceAll("\u202f", "").match(/\d+/g).map(Number);
    const [tx, ty] = truth.sheet_corners_px[name];
    assert.ok(Math.hypot(x - tx, y - ty) < 6, `${label}, true ${tx}, ${ty}`);
  }
  await type("Sheet, width", "200");
  await type("Sheet, height", "230");
  const notes = await station().locator(".part .notes").innerText();
  assert.match(notes, /evened by the sheet's blank margin, where bare paper now keeps within 0\.\d L\*/);
  assert.match(notes, /looks like a shadow lies at the lower left/);
  const times = await page.evaluate(() => performance.getEntriesByName("stepbite:straightening").map((entry) => Math.round(entry.duration)));
  console.log(`straightening 12 megapixels took ${times.join(", ")} ms`);
  await page.screenshot({ path: `${OUT}photo-corners-1440.png`, fullPage: true });
  await choose("straightened");
  await planned();
  // Margins of the straightened sheet are paper white: the middle of its upper and right margins.
  const { width, height, data } = await pixels(page, ".station.drawing .two figure:first-child canvas");
  assert.ok(Math.abs(width / height - 200 / 230) < 0.01);
  const grey = (u, v) => data[4 * (Math.floor(v * height) * width + Math.floor(u * width))];
  for (const [u, v] of [[0.3, 0.04], [0.5, 0.04], [0.7, 0.04], [0.95, 0.3], [0.95, 0.6]]) assert.ok(grey(u, v) >= 245, `${u}, ${v}: ${grey(u, v)}`);
  await page.screenshot({ path: `${OUT}photo-sheet-1440.png`, fullPage: true });
});

test("a corner moves by keys under a glass; a drag moves one corner and is one step of undo", async () => {
  await choose("as opened");
  await planned();
  const corner = page.locator(".handle.corner").nth(1);
  await corner.focus();
  const before = await corner.getAttribute("aria-label");
  await page.keyboard.press("ArrowLeft");
  await page.waitForFunction(() => !document.querySelector(".inset").hidden);
  await planned();
  assert.notEqual(await corner.getAttribute("aria-label"), before);
  const box = await corner.boundingBox();
  await page.mouse.move(box.x + 22, box.y + 22);
  await page.mouse.down();
  await page.mouse.move(box.x + 10, box.y + 40, { steps: 5 });
  await page.waitForTimeout(150);
  await page.screenshot({ path: `${OUT}photo-glass-1440.png` });
  await page.mouse.up();
  await planned();
  assert.equal(await said(), "Undo: upper right corner moved");
  for (let i = 0; i < 2; i++) {
    await page.keyboard.press("Control+z");
    await planned();
  }
  assert.equal(await corner.getAttribute("aria-label"), before);
});

test("paper is marked by pressing, moved and removed by keys; marks are counted in words", async () => {
  await choose("straightened");
  await planned();
  await press("Mark paper");
  const canvas = page.locator(".station.drawing .two figure:first-child canvas").first();
  for (const [u, v] of [[0.06, 0.1], [0.94, 0.06], [0.94, 0.9]]) {
    const box = await canvas.boundingBox();
    await canvas.click({ position: { x: u * box.width, y: v * box.height } });
    await planned();
  }
  assert.equal(await page.locator(".handle.spot").count(), 3);
  assert.match(await station().locator(".part .notes").innerText(), /blank margin and 3 marked places/);
  await page.locator(".handle.spot").first().focus();
  await page.keyboard.press("Delete");
  await planned();
  assert.equal(await page.locator(".handle.spot").count(), 2);
  await press("Add a mark");
  assert.match(await page.evaluate(() => document.activeElement.getAttribute("aria-label")), /^Mark 3 on bare paper/);
  await press("Remove the marks");
  assert.equal(await page.locator(".handle.spot").count(), 0);
});

test("tones from one channel; a moved break does not straighten again", async () => {
  await choose("blue");
  await planned();
  assert.match(await said(), /tones from blue/);
  await choose("lightness");
  await planned();
  await page.evaluate(() => performance.clearMeasures());
  await page.locator(".joint").nth(4).focus();
  await page.keyboard.press("ArrowRight");
  await planned();
  const measured = await page.evaluate(() => performance.getEntriesByType("measure").map((entry) => entry.name));
  assert.ok(measured.includes("stepbite:regions"), String(measured));
  assert.ok(!measured.includes("stepbite:straightening") && !measured.includes("stepbite:drawing"), String(measured));
});

test("on a scan no corners are guessed: some are set to be moved, and it is said", async () => {
  const chooser = page.waitForEvent("filechooser");
  await page.locator(".station.drawing").getByRole("button", { name: "Open a drawing" }).click();
  await (await chooser).setFiles(`${DEMO}gantry.png`);
  await page.waitForFunction(() => document.querySelector(".station.drawing .facts")?.textContent.includes("gantry"), null, { timeout: 120_000 });
  await settled(page);
  assert.match(await page.locator(".notice").innerText(), /the new one lies as it came/);
  await choose("a photo of a sheet");
  await page.waitForFunction(() => /can't be told/.test(document.querySelector(".notice")?.textContent ?? ""), null, { timeout: 60_000 });
  await planned();
  assert.equal(await page.locator(".handle.corner:visible").count(), 4);
  await choose("a scan, as it is");
  await planned();
  assert.deepEqual(page.faults, []);
});

test("at every width nothing is cut off and every handle can be grasped", async () => {
  for (const width of [1440, 820, 390]) {
    await page.setViewportSize({ width, height: 900 });
    await planned();
    assert.ok(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth), `${width}`);
    for (const box of await page.$$eval(".station.drawing .handle", (all) => all.filter((item) => item.offsetParent).map((item) => item.getBoundingClientRect()).map(({ width: w, height: h }) => [w, h]))) {
      assert.ok(box[0] >= 44 && box[1] >= 44);
    }
    await page.screenshot({ path: `${OUT}placing-${width}.png`, fullPage: true });
  }
});
