/** The browser and the machine itself make the same bytes: the headless example is the second one to ask. */
import assert from "node:assert/strict";
import { execFile } from "node:child_process";
import { mkdtemp, readFile, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { fileURLToPath } from "node:url";
import { promisify } from "node:util";
import { go, launch, opened, serve } from "./site.js";

const root = fileURLToPath(new URL("../../../", import.meta.url));
let site, browser, page, folder;
before(async () => {
  site = await serve();
  browser = await launch();
  page = await opened(browser, site.url);
  folder = await mkdtemp(join(tmpdir(), "stepbite-"));
});
after(async () => {
  await browser?.close();
  site?.close();
  await rm(folder, { recursive: true, force: true });
});

test("step map and proof of the demo are equal, byte for byte, in the browser and on the machine", { timeout: 400_000 }, async () => {
  const out = join(folder, "out");
  const plan = ["--plate", "160x180", "--bevel", "1.5", "--tones", "10", "--out", out];
  await promisify(execFile)("cargo", ["run", "-q", "-p", "stepbite-core", "--example", "plan", "--", "www/demo/ice-house.jpg", ...plan], { cwd: root });
  await go(page, "sheets");
  for (const [button, file] of [[/^Step map/, "steps.png"], [/^Proof/, "proof.png"]]) {
    const [download] = await Promise.all([page.waitForEvent("download", { timeout: 60_000 }), page.getByRole("button", { name: button }).click()]);
    const [ours, theirs] = [await readFile(await download.path()), await readFile(join(out, file))];
    assert.ok(ours.equals(theirs), `${file} differs: ${ours.length} bytes in the browser, ${theirs.length} on the machine`);
  }
});
