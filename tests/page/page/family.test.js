/** A family of plates: added, taken to hand, on one ladder, in one file; and what can't be. */
import assert from "node:assert/strict";
import { test } from "node:test";
import { add, cards, change, demo, four, letters, masks, openFile, planned, project, says } from "./familyside.js";
import { axeFaults, go, opened, served, settled } from "./site.js";
import { until } from "./storage.js";

const it = served();

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
  // What the row has of E is of the plan before and stays grey, so nothing says that all is of now.
  await page.waitForFunction(() => !document.querySelector(".member.stale") && document.querySelectorAll(".member.unplanned").length === 2, null, { timeout: 120_000 });
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

test("while a plate comes to hand nothing is changed on another than it was meant for", async () => {
  const page = await opened(it.browser, it.site.url);
  await four(page);
  const heard = await page.evaluate(async () => {
    const words = document.querySelector(".notice p");
    const heard = [];
    new MutationObserver(() => heard.push(words.textContent)).observe(words, { childList: true, characterData: true, subtree: true });
    const button = (name) => [...document.querySelectorAll("button")].find((each) => each.getAttribute("aria-label") === name);
    const type = (label, value) => {
      const field = document.querySelector(`input[aria-label="${label}"]`);
      field.value = value;
      field.dispatchEvent(new Event("change"));
    };
    const turn = () => new Promise((resolve) => { setTimeout(resolve, 0); });
    button("Take to hand: plate D").click();
    await turn();
    // The ladder, a letter of the plate at hand, and one of the plate that comes.
    [...document.querySelectorAll(".strip button")].find((each) => each.textContent.includes("−")).click();
    await turn();
    type("Title of plate B", "Ice house, second state");
    type("Title of plate D", "Crane");
    await turn();
    return heard;
  });
  assert.ok(heard.filter((words) => /Other work is being opened: change this when it is there\./.test(words)).length >= 1, heard.join(" | "));
  await says(page, /is at hand/);
  await planned(page, 4);
  const all = await cards(page);
  for (const [letter, card] of Object.entries(all)) assert.match(card, /All ten tones/, letter);
  const title = (letter) => page.getByLabel(`Title of plate ${letter}`).inputValue();
  assert.deepEqual([await title("B"), await title("D")], ["Ice house, second state", "Gantry"]);
  assert.equal(await page.locator(".member.in-hand .member-letter").inputValue(), "D");
  assert.deepEqual(page.faults, []);
  await page.context().close();
});

test("minutes at the bench and a letter plan no plate anew; cards that change places keep the focus", async () => {
  const page = await opened(it.browser, it.site.url);
  await four(page);
  await page.evaluate(() => {
    window.calls = [];
    new MutationObserver(() => { for (const card of document.querySelectorAll(".member.stale")) window.calls.push(card.querySelector(".member-letter").value); })
      .observe(document.querySelector(".members"), { subtree: true, attributes: true, childList: true });
  });
  await page.getByRole("textbox", { name: "Drying of a stop-out" }).first().fill("31");
  await page.getByRole("textbox", { name: "Drying of a stop-out" }).first().press("Enter");
  await page.waitForTimeout(900);
  // A becomes Z: its card goes to the end, and the letter that was typed keeps the focus.
  const letter = page.getByLabel("Letter of plate A");
  await letter.focus();
  await letter.fill("Z");
  await letter.press("Enter");
  await page.waitForFunction(() => document.querySelector(".member:last-child .member-letter").value === "Z");
  assert.equal(await page.evaluate(() => document.activeElement.value), "Z");
  await page.waitForTimeout(900);
  assert.deepEqual(await page.evaluate(() => window.calls), []);
  assert.equal(await letters(page), "BCDZ");
  // A plate that comes to hand has the focus; of one that is taken out, the card in its place.
  await page.getByRole("button", { name: "Take to hand: plate D" }).press("Enter");
  await says(page, /is at hand/);
  assert.ok(await page.evaluate(() => document.activeElement.classList.contains("in-hand")));
  await planned(page, 4);
  await page.getByRole("button", { name: "Take out plate Z" }).press("Enter");
  await says(page, /is taken out/);
  assert.equal(await page.evaluate(() => document.activeElement.querySelector(".member-letter")?.value), "D");
  // Its sheets are one press away.
  await page.getByRole("button", { name: "Its sheets: plate C" }).click();
  await page.waitForFunction(() => document.body.dataset.station === "sheets");
  assert.equal(await page.locator("input.title").inputValue(), "Breakwater");
  assert.deepEqual(page.faults, []);
  await page.context().close();
});

