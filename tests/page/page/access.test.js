// axe-core's rules for WCAG 2.2 A and AA; screenshots are kept for the eye.
import assert from "node:assert/strict";
import { test } from "node:test";
import { axeFaults, cutOff, go, opened, OUT, served, unlevel } from "./site.js";

const STATIONS = ["whole", "drawing", "tones", "painting", "times", "plates", "sheets", "bath", "proof", "papers", "pulls", "cautions", "kept"];
const SIZES = [[1440, 900], [1024, 768], [820, 1180], [390, 844]];

const it = served();

for (const [width, height] of SIZES) {
  test(`no serious fault of access at ${width} × ${height}, nothing wider than the screen, no button out of its line`, async () => {
    const page = await opened(it.browser, it.site.url, { width, height });
    const found = [];
    for (const station of STATIONS) {
      await go(page, station);
      await page.screenshot({ path: `${OUT}${station}-${width}.png` });
      assert.ok(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth), `${station} is wider than ${width}`);
      assert.deepEqual(await cutOff(page), [], `${station} at ${width}`);
      assert.deepEqual(await unlevel(page), [], `${station} at ${width}`);
      found.push(...(await axeFaults(page)).map((fault) => `${station}: ${fault}`));
    }
    assert.deepEqual(found, []);
    assert.deepEqual(page.faults, []);
    await page.close();
  });
}

test("what is pressed is 44 px at least, or stands in a line of text", async () => {
  const page = await opened(it.browser, it.site.url);
  for (const station of STATIONS) {
    await go(page, station);
    const small = await page.$$eval("button, .button, nav a, .choice label, label.tick, input[type=range], input[type=text]", (all) => all
      .filter((item) => item.offsetParent !== null && !item.closest("table"))
      .map((item) => ({ what: item.outerHTML.slice(0, 90), high: item.getBoundingClientRect().height }))
      .filter((item) => item.high < 43.5 && !item.what.includes("class=\"title\"")));
    assert.deepEqual(small, [], station);
  }
});

test("the ticket unfolds on a narrow screen and leads to every line by keyboard", async () => {
  const page = await opened(it.browser, it.site.url, { width: 390, height: 844 });
  const fold = page.getByRole("button", { name: "Ticket" });
  assert.equal(await page.locator("nav ol").isVisible(), false);
  await fold.focus();
  await page.keyboard.press("Enter");
  assert.equal(await fold.getAttribute("aria-expanded"), "true");
  await page.locator("nav ol a", { hasText: "Painting" }).focus();
  await page.keyboard.press("Enter");
  await page.waitForFunction(() => document.body.dataset.station === "painting");
  assert.equal(await page.locator("nav [aria-current=page]").getAttribute("href"), "#painting");
  assert.equal(await page.locator("nav ol").isVisible(), false, "folds away again");
});
