/** A drawing's file: when it is copied, and what title its name gives. */
import assert from "node:assert/strict";
import { test } from "node:test";
import { held, LARGE_FILE, titleOf } from "../../../www/keeping/drawing-file.js";

test("a file is held as a copy, and a large one as it is", async () => {
  const small = new Blob(["drawing"]);
  const copy = await held(small);
  assert.notEqual(copy, small);
  assert.equal(await copy.text(), "drawing");
  const large = /** @type {any} */ ({ size: LARGE_FILE + 1, arrayBuffer: () => assert.fail("it is read into memory") });
  assert.equal(await held(large), large);
});

test("a title is the file's name without its ending, of letters whole", () => {
  assert.deepEqual(["ice house.jpg", "two.parts.png", "bare", ".png", "  .tif", ""].map(titleOf), ["ice house", "two.parts", "bare", "Untitled", "Untitled", "Untitled"]);
  const long = titleOf(`${"𝒜".repeat(300)}.png`);
  assert.equal(long, "𝒜".repeat(120), "no letter is cut in two");
});
