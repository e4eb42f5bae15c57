// What is set by hand: drawn with the pointer and with keys, taken back, kept in millimetres.
import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { after, before, test } from "node:test";
import { axeFaults, begin, end, go, OUT, pixels, settled } from "./site.js";

let site, browser, page;
before(async () => {
  ({ site, browser, page } = await begin("painting"));
  page.setDefaultTimeout(15_000);
});
after(() => end({ site, browser }));

const PICTURE = ".station.painting figure:first-child canvas";
/** The demo's face, mm: 160 × 180 less a bevel of 1.5 all round. */
const FACE = [157, 177];
const pick = (text) => page.locator(".tools label", { hasText: text }).first().click();
const things = () => page.$$eval(".edits li", (all) => all.map((item) => item.querySelector("span").textContent));
const undoes = () => page.locator(".undoes").innerText();

/** Points of the face in print view, mm, to the screen: plate view is its mirror. */
async function screen(points) {
  const box = await page.locator(PICTURE).boundingBox();
  const plate = await page.locator(".station.painting figure").first().getAttribute("data-view") === "plate";
  return points.map(([x, y]) => [box.x + box.width * (plate ? 1 - x / FACE[0] : x / FACE[0]), box.y + box.height * y / FACE[1]]);
}

async function draw(...points) {
  const [first, ...rest] = await screen(points);
  await page.mouse.move(...first);
  await page.mouse.down();
  for (const point of rest) await page.mouse.move(...point, { steps: 6 });
  await page.mouse.up();
  await settled(page);
}

/** `plan.json` and the step map, as saved: what the page holds, not what it shows. */
async function saved(name) {
  await go(page, "sheets");
  const [download] = await Promise.all([page.waitForEvent("download", { timeout: 60_000 }), page.getByRole("button", { name, exact: true }).click()]);
  const bytes = await readFile(await download.path());
  await go(page, "painting");
  return bytes;
}
const plan = async () => JSON.parse((await saved("Plan (JSON)")).toString());

test("a brush, a lasso and a fill set the tone where they are drawn, and say so", async () => {
  const before = await plan();
  await pick("Lasso");
  await page.locator(".block-tone").nth(9).click();
  await draw([20, 20], [60, 20], [60, 60], [20, 60], [20, 21]);
  const lassoed = await plan();
  // 40 × 40 mm of the darkest tone, less what was it already; a screen pixel is 0.4 mm.
  const area = (report, tone) => report.tones[tone].share * FACE[0] * FACE[1];
  assert.ok(area(lassoed, 9) - area(before, 9) > 1200 && area(lassoed, 9) - area(before, 9) < 1650, `${area(lassoed, 9) - area(before, 9)} mm²`);
  await pick("Fill");
  await page.locator(".block-tone").nth(0).click();
  await draw([40, 40]);
  const filled = await plan();
  assert.ok(area(filled, 0) - area(before, 0) > 1500, "the region just drawn takes the tone");
  await pick("Brush");
  await page.locator(".block-tone").nth(5).click();
  await page.getByLabel("Brush, typed").fill("4");
  await page.getByLabel("Brush, typed").press("Enter");
  await draw([25, 40], [55, 40]);
  const brushed = await plan();
  // 30 mm long, 4 mm wide, round ends.
  const stroke = area(filled, 0) - area(brushed, 0);
  assert.ok(Math.abs(stroke - (120 + Math.PI * 4)) < 8, `${stroke} mm²`);
  assert.deepEqual(await things(), ["3. brush 4 mm: tone 5", "2. fill: tone 0", "1. lasso: tone 9"]);
  assert.equal(await undoes(), "Undo: brush 4 mm: tone 5");
  assert.match(await page.locator(".station.painting .under .aside").innerText(), /still too narrow/);
});

test("the strip is the paint-box while a tool is in the hand", async () => {
  await page.locator(".block").nth(3).press("Enter");
  assert.equal(await page.locator(".block-tone input:checked").inputValue(), "3");
  assert.match(await page.locator(".station.painting h3").first().innerText(), /^Stop-out/);
});

test("what is under way shows, Escape drops it, and a line round nothing is refused", async () => {
  await pick("Lasso");
  const count = (await things()).length;
  const [a, b, c] = await screen([[100, 100], [120, 100], [120, 120]]);
  await page.mouse.move(...a);
  await page.mouse.down();
  await page.mouse.move(...b, { steps: 4 });
  await page.mouse.move(...c, { steps: 4 });
  assert.ok(await page.locator(".trace polygon").count() > 0);
  await page.keyboard.press("Escape");
  assert.equal(await page.locator(".trace polygon").count(), 0);
  await page.mouse.up();
  await settled(page);
  assert.equal((await things()).length, count);
  await draw([100, 100], [120, 100]);
  assert.match(await page.locator(".notice").innerText(), /goes round nothing/);
  assert.equal((await things()).length, count);
});

