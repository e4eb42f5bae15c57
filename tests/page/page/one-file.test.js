import assert from "node:assert/strict";
import { existsSync } from "node:fs";
import { pathToFileURL } from "node:url";
import { after, before, test } from "node:test";
import { go, launch, ONE_FILE, opened } from "./site.js";

let browser;
before(async () => { browser = await launch(); });
after(async () => browser?.close());

test("the one file opens from disk with the network cut, and does the whole job", async () => {
  assert.ok(existsSync(ONE_FILE), `There is no ${ONE_FILE}: run "cargo run -- bundle" first.`);
  const page = await opened(browser, pathToFileURL(ONE_FILE).href);
  await page.context().setOffline(true);
  await go(page, "painting");
  assert.equal(await page.locator(".block").count(), 10);
  await page.locator(".joint").nth(2).press("ArrowRight");
  await go(page, "sheets");
  const [download] = await Promise.all([page.waitForEvent("download", { timeout: 60_000 }), page.getByRole("button", { name: "Sheets (PDF)" }).click()]);
  assert.ok(download.suggestedFilename().endsWith(".pdf"));
  assert.deepEqual(page.requests.filter((url) => /^https?:/.test(url)), []);
  assert.deepEqual(page.faults, []);
});
