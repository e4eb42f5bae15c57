/** A family of plates: added, taken to hand, on one ladder, kept with their drawings, in one file; and what can't be. */
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { mkdtemp, readFile, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { test } from "node:test";
import { axeFaults, go, opened, served, settled } from "./site.js";

const it = served();
const demo = (name) => readFile(new URL(`../../demo/${name}`, import.meta.url));
const said = (page) => page.locator(".notice p").innerText();
const says = (page, words) => page.waitForFunction((source) => new RegExp(source).test(document.querySelector(".notice p").textContent), words.source, { timeout: 60_000 });
/** The cards by their letters: what each says. */
const cards = (page) => page.$$eval(".member", (all) => Object.fromEntries(all.map((card) => [card.querySelector(".member-letter").value, card.innerText])));
const letters = async (page) => Object.keys(await cards(page)).join("");
const planned = async (page, count) => {
  await page.waitForFunction((n) => document.querySelectorAll(".member").length === n && ![...document.querySelectorAll(".member")].some((card) => card.classList.contains("stale")), count, { timeout: 120_000 });
  await settled(page);
};
const saved = async (page, press) => {
  const [download] = await Promise.all([page.waitForEvent("download", { timeout: 60_000 }), press()]);
  return readFile(await download.path());
};
const project = (page) => saved(page, () => page.getByRole("button", { name: "Save", exact: true }).click());
const masks = async (page) => {
  await go(page, "sheets");
  const bytes = await saved(page, () => page.getByRole("button", { name: "Masks (ZIP of PNGs)" }).click());
  await go(page, "plates");
  return bytes;
};
const add = (page, name, buffer) => page.locator("input.member-file").setInputFiles({ name, mimeType: name.endsWith("zip") ? "application/zip" : "image/png", buffer });
const openFile = async (page, buffer) => {
  await page.locator("#file").setInputFiles({ name: "p.zip", mimeType: "application/zip", buffer });
  await says(page, /is open, as it was saved/);
  // Its other plates may still be planned for a while.
  await page.evaluate(() => { location.hash = "plates"; });
};
const four = async (page) => {
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
const change = (bytes, lines) => changed(bytes, `
def change(told):
${lines.split("\n").map((line) => `    ${line}`).join("\n")}
rewrite("in.zip", "out.zip", change)`);
/** The browser's storage as it lies there. */
const lies = (page) => page.evaluate(() => new Promise((resolve, reject) => {
  const request = indexedDB.open("stepbite");
  request.onerror = () => reject(request.error);
  request.onsuccess = () => {
    const found = { version: request.result.version };
    const names = [...request.result.objectStoreNames];
    const transaction = request.result.transaction(names);
    for (const name of names) transaction.objectStore(name).getAll().onsuccess = ({ target }) => { found[name] = target.result.map((each) => each.byteLength ?? each.size ?? each); };
    transaction.oncomplete = () => { request.result.close(); resolve(found); };
  };
}));
const until = async (page, right) => {
  for (const limit = Date.now() + 15_000; Date.now() < limit; await page.waitForTimeout(100)) {
    const found = await lies(page);
    if (right(found)) return found;
  }
  assert.fail("it was not kept in fifteen seconds");
};

test("one plate alone; the example of four is one button, each plate with its own size, tones and painting", async () => {
  const page = await opened(it.browser, it.site.url);
  await go(page, "plates");
  assert.match(await page.locator(".station.plates").innerText(), /One plate so far/);
  assert.match(await page.locator("nav li.on .said").innerText(), /^one plate$/);
  assert.equal(await letters(page), "B");
  await four(page);
  assert.equal(await letters(page), "ABCD");
  assert.match(await page.locator("nav li.on .said").innerText(), /^four plates: A B C D$/);
  const all = await cards(page);
  for (const [letter, size] of [["A", "120 × 180 mm"], ["B", "160 × 180 mm"], ["C", "120 × 180 mm"], ["D", "90 × 180 mm"]]) {
    assert.match(all[letter], new RegExp(`${size}, bevel 1.5`));
    // The drawings have every tone: what lacks some is another test's.
    assert.match(all[letter], /All ten tones/);
    assert.match(all[letter], /Nothing is done to its metal yet/);
  }
  assert.deepEqual(await axeFaults(page), []);
  // Each card's picture is its own drawing, in greys from paper to black.
  const looks = await page.$$eval(".member:not(.in-hand) canvas", (all) => all.map((canvas) => {
    const { data } = canvas.getContext("2d").getImageData(0, 0, canvas.width, canvas.height);
    const greys = new Set();
    let sum = 0;
    for (let at = 0; at < data.length; at += 4) { greys.add(data[at]); sum += data[at]; }
    return { greys: greys.size, mean: sum / (data.length / 4), wide: canvas.width / canvas.height };
  }));
  for (const [look, wide] of [[looks[0], 117 / 177], [looks[1], 117 / 177], [looks[2], 87 / 177]]) {
    assert.ok(look.greys > 6 && look.greys <= 10, `${look.greys} tones`);
    assert.ok(Math.abs(look.wide - wide) < 0.03, `${look.wide}`);
  }
  assert.deepEqual(page.faults, []);
  await page.context().close();
});

test("another plate to hand and back: every plate is as it was, to the bit, and Undo begins anew", async () => {
  const page = await opened(it.browser, it.site.url);
  await four(page);
  const wanted = await masks(page);
  await page.getByLabel("Notch of plate B", { exact: false }).selectOption("foot_left");
  await page.getByRole("button", { name: "Take to hand: plate D" }).click();
  await says(page, /Plate D, “Gantry”, is at hand/);
  await planned(page, 4);
  assert.equal(await page.locator("input.title").inputValue(), "Gantry");
  assert.equal(await page.locator(".member.in-hand .member-letter").inputValue(), "D");
  assert.equal(await letters(page), "ABCD");
  assert.ok(await page.locator(".acts button", { hasText: "Undo" }).isDisabled());
  assert.equal(await page.getByLabel("Notch of plate B", { exact: false }).inputValue(), "foot_left");
  assert.equal(await page.getByLabel("Notch of plate D", { exact: false }).inputValue(), "top_right");
  assert.ok(!(await masks(page)).equals(wanted));
  await page.getByRole("button", { name: "Take to hand: plate B" }).click();
  await says(page, /Plate B, “Ice house”, is at hand/);
  await planned(page, 4);
  assert.ok((await masks(page)).equals(wanted));
  assert.equal(await page.getByLabel("Notch of plate B", { exact: false }).inputValue(), "foot_left");
  // No earlier state is put by for it: it is no other work.
  const kept = await until(page, ({ work }) => work[0]?.family?.length === 3);
  assert.deepEqual(kept.points.map(({ why }) => why).filter((why) => /another was opened/.test(why)), []);
  // The family's own file, saved with B at hand and opened while D is, is other work all the same: what lies here is put by first.
  const file = await project(page);
  await page.getByRole("button", { name: "Take to hand: plate D" }).click();
  await says(page, /Plate D, “Gantry”, is at hand/);
  await planned(page, 4);
  await openFile(page, file);
  const put = await until(page, ({ points }) => points.some(({ why }) => /another was opened/.test(why)));
  assert.equal(put.points.find(({ why }) => /another was opened/.test(why)).work.job.title, "Gantry");
  assert.deepEqual(page.faults, []);
  await page.context().close();
});

test("one ladder of times: what is changed on the plate at hand the others follow", async () => {
  const page = await opened(it.browser, it.site.url);
  await four(page);
  await page.getByRole("button", { name: "One bite fewer" }).or(page.locator(".strip button", { hasText: "−" })).first().click();
  await page.waitForFunction(() => /eight bites|nine tones/i.test(document.querySelector("nav").innerText));
  await page.waitForFunction(() => document.querySelectorAll(".member.stale").length > 0 || /All nine tones/.test(document.querySelector(".member:not(.in-hand)").innerText));
  await planned(page, 4);
  for (const [letter, card] of Object.entries(await cards(page))) assert.match(card, /All nine tones/, letter);
  await page.locator(".acts button", { hasText: "Undo" }).click();
  await planned(page, 4);
  for (const [letter, card] of Object.entries(await cards(page))) assert.match(card, /All ten tones/, letter);
  assert.deepEqual(page.faults, []);
  await page.context().close();
});

test("a family is kept with all its drawings, opens again after the page was killed, and goes into one file and out of it", async () => {
  let page = await opened(it.browser, it.site.url);
  await four(page);
  await page.getByLabel("Title of plate C").fill("Mole and beacon");
  await page.getByLabel("Title of plate C").press("Enter");
  const kept = await until(page, ({ work }) => work[0]?.family?.some(({ work }) => work.job.title === "Mole and beacon"));
  assert.deepEqual([kept.version, kept.drawings.length, kept.work[0].kin.length], [3, 4, 3]);
  assert.ok(kept.work[0].work.family === undefined, "the others lie beside the work, not in it");
  const context = page.context();
  const told = await context.newCDPSession(page);
  const crashed = page.waitForEvent("crash");
  told.send("Page.crash").catch(() => {});
  await crashed;
  page = await context.newPage();
  page.faults = [];
  page.on("pageerror", (error) => page.faults.push(String(error)));
  await page.goto(it.site.url);
  await says(page, /Opened again as it was left/);
  await go(page, "plates");
  await planned(page, 4);
  assert.equal(await letters(page), "ABCD");
  assert.equal(await page.getByLabel("Title of plate C").inputValue(), "Mole and beacon");
  const file = await project(page);
  assert.ok((await project(page)).equals(file), "equal work, equal bytes");
  // Other programs open it, and every plate in it.
  const folder = await mkdtemp(join(tmpdir(), "stepbite-family-"));
  await writeFile(join(folder, "f.zip"), file);
  const listed = execFileSync("python3", ["-c", `
import io, json, zipfile
outer = zipfile.ZipFile("f.zip")
assert outer.testzip() is None
told = json.loads(outer.read("project.json"))
print(told["version"], told["job"]["letter"], told["family"])
for name in told["family"]:
    inner = zipfile.ZipFile(io.BytesIO(outer.read(name)))
    assert inner.testzip() is None
    told = json.loads(inner.read("project.json"))
    print(told["version"], told["job"]["letter"], told["job"]["title"], told["family"])
`], { cwd: folder }).toString().trim().split("\n");
  await rm(folder, { recursive: true });
  assert.deepEqual(listed, ["3 B ['plates/01.stepbite.zip', 'plates/02.stepbite.zip', 'plates/03.stepbite.zip']", "3 A Slipway []", "3 C Mole and beacon []", "3 D Gantry []"]);
  const other = await opened(it.browser, it.site.url);
  await openFile(other, file);
  await planned(other, 4);
  assert.equal(await letters(other), "ABCD");
  assert.ok((await project(other)).equals(file), "saved again, the file is the same");
  // Added to a plate of its own it brings all of them, and the letter that is there twice is said.
  const third = await opened(it.browser, it.site.url);
  await go(third, "plates");
  await add(third, "family.zip", file);
  await says(third, /lie beside this one/);
  assert.match(await said(third), /The letter B is there twice now/);
  await planned(third, 5);
  assert.match(await third.locator(".family > .warn").innerText(), /Two plates have the letter B/);
  assert.match(await third.locator("nav li.on .warn").innerText(), /two plates have the letter B/);
  assert.deepEqual([...page.faults, ...other.faults, ...third.faults], []);
  for (const each of [page, other, third]) await each.context().close();
});

test("a drawing joins with the next letter, is copied, and taken out and put back", async () => {
  const page = await opened(it.browser, it.site.url);
  await go(page, "plates");
  await add(page, "gantry.png", await demo("gantry.png"));
  await says(page, /Plate A, “gantry”, lies beside this one\. Its size is its file’s/);
  await planned(page, 2);
  assert.match((await cards(page)).A, /90 × 180 mm/);
  await page.getByRole("button", { name: "Copy plate A" }).click();
  await says(page, /Plate C is a copy of plate A/);
  await planned(page, 3);
  assert.equal(await letters(page), "ABC");
  await page.getByRole("button", { name: "Take out plate A" }).click();
  await says(page, /Plate A, “gantry”, is taken out/);
  assert.equal(await letters(page), "BC");
  await page.getByRole("button", { name: "Put it back" }).click();
  await says(page, /Plate A is back/);
  await planned(page, 3);
  // Back in the worker's hands too: it comes to hand.
  await page.getByRole("button", { name: "Take to hand: plate A" }).click();
  await says(page, /is at hand/);
  await planned(page, 3);
  // What is no drawing and no work of ours is refused, and nothing changes.
  for (const [name, buffer] of [["notes.png", Buffer.from("no picture")], ["empty.png", Buffer.alloc(0)], ["other.zip", Buffer.from("PK\x03\x04 and no more")]]) {
    await page.locator(".notice button", { hasText: "Close" }).click().catch(() => {});
    await add(page, name, buffer);
    await page.waitForFunction(() => document.querySelector(".notice").dataset.kind === "refused" && document.querySelector(".notice p").textContent.endsWith("."));
    assert.equal(await letters(page), "ABC", name);
  }
  assert.deepEqual(page.faults, []);
  await page.context().close();
});

test("a plate already bitten refuses a shorter ladder on its card and loses nothing; one that can't be planned says why", async () => {
  const page = await opened(it.browser, it.site.url);
  await go(page, "plates");
  const file = await project(page);
  const bitten = await change(file, `told["job"]["letter"] = "E"
told["job"]["id"] = None
told["settings"]["plate"]["width_mm"] = 60
told["settings"]["px_per_mm"] = 4
told["done"]["log"] = [{ "at_ms": 1, "note": "", "kind": "begun", "bites_s": [7, 8, 10, 15, 25, 35, 55, 110, 295] }]`);
  const huge = await change(file, `told["job"]["letter"] = "H"
told["job"]["id"] = None
told["settings"]["plate"]["width_mm"] = 9000`);
  await add(page, "bitten.zip", bitten);
  await says(page, /Plate E, “Ice house” lies|Plate E, “Ice house”/);
  await planned(page, 2);
  assert.match((await cards(page)).E, /All its bites are done/);
  const before = (await cards(page)).E;
  await add(page, "huge.zip", huge);
  await planned(page, 3);
  assert.match((await cards(page)).H, /It makes no plan on this ladder: .*9000.*Nothing of it is lost\./s);
  assert.match(await page.locator("nav li.on .warn").innerText(), /plate H makes no plan/);
  await page.locator(".strip button", { hasText: "−" }).first().click();
  await page.waitForFunction(() => /nine tones/i.test(document.querySelector("nav").innerText));
  await planned(page, 3);
  assert.match((await cards(page)).E, /It makes no plan on this ladder: .*Nothing of it is lost\..*All ten tones/s);
  assert.ok(await page.locator(".member.unplanned").count() === 2);
  // Neither comes to hand; the one at hand stays.
  await page.getByRole("button", { name: "Take to hand: plate E" }).click();
  await page.waitForFunction(() => document.querySelector(".notice").dataset.kind === "refused");
  assert.equal(await page.locator(".member.in-hand .member-letter").inputValue(), "B");
  await page.locator(".acts button", { hasText: "Undo" }).click();
  await planned(page, 3);
  assert.equal((await cards(page)).E, before, "with its ladder back it is as it was");
  // And all of it went through the file.
  const other = await opened(it.browser, it.site.url);
  await openFile(other, await project(page));
  await planned(other, 3);
  assert.equal((await cards(other)).E, before);
  assert.deepEqual([...page.faults, ...other.faults], []);
  await page.context().close();
  await other.context().close();
});

test("a plate that lacks tones is told that it skips the painting and not the bath", async () => {
  const page = await opened(it.browser, it.site.url);
  await go(page, "plates");
  const file = await project(page);
  // Breaks so close that no light of the drawing lies between them: tones 6 and 7 have no area.
  const gap = await change(file, `told["job"]["letter"] = "G"
told["job"]["id"] = None
told["settings"]["plate"]["width_mm"] = 60
told["settings"]["px_per_mm"] = 4
told["settings"]["mark_mm"] = 0
told["settings"]["breaks"] = [90, 80, 70, 60, 50, 2.5, 2, 1.5, 1]`);
  await add(page, "gap.zip", gap);
  await planned(page, 2);
  const card = (await cards(page)).G;
  assert.match(card, /tones? [\d, and]+ (is|are) lacking/);
  const last = Number(/Its darkest tone is (\d)/.exec(card)?.[1]);
  assert.ok(last >= 5 && last < 9, card);
  assert.match(card, new RegExp(`it leaves the bath after bite ${last}`));
  assert.deepEqual(page.faults, []);
  await page.context().close();
});

test("thirty plates are a family, and one more is refused in a sentence", async () => {
  const page = await opened(it.browser, it.site.url);
  await go(page, "plates");
  const small = await change(await project(page), `told["settings"]["plate"] = { "width_mm": 30, "height_mm": 30, "bevel_mm": 1 }
told["settings"]["px_per_mm"] = 2`);
  await openFile(page, small);
  for (let k = 1; k < 30; k++) await page.getByRole("button", { name: "Copy plate B" }).click();
  await planned(page, 30);
  assert.match(await page.locator("nav li.on .said").innerText(), /^30 plates: A B C .* Z AA AB AC AD$/);
  await page.getByRole("button", { name: "Copy plate B" }).click();
  await says(page, /A family has at most 30 plates: take one out first/);
  await add(page, "gantry.png", await demo("gantry.png"));
  await page.waitForTimeout(400);
  assert.equal(await page.locator(".member").count(), 30);
  const file = await project(page);
  const other = await opened(it.browser, it.site.url);
  await openFile(other, file);
  await planned(other, 30);
  assert.ok((await project(other)).equals(file));
  assert.deepEqual([...page.faults, ...other.faults], []);
  await page.context().close();
  await other.context().close();
});

test("what version 2 of the storage kept opens, and is kept the new way at the next change", async () => {
  let page = await opened(it.browser, it.site.url);
  await page.locator("input.title").fill("Before families");
  await page.locator("input.title").press("Enter");
  await until(page, ({ work }) => work[0]?.work.job.title === "Before families");
  // The same database as version 2 had it: no index of other plates' drawings, one earlier state. Written where no page holds it.
  const bare = await page.context().newPage();
  await bare.goto(`${it.site.url}icon.svg`);
  await page.close();
  await bare.evaluate(() => new Promise((resolve, reject) => {
    const request = indexedDB.open("stepbite");
    request.onsuccess = () => {
      const db = request.result;
      const transaction = db.transaction(["work", "drawings"]);
      const found = {};
      transaction.objectStore("work").get("now").onsuccess = ({ target }) => { found.entry = target.result; };
      transaction.objectStore("drawings").getAll().onsuccess = ({ target }) => { [found.bytes] = target.result; };
      transaction.oncomplete = () => {
        db.close();
        indexedDB.deleteDatabase("stepbite").onsuccess = () => {
          const older = indexedDB.open("stepbite", 2);
          older.onupgradeneeded = () => {
            for (const name of ["work", "drawings", "maps"]) older.result.createObjectStore(name);
            const points = older.result.createObjectStore("points", { autoIncrement: true });
            points.createIndex("drawing", "drawing");
            points.createIndex("maps", "maps", { multiEntry: true });
          };
          older.onsuccess = () => {
            const { family, kin, ...entry } = found.entry;
            for (const name of ["id", "row", "day", "record", "papers"]) delete entry.work.job[name];
            delete entry.work.job.sheets.notch;
            const writes = older.result.transaction(["work", "drawings", "points"], "readwrite");
            writes.objectStore("work").put(entry, "now");
            writes.objectStore("points").add({ ...entry, why: "sheets saved" });
            writes.objectStore("drawings").put(found.bytes, entry.drawing);
            writes.oncomplete = () => { older.result.close(); resolve(null); };
            writes.onabort = () => reject(writes.error);
          };
        };
      };
    };
  }));
  const context = bare.context();
  await bare.close();
  page = await context.newPage();
  page.faults = [];
  page.on("pageerror", (error) => page.faults.push(String(error)));
  await page.goto(it.site.url);
  await says(page, /Opened again as it was left/);
  await go(page, "plates");
  await add(page, "gantry.png", await demo("gantry.png"));
  await planned(page, 2);
  const kept = await until(page, ({ work }) => work[0].family?.length === 1);
  assert.deepEqual([kept.version, kept.drawings.length, kept.points.length, kept.points[0].family], [3, 2, 1, undefined]);
  assert.ok(kept.work[0].work.job.id, "it has an id now");
  await go(page, "kept");
  await page.locator(".points li").first().getByRole("button", { name: /Open again/ }).click();
  await says(page, /Opened again as it was on/);
  await go(page, "plates");
  assert.equal(await page.locator(".member").count(), 1);
  // The plate that lay beside it is in the list of earlier states with its drawing, and comes back.
  const left = await until(page, ({ points }) => points.length === 2);
  assert.deepEqual([left.points[1].kin.length, left.drawings.length], [1, 2]);
  await go(page, "kept");
  await page.locator(".points li").first().getByRole("button", { name: /Open again/ }).click();
  await page.waitForFunction(() => /before another was opened/.test(document.querySelector(".notice p").textContent));
  await go(page, "plates");
  await planned(page, 2);
  assert.deepEqual(page.faults, []);
  await page.context().close();
});

test("a tab that only looks adds, takes out and exchanges nothing", async () => {
  const page = await opened(it.browser, it.site.url);
  await four(page);
  await until(page, ({ work }) => work[0]?.family?.length === 3);
  const second = await page.context().newPage();
  second.faults = [];
  second.on("pageerror", (error) => second.faults.push(String(error)));
  await second.goto(it.site.url);
  await second.waitForFunction(() => /only look|only to look/i.test(document.querySelector("nav").innerText), null, { timeout: 60_000 });
  await go(second, "plates");
  await planned(second, 4);
  for (const name of ["Take out plate A", "Copy plate A", "Take to hand: plate A", "Open the example of four plates"]) await second.getByRole("button", { name }).click();
  await second.waitForTimeout(800);
  assert.equal(await letters(second), "ABCD");
  assert.equal(await second.locator(".member.in-hand .member-letter").inputValue(), "B");
  assert.deepEqual(second.faults, []);
  await page.context().close();
});