test("the picture looked at is not drawn on, and keys draw where the pointer can't", async () => {
  await pick("Look");
  const count = (await things()).length;
  await draw([100, 100], [120, 120]);
  assert.equal((await things()).length, count);
  await pick("Brush");
  const sheet = page.locator(".station.painting figure:first-child .sheet");
  await sheet.focus();
  assert.match(await sheet.getAttribute("aria-label"), /Enter begins and ends the stroke/);
  await page.keyboard.press("ArrowDown");
  await page.keyboard.press("Enter");
  for (let i = 0; i < 4; i++) await page.keyboard.press("Shift+ArrowLeft");
  await page.keyboard.press("Enter");
  await settled(page);
  const made = await things();
  assert.equal(made.length, count + 1);
  // Begun in the middle; to the left on the plate is to the right in the print: from 78.5 to 98.5 mm.
  assert.match(await page.locator(".edits li").first().innerText(), /at 89, 90 mm/);
  assert.match(await page.locator(".station.painting h3").first().innerText(), /^Stop-out 5$/, "the arrows did not step through the stop-outs");
});

test("what clean-up took comes back where it is pressed", async () => {
  await pick("Keep this");
  assert.match(await page.locator(".station.painting h3").first().innerText(), /The drawing/);
  const changed = async () => (await page.locator(".station.painting .under .aside").innerText()).match(/gave (.*?) of the face/)[1];
  const before = await plan();
  assert.ok(await changed());
  await draw([80, 88]);
  await draw([30, 120]);
  await draw([110, 150]);
  const after = await plan();
  assert.notDeepEqual(after.tones.map((tone) => tone.share), before.tones.map((tone) => tone.share));
  assert.match(await undoes(), /kept what clean-up took/);
  await pick("Look");
});

test("an area by hand leaves every mask and is said", async () => {
  await pick("By hand");
  await draw([100, 120], [140, 120], [140, 150], [100, 150], [100, 121]);
  await pick("Look");
  await settled(page);
  const report = await plan();
  assert.ok(report.notes.some((note) => /4 % of the face is worked by hand/.test(note)), JSON.stringify(report.notes));
  assert.match(await page.locator(".station.painting .legend").first().innerText(), /BY HAND/);
  // 4 % is bare before every bite, so the last stop-out can't cover all but the darkest tone.
  assert.ok(report.stopouts.at(-1).covered_share < 1 - report.tones.at(-1).share - 0.035);
});

test("a silhouette is open and the rest stays covered; the lift drawing is its opposite", async () => {
  await pick("Silhouette");
  await pick("what I draw round");
  await draw([10, 10], [147, 10], [147, 167], [10, 167], [10, 11]);
  await pick("the stop-out");
  const report = await plan();
  const first = report.stopouts[0];
  const resist = 1 - 137 * 157 / (FACE[0] * FACE[1]);
  assert.ok(Math.abs(first.covered_share - first.new_share - resist) < 0.01, `${first.covered_share} − ${first.new_share} for ${resist}`);
  assert.match(await page.locator(".station.painting .caption").first().innerText(), /the resist included/);
  assert.match(await page.locator(".station.painting .legend").first().innerText(), /FIXED RESIST/);
  await pick("the lift drawing");
  await settled(page);
  assert.match(await page.locator(".station.painting h3").first().innerText(), /OPENS/);
  assert.doesNotMatch(await page.locator(".station.painting .legend").first().innerText(), /PAINT NOW|LEAVE BARE/);
  const lift = await pixels(page, PICTURE);
  await pick("the stop-out");
  await settled(page);
  const stop = await pixels(page, PICTURE);
  // Along the upper margin, which the resist covers: no ink in the stop-out; the lift has a double frame there and rules, no hatch.
  const ink = (picture, from, to) => {
    let dark = 0;
    for (let y = Math.round(from / FACE[1] * picture.height); y < to / FACE[1] * picture.height; y++) {
      for (let x = Math.round(picture.width * 0.2); x < picture.width * 0.8; x++) if (picture.data[4 * (y * picture.width + x)] < 80) dark++;
    }
    return dark;
  };
  assert.equal(ink(stop, 4, 9), 0);
  assert.equal(ink(lift, 4, 9), 0);
  assert.ok(ink(lift, 20, 60) > 500);
  assert.ok(ink(lift, 0, 1) > 100, "a frame");
  await pick("the whole face");
  await settled(page);
  assert.equal(await page.locator(".tools label", { hasText: "the lift drawing" }).isVisible(), false);
  await pick("the drawing's own outline");
  await settled(page);
  assert.equal(await page.locator(".tools label", { hasText: "own outline" }).locator("input").isChecked(), true);
  await pick("the whole face");
});

