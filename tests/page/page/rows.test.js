/** Plates side by side: the joints of the example as they stand, dragged about and moved by keys, the best orders, a seam, the bed, one plate alone. */
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { axeFaults, cutOff, begin, end, settled } from "./site.js";

let site, browser, page;
before(async () => { ({ site, browser, page } = await begin("plates")); });
after(() => end({ site, browser }));

const plate = (letter) => page.locator(`.row-plate[aria-label^="Plate ${letter},"]`);
/** The letters as they are numbered: what is seen may still be sliding to its place. */
const order = async () => {
  const all = await page.locator(".row-plate").evaluateAll((plates) => plates.map((each) => [Number(/number (\d+) of/.exec(each.getAttribute("aria-label"))[1]), each.querySelector("b").textContent]));
  return all.sort((a, b) => a[0] - b[0]).map(([, letter]) => letter).join("");
};
/** Until every joint has its figures. */
const known = () => page.waitForFunction(() => {
  const joints = [...document.querySelectorAll(".row-joint")];
  return joints.length > 0 && joints.every((each) => !each.classList.contains("stale") && /L\*$/.test(each.querySelector("b").textContent));
}, null, { timeout: 120_000 });
const figures = () => page.locator(".row-joint").evaluateAll((all) => all.sort((a, b) => a.getBoundingClientRect().left - b.getBoundingClientRect().left).map((each) => Number.parseFloat(each.querySelector("b").textContent)));
/** The best order that the list has. */
const best = () => page.locator(".row-found .row-order").first();

test("one plate alone says what is missing, and still has its bed", async () => {
  assert.match(await page.locator(".row-part .lead").innerText(), /Only one plate so far/);
  assert.ok(!await page.locator(".row-scene").isVisible());
  await page.locator(".bed-on svg").waitFor();
  assert.match(await page.locator(".bed-order").first().innerText(), /From the left: B$/);
});

test("the example runs on as it was drawn to, and the list takes it there", async () => {
  await page.getByRole("button", { name: "Open the example of four plates" }).click();
  await page.waitForFunction(() => document.querySelectorAll(".row-plate").length === 4, null, { timeout: 120_000 });
  await known();
  assert.equal(await order(), "ABCD");
  await best().waitFor();
  assert.match(await best().innerText(), /^C · A · B · D\s+worst joint [\d.]+ \(B \| D\), sum [\d.]+ L\*/);
  await best().click();
  await known();
  assert.equal(await order(), "CABD");
  const found = await figures();
  const [, sum] = /sum ([\d.]+)/.exec(await best().innerText());
  assert.ok(Math.abs(found.reduce((a, b) => a + b, 0) - Number(sum)) < 0.2, `${found} for ${sum}`);
  assert.equal(await best().getAttribute("aria-pressed"), "true");
  // Colour is never alone: each joint says in a word how it looks, by its own figure, and its seam is ruled where it does not run on.
  const looks = await page.locator(".row-joint").evaluateAll((all) => all.map((each) => [Number.parseFloat(each.querySelector("b").textContent), each.querySelector("em").textContent]));
  assert.equal(looks.length, 3);
  for (const [tone, word] of looks) assert.equal(word, tone < 5 ? "runs on" : tone < 12 ? "a step shows" : "breaks", `${tone}`);
  const ruled = await page.locator(".row-seam").evaluateAll((all) => all.filter((each) => getComputedStyle(each).backgroundImage !== "none").length);
  assert.equal(ruled, looks.filter(([, word]) => word !== "runs on").length);
  // What stands over the row is the sum of what stands in it.
  const header = /worst joint ([\d.]+), sum ([\d.]+) L\*/.exec(await page.locator(".row-sums").innerText());
  assert.ok(Math.abs(Number(header[2]) - Number(sum)) < 0.11 && Math.abs(Number(header[1]) - Math.max(...found)) < 0.06, header[0]);
  assert.ok(!await page.locator(".row-sums").evaluate((each) => each.classList.contains("stale")));
});

