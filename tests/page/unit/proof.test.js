// The proof's choices, its words, and the eye at arm's length.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { test } from "node:test";
import { MELT_MM, melted, meltPx } from "../../../www/stations/proof/arms-length.js";
import { another, asTheStrip, bounds, changed, freshName, inkedWith, intoBox, LAST_SEED, moved, otherOrder, ownInk, rectangle, thing, without, withNewInk, withoutInk, withPlate } from "../../../www/stations/proof/choices.js";
import { basis, differenceWords, edgeWords, grainWords, outside, plateName, platesWords } from "../../../www/stations/proof/words.js";
import { plateFacts } from "../../../www/stations/proof/plates.js";
import { toneChoices } from "../../../www/stations/proof/inks.js";
import { keptInks } from "../../../www/stations/proof/kept-inks.js";
import { meanHex, whole } from "../../../www/stations/proof/patches.js";
import { finenessWords, offers } from "../../../www/stations/proof/fineness.js";
import { pictureKey } from "../../../www/stale.js";
import { EXAMPLE } from "../../../www/settings.js";
import { beginning, PLAIN_PROOF } from "../../../www/state.js";

const deep = (value) => {
  if (value && typeof value === "object") Object.values(value).forEach(deep);
  return Object.freeze(value);
};
const zone = (name, ink) => ({ name, ink, outline: rectangle(10, 20, 30, 40) });

test("lists are never changed in place, and a changed one is another picture", () => {
  const list = deep([{ a: 1 }, { a: 2 }, { a: 3 }]);
  assert.deepEqual(changed(list, 1, { a: 9 }), [{ a: 1 }, { a: 9 }, { a: 3 }]);
  assert.deepEqual(without(list, 0), [{ a: 2 }, { a: 3 }]);
  assert.deepEqual(moved(list, 0, 1), [{ a: 2 }, { a: 1 }, { a: 3 }]);
  assert.deepEqual(moved(list, 0, -1), list);
  const key = (proof) => pictureKey({ kind: "proof", view: "print", width: 9, height: 9, grain: true, proof }, EXAMPLE, 1);
  const proof = deep({ ...PLAIN_PROOF, zones: [zone("a", null)] });
  assert.equal(key(proof), key({ ...proof }));
  assert.notEqual(key(proof), key({ ...proof, zones: changed(proof.zones, 0, { name: "b" }) }));
  assert.ok(key({ ...proof, zones: [{ ...zone("a", 0), outline: Array.from({ length: 5000 }, (_, i) => [i, i]) }] }).length < key(proof).length + 20, "outlines do not lengthen the key");
});

test("an ink taken away leaves the strip's own, and the others keep theirs", () => {
  let proof = deep({ ...PLAIN_PROOF, inks: ["a", "b", "c"].map((name) => ({ name })), zones: [zone("1", 0), zone("2", 1), zone("3", 2)], printings: [{ ...PLAIN_PROOF.printings[0], ink: 2 }] });
  proof = deep({ ...proof, ...withoutInk(proof, 1) });
  assert.deepEqual(proof.inks.map((ink) => ink.name), ["a", "c"]);
  assert.deepEqual(proof.zones.map((each) => each.ink), [0, null, 1]);
  assert.equal(ownInk(proof), 1);
  const plain = deep({ ...PLAIN_PROOF, ...withNewInk(PLAIN_PROOF) });
  const gone = withoutInk(plain, 0);
  assert.equal(gone.printings, PLAIN_PROOF.printings, "what was not printed in it stays the same list");
  assert.equal(ownInk({ ...plain, ...inkedWith(plain, 0) }), 0);
  assert.equal(freshName([{ name: "ink 2" }], "ink"), "ink 3");
});

test("plates keep their order, and the other order is the same list each time", () => {
  const two = deep({ ...PLAIN_PROOF, ...withPlate(PLAIN_PROOF, "x") });
  assert.deepEqual(two.printings.map((each) => each.plate), [null, "x"]);
  assert.deepEqual(otherOrder(two).printings.map((each) => each.plate), ["x", null]);
  assert.equal(otherOrder(two).printings, otherOrder(two).printings);
  assert.equal(platesWords(two, [{ id: "x", letter: "C" }], "B"), "B, then C");
  assert.equal(platesWords(PLAIN_PROOF, [], "B"), "this plate alone");
  // Of one letter they are told apart by title, and of one title too by their number; and both orders are not called alike.
  const alike = [{ id: "x", letter: "B", title: "Harbour" }];
  assert.equal(platesWords(two, alike, "B"), "B (this plate), then B (Harbour)");
  assert.equal(platesWords(otherOrder(two), alike, "B"), "B (Harbour), then B (this plate)");
  assert.equal(plateName("y", [...alike, { id: "y", letter: "B", title: "Harbour" }], "A"), "B (Harbour, 2)");
  assert.deepEqual([plateName(null, [{ id: "x", letter: "", title: "" }], ""), plateName("x", [{ id: "x", letter: "", title: "" }], "")], ["this plate", "no title"]);
});

