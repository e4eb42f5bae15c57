/** Times: what another bite is worth, and what if a bite was longer or shorter. */
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { after, before, test } from "node:test";
import { axeFaults, begin, end, OUT, opened, go, settled } from "./site.js";

let site, browser, page;
before(async () => { ({ site, browser, page } = await begin("times")); });
after(() => end({ site, browser }));

/** @param {string} name */
async function leaf(name, target = page) {
  await target.locator(".station.times > .choice label", { hasText: name }).click();
}

/** Waits until every count of tones has its figures and its small print. */
async function weighed(target = page) {
  await target.waitForFunction(() => document.querySelector(".worth .scroll tbody") && !document.querySelector(".worth .scroll tbody").textContent.includes("…")
    && document.querySelectorAll(".small-print.stale").length === 0, null, { timeout: 60_000 });
}

/** Waits until the two sentences are as they should be. @param {(text: string) => boolean} right */
async function said(right) {
  for (const until = Date.now() + 20_000; ; await page.waitForTimeout(100)) {
    const text = await page.locator(".sentences").innerText();
    if (!/worked out/.test(text) && right(text)) return;
    assert.ok(Date.now() < until, text);
  }
}

/** Waits until the strip has so many tones. @param {number} count */
const blocks = (count) => page.waitForFunction((wanted) => document.querySelectorAll(".strip .block").length === wanted, count, { timeout: 20_000 });

const cells = (target = page) => target.$$eval(".worth .scroll tbody tr", (rows) => rows.map((row) => [...row.children].map((cell) => cell.textContent)));
const value = (text) => Number(text.replace(/[^\d.−-]/g, "").replace("−", "-"));

test("every count of tones gets its figures, the present one first", async () => {
  const began = Date.now();
  await leaf("another bite");
  await page.waitForFunction(() => document.querySelector(".worth .scroll tbody tr:nth-child(9) td")?.textContent.includes("L*"), null, { timeout: 20_000 });
  const first = Date.now() - began;
  await weighed();
  console.log(`the present count after ${first} ms, all fifteen and their pictures after ${Date.now() - began} ms`);
  const rows = await cells();
  assert.equal(rows.length, 15);
  assert.equal(rows[8][0], "10, now");
  const errors = rows.map((row) => value(row[1]));
  assert.ok(errors.every((error) => error > 0) && errors[0] > errors[4] && errors[4] > errors[14], String(errors));
  const fusing = rows.map((row) => value(row[8]));
  for (let i = 1; i < fusing.length; i++) assert.ok(fusing[i] >= fusing[i - 1], String(fusing));
  // Sixteen tones of strip 15-A stand 4.63 L* apart: 15 · Φ((3 − 4.6333)/(1.5·√2)) = 3.31, SciPy.
  assert.ok(Math.abs(fusing[14] - 3.3) < 0.06, String(fusing[14]));
});

test("the next bite up and the one down are said in words, and nothing is recommended", async () => {
  const [more, fewer] = await page.locator(".sentences p").allInnerTexts();
  assert.match(more, /^Bite 10 (refines|coarsens|changes).*(minute|time).*likely to fuse\. As seen, /);
  assert.match(fewer, /^Leaving bite 9 out .*likely to fuse\. As seen, /);
  assert.match(more, /besides its drying and rinsing/);
  assert.doesNotMatch(await page.locator(".station.times").innerText(), /recommend|optim|best/i);
});

test("the count offered at first can be made before any is pressed, and the keyboard stays near", async () => {
  const offered = page.getByRole("button", { name: "Make it eleven tones" });
  await offered.focus();
  await page.keyboard.press("Enter");
  await blocks(11);
  assert.equal(await page.evaluate(() => /** @type {HTMLInputElement} */ (document.activeElement).value), "11");
  await page.getByRole("button", { name: "Undo", exact: true }).click();
  await blocks(10);
});

