/** Papers under the ink: the example's pieces with their golden figures, drawn and taken pieces, what lies above what, sheets, proof, the laying clock, and what is no paper. */
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { axeFaults, begin, end, go, settled } from "./site.js";

let site, browser, page;
before(async () => { ({ site, browser, page } = await begin("papers")); });
after(() => end({ site, browser }));

const part = (name) => page.locator(".papers .fold-part", { has: page.locator(`summary b:text-is("${name}")`) });
const line = (name) => part(name).locator("summary .line").innerText();
const unfold = async (name) => {
  const found = part(name);
  if (!await found.evaluate((item) => item.open)) await found.locator("summary").first().click();
  return found;
};
/** Waits until what there is to say of the papers is there. */
const facts = async () => {
  await page.waitForTimeout(150);
  await page.waitForFunction(() => [...document.querySelectorAll(".papers .line")].every((item) => item.textContent !== "…"), null, { timeout: 30_000 });
};
const type = async (label, text) => {
  await page.locator(".papers").getByLabel(label, { exact: true }).fill(text);
  await page.keyboard.press("Enter");
  await facts();
};
const undo = async () => {
  await page.evaluate(() => document.activeElement?.blur?.());
  await page.keyboard.press("Control+z");
  await facts();
};
const notice = async () => (await page.locator(".notice p:visible").allInnerTexts()).join(" ");
const said = (words) => page.waitForFunction((text) => [...document.querySelectorAll(".notice p")].some((item) => item.offsetParent !== null && item.textContent.includes(text)), words, { timeout: 30_000 });
const meanBlue = async (selector) => {
  await settled(page);
  return page.$eval(selector, (canvas) => {
    const { data } = canvas.getContext("2d").getImageData(0, 0, canvas.width, canvas.height);
    return data.reduce((sum, v, i) => sum + (i % 4 === 2 ? v : 0), 0) / (data.length / 4);
  });
};

test("the example's 34 pieces are laid in an order, late with the chance worked out for them, and safe when merged", async () => {
  const bare = await meanBlue(".papers-picture canvas");
  await page.getByRole("button", { name: "Use the example’s papers" }).click();
  await facts();
  assert.equal(await line("The pieces"), "34 pieces");
  assert.equal(await line("Above and below"), "15 pairs, all said");
  // Worked out beforehand for the demo: 11 s a piece 2 %, 14 s 48 %, 16 s 81 %; merged to 22 pieces safe at 14 s.
  assert.equal(await line("Before the paste is dry"), "late with a chance of 2 % (EXAMPLE)");
  await type("A piece takes", "14");
  assert.equal(await line("Before the paste is dry"), "late with a chance of 48 % (EXAMPLE)");
  const merged = page.locator(".remedies li", { hasText: "22 instead of 34" });
  assert.equal(await merged.locator("b").innerText(), "under 1 %");
  await type("A piece takes", "16");
  assert.equal(await line("Before the paste is dry"), "late with a chance of 81 % (EXAMPLE)");
  await type("A piece takes", "11");
  assert.ok(Math.abs(await meanBlue(".papers-picture canvas") - bare) > 2, "the print shows the papers");
  assert.equal(await page.locator(".ticket a[href='#papers'] .said").innerText(), "34 pieces of three papers");
  assert.deepEqual(await axeFaults(page), []);
});

test("open time and seconds a piece are an example, at the figures, until they are the printer's own", async () => {
  const own = await unfold("Before the paste is dry");
  assert.match(await own.locator(".example").innerText(), /^EXAMPLE, NOT YOUR PASTE/);
  await own.getByRole("button", { name: "I timed these: they are mine" }).click();
  await facts();
  assert.ok(await own.locator(".example").isHidden());
  assert.equal(await line("Before the paste is dry"), "late with a chance of 2 %");
  await undo();
  assert.equal(await line("Before the paste is dry"), "late with a chance of 2 % (EXAMPLE)");
});

test("a piece off the plate is left out and said, and the rest goes on; grounds are ordered like pieces", async () => {
  await page.locator(".piece-list button").first().click();
  const editor = page.locator(".picked-piece");
  await editor.locator("summary", { hasText: "Place and size" }).click();
  await editor.getByLabel("From the left", { exact: true }).fill("400");
  await page.keyboard.press("Enter");
  await facts();
  assert.match(await page.locator(".troubles").innerText(), /Piece 34 lies beside the plate: it is left out of print, sheets and clock/);
  assert.match(await page.locator(".ticket a[href='#papers'] .said").innerText(), /, 1 off the plate$/);
  assert.match(await page.locator(".chance").innerText(), /^33 pieces take/);
  assert.ok(await page.getByRole("button", { name: "To the laying clock" }).isEnabled());
  await go(page, "sheets");
  await page.waitForFunction(() => /lies beside the plate/.test(document.body.innerText) && /cutting sheets/.test(document.body.innerText), null, { timeout: 30_000 });
  await go(page, "papers");
  await undo();
  await page.getByRole("button", { name: "A ground as large as the plate" }).click();
  await facts();
  await page.getByRole("button", { name: "A ground as large as the plate" }).click();
  await facts();
  assert.match(await page.locator(".troubles").innerText(), /Say which lies above, of pieces 35 and 36/);
  await undo();
  await undo();
});