test("keys move a plate, turn it and keep it in its place, and it is said", async () => {
  await plate("D").focus();
  await page.keyboard.press("ArrowLeft");
  await known();
  assert.equal(await order(), "CADB");
  assert.match(await page.locator(".row-many > .hidden").innerText(), /Plate D is number 3 of 4 now: worst joint [\d.]+, sum/);
  await page.keyboard.press("t");
  await known();
  assert.match(await plate("D").getAttribute("aria-label"), /number 3 of 4, turned round/);
  await page.keyboard.press("p");
  assert.match(await plate("D").getAttribute("aria-label"), /keeps its place/);
  assert.equal(await page.evaluate(() => document.activeElement.querySelector("b").textContent), "D", "the keyboard stays with it");
  await page.waitForFunction(() => /those that keep/.test(document.querySelector(".row-found .aside").textContent));
  for (let i = 0; i < 3; i++) await page.locator(".ticket button", { hasText: "Undo" }).click();
  assert.equal(await order(), "CABD");
});

test("a plate is dragged to another place, and its figures follow while it is held", async () => {
  await plate("C").scrollIntoViewIfNeeded();
  const [from, to] = [await plate("C").boundingBox(), await plate("D").boundingBox()];
  await page.mouse.move(from.x + from.width / 2, from.y + 60);
  await page.mouse.down();
  await page.mouse.move(from.x + from.width, from.y + 70, { steps: 4 });
  await page.mouse.move(to.x + to.width - 10, to.y + 60, { steps: 12 });
  await page.locator(".row-item.held").waitFor();
  // While it is held the joints are those of where it would come to stand.
  await known();
  const pairs = await page.locator(".row-joint").evaluateAll((all) => all.map((each) => /joint (\w) \| (\w)/.exec(each.getAttribute("aria-label")).slice(1).join("")).sort());
  assert.deepEqual(pairs, ["AB", "BD", "DC"]);
  const whileHeld = await figures();
  await page.mouse.up();
  await known();
  assert.equal(await order(), "ABDC");
  assert.deepEqual(await figures(), whileHeld);
  await page.locator(".ticket button", { hasText: "Undo" }).click();
  await known();
  assert.equal(await order(), "CABD");
});

test("a joint opens its seam at true size, and a higher picture is weighed in a sentence", async () => {
  await page.locator(".row-joint").first().click();
  const canvas = page.locator(".seam canvas");
  await canvas.waitFor();
  await page.waitForFunction(() => document.querySelector(".seam canvas").width > 100);
  // 180 mm of plate at 96 px an inch.
  const { height } = await canvas.boundingBox();
  assert.ok(Math.abs(height - 180 * 96 / 25.4) < 1, String(height));
  assert.match(await page.locator(".seam-figures").innerText(), /tones [\d.]+ L\* apart on the mean/);
  await plate("B").focus();
  await page.waitForFunction(() => /With the picture of B 4 mm higher, joint A\|B/.test(document.querySelector(".row-wins").textContent));
  await page.locator(".row-raise input").fill("40");
  await page.keyboard.press("Enter");
  assert.match(await page.locator(".notice p").innerText(), /15 mm/);
  assert.equal(await page.locator(".row-raise input").inputValue(), "4");
});

test("in rows of two joints are across and down, and the bed is the print's mirror", async () => {
  const count = page.locator(".row-bar .number", { hasText: "Plates in a row" }).locator("input");
  await count.fill("2");
  await count.press("Enter");
  await known();
  assert.equal(await page.locator(".row-joint").count(), 4);
  await count.fill("4");
  await count.press("Enter");
  await page.waitForFunction(() => document.querySelectorAll(".row-joint").length === 3);
  await page.waitForFunction(() => !document.querySelector(".bed-pictures.stale") && /: D · B · A · C$/.test(document.querySelector(".bed-on .bed-order").textContent));
  assert.match(await page.locator(".bed-print .bed-order").innerText(), /From the left: C · A · B · D$/);
  const letters = (where) => page.locator(`${where} svg text`).evaluateAll((all) => all.filter((each) => each.textContent.length === 1).sort((a, b) => a.getBoundingClientRect().left - b.getBoundingClientRect().left).map((each) => each.textContent).join(""));
  assert.equal(await letters(".bed-on"), "DBAC");
  assert.equal(await letters(".bed-print"), "CABD");
});

