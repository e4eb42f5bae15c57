/** The bites of a strip: the strip as it looks, its curve, what is said of it, and the ladder with bites and totals apart. */
import assert from "node:assert/strict";
import { after, before, describe, test } from "node:test";
import { axeFaults, begin, end, go, settled } from "./site.js";

let begun, page;
before(async () => {
  begun = await begin("times");
  page = begun.page;
});
after(() => end(begun));

const leaf = async (name) => {
  await page.locator(".station.times > fieldset label", { hasText: name }).click();
  await settled(page);
};
const field = (name) => page.getByLabel(name, { exact: true });
const give = async (name, value) => {
  await field(name).fill(value);
  await page.keyboard.press("Enter");
  await settled(page);
};
const seconds = (text) => {
  const [minutes, rest] = text.match(/(\d+):(\d\d)/).slice(1).map(Number);
  return 60 * minutes + rest;
};
/** The table's cells, tone 1 first. */
const cells = () => page.$$eval(".ladder tbody tr", (rows) => rows.slice(1).map((row) => [...row.cells].map((cell) => cell.innerText.replaceAll("\n", " "))));
const sets = async () => (await cells()).map((row) => seconds(row[1]));
const totals = async () => (await cells()).map((row) => seconds(row[2]));
const ranges = async () => (await cells()).map((row) => row[3].split(" to ").map((text) => text.includes(":") ? seconds(text) : Number(text.replace(" s", ""))));

/** Types a strip and uses it as totals. */
async function bring(id, times, values) {
  await leaf("your strip");
  const [t, v] = [times.split(" "), values.split(" ")];
  const rows = await page.getByLabel(/^Reading \d+, time/).count();
  for (let i = 0; i < rows; i++) {
    await page.getByLabel(`Reading ${i + 1}, time`, { exact: true }).fill(t[i] ?? "");
    await page.getByLabel(`Reading ${i + 1}, what was read`, { exact: true }).fill(v[i] ?? "");
  }
  await page.locator("#strip-id").fill(id);
  await page.getByRole("button", { name: "Use my strip" }).click();
  await page.waitForFunction((name) => document.querySelector(".answers button")?.offsetParent || document.querySelector(".station.times .lead").innerText.includes(`trip ${name}`), id);
  const answer = page.locator(".answers button", { hasText: "Totals" }).first();
  if (await answer.isVisible()) await answer.click();
  await page.waitForFunction((name) => document.querySelector(".station.times .lead").innerText.includes(`trip ${name}`), id);
  await settled(page);
  await leaf("the bites");
}
const TIMES = "0 5 10 20 40 80 160 320 480 640";

describe("the example strip", () => {
  test("the ticket counts short bites by the printer's own slack", async () => {
    const said = () => page.locator(".ticket li", { hasText: "Times" }).innerText();
    assert.doesNotMatch(await said(), /bites? under|is only/);
    await give("Handling slack", "4");
    assert.match(await said(), /three bites under 12 s/);
    await page.getByRole("button", { name: "Undo", exact: true }).click();
    await settled(page);
    await give("Handling slack", "often");
    assert.match(await page.locator(".notice p").innerText(), /“often” is not a time\. Type seconds or m:ss/);
  });

  test("bites and totals stand apart, and what is shown adds up", async () => {
    const [set, total] = [await sets(), await totals()];
    assert.deepEqual(total, [7, 15, 25, 40, 65, 100, 155, 265, 560], "by SciPy's cubic, rounded to what a hand can do");
    assert.deepEqual(set.map((_, k) => set.slice(0, k + 1).reduce((a, b) => a + b)), total);
    assert.deepEqual((await page.locator(".ladder thead th").allInnerTexts()).slice(0, 3), ["Tone", "BITE: set the clock to", "TOTAL so far"]);
  });

  test("every total has a range that holds it, and a larger reading error widens it", async () => {
    const [narrow, exact] = [await ranges(), (await cells()).map((row) => Number(/exactly ([\d.]+) s/.exec(row[2])[1]))];
    narrow.forEach(([low, high], k) => assert.ok(low <= exact[k] + 0.5 && exact[k] - 0.5 <= high && low < high, `${low} ${exact[k]} ${high}`));
    assert.ok(narrow.at(-1)[1] <= 640, "never past the strip");
    await give("Reading error", "2,5");
    const wide = await ranges();
    wide.forEach(([low, high], k) => assert.ok(high - low > 1.2 * (narrow[k][1] - narrow[k][0]) || high === 640, `tone ${k + 1}`));
    await give("Reading error", "1");
    assert.deepEqual(await ranges(), narrow, "equal strips give equal ranges");
  });

  test("the strip shows as it looks, and its figures stand in a table", async () => {
    const greys = await page.$$eval(".bands .band", (bands) => bands.map((band) => Number(/\d+/.exec(getComputedStyle(band).backgroundColor)[0])));
    assert.equal(greys.length, 9);
    // CIE 15 and IEC 61966-2-1: L* 91 is sRGB 229.17, L* 20.5 is 49.37, by colour-science 0.4.7.
    assert.deepEqual([greys[0], greys[8]], [229, 49]);
    assert.ok(greys.every((grey, i) => i === 0 || grey < greys[i - 1]));
    assert.equal(await page.locator(".chart > svg .reading").count(), 9);
    assert.equal(await page.locator(".findings li").count(), 0);
    await page.locator(".behind summary").click();
    assert.equal(await page.locator(".behind tbody tr").count(), 9);
    assert.deepEqual(await axeFaults(page), []);
  });

  test("slack flags bites shorter than three times it; lag lengthens every bite", async () => {
    const before = await sets();
    assert.equal((await cells()).filter((row) => /bite under/.test(row[6])).length, 0);
    await give("Handling slack", "4");
    assert.equal((await cells()).filter((row) => /bite under 12 s/.test(row[6])).length, 3);
    await give("Handling slack", "2");
    await give("Restart lag", "2");
    const after = await sets();
    assert.ok(after.at(-1) >= before.at(-1) && after.reduce((a, b) => a + b) > before.reduce((a, b) => a + b), `${before} became ${after}`);
    assert.match(await page.locator(".ladder + .aside, .scroll + .aside").first().innerText(), /2 s longer/);
    await give("Restart lag", "0");
    assert.deepEqual(await sets(), before);
  });

  test("figures that can't be are refused in a sentence", async () => {
    for (const [name, wrong] of [["Reading error", "0"], ["Handling slack", "40"], ["Restart lag", "31"]]) {
      const before = await field(name).inputValue();
      await give(name, wrong);
      assert.match(await page.locator(".notice p").innerText(), /runs from .* choose a value within/);
      await page.keyboard.press("Control+z");
      await settled(page);
      assert.equal(await field(name).inputValue(), before);
    }
  });
});

