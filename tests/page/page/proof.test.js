/** Proof: the pull large, wiped with the drawing, beside it, how far apart; lamps, grain, edges, inks, zones, thin papers, plates over one another. */
import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { after, before, test } from "node:test";
import { axeFaults, begin, end, go, opened, OUT, pixels, room, settled } from "./site.js";

let site, browser, page;
before(async () => { ({ site, browser, page } = await begin("proof")); });
after(() => end({ site, browser }));

const PULL = ".proof .pulls .picture:first-child .face > canvas";
const way = (name, on = page) => on.locator(".proof .top label", { hasText: name }).click();
const part = (name, on = page) => on.locator(".proof .fold-part", { has: on.locator(`summary b:text-is("${name}")`) });
const unfold = async (name, on = page) => {
  const found = part(name, on);
  if (!await found.evaluate((item) => item.open)) await found.locator("summary").first().click();
  return found;
};
const notice = () => page.locator(".notice p").innerText();
const lines = (on = page) => on.$$eval(".proof .fold-part > summary", (all) => all.map((item) => `${item.querySelector("b").textContent}: ${item.querySelector(".line").textContent}`));
/** Mean red, green and blue of a canvas, or of a part of it (shares: left, top, right, foot). */
const mean = (selector = PULL, box = [0, 0, 1, 1], on = page) => on.$eval(selector, (canvas, [l, t, r, b]) => {
  const [x, y] = [Math.floor(l * canvas.width), Math.floor(t * canvas.height)];
  const { data } = canvas.getContext("2d").getImageData(x, y, Math.ceil(r * canvas.width) - x, Math.ceil(b * canvas.height) - y);
  const sum = [0, 0, 0];
  for (let i = 0; i < data.length; i += 4) for (let c = 0; c < 3; c++) sum[c] += data[i + c];
  return sum.map((s) => s / (data.length / 4));
}, box);
/** Sets a colour as the browser's own chooser does. */
const colour = (field, hex) => field.evaluate((input, value) => {
  input.value = value;
  input.dispatchEvent(new Event("input", { bubbles: true }));
  input.dispatchEvent(new Event("change", { bubbles: true }));
}, hex);
const typed = async (field, text) => {
  await field.fill(text);
  await field.press("Enter");
};
const still = () => page.waitForTimeout(450).then(() => settled(page));

test("the pull comes first and large, the first questions beside it, all else one line each", async () => {
  const box = await page.locator(PULL).boundingBox();
  assert.ok(box.width >= 480 && box.y + box.height <= 900, JSON.stringify(box));
  for (const label of ["Ink of this plate", "Plate tone, typed"]) {
    const at = await page.getByLabel(label, { exact: true }).boundingBox();
    assert.ok(at.y + at.height < 900, label);
  }
  assert.deepEqual(await lines(), ["Inks: none of yours yet", "Zones of ink: one ink over the whole plate", "Papers laid in: none, on the sheet alone",
    "Plates over one another: this plate alone", "Grain: rosin, medium, cover as told", "Edges: exactly as planned"]);
  assert.equal(await page.locator(".proof .fold-part[open]").count(), 0);
  assert.match(await page.locator(".based").innerText(), /as strip 15-A prints\. Ink, paper and plate tone are the strip’s\. The grain is one such grain, not yours\./);
});

test("a film of plate tone takes the light it says from the whites, and the slider speaks its unit", async () => {
  const field = page.getByLabel("Plate tone, typed", { exact: true });
  const light = (v) => (v / 255 <= 0.04045 ? v / 255 / 12.92 : ((v / 255 + 0.055) / 1.055) ** 2.4);
  const whitest = () => page.$eval(PULL, (canvas) => canvas.getContext("2d").getImageData(0, 0, canvas.width, canvas.height).data.reduce((most, v, i) => (i % 4 === 1 ? Math.max(most, v) : most), 0));
  await settled(page);
  const before = await whitest();
  await typed(field, "0,1");
  await settled(page);
  // Density 0.1 leaves 10^−0.1 = 0.794 of the light.
  assert.ok(Math.abs(light(await whitest()) / light(before) - 10 ** -0.1) < 0.01, `${await whitest()} of ${before}`);
  assert.match(await page.locator(".first-asked .aside").innerText(), /79 % of the paper’s light/);
  assert.match(await page.locator(".first-asked input[type=range]").getAttribute("aria-valuetext"), /density 0\.1 beyond/);
  await typed(field, "0");
  await settled(page);
});