test("judged by tones and shapes, figures are in one unit that is said, and add up to the sum of the list", async () => {
  assert.equal(await page.locator(".row-judged").innerText(), "");
  await page.locator(".row-bar").getByRole("radio", { name: "tones and shapes", exact: true }).check();
  await page.waitForFunction(() => /main edges 1\.5 mm apart count as 5 L\*/.test(document.querySelector(".row-judged").textContent));
  await page.waitForFunction(() => !document.querySelector(".row-found").classList.contains("stale") && [...document.querySelectorAll(".row-joint:not(.stale) span")].filter((each) => /^tones /.test(each.textContent)).length === 3);
  const [, sum] = /sum ([\d.]+)/.exec(await page.locator(".row-sums").innerText());
  assert.ok(Math.abs((await figures()).reduce((a, b) => a + b, 0) - Number(sum)) < 0.2);
  const here = page.locator('.row-order[aria-pressed="true"]').first();
  assert.equal(/sum ([\d.]+)/.exec(await here.innerText())[1], sum);
  await page.locator(".row-bar").getByRole("radio", { name: "tones", exact: true }).check();
  await known();
});

test("a search that is cancelled is not begun again by itself, only when it is asked for", async () => {
  // The worker never hears of it, so that it lasts until Cancel, on whatever machine.
  await page.evaluate(() => {
    const send = Worker.prototype.postMessage;
    globalThis.searches = { asked: 0, heard: false };
    Worker.prototype.postMessage = function (message, ...rest) {
      if (message?.call === "rows_find") globalThis.searches.asked += 1;
      if (message?.call !== "rows_find" || globalThis.searches.heard) send.call(this, message, ...rest);
    };
  });
  const turns = page.locator(".row-bar").getByLabel("Plates may be turned round", { exact: true });
  const search = page.getByRole("button", { name: "Look through all orders" });
  await turns.uncheck();
  await page.locator(".progress", { hasText: "looking through the orders" }).getByRole("button", { name: "Cancel" }).click();
  await search.waitFor();
  assert.match(await page.locator(".row-found .aside").innerText(), /^24 orders of these 4 plates\.$/);
  // Other questions go on, and the search is not one of them: also when a plate is moved, which leaves its answer as it was.
  await plate("D").focus();
  await page.keyboard.press("ArrowLeft");
  await known();
  await page.keyboard.press("ArrowRight");
  await known();
  assert.ok(await search.isVisible());
  assert.equal(await page.evaluate(() => globalThis.searches.asked), 1);
  await page.evaluate(() => { globalThis.searches.heard = true; });
  await search.click();
  await page.waitForFunction(() => /^The best of 24 orders/.test(document.querySelector(".row-found .aside").textContent), null, { timeout: 60_000 });
  assert.equal(await page.evaluate(() => globalThis.searches.asked), 2);
  await turns.check();
  await page.waitForFunction(() => /^The best of 192 orders/.test(document.querySelector(".row-found .aside").textContent), null, { timeout: 60_000 });
  assert.equal(await order(), "CABD");
});

test("figures of a plan before are greyed and named while a plate is planned anew, and the bed with them", async () => {
  // What is seen meanwhile is written down, however short it is.
  await page.evaluate(() => {
    const seen = { sums: 0, fresh: 0, bed: 0, words: "" };
    globalThis.seen = seen;
    const look = () => {
      const stale = (selector) => document.querySelector(selector).classList.contains("stale");
      const words = document.querySelector(".row-waits").textContent;
      if (!words) return;
      seen.words = words;
      if (stale(".row-sums")) seen.sums += 1;
      if (stale(".bed-pictures")) seen.bed += 1;
      if (document.querySelector(".row-joint:not(.stale)")) seen.fresh += 1;
    };
    new MutationObserver(look).observe(document.querySelector(".station.plates"), { subtree: true, childList: true, attributes: true, attributeFilter: ["class"] });
  });
  const fresh = () => page.waitForFunction(() => globalThis.seen.words !== "" && document.querySelector(".row-waits").textContent === "", null, { timeout: 180_000 });
  await page.locator(".strip button", { hasText: "−" }).first().click();
  await fresh();
  await page.locator(".acts button", { hasText: "Undo" }).click();
  await page.waitForFunction(() => document.querySelector(".row-waits").textContent !== "");
  await fresh();
  const seen = await page.evaluate(() => globalThis.seen);
  assert.match(seen.words, /Plates? [A-D, ]+ (is|are) being planned anew: what is greyed is of the plan before\./);
  assert.ok(seen.sums > 0 && seen.bed > 0, JSON.stringify(seen));
  assert.equal(seen.fresh, 0, "no joint looks like one of now meanwhile");
  await known();
});