test("a ring is named, no clock runs in it, and Undo leads out of it", async () => {
  const order = await unfold("Above and below");
  await order.locator("label", { hasText: "all that meet" }).click();
  // Roof left lies above roof right, that above the window; now the window above roof left.
  const pair = () => order.locator(".pairs-above li", { hasText: "window" }).filter({ hasText: "roof left" });
  assert.equal(await pair().count(), 1);
  const chosen = await pair().locator("input:checked").getAttribute("value");
  await pair().locator(`input[value=${chosen}]`).focus();
  await page.keyboard.press(chosen === "one" ? "ArrowRight" : "ArrowLeft");
  await facts();
  assert.match(await line("Above and below"), /^no order: .*roof left > roof right > window.*|^no order: .*window > roof left.*/);
  assert.match(await page.locator(".troubles").innerText(), /lies above the next: no order lays them so/);
  assert.ok(await page.getByRole("button", { name: "To the laying clock" }).isDisabled());
  await undo();
  assert.equal(await line("Above and below"), "15 pairs, all said");
});

test("a piece is drawn by keys, turned and taken away, each a step of Undo", async () => {
  await page.getByRole("button", { name: "Draw a piece" }).click();
  const moves = ["ArrowLeft", "Enter", ...Array(6).fill("Shift+ArrowRight"), ...Array(4).fill("Shift+ArrowDown"), ...Array(6).fill("Shift+ArrowLeft"), "Enter"];
  for (const key of moves) await page.keyboard.press(key);
  await facts();
  assert.equal(await line("The pieces"), "35 pieces");
  assert.match(await page.locator(".undoes").innerText(), /a piece drawn/);
  const editor = page.locator(".picked-piece");
  await editor.getByLabel("Name").fill("moon");
  await page.keyboard.press("Enter");
  await facts();
  assert.match(await editor.locator("h4").innerText(), /^Piece \d+, moon$/);
  await editor.locator("label", { hasText: "torn" }).click();
  await editor.locator("label", { hasText: "the other side" }).click();
  await type("Fibres run at", "200");
  assert.match(await notice(), /An angle of −180 to 180/);
  await type("Fibres run at", "45");
  assert.match(await line("Above and below"), /open/);
  assert.match(await page.locator(".troubles").innerText(), /Say which lies above, of pieces \d+ and \d+/);
  await (await unfold("Above and below")).getByRole("button", { name: "Leave them all as they lie" }).click();
  await facts();
  assert.match(await line("Above and below"), /all said/);
  await editor.getByRole("button", { name: "Take it away" }).click();
  await facts();
  assert.equal(await line("The pieces"), "34 pieces");
  await page.getByRole("button", { name: "Put it back" }).click();
  await facts();
  assert.equal(await line("The pieces"), "35 pieces");
  await undo();
  assert.equal(await line("The pieces"), "34 pieces");
});

test("pieces are taken off tones; none so large is said", async () => {
  await page.getByRole("button", { name: "Take pieces off tones" }).click();
  const taking = page.locator(".taking");
  await taking.locator("label.check").nth(7).click();
  const take = async (least) => {
    await taking.getByLabel("Nothing smaller than").fill(least);
    await page.keyboard.press("Enter");
    await taking.getByRole("button", { name: "Take the pieces" }).click();
  };
  await take("900");
  await said("as large as");
  await take("2");
  await said("taken");
  await facts();
  const count = Number.parseInt(await line("The pieces"), 10);
  assert.ok(count > 34, String(count));
  await undo();
  assert.equal(await line("The pieces"), "34 pieces");
});

test("what paste, growth and overlap can't be is refused in a sentence", async () => {
  await type("Paste stays open", "0");
  assert.match(await notice(), /open for no time at all/);
  assert.equal(await page.locator(".papers").getByLabel("Paste stays open", { exact: true }).inputValue(), "8:00");
  await type("A piece takes", "1000");
  assert.match(await notice(), /1 to 600 s was expected/);
  await unfold("The papers");
  await page.locator(".papers .card").first().getByLabel("And across them").fill("9");
  await page.keyboard.press("Enter");
  assert.match(await notice(), /A growth of 0 to 5 %/);
});

test("cutting sheets and the laying map are among the sheets, and the proof says whose pieces it lays", async () => {
  await go(page, "sheets");
  await page.waitForFunction(() => /cutting sheets/.test(document.body.innerText) && /laying map/.test(document.body.innerText), null, { timeout: 30_000 });
  await go(page, "proof");
  assert.equal(await page.locator(".proof .fold-part", { hasText: "Papers laid in" }).locator(".line").innerText(), "34 pieces, planned under Papers");
  assert.match(await page.locator(".proof .based").innerText(), /34 pieces of thin paper/);
  await go(page, "papers");
});