test("the drawing is wiped over the pull by a line that is dragged or moved by keys", async () => {
  await way("wipe");
  await settled(page);
  const line = page.getByRole("slider", { name: "Line between drawing and pull" });
  assert.equal(await line.getAttribute("aria-valuenow"), "50");
  const [over, pull] = [await page.locator(".wiped > canvas").boundingBox(), await page.locator(PULL).boundingBox()];
  assert.deepEqual(over, pull, "one lies exactly over the other");
  const [drawn, printed] = [await pixels(page, ".wiped > canvas"), await pixels(page, PULL)];
  assert.deepEqual([drawn.width, drawn.height], [printed.width, printed.height]);
  const off = drawn.data.reduce((sum, v, i) => sum + Math.abs(v - printed.data[i]), 0) / drawn.data.length;
  assert.ok(off > 3 && off < 40, `the drawing, not the pull: ${off}`);
  await line.focus();
  await page.keyboard.press("ArrowRight");
  assert.equal(await line.getAttribute("aria-valuenow"), "52");
  await page.keyboard.press("Home");
  assert.equal(await line.getAttribute("aria-valuenow"), "0");
  await page.keyboard.press("PageUp");
  assert.match(await line.getAttribute("aria-valuetext"), /the drawing over 10 % of the width/);
  const grip = await line.boundingBox();
  assert.ok(grip.width >= 44);
  await page.mouse.move(grip.x + grip.width / 2, grip.y + grip.height / 2);
  await page.mouse.down();
  await page.mouse.move(pull.x + 0.75 * pull.width, pull.y + 40, { steps: 4 });
  await page.mouse.up();
  assert.equal(await line.getAttribute("aria-valuenow"), "75");
  await page.screenshot({ path: `${OUT}proof-wipe.png` });
});

test("side by side they have one size; the difference is a map and a sentence of figures", async () => {
  await way("side by side");
  await settled(page);
  const [one, other] = [await page.locator(PULL).boundingBox(), await page.locator(".proof .pulls .picture:last-child canvas").boundingBox()];
  assert.ok(Math.abs(one.width - other.width) < 1 && Math.abs(one.y - other.y) < 1 && other.x > one.x + one.width);
  await page.screenshot({ path: `${OUT}proof-side.png` });
  await way("difference");
  await page.waitForFunction(() => /^ΔE /.test(document.querySelector(".proof .figures").textContent), null, { timeout: 30_000 });
  await settled(page);
  const [, average, most] = /ΔE ([\d.]+) on average over the face \(CIEDE2000\), ([\d.]+) at the most/.exec(await page.locator(".proof .figures").innerText()).map(Number);
  assert.ok(average > 0.5 && average < 10 && most > average && most < 100);
  assert.match(await page.locator(".under-pull").innerText(), /ΔE OVER 6/);
  await page.screenshot({ path: `${OUT}proof-difference.png` });
  await way("the pull");
});

test("at arm’s length the plate is as large as it is, and the words say what melts", async () => {
  await way("at arm’s length");
  await settled(page);
  // 160 mm less two bevels of 1.5 mm, at 96/25.4 CSS pixels a millimetre.
  const box = await page.locator(PULL).boundingBox();
  assert.ok(Math.abs(box.width - 157 * 96 / 25.4) < 1, String(box.width));
  assert.match(await page.locator(".under-pull").innerText(), /As large as the plate is.*under 0\.17 mm melts/);
  await way("fitted");
  await settled(page);
});