test("any one can be taken back, and an edit keeps its place on a finer and on another plate", async () => {
  await pick("Look");
  const before = await things();
  await page.getByRole("button", { name: /^take this one back: 1, lasso/ }).click();
  await settled(page);
  assert.equal((await things()).length, before.length - 1);
  assert.match(await undoes(), /took back lasso: tone 9/);
  await page.locator(".acts button", { hasText: "Undo" }).click();
  await settled(page);
  assert.deepEqual(await things(), before);
  const share = async (tone) => (await plan()).tones[tone].share;
  const coarse = await share(0);
  await go(page, "drawing");
  await page.getByLabel("Worked at").fill("14");
  await page.getByLabel("Worked at").press("Enter");
  await settled(page);
  assert.ok(Math.abs(await share(0) - coarse) < 0.003, "finer, the same place and size");
  await page.locator(".acts button", { hasText: "Undo" }).click();
  await go(page, "drawing");
  await page.getByRole("textbox", { name: "Width", exact: true }).fill("90");
  await page.getByRole("textbox", { name: "Width", exact: true }).press("Enter");
  await settled(page);
  const smaller = await plan();
  assert.ok(smaller.notes.some((note) => /beside the face now/.test(note)), JSON.stringify(smaller.notes));
  assert.deepEqual(await things(), before, "nothing is lost");
  await page.locator(".acts button", { hasText: "Undo" }).click();
  await settled(page);
  assert.ok(Math.abs(await share(0) - coarse) < 1e-9);
});

for (const [width, height] of [[1440, 900], [820, 1180], [390, 844]]) {
  test(`with a tool in the hand: no serious fault of access at ${width} × ${height}, nothing wider than the screen, the tools in sight`, async () => {
    await page.setViewportSize({ width, height });
    for (const tool of ["Brush", "Silhouette", "Keep this"]) {
      await pick(tool);
      await settled(page);
      await page.screenshot({ path: `${OUT}hand-${tool.toLowerCase().replace(" ", "-")}-${width}.png` });
      assert.ok(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth), `${tool} is wider than ${width}`);
      assert.deepEqual(await axeFaults(page), [], tool);
      const low = await page.$$eval(".tools .choice label, .tools input[type=range], .edits button", (all) => all.filter((item) => item.offsetParent && item.getBoundingClientRect().height < 43.5).map((item) => item.outerHTML.slice(0, 90)));
      assert.deepEqual(low, []);
    }
    await page.evaluate(() => document.querySelector(".station.painting figure").scrollIntoView({ block: "start" }));
    const tools = await page.locator(".tools").boundingBox();
    assert.ok(tools.y + tools.height <= height + 1 && tools.y > height * 0.4, JSON.stringify(tools));
    await page.setViewportSize({ width: 1440, height: 900 });
    await settled(page);
  });
}

test("two hundred strokes are two hundred steps of Undo, each named", async () => {
  await pick("Brush");
  const start = (await things()).length;
  const sheet = page.locator(".station.painting figure:first-child .sheet");
  await sheet.focus();
  for (let i = 0; i < 200; i++) {
    await page.keyboard.press("ArrowUp");
    if (i % 40 === 39) await page.keyboard.press("Shift+ArrowRight");
    await page.keyboard.press("Enter");
    await page.keyboard.press("Enter");
  }
  await settled(page);
  assert.equal((await things()).length, start + 200);
  const { longest, count } = await page.evaluate(() => {
    const last = performance.getEntriesByName("stepbite:plan").slice(-20).map((entry) => entry.duration);
    return { longest: Math.max(...last), count: last.length };
  });
  assert.ok(count > 0 && longest < 2000, `${longest} ms`);
  for (let i = 0; i < 200; i++) {
    assert.match(await undoes(), /^Undo: brush/);
    await page.keyboard.press("Control+z");
  }
  await settled(page);
  assert.equal((await things()).length, start);
  await page.keyboard.press("Control+Shift+z");
  await settled(page);
  assert.equal((await things()).length, start + 1);
  assert.deepEqual(page.faults, []);
});
