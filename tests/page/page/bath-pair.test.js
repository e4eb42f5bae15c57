import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { after, before, test } from "node:test";
import { axeFaults, begin, end, go, settled } from "./site.js";

let site, browser, page;
before(async () => { ({ site, browser, page } = await begin("times")); });
after(() => end({ site, browser }));

/** A leaf of the times station. */
async function leaf(word) {
  await page.locator(".times > .choice label", { hasText: word }).click();
  await settled(page);
}
/** One of the words of a row. */
async function choose(legend, word) {
  await page.getByRole("group", { name: legend, exact: true }).locator("label").filter({ has: page.getByText(word, { exact: true }) }).click();
  await settled(page);
}
async function type(label, text) {
  const field = page.locator(".times").getByLabel(label, { exact: true });
  await field.fill(text);
  await field.press("Enter");
  await field.blur();
  await settled(page);
}
const TIME = /\d+:\d\d|\d\s?s\b/;
const bites = () => page.locator(".strip .bites").innerText();

test("a dangerous pair is a STOP in words, and neither list nor run sheet is left", async () => {
  await leaf("metal and bath");
  await choose("Metal", "zinc");
  await choose("Mordant", "ferric chloride");
  const panel = page.locator(".times .pair-verdict");
  assert.equal(await panel.getAttribute("data-verdict"), "stop");
  assert.match(await panel.innerText(), /^STOP[\s\S]*Zinc in ferric chloride[\s\S]*hydrogen[\s\S]*Lawrence/);
  assert.match(await page.locator("nav").innerText(), /STOP: zinc in ferric chloride/);
  await go(page, "bath");
  assert.equal(await page.locator("ol.run").isVisible(), false);
  assert.match(await page.locator(".station.bath").innerText(), /STOP[\s\S]*No run sheet prints/);
  assert.doesNotMatch(await page.locator(".station.bath").innerText(), TIME);
  await go(page, "sheets");
  await page.waitForFunction(() => /stop, the page in place of the run sheet/.test(document.querySelector(".station.sheets").textContent));
  assert.match(await page.locator(".station.sheets .notes").innerText(), /STOP: zinc in ferric chloride\. No run sheet prints/);
  await go(page, "times");
});

test("after a STOP the times station lists nothing to bite by, on any of its leaves", async () => {
  const station = page.locator(".station.times");
  for (const word of ["the bites", "your strip", "another bite", "what if"]) {
    await leaf(word);
    assert.match(await station.locator(".stopped").innerText(), /^STOP[\s\S]*Zinc in ferric chloride[\s\S]*See why/, word);
    assert.doesNotMatch(await station.innerText(), /set the clock/i, word);
  }
  await leaf("your strip");
  assert.equal(await page.getByRole("button", { name: "Print its sheet (PDF)" }).isVisible(), false);
  assert.match(await page.locator(".strip-plan").innerText(), /STOP: zinc in ferric chloride\. No strip is bitten in this bath either/);
  assert.match(await page.locator(".strip .readout").innerText(), /STOP: zinc in ferric chloride/);
  await page.getByRole("button", { name: "See why" }).click();
  await settled(page);
  assert.ok(await page.locator(".times .pair-verdict").isVisible());
  assert.ok(await page.evaluate(() => document.activeElement?.closest(".station.times > .choice") !== null), "the keyboard is not thrown back to the head of the page");
});

test("the usual pair needs the shop's sign-off, and a tray that bit the other metal is a STOP", async () => {
  await choose("Mordant", "nitric acid");
  const panel = page.locator(".times .pair-verdict");
  assert.equal(await panel.getAttribute("data-verdict"), "sign_off");
  assert.match(await panel.innerText(), /SHOP SIGN-OFF[\s\S]*brown nitrogen dioxide[\s\S]*not answered/);
  await choose("Has this tray bitten another metal?", "copper");
  assert.equal(await panel.getAttribute("data-verdict"), "stop");
  await choose("Has this tray bitten another metal?", "no other metal");
  assert.equal(await panel.getAttribute("data-verdict"), "sign_off");
  await go(page, "bath");
  assert.equal(await page.locator("ol.run").isVisible(), true);
  assert.match(await page.locator(".station.bath .pair-verdict").innerText(), /SHOP SIGN-OFF/);
  await go(page, "times");
});