test("melting keeps no one waiting: the page goes on meanwhile, and what is wiped over it melts with it", async () => {
  const context = await room(browser, { viewport: { width: 1440, height: 900 }, deviceScaleFactor: 3 });
  const sharp = await context.newPage();
  await sharp.goto(site.url);
  await sharp.waitForFunction(() => document.body.dataset.ready === "true", null, { timeout: 60_000 });
  await go(sharp, "proof");
  await way("wipe", sharp);
  await settled(sharp);
  const canvases = [PULL, ".wiped > canvas"];
  /** How far neighbours lie apart: what melts comes nearer. */
  const rough = (selector) => sharp.$eval(selector, (canvas) => {
    const { data } = canvas.getContext("2d").getImageData(0, 0, canvas.width, canvas.height);
    let sum = 0;
    for (let i = 4; i < data.length; i += 4) sum += Math.abs(data[i] - data[i - 4]);
    return sum / (data.length / 4);
  });
  await way("at arm’s length", sharp);
  await settled(sharp);
  const [width] = await Promise.all(canvases.map((selector) => sharp.$eval(selector, (canvas) => canvas.width)));
  assert.ok(width > 1100, String(width));
  const melted = await Promise.all(canvases.map(rough));
  // The page goes on in between: work of the page's own is done while a picture still melts. In one go there would be none of it.
  await sharp.evaluate(() => {
    window.turns = 0;
    const look = () => {
      if (document.querySelector(".melting")) window.turns++;
      setTimeout(look, 0);
    };
    look();
  });
  for (const name of ["cream", "buff"]) {
    await sharp.locator(".first-asked label", { hasText: name }).click();
    await settled(sharp);
  }
  assert.ok(await sharp.evaluate(() => window.turns) >= 4);
  await sharp.locator(".first-asked label", { hasText: "the strip’s own" }).first().click();
  await settled(sharp);
  assert.deepEqual(await Promise.all(canvases.map(rough)), melted);
  // On a phone both ways have one size: the same pictures, not asked for anew.
  await sharp.setViewportSize({ width: 390, height: 844 });
  await settled(sharp);
  const phone = await Promise.all(canvases.map(rough));
  const size = () => sharp.$eval(PULL, (canvas) => [canvas.width, canvas.height]);
  const before = await size();
  await way("fitted", sharp);
  await settled(sharp);
  assert.deepEqual(await size(), before);
  const plain = await Promise.all(canvases.map(rough));
  phone.forEach((each, i) => assert.ok(each < 0.99 * plain[i], `${canvases[i]}: ${each} of ${plain[i]}`));
  await context.close();
});

test("another grain is another texture of the same mean; a cover out of its range is refused in a sentence", async () => {
  const grain = await unfold("Grain");
  await settled(page);
  const [was, before] = [await mean(), (await pixels(page, PULL)).data];
  await grain.getByRole("button", { name: "Another such grain" }).click();
  await settled(page);
  const [now, after] = [await mean(), (await pixels(page, PULL)).data];
  assert.ok(Math.abs(now[1] - was[1]) < 1, `${was} and ${now}`);
  assert.ok(after.some((v, i) => Math.abs(v - before[i]) > 8), "other grains");
  await grain.locator("label", { hasText: "my own" }).click();
  const cover = grain.getByLabel("Metal covered");
  const usual = await cover.inputValue();
  await typed(cover, "99");
  assert.match(await notice(), /^A cover of 5 to 95 % was expected, 99 came: type one within\.$/);
  assert.equal(await cover.inputValue(), usual);
  await typed(cover, "40");
  assert.match((await lines())[4], /Grain: rosin, medium, covers 40 %/);
  // A width that was measured.
  await grain.locator("label", { hasText: "measured" }).click();
  const width = grain.getByLabel("Half are wider than");
  assert.equal(await width.inputValue(), "60");
  await typed(width, "5");
  assert.match(await notice(), /^A width that half of the grains have of 20 to 400 µm was expected, 5 came: type one within\.$/);
  await typed(width, "44");
  assert.match((await lines())[4], /Grain: rosin, half wider than 44 µm, covers 40 %/);
  await grain.locator("label", { hasText: "medium" }).click();
  assert.match((await lines())[4], /Grain: rosin, medium, covers 40 %/);
  await grain.locator("label", { hasText: "as told" }).click();
  await page.waitForFunction(() => document.querySelectorAll(".proof .fold-part[open] table tbody tr").length === 6, null, { timeout: 20_000 });
  const told = await grain.locator("tbody tr").evaluateAll((all) => all.map((row) => [...row.cells].map((cell) => cell.textContent)));
  assert.ok(told.every((row) => /^± [\d.]+/.test(row[2]) && ["told by the strip", "estimate"].includes(row[3])), JSON.stringify(told));
  assert.deepEqual(new Set(told.map((row) => row[3])).size, 2, "a strip tells some of it and not all");
  assert.match(await grain.innerText(), /By itself this model lies [\d.]+ L\* from the strip’s readings/);
  await grain.locator("summary").first().click();
});

