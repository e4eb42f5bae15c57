/** For the tests of a family of plates: its cards, its files, and the example of four. */
import { execFileSync } from "node:child_process";
import { mkdtemp, readFile, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { go, settled } from "./site.js";

export const demo = (name) => readFile(new URL(`../../demo/${name}`, import.meta.url));
export const said = (page) => page.locator(".notice p").innerText();
export const says = (page, words) => page.waitForFunction((source) => new RegExp(source).test(document.querySelector(".notice p").textContent), words.source, { timeout: 60_000 });
/** The cards by their letters: what each says. */
export const cards = (page) => page.$$eval(".member", (all) => Object.fromEntries(all.map((card) => [card.querySelector(".member-letter").value, card.innerText])));
export const letters = async (page) => Object.keys(await cards(page)).join("");
export const planned = async (page, count) => {
  await page.waitForFunction((n) => document.querySelectorAll(".member").length === n && ![...document.querySelectorAll(".member")].some((card) => card.classList.contains("stale")), count, { timeout: 120_000 });
  await settled(page);
};
const saved = async (page, press) => {
  const [download] = await Promise.all([page.waitForEvent("download", { timeout: 60_000 }), press()]);
  return readFile(await download.path());
};
export const project = (page) => saved(page, () => page.getByRole("button", { name: "Save", exact: true }).click());
export const masks = async (page) => {
  await go(page, "sheets");
  const bytes = await saved(page, () => page.getByRole("button", { name: "Masks (ZIP of PNGs)" }).click());
  await go(page, "plates");
  return bytes;
};
export const add = (page, name, buffer) => page.locator("input.member-file").setInputFiles({ name, mimeType: name.endsWith("zip") ? "application/zip" : "image/png", buffer });
export const openFile = async (page, buffer) => {
  await page.locator("#file").setInputFiles({ name: "p.zip", mimeType: "application/zip", buffer });
  await says(page, /is open, as it was saved/);
  // Its other plates may still be planned for a while.
  await page.evaluate(() => { location.hash = "plates"; });
};
export const four = async (page) => {
  await go(page, "plates");
  await page.getByRole("button", { name: "Open the example of four plates" }).click();
  await says(page, /example of four plates is open/);
  await planned(page, 4);
};
/** project.json changed by Python's zipfile, which keeps the rest. */
async function changed(bytes, script) {
  const folder = await mkdtemp(join(tmpdir(), "stepbite-family-"));
  try {
    await writeFile(join(folder, "in.zip"), bytes);
    execFileSync("python3", ["-c", `
import io, json, zipfile
def rewrite(source, target, change):
    with zipfile.ZipFile(source) as old, zipfile.ZipFile(target, "w") as new:
        for name in old.namelist():
            data = old.read(name)
            if name == "project.json":
                told = json.loads(data); change(told); data = json.dumps(told).encode()
            new.writestr(zipfile.ZipInfo(name), data)
${script}`], { cwd: folder });
    return await readFile(join(folder, "out.zip"));
  } finally {
    await rm(folder, { recursive: true });
  }
}
export const change = (bytes, lines) => changed(bytes, `
def change(told):
${lines.split("\n").map((line) => `    ${line}`).join("\n")}
rewrite("in.zip", "out.zip", change)`);
