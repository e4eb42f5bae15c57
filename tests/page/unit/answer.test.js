// What is asked of the core beside plan and pictures: when it changes, and not over and over.
import assert from "node:assert/strict";
import { test } from "node:test";
import { Answer } from "../../../www/answer.js";
import { EXAMPLE } from "../../../www/settings.js";
import { beginning } from "../../../www/state.js";

const rest = () => new Promise((resolve) => setTimeout(resolve, 320));

/** A desk whose worker answers, or fails, as it is told. */
function bench(answers) {
  const desk = { state: { ...beginning(), planned: EXAMPLE, plannedDrawing: 1 }, asked: [], bridge: {
    call(call, args) {
      desk.asked.push(args);
      const next = answers.shift() ?? "again";
      return next instanceof Error ? Promise.reject(next) : Promise.resolve(next);
    } } };
  return desk;
}
const refusal = (code, message) => Object.assign(new Error(message), { code });
const facts = (desk, then = () => {}) => new Answer(desk, "ink_facts", ({ proof }) => ({ proof }), then);

test("what has not changed is not asked again, and the old answer stays in sight while a new one comes", async () => {
  const desk = bench(["first"]);
  const part = facts(desk);
  for (let i = 0; i < 3; i++) {
    part.update(desk.state);
    await rest();
  }
  assert.deepEqual([part.found, part.current, desk.asked.length], ["first", true, 1]);
  desk.state = { ...desk.state, proof: { ...desk.state.proof, plate_tone: 0.1 } };
  part.update(desk.state);
  assert.deepEqual([part.found, part.current], ["first", false]);
  await rest();
  assert.deepEqual([part.found, desk.asked.length], ["again", 2]);
});

test("a refusal is said once and not asked for again; what was broken off is", async () => {
  const desk = bench([refusal("ink", "No such ink."), refusal("stopped", "Stopped."), "well"]);
  let heard = 0;
  const part = facts(desk, () => { heard++; });
  for (let i = 0; i < 3; i++) {
    part.update(desk.state);
    await rest();
  }
  assert.deepEqual([part.trouble, part.found, desk.asked.length, heard], ["No such ink.", null, 1, 1]);
  desk.state = { ...desk.state, proof: { ...desk.state.proof, plate_tone: 0.2 } };
  part.update(desk.state);
  await rest();
  assert.equal(part.current, false);
  part.update(desk.state);
  await rest();
  assert.deepEqual([part.found, part.trouble, desk.asked.length], ["well", "", 3]);
});

test("what changed while nobody looked is asked for as it is", async () => {
  const desk = bench(["old", "new"]);
  const part = facts(desk);
  part.update(desk.state);
  desk.state = { ...desk.state, proof: { ...desk.state.proof, plate_tone: 0.3 } };
  await rest();
  await rest();
  assert.deepEqual(desk.asked.map(({ proof }) => proof.plate_tone), [0.3]);
});