test("edges as a hand paints them change the pull along edges only, and come back", async () => {
  await settled(page);
  const before = (await pixels(page, PULL)).data;
  const edges = await unfold("Edges");
  await edges.locator("label", { hasText: "as a hand paints them" }).click();
  await settled(page);
  const hand = (await pixels(page, PULL)).data;
  const moved = hand.filter((v, i) => i % 4 === 1 && Math.abs(v - before[i]) > 25).length / (hand.length / 4);
  assert.ok(moved > 0.005 && moved < 0.4, String(moved));
  assert.match((await lines())[5], /Edges: a hand’s, about 0\.4 mm either way/);
  assert.match(await page.locator(".based").innerText(), /the stop-outs as a hand may paint them/);
  await edges.getByRole("button", { name: "Show where edges may go" }).click();
  await settled(page);
  assert.match(await page.locator(".proof .pulls h3").first().innerText(), /Where edges may go/);
  assert.match(await page.locator(".under-pull").innerText(), /MAY COME OUT LIGHTER.*MAY COME OUT DARKER/s);
  const chances = await mean();
  assert.ok(chances[0] - chances[2] > 0.5 && chances[1] > 120, `marked over paled tones: ${chances}`);
  await way("the pull");
  await settled(page);
  assert.deepEqual((await pixels(page, PULL)).data, hand);
  const wander = edges.getByLabel("Wanders by");
  await typed(wander, "3");
  assert.match(await notice(), /^A wander of 0 to 1\.5 mm was expected, 3 came/);
  await edges.locator("label", { hasText: "exactly as planned" }).click();
  await settled(page);
  assert.deepEqual((await pixels(page, PULL)).data, before);
  await edges.locator("summary").first().click();
});

test("an ink of the printer’s own colours the pull, and goes again with a way back", async () => {
  await settled(page);
  const grey = await mean();
  assert.ok(Math.abs(grey[0] - grey[2]) < 1.5, String(grey));
  await page.getByLabel("Ink of this plate").selectOption("another");
  const inks = part("Inks");
  assert.ok(await inks.evaluate((item) => item.open), "where it is made known opens");
  await colour(inks.locator("input[type=color]").first(), "#8a1f12");
  await still();
  const red = await mean();
  assert.ok(red[0] - red[2] > 20, String(red));
  assert.match(await page.locator(".based").innerText(), /Your what-if: ink 1\./);
  await typed(inks.getByLabel("Transparent medium"), "60");
  await settled(page);
  const thin = await mean();
  assert.ok(thin[1] > red[1] + 5, "thinned, it prints paler");
  await typed(inks.getByLabel("As strong as the patch"), "9");
  assert.match(await notice(), /^A strength of 0\.1 to 3 times was expected, 9 came/);
  await inks.getByLabel("Name", { exact: true }).fill("red ochre");
  await inks.getByLabel("Name", { exact: true }).press("Enter");
  assert.match((await lines())[0], /Inks: red ochre/);
  await inks.getByRole("button", { name: "Take it away" }).click();
  await settled(page);
  assert.deepEqual((await mean()).map(Math.round), grey.map(Math.round));
  await page.getByRole("button", { name: "Put it back" }).click();
  await settled(page);
  assert.deepEqual(await mean(), thin);
});

