/** On a phone and a tablet the pull stays in sight over the questions, and never lies over what the keyboard comes to. */
import assert from "node:assert/strict";
import { test } from "node:test";
import { axeFaults, go, opened, served, settled } from "./site.js";

const it = served();

/** The lowest edge of what shows the pull, px; null where none is in sight. */
const shown = (page) => page.evaluate(() => {
  const [large, small] = [".proof .pulls .picture:first-child .face > canvas", ".mini canvas"].map((selector) => document.querySelector(selector).getBoundingClientRect());
  const inSight = (box) => Math.max(0, Math.min(box.bottom, innerHeight) - Math.max(0, box.top)) * box.width;
  return { area: Math.max(inSight(large), inSight(small)), band: document.querySelector(".mini button").getBoundingClientRect().bottom };
});

for (const [width, height] of [[390, 844], [820, 1180], [844, 390]]) {
  test(`at ${width} × ${height} whatever is changed is changed with the pull in sight`, async () => {
    const page = await opened(it.browser, it.site.url, { width, height });
    await go(page, "proof");
    const edges = page.locator(".proof .fold-part").last();
    await edges.locator("summary").first().click();
    await edges.locator("label", { hasText: "as a hand paints" }).click();
    await settled(page);
    const showing = width < 844 ? ".mini canvas" : ".proof .pulls .picture:first-child .face > canvas";
    const before = await page.$eval(showing, (canvas) => canvas.toDataURL());
    // Through everything that the keyboard comes to, from the ink of this plate on.
    await page.getByLabel("Ink of this plate").focus();
    const seen = new Set();
    for (let i = 0; i < 40; i++) {
      const at = await page.evaluate(() => {
        const active = document.activeElement;
        const box = (active.closest("label") ?? active).getBoundingClientRect();
        return { what: active.closest(".proof .fold-part, .first-asked") && (active.id || active.textContent || active.outerHTML.slice(0, 60)), top: box.top, bottom: box.bottom };
      });
      if (!at.what) break;
      seen.add(at.what);
      await page.waitForTimeout(60);
      const { area, band } = await shown(page);
      assert.ok(area > 10_000, `${at.what}: ${area} px² of the pull are in sight`);
      assert.ok(at.top >= band - 1, `${at.what} at ${at.top} lies beneath the small pull, which ends at ${band}`);
      await page.keyboard.press("Tab");
    }
    assert.ok(seen.size >= 12, [...seen].join("; "));
    assert.ok(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth));
    // What is scrolled half beneath the small pull comes out from there by scrolling on.
    assert.deepEqual((await axeFaults(page)).filter((fault) => !/^target-size [^]*partially obscured/.test(fault)), []);
    await edges.getByRole("button", { name: "The same hand again" }).click();
    await settled(page);
    assert.ok(await page.$eval(showing, (canvas, was) => canvas.toDataURL() !== was, before), "what is in sight follows");
    if (width < 844) {
      // It is the way back up, and gone there.
      // Pressed where it is: a locator's press may scroll to what sticks there, and with that it goes.
      const { x, y, width: wide, height: high } = await page.locator(".mini button").boundingBox();
      await page.mouse.click(x + wide / 2, y + high / 2);
      await page.waitForFunction(() => document.querySelector(".mini button").hidden);
    }
    for (const name of ["side by side", "wipe"]) {
      await page.locator(".proof .top label", { hasText: name }).click();
      await settled(page);
      await edges.getByLabel("Laps over the old edge").scrollIntoViewIfNeeded();
      await page.waitForTimeout(100);
      const { area, band } = await shown(page);
      assert.ok(area > 0.6 * Math.min(120, 0.2 * height) ** 2 && band < 0.45 * height, `${name}: ${area} px², down to ${band}`);
    }
    await go(page, "tones");
    assert.equal(await page.evaluate(() => document.documentElement.classList.contains("pull-above")), false);
    assert.deepEqual(page.faults, []);
    await page.context().close();
  });
}

test("at 1440 there is no small pull", async () => {
  const page = await opened(it.browser, it.site.url);
  await go(page, "proof");
  await page.locator(".proof .fold-part").last().locator("summary").first().click();
  await page.mouse.wheel(0, 900);
  await page.waitForTimeout(100);
  assert.equal(await page.locator(".mini").isVisible(), false);
  await page.context().close();
});