test("an outline is put into another box, and seeds go round", () => {
  const outline = rectangle(10, 20, 30, 40);
  assert.deepEqual(bounds(outline), { left: 10, top: 20, width: 30, height: 40 });
  assert.deepEqual(bounds(intoBox(outline, { left: 0, top: 5, width: 60, height: 20 })), { left: 0, top: 5, width: 60, height: 20 });
  assert.deepEqual(intoBox([[1, 1], [1, 3]], { left: 4, top: 0, width: 9, height: 1 }), [[4, 0], [4, 1]], "what has no width gets none");
  assert.equal(another(1), 2);
  assert.equal(another(LAST_SEED), 1);
});

test("one line says what each part is set to, with units", () => {
  assert.equal(grainWords(PLAIN_PROOF), "rosin, medium, cover as told");
  assert.equal(grainWords({ grain: { kind: "sprayed", size: "fine", cover: 0.4, seed: 3 } }), "sprayed, fine, covers 40 %");
  assert.equal(grainWords({ grain: { kind: "rosin", size: "medium", cover: null, seed: 3, median_um: 24 } }), "rosin, half wider than 48 µm, cover as told");
  assert.equal(edgeWords({ edges: { wander_mm: 0.4 } }, "mm"), "a hand’s, about 0.4 mm either way");
  assert.equal(edgeWords({ edges: { wander_mm: 0.4 } }, "in"), "a hand’s, about 0.016 in either way");
  assert.equal(outside("A trap", [0, 1], "", 2), "A trap of 0 to 1 was expected, 2 came: type one within.");
  const found = { mean: 3.24, most: 14.06, over_six: 0.091, worst_tone: 4, worst_mean: 5.1, said: [] };
  const figures = "ΔE 3.2 on average over the face (CIEDE2000), 14.1 at the most; on 9.1 % of it over 6. Tone 4 is farthest off, 5.1 on average.";
  assert.equal(differenceWords(found), figures);
  assert.equal(differenceWords({ ...found, said: ["Counted by daylight."] }), `${figures} Counted by daylight.`);
});

test("what the picture stands on names the strip, and everything that is not as on it", () => {
  const state = { ...beginning(), plan: { strip: { kind: "example", id: "15-A" } } };
  assert.ok(asTheStrip(PLAIN_PROOF));
  assert.match(basis(state), /^Made from the stop-outs and the bites, as strip 15-A prints\. Ink, paper and plate tone are the strip’s\./);
  const proof = { ...PLAIN_PROOF, plate_tone: 0.1, paper: "#ece6d8", ...withNewInk(PLAIN_PROOF), zones: [zone("sky", 0)] };
  assert.match(basis({ ...state, proof }), /Your what-if: paper cream, plate tone 0\.1 D, ink 1, one ink zone\./);
});

test("detail under one minute of arc at 0.6 m melts in light, as SciPy's Gaussian does", () => {
  // 600 mm · tan(1/60°)
  assert.ok(Math.abs(MELT_MM - 0.174533) < 1e-5);
  const data = JSON.parse(readFileSync(new URL("../../reference/data/melted.json", import.meta.url), "utf8"));
  for (const { sigma, width, height, before, after } of data) {
    const rgba = Uint8ClampedArray.from(before);
    const seen = melted({ width, height, rgba, ms: 0 }, sigma);
    const off = after.map((value, i) => Math.abs(value - seen.rgba[i]));
    assert.ok(Math.max(...off) <= 1, `sigma ${sigma}: ${Math.max(...off)}`);
    assert.notDeepEqual([...seen.rgba], before);
  }
  const picture = { width: 1, height: 1, rgba: Uint8ClampedArray.from([1, 2, 3, 255]), ms: 0 };
  assert.equal(melted(picture, meltPx(2)), picture, "what melts nothing is left alone");
});

test("a patch is the mean of its light, not of its values", () => {
  // Half of white light is sRGB 188 (IEC 61966-2-1: 1.055 · 0.5^(1/2.4) − 0.055 = 0.7354).
  assert.equal(meanHex([255, 255, 255, 255, 0, 0, 0, 255]), "#bcbcbc");
  assert.equal(meanHex([58, 42, 34, 255]), "#3a2a22");
});

