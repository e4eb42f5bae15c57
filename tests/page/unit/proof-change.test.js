// Undo and "Put it back" on the proof: what a change is called, and that putting back puts back one thing.
import assert from "node:assert/strict";
import { test } from "node:test";
import { changeName, fitting } from "../../../www/stations/proof/change.js";
import { A_HAND, changed, inserted, moved, rectangle, without, withInkAgain, withNewInk, withoutInk, withPlate, withPlateAgain } from "../../../www/stations/proof/choices.js";
import { beginning, PLAIN_PROOF } from "../../../www/state.js";

const deep = (value) => {
  if (value && typeof value === "object") Object.values(value).forEach(deep);
  return Object.freeze(value);
};
const zone = (name, ink) => ({ name, ink, outline: rectangle(10, 20, 30, 40) });
const withInks = (...names) => deep({ ...PLAIN_PROOF, inks: names.map((name) => ({ name, known: { full: "#101010", opacity: 0 }, sheet: null, thinned: 0, strength: 1 })) });

test("every change of the proof has a name, and none has none", () => {
  const named = (proof, patch) => changeName(deep(proof), deep({ ...proof, ...patch }));
  const inked = { ...PLAIN_PROOF, ...withNewInk(PLAIN_PROOF) };
  const zoned = { ...PLAIN_PROOF, zones: [zone("sky", null), zone("sea", null)] };
  const paper = { name: "tissue", on_white: "#eadfc2", on_black: "#8d8672", outline: rectangle(1, 1, 9, 9), edge: "cut", back: null, turned: false };
  const laid = { ...PLAIN_PROOF, laid: [paper] };
  const two = { ...PLAIN_PROOF, ...withPlate(PLAIN_PROOF, "x") };
  const edged = { ...PLAIN_PROOF, edges: { ...A_HAND, wander_mm: 0.4 } };
  for (const [proof, patch, name] of [
    [PLAIN_PROOF, {}, null],
    [PLAIN_PROOF, { grain: { ...PLAIN_PROOF.grain } }, null],
    [PLAIN_PROOF, withNewInk(PLAIN_PROOF), "ink 1 added"],
    [inked, withoutInk(inked, 0), "ink 1 taken away"],
    [inked, { inks: changed(inked.inks, 0, { known: { full: "#000000", pale: "#888888", tone: 2 } }) }, "ink 1 changed"],
    [inked, { inks: changed(inked.inks, 0, { name: "red ochre" }) }, "ink 1 named red ochre"],
    [zoned, { zones: changed(zoned.zones, 1, { outline: rectangle(1, 2, 3, 4) }) }, "sea drawn otherwise"],
    [zoned, { zones: without(zoned.zones, 0) }, "sky taken away"],
    [zoned, { zones: moved(zoned.zones, 0, 1) }, "order of the zones of ink"],
    [laid, { laid: changed(laid.laid, 0, { outline: null }) }, "tissue over the whole face"],
    [PLAIN_PROOF, withPlate(PLAIN_PROOF, "x"), "a plate brought in"],
    [two, { printings: without(two.printings, 1) }, "a plate taken away"],
    [two, { printings: [...two.printings].reverse() }, "order of the plates"],
    [two, { printings: changed(two.printings, 1, { trap: 0.5 }) }, "trap of a plate"],
    [two, { printings: changed(two.printings, 1, { turn: 1 }) }, "misfit of a plate"],
    [PLAIN_PROOF, { plate_tone: 0.12 }, "plate tone 0.12"],
    [PLAIN_PROOF, { paper: "#ece6d8" }, "paper of the proof"],
    [PLAIN_PROOF, { edges: edged.edges }, "edges as a hand paints them"],
    [edged, { edges: null }, "edges as planned"],
    [PLAIN_PROOF, { grain: { ...PLAIN_PROOF.grain, seed: 2 } }, "another such grain"],
    [PLAIN_PROOF, { lamp: "warm" }, "light: warm"],
  ]) assert.equal(named(proof, patch), name);
});

test("an ink put back is that ink alone: what came meanwhile stays", () => {
  const before = deep({ ...withInks("a", "b", "c"), zones: [zone("sky", 1), zone("sea", 2)], printings: [{ ...PLAIN_PROOF.printings[0], ink: 1 }] });
  let now = deep({ ...before, ...withoutInk(before, 1) });
  now = deep({ ...now, zones: [...now.zones, zone("boat", 1)], inks: [...now.inks, { ...now.inks[0], name: "d" }] });
  const again = { ...now, ...withInkAgain(now, before, 1) };
  assert.deepEqual(again.inks.map((ink) => ink.name), ["a", "b", "c", "d"]);
  assert.deepEqual(again.zones.map(({ name, ink }) => [name, ink]), [["sky", 1], ["sea", 2], ["boat", 2]]);
  assert.equal(again.printings[0].ink, 1);
  assert.deepEqual(inserted([1, 2], 5, 3), [1, 2, 3], "at a place that is no more it comes last");
});

test("a plate put back has its place and its misfit, and the one left alone has its own again", () => {
  const two = { ...withInks("a"), ...withPlate(PLAIN_PROOF, "x") };
  const before = changed(changed(two.printings, 0, { shift_mm: [2, 0] }), 1, { ink: 0, turn: 1 });
  const alone = { ...two, printings: [{ ...before[0], shift_mm: [0, 0] }] };
  assert.deepEqual(withPlateAgain(alone, before, 1).printings, before);
  assert.equal(withPlateAgain({ ...alone, inks: [] }, before, 1).printings[1].ink, null, "its ink is gone");
});

test("a way of looking that the proof no longer has is left", () => {
  const { proofing } = beginning();
  assert.equal(fitting(proofing, PLAIN_PROOF), proofing);
  assert.equal(fitting({ ...proofing, way: "chance" }, PLAIN_PROOF).way, "pull");
  assert.equal(fitting({ ...proofing, way: "orders" }, PLAIN_PROOF).way, "pull");
  const drawing = { of: "zone", index: 1 };
  assert.deepEqual(fitting({ ...proofing, drawing }, { ...PLAIN_PROOF, zones: [zone("a", null)] }).drawing, null);
  const kept = { ...proofing, drawing };
  assert.equal(fitting(kept, { ...PLAIN_PROOF, zones: [zone("a", null), zone("b", null)] }), kept);
});