describe("strips that do not fall", () => {
  test("an over-bitten strip is taken whole and planned short of its darkest band", async () => {
    await bring("14-B", TIMES, "89 85 81 74 66 56,5 47 37 40,5 45,5");
    assert.match(await page.locator(".findings").innerText(), /Over-bitten[\s\S]*between 160 s and 480 s[\s\S]*past 304 s/);
    assert.equal(await page.locator(".chart > svg .reading").count(), 10, "the raw readings stay");
    assert.equal(await page.locator(".chart > svg .past").count(), 1);
    assert.equal(await page.locator(".bands .over_bitten").count(), 2);
    assert.deepEqual(await totals(), [7, 14, 25, 40, 60, 90, 135, 200, 300]);
    assert.ok((await ranges()).every(([, high]) => high <= 304));
    assert.deepEqual(await axeFaults(page), []);
  });

  test("bands that disagree are named, and the times keep near those of the clean strip", async () => {
    await bring("14-C", TIMES, "89 85 81 74 63 64,5 47 37 40,5 45,5");
    assert.match(await page.locator(".findings").innerText(), /40 s \(L\* 63\.0\) and 80 s \(L\* 64\.5\) disagree: repeat them/);
    assert.equal(await page.locator(".bands .disagrees").count(), 2);
    assert.match(await page.locator(".key").innerText(), /curve between them/);
    // By SciPy's least_squares with soft_l1: 5.9 14.6 26.6 42.8 64.5 94.5 137.0 200.1 300.5.
    assert.deepEqual(await totals(), [6, 15, 25, 45, 65, 95, 135, 200, 300]);
  });

  test("a strip the wrong way round is refused, and the plan before stays", async () => {
    await leaf("your strip");
    await page.locator("#strip-id").fill("up");
    for (const [i, [t, v]] of [["0", "20"], ["10", "50"], ["20", "90"]].entries()) {
      await page.getByLabel(`Reading ${i + 1}, time`, { exact: true }).fill(t);
      await page.getByLabel(`Reading ${i + 1}, what was read`, { exact: true }).fill(v);
    }
    for (let i = 4; i <= await page.getByLabel(/^Reading \d+, time/).count(); i++) {
      await page.getByLabel(`Reading ${i}, time`, { exact: true }).fill("");
      await page.getByLabel(`Reading ${i}, what was read`, { exact: true }).fill("");
    }
    await page.getByRole("button", { name: "Use my strip" }).click();
    await page.waitForFunction(() => /lighter the longer it was bitten/.test(document.querySelector(".notice p").innerText));
    await leaf("the bites");
    assert.match(await page.locator(".ladder caption").innerText(), /14-C/);
  });
});

for (const width of [1440, 820, 390]) {
  test(`nothing leaves the page at ${width} px`, async () => {
    await page.setViewportSize({ width, height: 900 });
    await go(page, "times");
    await page.waitForTimeout(200);
    assert.ok(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth + 1), "no sideways scrolling");
    const narrow = await page.$$eval(".station.times .practice input, .station.times summary", (all) => all.filter((item) => item.offsetParent && item.getBoundingClientRect().height < 43.5).length);
    assert.equal(narrow, 0, "44 px to press");
  });
}

test("no fault and no request to elsewhere", () => {
  assert.deepEqual(page.faults, []);
  assert.ok(page.requests.every((url) => url.startsWith(begun.site.url) || /^(blob|data):/.test(url)), page.requests.join("\n"));
});