test("a saved pull is offered as fine as a file goes, and never finer", () => {
  const at = (width, height, planned) => offers({ width, height }, planned);
  // 157 × 177 mm at 10 a mm is smaller than a screen's 2000 pixels: that is not offered.
  assert.deepEqual(at(157, 177, 10).map(({ id, width, height }) => [id, width, height]), [["planned", 1570, 1770], ["fine", 3709, 4181]]);
  assert.deepEqual(at(400, 300, 20).map(({ id, width, height }) => [id, width, height]), [["screen", 2000, 1500], ["planned", 8000, 6000], ["fine", 16000, 12000]]);
  for (const [width, height, planned] of [[1000, 800, 12], [2000, 60, 40], [300, 300, 66], [12, 9, 20]]) {
    for (const offer of at(width, height, planned)) {
      assert.ok(offer.width <= 60_000 && offer.height <= 60_000 && offer.width * offer.height <= 400e6, JSON.stringify(offer));
      // As the core counts: libm::round(mm · px/mm).
      assert.equal(offer.width, Math.round(width * offer.px_per_mm));
    }
  }
  const [, , held] = at(1000, 800, 12);
  assert.ok(held.held && held.width * held.height > 395e6);
  assert.match(finenessWords(held, "mm"), /^22\d\d\d × 17\d\d\d pixels, 22\.\d a mm, and beneath them the words it rests on\. Finer than this no file of it goes\.$/);
  assert.match(finenessWords(at(157, 177, 10)[1], "in"), /600 an inch, and beneath/);
});

test("an ink stays the same thing wherever it stands and whatever is changed of it", () => {
  const list = [{ name: "a" }, { name: "b" }];
  const [first, second] = list.map(thing);
  const later = without(changed(changed(list, 1, { name: "c" }), 1, { name: "d" }), 0);
  assert.equal(thing(later[0]), second);
  assert.notEqual(first, second);
});

test("patches are taken when all that are needed were pressed on, and no earlier", () => {
  assert.equal(whole({ sheet: "#ffffff", full: "#203040" }, true), null);
  assert.equal(whole({ sheet: "#ffffff", pale: "#a0b0c0" }, true), null);
  assert.deepEqual(whole({ full: "#203040", pale: "#a0b0c0" }, true), { full: "#203040", pale: "#a0b0c0" });
  assert.deepEqual(whole({ sheet: "#ffffff", full: "#203040", pale: "#a0b0c0" }, false), { sheet: "#ffffff", full: "#203040" });
});

test("a pale patch of a tone that the plan has no more keeps its tone", () => {
  assert.deepEqual(toneChoices(2, 5).map(([value]) => value), ["1", "2", "3"]);
  assert.deepEqual(toneChoices(5, 4), [["1", "1"], ["2", "2"], ["5", "5, as it was"]]);
});

test("what printed an ink's patches is kept with it once, as soon as a plan tells, and makes no new picture", async () => {
  const printed = { n: 1.8, density: 1.6, sheet: [0.8, 0.8, 0.8], full: { lands: 0.03, film: 1 }, pale: null };
  const asked = [];
  let state = { proof: { ...PLAIN_PROOF, ...withNewInk(PLAIN_PROOF) }, plan: {}, planned: EXAMPLE, settings: EXAMPLE, done: null, plannedDone: null, drawing: 1, plannedDrawing: 1, dragging: false, kept: { looks: false } };
  const desk = { get state() { return state; }, bridge: { call: async (...call) => { asked.push(call); return state.proof.inks.map(() => printed); } },
    set: (part) => { state = { ...state, ...part }; } };
  const inks = keptInks(/** @type {any} */ (desk));
  const before = pictureKey({ kind: "proof", view: "print", width: 9, height: 9, grain: false, proof: state.proof }, state.settings, 1);
  state = { ...state, dragging: true };
  await inks.update(/** @type {any} */ (state));
  state = { ...state, dragging: false, plannedDrawing: 0 };
  await inks.update(/** @type {any} */ (state));
  assert.equal(asked.length, 0);
  state = { ...state, plannedDrawing: 1 };
  await inks.update(/** @type {any} */ (state));
  assert.deepEqual(state.proof.inks[0].printed, printed);
  assert.equal(pictureKey({ kind: "proof", view: "print", width: 9, height: 9, grain: false, proof: state.proof }, state.settings, 1), before);
  await inks.update(/** @type {any} */ ({ ...state, plan: {} }));
  assert.equal(asked.length, 1);
});

test("a plate of another size is said to lie middle on middle, and a larger one to be cut off", () => {
  const of = (width, height) => plateFacts({ id: "x", letter: "C", title: "", tones: 4, example: false, facts: "", map: "", face_mm: { width, height } }, { width: 100, height: 80 }, "mm");
  assert.equal(of(100, 80), "4 tones, face 100 × 80 mm.");
  assert.match(of(50, 50), / it lies middle on middle\.$/);
  assert.match(of(50, 90), /middle on middle, and what reaches beyond this plate’s face is not shown\.$/);
});
