/** A strip of the printer's own: typed, pasted, asked about, used, kept. */
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { axeFaults, begin, end, go, settled } from "./site.js";

let begun, page;
before(async () => {
  begun = await begin("times");
  page = begun.page;
  await leaf("your strip");
});
after(() => end(begun));

/** @param {string} name */
async function leaf(name) {
  await page.locator(".station.times > fieldset label", { hasText: name }).click();
  await settled(page);
}
const notice = () => page.locator(".notice p").innerText();
const use = () => page.getByRole("button", { name: "Use my strip" }).click();
const lead = () => page.locator(".station.times .top .lead").innerText();
/** @param {string} id */
const inUse = (id) => page.waitForFunction((name) => document.querySelector(".station.times .top .lead").innerText.includes(`strip ${name}`), id).then(() => settled(page));
const answers = () => page.locator(".answers button").allInnerTexts();
const time = (row) => page.getByLabel(`Reading ${row}, time`, { exact: true });
const read = (row) => page.getByLabel(`Reading ${row}, what was read`, { exact: true });
/** Fills the rows. @param {string} times @param {string} values */
async function type(times, values) {
  const [t, v] = [times.split(" "), values.split(" ")];
  while ((await page.getByLabel(/^Reading \d+, time/).count()) < t.length) await page.getByRole("button", { name: "Add a band" }).click();
  const rows = await page.getByLabel(/^Reading \d+, time/).count();
  for (let i = 0; i < rows; i++) {
    await time(i + 1).fill(t[i] ?? "");
    await read(i + 1).fill(v[i] ?? "");
  }
}
/** The demo's strip 14-B up to its darkest band. */
const VALUES = "89 85 81 74 66 56,5 47 37";

test("the example's readings do not become a strip of one's own, and its name is not taken", async () => {
  await page.getByRole("button", { name: "Copy the readings in use" }).click();
  assert.equal(await page.locator("#strip-id").inputValue(), "");
  for (const name of ["", " 15-a "]) {
    await page.locator("#strip-id").fill(name);
    await use();
    assert.match(await notice(), name ? /is the name of the example strip/ : /no name yet/);
    assert.equal(await page.evaluate(() => document.activeElement.id), "strip-id");
  }
  await page.locator("#strip-id").fill("7-C");
  await use();
  await page.locator(".answers button").first().click();
  await page.waitForFunction(() => /readings of the example strip/.test(document.querySelector(".station.times .top .lead").innerText));
  assert.ok(await page.locator(".station.times .example").first().isVisible());
  assert.equal(await page.locator(".kept li").count(), 0, "an example is not kept as one's own");
  await page.getByRole("button", { name: "Use the example 15-A" }).click();
  await settled(page);
});

test("rising times are asked about once, with both longest bands", async () => {
  await page.locator("#strip-id").fill("7-C");
  await type("0 0:15 30 60 2:00 240 480 960", VALUES);
  await use();
  await page.locator(".answers button").first().waitFor();
  const said = await answers();
  assert.equal(said.length, 2, said.join(" / "));
  assert.match(said[0], /Totals[\s\S]*16:00 \(960 s\)/);
  assert.match(said[1], /Dips[\s\S]*31:45 \(1905 s\)/);
  assert.ok(await page.evaluate(() => document.activeElement.closest(".answers")), "the question has the keyboard");
  assert.deepEqual(await axeFaults(page), []);
  await page.keyboard.press("Enter");
  await inUse("7-C");
  assert.equal(await page.locator(".strip .example").isVisible(), false);
  assert.equal(await page.locator(".asked").isVisible(), false);
  // Another reading, the same times: not asked again.
  await read(3).fill("80,5");
  await use();
  await settled(page);
  assert.equal(await page.locator(".asked").isVisible(), false);
  // Another time: asked again.
  await time(3).fill("0:35");
  await use();
  await page.locator(".answers button").first().waitFor();
});