test("the minutes at the bench are the printer's own, and are counted once given", async () => {
  const before = await cells();
  for (const [label, text] of [["Drying, a bite", "25"], ["Rinsing, a bite", "5"]]) {
    const field = page.getByLabel(label);
    await field.fill(text);
    await field.press("Enter");
  }
  await said((text) => !/besides/.test(text));
  await weighed();
  const now = await cells();
  const minutes = (text) => { const [, h = 0, m] = /(?:(\d+) h)? ?(?:(\d+)(?: min)?)?$/.exec(text); return Number(h) * 60 + Number(m ?? 0); };
  // 30 minutes a bite more: nine bites, and fifteen.
  for (const [i, bites] of [[8, 9], [14, 15]]) assert.ok(Math.abs(minutes(now[i][9]) - minutes(before[i][9]) - 30 * bites) <= 1, `${before[i][9]} and ${now[i][9]}`);
  assert.deepEqual(now.map((row) => row[1]), before.map((row) => row[1]), "the picture is the same");
  await page.getByLabel("Drying, a bite").fill("");
  await page.getByLabel("Drying, a bite").press("Enter");
  await said((text) => /besides its drying and makes/.test(text) && /and its drying and leaves/.test(text));
});

test("a count that is pressed stands beside the present one, and can be taken", async () => {
  await page.locator(".worth .counts label", { hasText: /^7$/ }).click();
  assert.match(await page.locator(".worth table.beside caption").innerText(), /Seven tones, six bites, beside ten/);
  await page.locator(".small-print", { hasText: "twelve tones" }).click();
  assert.match(await page.locator(".worth table.beside caption").innerText(), /Twelve tones/);
  const shown = await page.$eval(".small-print:nth-child(11) canvas", (canvas) => canvas.getContext("2d").getImageData(0, 0, canvas.width, canvas.height).data.reduce((set, v, i) => i % 4 ? set : set.add(v), new Set()).size);
  assert.ok(shown > 20, `a picture, ${shown} greys`);
  await page.getByRole("button", { name: "Make it twelve tones" }).click();
  await blocks(12);
  await weighed();
  assert.equal((await cells())[10][0], "12, now");
  await page.getByRole("button", { name: "Undo", exact: true }).click();
  await blocks(10);
});

test("a slip moves each tone as SciPy says, and safe tones are marked", async () => {
  await leaf("what if");
  const table = readFileSync(new URL("../../reference/data/what_if.csv", import.meta.url), "utf8").split("\n").filter((line) => line && !line.startsWith("#")).slice(1).map((line) => line.split(","));
  for (const [bite, off] of [[4, 20], [1, 3], [9, 75], [7, -4]]) {
    await page.locator(".what-if .slip .choice label", { hasText: new RegExp(`^${bite}$`) }).click();
    const typed = page.locator(".what-if .slider input[type=text]");
    await typed.fill(String(off));
    await typed.press("Enter");
    await page.waitForFunction(([b, o]) => document.querySelector(".what-if caption")?.textContent.includes(`bite ${b} is ${Math.abs(o)} s too ${o > 0 ? "long" : "short"}`), [bite, off]);
    const expected = table.find((row) => row[0] === "15-a" && row[1] === "10" && row[2] === String(bite) && Number(row[3]) === off)[4].split(" ").map(Number);
    const rows = await page.$$eval(".what-if table.moves tbody tr", (all) => all.map((row) => [...row.children].map((cell) => cell.textContent)));
    assert.equal(rows.length, 10);
    for (const [tone, row] of rows.entries()) {
      assert.equal(/already covered/.test(row[4]), tone < bite, row.join(" | "));
      if (tone >= bite) assert.ok(Math.abs(Number(/([\d.]+)[^\d]*$/.exec(row[2])[1]) - expected[tone - bite]) <= 0.0501, `${row[2]} and ${expected[tone - bite]}`);
      if (tone < bite) assert.equal(row[3], "0");
    }
  }
});