test("own words are taken, and what is not understood is signed off by the shop", async () => {
  await choose("Metal", "in my own words");
  await type("Metal, in your words", "grandfather's pewter");
  assert.match(await page.locator(".times .pair-verdict").innerText(), /SHOP SIGN-OFF[\s\S]*“grandfather's pewter” in nitric acid[\s\S]*not understood/);
  // Taken back, they are not left standing.
  await page.getByRole("button", { name: "Undo", exact: true }).click();
  await settled(page);
  assert.equal(await page.getByLabel("Metal, in your words").isVisible(), false);
  await choose("Metal", "not said");
  await choose("Metal", "in my own words");
  assert.equal(await page.getByLabel("Metal, in your words").inputValue(), "");
  await choose("Metal", "zinc");
});

test("temperatures are a hint until they are applied, in either unit, and a witness stands in their place", async () => {
  const before = await bites();
  await type("When the strip was bitten", "21");
  await type("Today", "17");
  const warmth = page.locator("section.part", { has: page.locator("#h-warmth") });
  assert.match(await warmth.innerText(), /between × 1\.09 and × 1\.33[\s\S]*Not applied/);
  assert.equal(await bites(), before);
  await warmth.locator("label", { hasText: "°F" }).click();
  assert.equal(await page.getByLabel("Today", { exact: true }).inputValue(), "62.6");
  await warmth.getByText("Apply to all times").click();
  await settled(page);
  assert.match(await warmth.innerText(), /Applied: all times are 1\.2 times the strip’s/);
  assert.equal(await page.evaluate(() => document.activeElement?.textContent), "Take it off again", "the keyboard stays where it was");
  assert.match(await page.locator(".station.times .lead").first().innerText(), /strip/);
  await leaf("the bites");
  assert.match(await page.locator(".findings").innerText(), /All times are 1\.20 times the strip’s, for today’s temperature\. The bands below keep the strip’s own times/);
  await go(page, "bath");
  assert.match(await page.locator(".station.bath").innerText(), /All times are 1\.20 times the strip’s, for today’s temperature/);
  await go(page, "times");
  await leaf("metal and bath");
  // Arrow keys on the energy are one thing to undo.
  await page.locator("#warmth").focus();
  for (let i = 0; i < 4; i++) await page.keyboard.press("ArrowRight");
  await settled(page);
  assert.doesNotMatch(await warmth.innerText(), /all times are 1\.2 times/);
  await page.getByRole("button", { name: "Undo", exact: true }).click();
  await settled(page);
  assert.match(await warmth.innerText(), /Applied: all times are 1\.2 times the strip’s/);
  assert.notEqual(await bites(), before);
  await page.locator("#witness-time").fill("1:40");
  await page.locator("#witness-l").fill("48,5");
  await page.getByText("Scale all times by it").click();
  await settled(page);
  assert.match(await page.locator("section.part", { has: page.locator("#h-witness") }).innerText(), /All times are 1\.25 times the strip’s/);
  assert.match(await warmth.innerText(), /stands in its place/);
  await page.locator("#witness-l").fill("95");
  await page.getByText("Scale all times by it").click();
  await page.waitForFunction(() => /The witness reads L\* 95\.0/.test(document.querySelector(".notice[data-kind=refused]")?.textContent ?? ""));
  await page.getByText("Take it off", { exact: true }).click();
  await settled(page);
  await warmth.getByText("Take it off again").click();
  await settled(page);
  assert.equal(await bites(), before);
});

test("metal taken is said at most, with its assumption, and as a share only of the printer's own bath", async () => {
  const taken = page.locator("section.part", { has: page.locator("#h-taken") });
  assert.match(await taken.innerText(), /At most [\d.]+ g of zinc, if the blacks end 30\sµm deep[\s\S]*assumptions, no facts/);
  assert.doesNotMatch(await taken.innerText(), /% of the/);
  await type("In the tray", "4");
  await type("Or metal it can take", "10");
  assert.match(await taken.innerText(), /% of the 40 g this tray would ideally take up/);
});

test("the station has no serious fault of access and nothing is wider than the page", async () => {
  assert.deepEqual(await axeFaults(page), []);
  for (const width of [1440, 820, 390]) {
    await page.setViewportSize({ width, height: 900 });
    await settled(page);
    assert.ok(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth), `${width} px`);
    const small = await page.$$eval(".day button, .day input:not([type=radio]):not([type=range]), .day label:has(input[type=radio])", (all) => all.filter((item) => item.offsetParent && item.getBoundingClientRect().height < 43.5).map((item) => item.textContent || item.id));
    assert.deepEqual(small, [], `targets at ${width} px`);
  }
  await page.setViewportSize({ width: 1440, height: 900 });
});