test("dips typed for totals are known as dips", async () => {
  await page.locator("#strip-id").fill("14-D");
  await type("0 5 5 10 20 40 80 160 160 160", "89 85 81 74 66 56.5 47 37 40.5 45.5");
  await use();
  await page.waitForFunction(() => document.querySelectorAll(".answers button").length === 1);
  assert.match((await answers())[0], /Dips[\s\S]*10:40 \(640 s\)/);
  assert.match(await page.locator(".asked").innerText(), /can't be totals/);
  await page.locator(".answers button").click();
  await inUse("14-D");
});

test("what is no strip is refused in a sentence, and the plan stays", async () => {
  const before = await lead();
  for (const [times, values, pattern] of [
    ["0 5 soon 20", "89 80 70 60", /time of band 2 is "soon"/],
    ["0 5 10 20", "89 80 dark 60", /reading of band 2 is "dark"/],
    ["0 5 10 20", "89 80  60", /reading of band 2 is nothing/],
    ["0 5", "89 80", /three rows in all; 2 came/],
    ["20 10 5 0", "60 70 80 89", /paper first and the longest band last/],
    ["5 10 20", "80 70 60", /first row should be the paper/],
    ["0 5 10 20", "109 80 70 60", /L\* runs from 0 to 100/],
    ["0 5 10 20", "0.05 0.3 0.8 1.2", /densities or shares/],
    ["0 5 10 20", "11 30 50 80", /lighter the longer/],
    ["0 5 10 20", "89 88 87 86", /5 L\* are needed/],
    ["0 5 10 20", "50 50 50 50", /L\* 50.0 \(paper\) to L\* 50.0 only/],
  ]) {
    await type(times, values);
    await page.evaluate(() => { document.querySelector(".notice p").textContent = ""; });
    await use();
    await page.waitForFunction(() => document.querySelector(".notice p").textContent !== "" || document.querySelector(".asked").offsetParent, null, { timeout: 10_000 });
    if (await page.locator(".asked").isVisible()) await page.locator(".answers button").first().click();
    await page.waitForFunction((source) => new RegExp(source).test(document.querySelector(".notice p").innerText), pattern.source, { timeout: 10_000 })
      .catch(async () => assert.fail(`${times} / ${values}: ${await notice()}`));
    await settled(page);
    assert.equal(await lead(), before);
  }
});

test("a table is pasted into the rows, with what its header says", async () => {
  await page.locator(".pasting summary").click();
  await page.locator("#strip-pasted").fill("total\tdensity\n0\t0,12\n1:00\t0,55\n4:00\t1,21");
  await page.getByRole("button", { name: "Put it into the rows" }).click();
  await page.waitForFunction(() => /3 rows were pasted/.test(document.querySelector(".notice p").innerText));
  assert.deepEqual([await time(2).inputValue(), await read(3).inputValue(), await time(4).inputValue()], ["1:00", "1,21", ""]);
  assert.ok(await page.getByRole("radio", { name: "density" }).isChecked());
  await page.locator("#strip-id").fill("D-1");
  await use();
  await page.locator(".answers button").first().click();
  await inUse("D-1");
  // Density 1.21 by ISO 5-4 and CIE 15: Y = 10^−1.21 = 0.06166, L* = 116·0.06166^(1/3) − 16 = 29.83.
  await page.getByRole("button", { name: "Copy the readings in use" }).click();
  assert.match(await read(3).inputValue(), /^29\.8/);
});

test("used strips are kept with their age, come back after a reload, and an old one is warned of", async () => {
  await page.locator("#strip-id").fill("old one");
  await page.locator("#strip-bitten").fill("2024-01-05");
  await page.locator("#strip-celsius").fill("19,5");
  await page.locator("#strip-bath").fill("blue bath");
  await use();
  await inUse("old one");
  await settled(page);
  const kept = page.locator(".kept li").first();
  assert.match(await kept.innerText(), /old one[\s\S]*old[\s\S]*blue bath · 19.5 °C[\s\S]*baths age/);
  // It is kept within a second of a change.
  await page.waitForTimeout(1500);
  await page.reload();
  await page.waitForFunction(() => document.body.dataset.ready === "true");
  await go(page, "times");
  await leaf("your strip");
  // The work as it was left is open again, and its strip in use.
  await inUse("old one");
  await page.getByRole("button", { name: "Use strip 7-C" }).click();
  await inUse("7-C");
  await page.getByRole("button", { name: "Forget strip old one" }).click();
  assert.equal(await page.getByRole("button", { name: "Use strip old one" }).count(), 0);
  assert.deepEqual(page.faults, []);
});