test("patches are picked from a picture of them: the mean of their light", async () => {
  const inks = part("Inks");
  await inks.locator("label", { hasText: "two patches" }).click();
  // Three fields side by side: sheet, full tone, pale.
  const bytes = await page.evaluate(async () => {
    const canvas = new OffscreenCanvas(300, 100);
    const context = canvas.getContext("2d");
    for (const [i, hex] of ["#f0ead8", "#30231d", "#a08a80"].entries()) {
      context.fillStyle = hex;
      context.fillRect(100 * i, 0, 100, 100);
    }
    return [...new Uint8Array(await (await canvas.convertToBlob({ type: "image/png" })).arrayBuffer())];
  });
  await inks.locator("input[type=file]").setInputFiles({ name: "patches.png", mimeType: "image/png", buffer: Buffer.from(bytes) });
  const pick = inks.locator(".pick");
  await pick.waitFor();
  await pick.scrollIntoViewIfNeeded();
  const box = await pick.boundingBox();
  for (const share of [1 / 6, 3 / 6]) await page.mouse.click(box.x + share * box.width, box.y + box.height / 2);
  // The last by keys.
  await pick.focus();
  for (let i = 0; i < 7; i++) await page.keyboard.press("Shift+ArrowRight");
  await page.keyboard.press("Enter");
  assert.match(await inks.locator(".patches [role=status]").innerText(), /The pale patch is #a08a80/);
  assert.deepEqual(await inks.locator("input[type=color]").evaluateAll((all) => all.filter((item) => item.offsetParent).map((item) => item.value)), ["#30231d", "#a08a80", "#f0ead8"]);
  await still();
  await page.waitForFunction(() => /two patches tell an opacity of \d+.* ΔE [\d.]+ from what such an ink makes/.test(document.querySelector(".proof .fold-part[open] .card").textContent), null, { timeout: 20_000 });
  // The picture belongs to the ink, wherever its card stands.
  await inks.getByRole("button", { name: "Add an ink" }).click();
  assert.deepEqual(await inks.locator(".pick").evaluateAll((all) => all.map((item) => item.offsetParent !== null)), [true, false]);
  await inks.getByRole("button", { name: "Take it away" }).first().click();
  assert.deepEqual(await inks.locator(".pick").evaluateAll((all) => all.map((item) => item.offsetParent !== null)), [false]);
  await page.getByRole("button", { name: "Put it back" }).click();
  await still();
  assert.deepEqual(await inks.locator(".pick").evaluateAll((all) => all.map((item) => item.offsetParent !== null)), [true, false]);
  await inks.getByRole("button", { name: "Take it away" }).nth(1).click();
  await still();
  await inks.locator("summary").first().click();
});

test("no later plan moves an ink whose patches were printed by an earlier one, until it is said to be of today's", async () => {
  const tones = async (number) => {
    await go(page, "tones");
    await typed(page.getByLabel("Tones, typed", { exact: true }), number);
    await settled(page);
    await go(page, "proof");
    await still();
  };
  await page.getByLabel("Ink of this plate").selectOption("0");
  await still();
  const inks = await unfold("Inks");
  const told = () => page.waitForFunction(() => /tell an opacity of \d+/.test(document.querySelector(".proof .fold-part[open] .card").textContent), null, { timeout: 20_000 });
  const opacity = async () => /tell an opacity of (\d+)/.exec(await inks.locator(".card").first().innerText())[1];
  const earlier = inks.getByRole("button", { name: "They are of today’s" });
  await told();
  const [before, count] = [await opacity(), await page.evaluate(() => document.querySelectorAll(".block").length)];
  assert.equal(await earlier.isVisible(), false);
  await tones("4");
  await told();
  assert.equal(await opacity(), before);
  // Four tones have no tone 3 between paper and darkest.
  assert.equal(await earlier.isVisible(), false);
  assert.match(await inks.locator(".card").innerText(), /stay as they were printed/);
  await tones("8");
  await told();
  assert.equal(await opacity(), before);
  assert.equal(await earlier.isVisible(), true);
  await earlier.click();
  await still();
  await told();
  await earlier.waitFor({ state: "hidden" });
  await tones(String(count));
  await told();
  await earlier.click();
  await page.getByLabel("Ink of this plate").selectOption("");
  await still();
  await inks.locator("summary").first().click();
});

test("a warm lamp shifts a coloured ink and no grey, and daylight is as before", async () => {
  const shades = {};
  for (const ink of ["", "0"]) {
    await page.getByLabel("Ink of this plate").selectOption(ink);
    for (const lamp of ["daylight", "booth", "warm", "daylight"]) {
      await way(lamp);
      await settled(page);
      (shades[ink] ??= []).push(await mean());
      assert.equal(await page.getByText("greys stay grey").isVisible(), lamp !== "daylight");
    }
  }
  const off = (a, b) => Math.hypot(...a.map((v, i) => v - b[i]));
  const [[grey, , greyWarm], [day, booth, warm, again]] = [shades[""], shades["0"]];
  assert.ok(off(grey, greyWarm) < 1.5, `${grey} and ${greyWarm}`);
  assert.ok(off(day, warm) > 2 && off(day, warm) > off(day, booth), `${day}, ${booth}, ${warm}`);
  assert.deepEqual(again, day);
});

test("a zone is drawn round by hand, by keys, or typed, and takes its own ink", async () => {
  await page.getByLabel("Ink of this plate").selectOption("");
  await settled(page);
  const plain = await mean(PULL, [0.3, 0.3, 0.7, 0.7]);
  const zones = await unfold("Zones of ink");
  await zones.getByRole("button", { name: "Draw a zone" }).click();
  const box = await page.locator(PULL).boundingBox();
  await page.mouse.move(box.x + 30, box.y + 30);
  await page.mouse.down();
  await page.mouse.move(box.x + 60, box.y + 30.2, { steps: 3 });
  await page.mouse.up();
  assert.match(await notice(), /goes round nothing/);
  await page.mouse.move(box.x + 0.25 * box.width, box.y + 0.25 * box.height);
  await page.mouse.down();
  for (const [x, y] of [[0.75, 0.25], [0.75, 0.75], [0.25, 0.75], [0.25, 0.26]]) await page.mouse.move(box.x + x * box.width, box.y + y * box.height, { steps: 6 });
  await page.mouse.up();
  assert.equal(await zones.locator(".card").count(), 1);
  assert.match((await lines())[1], /Zones of ink: one zone, borders 7 mm/);
  await settled(page);
  const inked = await mean(PULL, [0.3, 0.3, 0.7, 0.7]);
  assert.ok(Math.abs(inked[0] - inked[2]) > Math.abs(plain[0] - plain[2]) + 4, `${plain} and ${inked}`);
  await zones.locator(".card summary").click();
  assert.ok(Math.abs(Number(await zones.getByLabel("Width").inputValue()) - 78.5) < 1.5, await zones.getByLabel("Width").inputValue());
  await typed(zones.getByLabel("From the left"), "10");
  assert.equal(await zones.getByLabel("From the left").inputValue(), "10");
  assert.ok(Math.abs(Number(await zones.getByLabel("Width").inputValue()) - 78.5) < 1.5);
  await page.waitForFunction(() => /ground ink.*light to dark.* by your own pace/i.test(document.querySelector(".proof .fold-part[open]").textContent), null, { timeout: 20_000 });
  await typed(zones.getByLabel("Borders run over"), "12");
  assert.match(await notice(), /^A soft border of 5 to 10 mm was expected, 12 came/);
  // By keys: a triangle in the plate view.
  await zones.locator("label", { hasText: "plate view" }).click();
  await settled(page);
  await zones.getByRole("button", { name: "Draw a zone" }).click();
  await page.keyboard.press("Enter");
  for (const key of ["Shift+ArrowRight", "Shift+ArrowRight", "Shift+ArrowDown", "Shift+ArrowDown", "Shift+ArrowLeft"]) await page.keyboard.press(key);
  await page.keyboard.press("Enter");
  assert.equal(await zones.locator(".card").count(), 2);
  await zones.locator("label", { hasText: "print view" }).click();
  for (let left = 2; left > 0; left--) await zones.getByRole("button", { name: "Take it away" }).first().click();
  assert.equal(await zones.locator(".card").count(), 0);
  await zones.locator("summary").first().click();
  await settled(page);
});

test("a thin paper under the ink shows where the plate is clean, and only in its piece", async () => {
  const before = await mean(PULL, [0.35, 0.35, 0.65, 0.65]);
  const corner = await mean(PULL, [0, 0, 0.2, 0.2]);
  const papers = await unfold("Papers laid in");
  await papers.getByRole("button", { name: "A rectangle" }).click();
  await colour(papers.locator("input[type=color]").first(), "#e8c070");
  await still();
  const under = await mean(PULL, [0.35, 0.35, 0.65, 0.65]);
  assert.ok(under[0] - under[2] > before[0] - before[2] + 6, `${before} and ${under}`);
  const away = await mean(PULL, [0, 0, 0.2, 0.2]);
  assert.ok(Math.abs(away[2] - corner[2]) < 1.5, `${corner} and ${away}`);
  // By its weight, a heavier one hides more; what it can't weigh is refused in a sentence.
  await papers.locator("label", { hasText: "its weight" }).click();
  const weight = papers.getByRole("textbox", { name: "Weight" });
  await typed(weight, "1000");
  assert.match(await notice(), /A weight of 2 to 300 g\/m² was expected, 1000 came/);
  await typed(weight, "15,5");
  await still();
  assert.equal(await weight.inputValue(), "15.5");
  await papers.getByRole("button", { name: "Take it away" }).click();
  await papers.locator("summary").first().click();
  await settled(page);
});

test("another plate is brought in from its saved work: order, trap, misfit, both orders, pairs", async () => {
  const [download] = await Promise.all([page.waitForEvent("download", { timeout: 60_000 }), page.getByRole("button", { name: "Save", exact: true }).click()]);
  const buffer = await readFile(await download.path());
  const plates = await unfold("Plates over one another");
  await settled(page);
  const alone = await mean();
  await page.locator("input.plate-file").setInputFiles({ name: "b.zip", mimeType: "application/zip", buffer });
  await page.waitForFunction(() => document.querySelectorAll(".proof .fold-part[open] .plate-letter").length === 2, null, { timeout: 60_000 });
  await settled(page);
  assert.ok((await mean())[1] < alone[1] - 8, "two plates print darker than one");
  assert.match((await lines())[3], /Plates over one another: B \(this plate\), then B \(.+\)/);
  const second = plates.locator(".card").nth(1);
  await second.getByLabel("Ink").selectOption({ index: 1 });
  await typed(second.getByLabel("Trap"), "1,4");
  assert.match(await notice(), /^A trap of 0 to 1 was expected, 1\.4 came/);
  await second.locator("summary").click();
  await typed(second.getByLabel("Shifted right"), "2");
  await settled(page);
  assert.match(await second.locator("summary").innerText(), /as typed/);
  const shifted = (await pixels(page, PULL)).data;
  await typed(second.getByLabel("Shifted right"), "0");
  await settled(page);
  assert.notDeepEqual((await pixels(page, PULL)).data, shifted);
  await page.waitForFunction(() => document.querySelectorAll(".pair-grid rect").length === 100 && !document.querySelector(".pair-grid").classList.contains("waiting"), null, { timeout: 20_000 });
  // The same plate on itself: tone k meets tone k and no other.
  assert.match(await plates.locator(".pairs-of caption").innerText(), /^10 of 100 colours occur$/);
  const met = await plates.locator(".pairs-of tbody th").allInnerTexts();
  assert.ok(met.length === 10 && met.every((text) => /^(\d), then \1$/.test(text)), met.join("; "));
  await plates.getByRole("button", { name: "Both orders side by side" }).click();
  await settled(page);
  assert.equal(await page.locator(".proof .pulls .picture").evaluateAll((all) => all.filter((item) => item.offsetParent).length), 2);
  await page.screenshot({ path: `${OUT}proof-orders.png`, fullPage: true });
  await way("the pull");
  await second.getByRole("button", { name: "Take it away" }).click();
  await settled(page);
  assert.equal((await mean())[1], alone[1]);
  await page.getByRole("button", { name: "Put it back" }).click();
  await page.waitForFunction(() => document.querySelectorAll(".proof .fold-part[open] .plate-letter").length === 2);
  await settled(page);
  await second.getByRole("button", { name: "Take it away" }).click();
  await plates.locator("summary").first().click();
  await settled(page);
});

test("the pull is saved as a PNG of the plate’s own fineness, with what it rests on written in and beneath", async () => {
  const [download] = await Promise.all([page.waitForEvent("download", { timeout: 120_000 }), page.getByRole("button", { name: "Save the pull (PNG)" }).click()]);
  const png = await readFile(await download.path());
  assert.match(download.suggestedFilename(), /-proof\.png$/);
  // 157 × 177 mm at 10 px/mm, and lines of words at the foot.
  assert.equal(png.readUInt32BE(16), 1570);
  assert.ok(png.readUInt32BE(20) > 1770);
  const text = png.toString("utf8");
  assert.match(text, /(tEXt|iTXt)/);
  assert.match(text, /EXAMPLE, NOT YOUR BATH: by the example strip\./);
});

test("it may be saved finer, with its size said, the work told, and stopped half-way", async () => {
  const saving = page.locator(".saving");
  assert.match(await saving.innerText(), /1570 × 1770 pixels, 10 a mm/);
  await saving.locator("label", { hasText: "fine" }).click();
  const [, width] = /(\d+) × \d+ pixels, 23\.6 a mm/.exec(await saving.innerText());
  const button = page.getByRole("button", { name: "Save the pull (PNG)" });
  await button.click();
  await page.waitForFunction(() => /^writing the pull, \d+ %/.test(document.querySelector(".progress:not([hidden]) p")?.textContent ?? ""), null, { timeout: 60_000 });
  await page.locator(".progress button").click();
  assert.match(await notice(), /^Stopped\./);
  await settled(page);
  const [download] = await Promise.all([page.waitForEvent("download", { timeout: 120_000 }), button.click()]);
  assert.equal((await readFile(await download.path())).readUInt32BE(16), Number(width));
  await saving.locator("label", { hasText: "as planned" }).click();
});

for (const [width, height] of [[1440, 900], [820, 1180], [390, 844]]) {
  test(`everything open fits ${width} px, without a serious fault of access`, async () => {
    const target = await opened(browser, site.url, { width, height });
    await go(target, "proof");
    await target.getByLabel("Ink of this plate").selectOption("another");
    for (const name of ["Zones of ink", "Papers laid in", "Plates over one another", "Grain", "Edges"]) await unfold(name, target);
    for (const name of ["Zones of ink", "Papers laid in"]) await part(name, target).getByRole("button", { name: "A rectangle" }).click();
    await part("Edges", target).locator("label", { hasText: "as a hand paints" }).click();
    for (const look of ["wipe", "side by side", "the pull"]) {
      await way(look, target);
      await settled(target);
      assert.ok(await target.evaluate(() => document.documentElement.scrollWidth <= innerWidth), `${look} is wider than ${width}`);
      assert.deepEqual(await axeFaults(target), [], look);
    }
    await target.screenshot({ path: `${OUT}proof-open-${width}.png`, fullPage: true });
    const small = await target.$$eval(".station.proof :is(button, select, summary, .choice label, .check, input[type=text], input[type=color])", (all) => all
      .filter((item) => item.offsetParent).map((item) => ({ what: item.outerHTML.slice(0, 90), high: item.getBoundingClientRect().height })).filter((item) => item.high < 43.5));
    assert.deepEqual(small, []);
    assert.deepEqual(target.faults, []);
    await target.context().close();
  });
}

test("nothing went wrong meanwhile", () => assert.deepEqual(page.faults, []));