test("the laying clock runs by keys alone and goes on after a reload", async () => {
  await page.getByRole("button", { name: "To the laying clock" }).focus();
  await page.keyboard.press("Enter");
  await page.waitForSelector(".bathrun.laying:not([hidden])");
  await page.waitForTimeout(700);
  assert.match(await page.locator(".laying .headline").innerText(), /^First: piece 1/);
  for (let i = 0; i < 3; i++) {
    await page.keyboard.press(i === 1 ? "PageDown" : " ");
    await page.waitForTimeout(750);
  }
  assert.match(await page.locator(".laying .headline").innerText(), /^Paste and lay piece 3/);
  assert.equal(await page.locator(".pasted li").count(), 3);
  const left = await page.locator(".pasted li span").allInnerTexts();
  assert.ok(left.every((text) => /^(7:5\d|8:00)$/.test(text)) && left[0] <= left[2], left.join());
  assert.deepEqual(await axeFaults(page), []);
  await page.reload();
  await page.waitForSelector(".bathrun.laying:not([hidden])");
  await page.waitForFunction(() => document.body.dataset.ready === "true", null, { timeout: 60_000 });
  assert.match(await page.locator(".laying .headline").innerText(), /^Paste and lay piece 3/);
  assert.equal(await page.locator(".laying .pasted li").count(), 3);
  assert.equal(await page.locator(".laying figcaption").innerText(), "PLATE VIEW");
  // Two presses in one: no piece is passed by.
  await page.evaluate(async () => {
    // Timed within the page: nearer to one another than any machine is slow.
    for (let press = 0; press < 2; press++) {
      for (const type of ["keydown", "keyup"]) dispatchEvent(new KeyboardEvent(type, { key: " ", bubbles: true, cancelable: true }));
      await new Promise((done) => setTimeout(done, 120));
    }
  });
  assert.equal(await page.locator(".laying .pasted li").count(), 4);
  await page.waitForFunction(() => /Two presses so close count as one/.test(document.querySelector(".laying .said")?.textContent ?? ""));
  await page.getByRole("button", { name: "One turn back" }).click();
  assert.equal(await page.locator(".laying .pasted li").count(), 3);
  // Another tab does not take it over.
  const other = await page.context().newPage();
  await other.goto(page.url());
  await other.waitForFunction(() => [...document.querySelectorAll(".notice p")].some((item) => /runs in another tab/.test(item.textContent)), null, { timeout: 60_000 });
  assert.ok(await other.locator(".bathrun.laying").isHidden());
  await other.close();
  // Left, it is kept, also by a page that is loaded again, and gone on with.
  await page.getByRole("button", { name: "Leave the laying clock" }).click();
  await page.waitForSelector(".bathrun.laying", { state: "hidden" });
  await page.reload();
  await page.waitForFunction(() => document.body.dataset.ready === "true", null, { timeout: 60_000 });
  assert.ok(await page.locator(".bathrun.laying").isHidden());
  await page.getByRole("button", { name: "Go on with the pull left at 3 of 34" }).click();
  await page.waitForSelector(".bathrun.laying:not([hidden])");
  assert.equal(await page.locator(".laying .pasted li").count(), 3);
  await page.getByRole("button", { name: "One turn back" }).click();
  assert.equal(await page.locator(".laying .pasted li").count(), 2);
  await page.waitForTimeout(700);
  for (let i = 0; i < 32; i++) {
    await page.keyboard.press("Enter");
    await page.waitForTimeout(760);
  }
  await page.waitForTimeout(700);
  assert.match(await page.locator(".laying .headline").innerText(), /^Lay piece 34/);
  await page.keyboard.press("Enter");
  await page.waitForTimeout(800);
  assert.match(await page.locator(".laying .headline").innerText(), /in time/);
  await page.keyboard.press("Enter");
  await page.waitForSelector(".bathrun.laying", { state: "hidden" });
  assert.deepEqual(page.faults, []);
});

test("a pull that is left calls when its paste is dry, and says so when another tab has ended it", async () => {
  await unfold("Before the paste is dry");
  await type("Paste stays open", "0:10");
  await page.getByRole("button", { name: "To the laying clock" }).click();
  await page.waitForSelector(".bathrun.laying:not([hidden])");
  await page.waitForTimeout(700);
  await page.keyboard.press(" ");
  await page.locator(".laying .pasted li").waitFor();
  await page.getByRole("button", { name: "Leave the laying clock" }).click();
  await said("The pull is kept as it stood");
  const rung = page.locator(".rung li");
  await rung.filter({ hasText: "The first piece of the pull that was left is past its time" }).waitFor({ timeout: 30_000 });
  assert.equal(await rung.count(), 1, "the call a minute before is over");
  await page.getByRole("button", { name: "Seen" }).click();
  assert.ok(await page.locator(".rung").isHidden());
  const on = page.getByRole("button", { name: "Go on with the pull left at 1 of" });
  assert.ok(await on.isVisible());
  // As another tab does that ends it.
  await page.evaluate(() => localStorage.removeItem("stepbite.laying"));
  await on.click();
  await said("The pull that was left is over");
  assert.ok(await on.isHidden());
  assert.ok(await page.locator(".bathrun.laying").isHidden());
  assert.deepEqual(page.faults, []);
});