test("a strip is planned: its dips are differences of rounded totals, and its sheet prints", async () => {
  await leaf("your strip");
  const table = page.locator(".strip-plan table");
  const cells = async (column) => (await table.locator("tbody tr").evaluateAll((rows, c) => rows.slice(1).map((row) => row.cells[c].textContent), column));
  assert.deepEqual(await cells(1), ["0:10", "0:09", "0:16", "0:35", "1:00", "2:00", "3:45", "7:05"]);
  assert.deepEqual(await cells(2), ["0:10", "0:19", "0:35", "1:10", "2:10", "4:10", "7:55", "15:00"]);
  await type("Bitten bands", "5");
  assert.equal((await cells(1)).length, 5);
  await type("Darkest band", "0:05");
  await page.waitForFunction(() => /A first time of 1 s or more/.test(document.querySelector(".notice[data-kind=refused]")?.textContent ?? ""));
  const [file] = await Promise.all([page.waitForEvent("download"), page.getByText("Print its sheet (PDF)").click()]);
  assert.match(file.suggestedFilename(), /strip-plan\.pdf$/);
  assert.equal((await readFile(await file.path())).subarray(0, 5).toString(), "%PDF-");
});

test("without a strip no time is shown anywhere, ratios instead; the example brings them back with its words", async () => {
  await page.getByText("I have no strip yet: show no times").click();
  await settled(page);
  assert.match(await bites(), /× /);
  // The strip to bite has times of the printer's own choice; everything else has none.
  const read = () => page.evaluate(() => {
    const copy = [...document.querySelectorAll("nav, .strip, main > section:not([hidden])")];
    return copy.map((item) => [...item.querySelectorAll("*")].filter((e) => e.children.length === 0 && e.offsetParent && !e.closest(".strip-plan, .own, .kept")).map((e) => e.textContent).join("\n")).join("\n");
  });
  for (const station of ["whole", "drawing", "tones", "painting", "times", "sheets", "bath", "proof"]) {
    await go(page, station);
    for (const word of station === "times" ? ["the bites", "metal and bath", "another bite", "what if"] : [""]) {
      if (word) await leaf(word);
      const text = await read();
      // When the work was kept is a time of day, no time of a bite.
      const found = TIME.exec(text.replace(/\d+ s or m:ss|s or m:ss|Kept here at \d+:\d\d|flash 10 s before/g, ""));
      assert.equal(found, null, `${station} ${word}: …${text.slice(Math.max(0, (found?.index ?? 0) - 40), (found?.index ?? 0) + 20)}…`);
      assert.doesNotMatch(text, /NaN|undefined/);
    }
  }
  await go(page, "times");
  await leaf("the bites");
  await page.getByText("Show the example’s times").first().click();
  await settled(page);
  assert.match(await bites(), /\d:\d\d/);
  for (const station of ["whole", "times", "bath", "proof"]) {
    await go(page, station);
    assert.match(await page.locator("main > section:not([hidden])").innerText(), /EXAMPLE, NOT YOUR BATH/, station);
  }
  assert.match(await page.locator(".strip .readout").innerText(), /EXAMPLE, NOT YOUR BATH/);
  assert.deepEqual(page.faults, []);
});