test("Cancel while the others are planned leaves them as they were, and they are planned when asked for", async () => {
  const page = await opened(it.browser, it.site.url);
  await go(page, "plates");
  // Large enough to be a while in the works.
  const large = await change(await project(page), `told["job"]["letter"] = "E"
told["job"]["id"] = None
told["settings"]["plate"]["width_mm"] = 300
told["settings"]["plate"]["height_mm"] = 340
told["settings"]["px_per_mm"] = 16`);
  await add(page, "large.zip", large);
  await says(page, /Plate E, “Ice house” lies/);
  await planned(page, 2);
  await page.getByRole("button", { name: "Copy plate B" }).click();
  await says(page, /Plate A is a copy of plate B/);
  await planned(page, 3);
  const before = await cards(page);
  await page.locator(".strip button", { hasText: "−" }).first().click();
  await page.waitForFunction(() => /nine tones/i.test(document.querySelector("nav").innerText));
  await page.waitForFunction(() => /planning plate E/i.test(document.body.innerText), null, { timeout: 30_000, polling: 20 });
  await page.getByRole("button", { name: "Cancel", exact: true }).click();
  await page.waitForFunction(() => /The planning of plates A and E was stopped: they stay as before/.test(document.querySelector(".halted").innerText), null, { timeout: 30_000 });
  assert.deepEqual([await page.locator(".member.unplanned").count(), await page.locator(".member.stale").count()], [0, 2]);
  assert.doesNotMatch(await page.locator("nav li.on").innerText(), /no plan/);
  for (const letter of ["A", "E"]) assert.equal((await cards(page))[letter].replace("Not planned anew: that was stopped.\n", ""), before[letter]);
  // The day does not count what they were before.
  await page.waitForFunction(() => /plate A \(its planning was stopped\), plate E \(its planning was stopped\)/.test(document.querySelector(".station.plates").innerText));
  await page.getByRole("button", { name: "Plan them again" }).click();
  await planned(page, 3);
  for (const [letter, card] of Object.entries(await cards(page))) assert.match(card, /All nine tones/, letter);
  assert.equal(await page.locator(".halted").isVisible(), false);
  assert.deepEqual(page.faults, []);
  await page.context().close();
});

test("another drawing takes the place of the plate at hand as a new plate, and the one before can lie beside it", async () => {
  const page = await opened(it.browser, it.site.url);
  await four(page);
  const ids = async () => (await until(page, ({ work }) => work[0]?.family?.length === 3)).work[0].work.job;
  const { id, row } = await ids();
  await page.locator("#file").setInputFiles({ name: "gantry.png", mimeType: "image/png", buffer: await demo("gantry.png") });
  await says(page, /“gantry” is open\..*In the family it takes the place of plate B, “Ice house”\./);
  await planned(page, 4);
  const kept = (await until(page, ({ work }) => work[0]?.work.job.title === "gantry")).work[0].work.job;
  assert.notEqual(kept.id, id);
  assert.deepEqual(kept.row.plates.map((place) => place.id), row.plates.map((place) => place.id === id ? kept.id : place.id));
  assert.equal(await letters(page), "ABCD");
  await page.getByRole("button", { name: "Keep “Ice house” beside it" }).click();
  await says(page, /Plate B, “Ice house”, lies beside this one, which is plate E now\./);
  await planned(page, 5);
  assert.equal(await letters(page), "ABCDE");
  const both = (await until(page, ({ work }) => work[0]?.family?.length === 4)).work[0];
  assert.ok(both.family.some((kin) => kin.id === id && kin.work.job.title === "Ice house"));
  assert.deepEqual(both.work.job.row.plates.map((place) => place.id), row.plates.flatMap((place) => place.id === id ? [id, kept.id] : [place.id]), "the one before has its place again");
  // It comes to hand, as it was.
  await page.getByRole("button", { name: "Take to hand: plate B" }).click();
  await says(page, /Plate B, “Ice house”, is at hand/);
  assert.deepEqual(page.faults, []);
  await page.context().close();
});