test("a way on whose bites a hand can't hold says so, by the printer's own slack", async () => {
  await page.locator(".what-if .slip .choice label", { hasText: /^1$/ }).click();
  await page.getByRole("button", { name: "+20 s" }).click();
  await page.waitForFunction(() => document.querySelector(".what-if .what").textContent.startsWith("Bite 1 is 20 s too long"));
  const ways = () => page.locator(".what-if .ways-on").innerText();
  // The first bite after it, exactly, as the tables have it.
  const exact = await page.$$eval(".what-if .ways-on tbody tr", (all) => all.map((row) => [Number(row.cells[0].textContent), Number.parseFloat(row.cells[3].textContent)]));
  for (const [bite, seconds] of exact) assert.equal(new RegExp(`Bites? [^:]*\\b${bite}\\b[^:]* under 6 s`).test(await ways()), seconds < 6, `bite ${bite}, ${seconds} s: ${await ways()}`);
  await leaf("the bites");
  await page.getByLabel("Handling slack", { exact: true }).fill("5");
  await page.getByLabel("Handling slack", { exact: true }).press("Enter");
  await settled(page);
  await leaf("what if");
  await page.waitForFunction(() => /under 15 s: a gamble by hand/.test(document.querySelector(".what-if .ways-on").textContent));
  await page.getByRole("button", { name: "Undo", exact: true }).click();
  await settled(page);
});

test("the slider answers while it moves, and says what it can't", async () => {
  const range = page.locator(".what-if .slider input[type=range]");
  await range.focus();
  const before = await page.locator(".what-if .what").innerText();
  await range.press("ArrowRight");
  await page.waitForFunction((text) => document.querySelector(".what-if .what").textContent !== text, before);
  await page.getByRole("button", { name: "+20 s" }).click();
  await page.locator(".what-if .slip .choice label", { hasText: /^4$/ }).click();
  await page.waitForFunction(() => document.querySelector(".what-if .what").textContent.startsWith("Bite 4 is 20 s too long"));
  assert.match(await page.locator(".ways-on").innerText(), /Space the rest evenly/);
  await range.evaluate((input) => { input.value = "-120"; input.dispatchEvent(new Event("input", { bubbles: true })); input.dispatchEvent(new Event("change", { bubbles: true })); });
  await page.waitForFunction(() => document.querySelector(".what-if .what").textContent.includes("can’t be shorter"));
  assert.match(await page.locator(".ways-on").innerText(), /Before you paint, put it back/);
  const typed = page.locator(".what-if .slider input[type=text]");
  await typed.fill("300");
  await typed.press("Enter");
  assert.match(await page.locator(".notice").first().innerText(), /up to 120 s/);
});

for (const [width, height] of [[1440, 900], [820, 1180], [390, 844]]) {
  test(`both leaves fit ${width} px, without a serious fault of access`, async () => {
    const target = await opened(browser, site.url, { width, height });
    await go(target, "times");
    for (const [name, part] of [["another bite", "worth"], ["what if", "what-if"]]) {
      await leaf(name, target);
      if (part === "worth") await weighed(target);
      else await target.waitForFunction(() => document.querySelector(".what-if table.moves"));
      await target.screenshot({ path: `${OUT}${part}-${width}.png`, fullPage: true });
      assert.ok(await target.evaluate(() => document.documentElement.scrollWidth <= innerWidth), `${part} is wider than ${width}`);
      assert.deepEqual(await axeFaults(target), []);
      const small = await target.$$eval(".leaf:not([hidden]) button, .leaf:not([hidden]) .choice label", (all) => all.map((item) => item.getBoundingClientRect()).filter((box) => box.width > 0 && (box.height < 43.5 || box.width < 43.5)).map((box) => `${box.width} × ${box.height}`));
      assert.deepEqual(small, []);
    }
    assert.deepEqual(target.faults, []);
    await target.context().close();
  });
}

test("nothing went wrong meanwhile", () => assert.deepEqual(page.faults, []));