test("the row is seen as one print of the proof's colours, with its gaps", async () => {
  await page.locator(".row-print > summary").click();
  await page.waitForFunction(() => document.querySelector(".row-print canvas").width > 200 && !document.querySelector(".row-print figure").classList.contains("stale"), null, { timeout: 60_000 });
  const found = await page.evaluate(() => {
    const canvas = document.querySelector(".row-print canvas");
    const { data, width, height } = canvas.getContext("2d").getImageData(0, 0, canvas.width, canvas.height);
    const mean = (from, to) => {
      let [sum, count] = [0, 0];
      for (let y = Math.round(height * 0.3); y < height * 0.9; y += 2) for (let x = Math.round(from); x < to; x++) { sum += data[4 * (y * width + x)]; count += 1; }
      return sum / count;
    };
    // 490 mm of plates, three gaps of 3, 8 mm of sheet at either side: the first gap lies 128 to 131 mm from the left.
    const px = width / 515;
    return { gap: mean(128.6 * px, 130.4 * px), left: mean(20 * px, 110 * px), width, height, label: canvas.getAttribute("aria-label") };
  });
  assert.ok(found.gap > found.left + 20, JSON.stringify(found));
  assert.match(found.label, /C, A, B, D\.$/);
  await page.locator(".row-print > summary").click();
});

test("a plate taken out of the row is in no joint, search or bed, has a template of its own, and comes back", async () => {
  const box = page.getByRole("checkbox", { name: "Plate B stands in this row" });
  await box.uncheck();
  await page.waitForFunction(() => document.querySelectorAll(".row-plate").length === 3);
  await known();
  assert.equal(await order(), "CAD");
  await page.waitForFunction(() => !document.querySelector(".bed-pictures.stale") && /: D · A · C$/.test(document.querySelector(".bed-on .bed-order").textContent));
  assert.match(await page.locator(".row-over").innerText(), /^Plate B stands in no row: .*registration template of its own/);
  await page.waitForFunction(() => !document.querySelector(".row-found").classList.contains("stale") && !/B/.test(document.querySelector(".row-order b").textContent));
  await page.locator(".ticket button", { hasText: "Undo" }).click();
  await page.waitForFunction(() => document.querySelectorAll(".row-plate").length === 4);
  assert.equal(await order(), "CABD");
  assert.ok(await box.isChecked());
  await known();
});

test("what does not fit is said with its sizes, and a growth with what it does", async () => {
  const field = (label) => page.locator(".bed-fields .number", { hasText: label }).first().locator("input");
  await field("Bed, along its run").fill("480");
  await field("Bed, along its run").press("Enter");
  await page.waitForFunction(() => /499 × 180 mm \(19\.6 × 7\.1 in\).*480 × 500 mm/.test(document.querySelector(".bed-trouble").textContent));
  assert.ok(!await page.locator(".bed-on svg").isVisible(), "no picture of what can't be");
  await field("Bed, along its run").fill("1000");
  await field("Bed, along its run").press("Enter");
  await page.getByLabel("Print a template for a second run").check();
  await page.waitForFunction(() => /±2\.50 mm|±2\.49 mm/.test(document.querySelector(".bed-growth").textContent));
  // The fringe beside each plate, as a picture: four plates, their widths in figures.
  await page.locator(".bed-fringe svg").waitFor();
  assert.equal(await page.locator(".bed-fringe .plate").count(), 4);
  assert.match(await page.locator(".bed-fringe .aside").innerText(), /drawn \d+ times as broad as they are\. C: 2\.(49|5) mm at the left/);
  assert.deepEqual(await axeFaults(page), []);
  assert.deepEqual(page.faults, []);
});

test("on a phone everything stands within the page", async () => {
  await page.setViewportSize({ width: 390, height: 844 });
  await settled(page);
  const wide = await page.evaluate(() => document.documentElement.scrollWidth);
  assert.ok(wide <= 390, String(wide));
  assert.deepEqual(await cutOff(page), []);
  await known();
});