test("a plate that joins from its own file is told what of it gives way, and is taken out again in a press", async () => {
  const page = await opened(it.browser, it.site.url);
  await go(page, "plates");
  const file = await project(page);
  const other = await change(file, `told["job"]["letter"] = "E"
told["job"]["id"] = None
told["settings"]["plate"]["width_mm"] = 60
told["settings"]["px_per_mm"] = 4
told["settings"]["tones"] = 8
told["settings"]["strip"] = { **(told["settings"]["strip"] or {}), "id": "12-A", "readings": [[0, 90], [10, 80], [60, 60], [240, 40]] }`);
  await add(page, "other.zip", other);
  await says(page, /Of plate E this gives way to this family’s, and stays in its file: number of tones \(8 there, 10 here\) and strip \(12-A there, the example’s here\)\./);
  await planned(page, 2);
  await page.getByRole("button", { name: "Take it out again" }).click();
  await says(page, /It is taken out again; its file is as it was\./);
  assert.equal(await letters(page), "B");
  assert.deepEqual(page.faults, []);
  await page.context().close();
});

test("a plate of the family prints over the one at hand in the proof, and follows its own plan", async () => {
  const page = await opened(it.browser, it.site.url);
  await four(page);
  await go(page, "proof");
  const ink = () => page.$eval(".proof .pulls .picture:first-child .face > canvas", (canvas) => {
    const { data } = canvas.getContext("2d").getImageData(0, 0, canvas.width, canvas.height);
    return data.reduce((sum, v, i) => sum + (i % 4 === 1 ? v : 0), 0) / (data.length / 4);
  });
  const alone = await ink();
  await page.locator(".proof .fold-part", { has: page.locator(`summary b:text-is("Plates over one another")`) }).locator("summary").first().click();
  assert.match(await page.locator(".family-prints").innerText(), /Of this family:/);
  await page.getByRole("button", { name: "Print plate C, Breakwater, with this one" }).click();
  await says(page, /Plate C, Breakwater, prints last now, and follows its own plan\./);
  await settled(page);
  assert.ok(await ink() < alone - 3, "it prints");
  assert.match(await page.locator(".proof .fold-part[open] .card").nth(1).innerText(), /10 tones.*It follows its own plan\./s);
  assert.match(await page.locator(".of-family").innerText(), /C prints/);
  // On another ladder it prints by its new plan, without anything being brought in anew.
  await page.locator(".strip button", { hasText: "−" }).first().click();
  await page.waitForFunction(() => /9 tones.*It follows its own plan/s.test(document.querySelectorAll(".proof .fold-part[open] .card")[1].innerText), null, { timeout: 60_000 });
  await settled(page);
  assert.ok(await ink() < alone - 3);
  assert.deepEqual(await axeFaults(page), []);
  // It goes into the file, and out of it, as the same plate.
  const file = await project(page);
  const other = await opened(it.browser, it.site.url);
  await openFile(other, file);
  await planned(other, 4);
  await go(other, "proof");
  await other.locator(".proof .fold-part", { has: other.locator(`summary b:text-is("Plates over one another")`) }).locator("summary").first().click();
  assert.match(await other.locator(".proof .fold-part[open] .card").nth(1).innerText(), /9 tones.*It follows its own plan\./s);
  assert.deepEqual([...page.faults, ...other.faults], []);
  await page.context().close();
  await other.context().close();
});
