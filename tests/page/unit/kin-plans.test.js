/** The plans of a family's other plates, without a browser: in what order they are asked for, what a refusal, Cancel and a crash leave, and who holds which map. */
import assert from "node:assert/strict";
import { test } from "node:test";
import { CallError } from "../../../www/bridge.js";
import { kinOf, stale, stopped, withKin } from "../../../www/family.js";
import { jobOf } from "../../../www/keeping/work.js";
import { KinPlans, named, printing } from "../../../www/kin-plans.js";
import { EXAMPLE } from "../../../www/settings.js";
import { beginning, NOTHING_DONE, PLAIN_PROOF } from "../../../www/state.js";

const kin = (letter) => kinOf({ name: `${letter}.png`, settings: EXAMPLE, good: null, done: NOTHING_DONE, job: { ...jobOf(beginning()), letter, title: letter, id: `id${letter}` } }, new Blob([letter]), `id${letter}`);
const turn = (ms = 5) => new Promise((resolve) => { setTimeout(resolve, ms); });

/** A page with a family and no worker: `answer` is what a plan comes to, or throws. */
function page(family, answer = () => {}) {
  const asked = [];
  const refusals = [];
  let count = 0;
  const it = {
    asked, refusals,
    state: { ...beginning(), info: {}, drawing: 1, plannedDrawing: 1, planned: EXAMPLE, settings: EXAMPLE, plan: {}, plateId: "hand", family },
    refused: (error) => refusals.push(error.code),
    busy: (_, work) => work,
    bridge: { call: async (call, args) => {
      asked.push(call === "kin_plan" ? `plan ${args.letter}` : `${call} ${args.id}`);
      if (call !== "kin_plan") return null;
      await answer(args, asked);
      return { plate: { id: `${args.id}-${args.settings.tones}-${++count}`, letter: args.letter, title: args.title, of: args.id }, tones: [], notes: [] };
    } },
    set(patch) {
      it.state = { ...it.state, ...patch };
      plans.update(it.state);
    },
    /** Nothing is under way any more. */
    async rest() {
      for (let calm = 0; calm < 3; calm++) {
        const before = asked.length;
        await turn();
        if (asked.length !== before) calm = -1;
      }
    },
  };
  const plans = new KinPlans(/** @type {any} */ (it), it.set, 1);
  it.plans = plans;
  it.set({});
  return it;
}
const ladder = (tones) => { const settings = { ...EXAMPLE, tones }; return { settings, planned: settings }; };
const of = (it, letter) => it.state.family.find(({ id }) => id === `id${letter}`);

test("each is planned once, and not again before the ladder is another; bench minutes plan none", async () => {
  const it = page([kin("A"), kin("C")]);
  await it.rest();
  assert.deepEqual(it.asked, ["plan A", "plan C"]);
  const bench = { ...EXAMPLE, bench: { dry_min: 9, rinse_min: 9 } };
  it.set({ settings: bench, planned: bench });
  await it.rest();
  assert.equal(it.asked.length, 2);
  // While the plate at hand has no plan of it, none follows.
  it.set({ settings: ladder(8).settings });
  await it.rest();
  assert.equal(it.asked.length, 2);
  it.set(ladder(8));
  await it.rest();
  // What each was before goes from the worker.
  assert.deepEqual(it.asked.slice(2), ["plan A", "plate_drop idA-10-1", "plan C", "plate_drop idC-10-2"]);
});

test("a refusal is kept with the plate, with what it came to before, and the others go on", async () => {
  const it = page([kin("A"), kin("C")], ({ letter, settings }) => { if (letter === "A" && settings.tones === 8) throw new CallError("frozen", "It has nine bites."); });
  await it.rest();
  it.set(ladder(8));
  await it.rest();
  assert.match(of(it, "A").refused, /It has nine bites\. Nothing of it is lost\.$/);
  assert.equal(of(it, "A").facts.plate.id, "idA-10-1");
  assert.deepEqual([of(it, "C").refused, stale(of(it, "A"), it.state.settings)], [null, false]);
});

test("Cancel leaves all that wait as they were, and they are planned when asked for, or on another ladder", async () => {
  let cancel = false;
  const it = page([kin("A"), kin("C"), kin("D")], () => { if (cancel) throw new CallError("stopped", "Stopped."); });
  await it.rest();
  const before = it.state.family.map(({ facts }) => facts);
  cancel = true;
  it.set(ladder(8));
  await it.rest();
  assert.deepEqual(it.asked.slice(3), ["plan A"], "none after it is begun");
  for (const each of it.state.family) assert.ok(each.refused === null && stopped(each, it.state.settings));
  assert.deepEqual(it.state.family.map(({ facts }) => facts), before);
  it.set({});
  await it.rest();
  assert.equal(it.asked.length, 4, "and none by itself");
  cancel = false;
  it.plans.again();
  await it.rest();
  assert.deepEqual(it.asked.filter((each) => each.startsWith("plan")).slice(4), ["plan A", "plan C", "plan D"]);
  assert.ok(it.state.family.every((each) => !stale(each, it.state.settings) && each.stopped === null));
  // Stopped once more, another ladder plans them.
  cancel = true;
  it.set(ladder(7));
  await it.rest();
  cancel = false;
  it.set(ladder(6));
  await it.rest();
  assert.ok(it.state.family.every((each) => !stale(each, it.state.settings)));
});

test("one at which the worker breaks off is not tried again by itself; the others are planned", async () => {
  let crashes = true;
  const it = page([kin("A"), kin("C")], ({ letter }) => { if (crashes && letter === "A") throw new CallError("crashed", "It broke off."); });
  await it.rest();
  assert.deepEqual([it.asked, it.refusals], [["plan A", "plan C"], ["crashed"]]);
  assert.deepEqual([of(it, "A").refused, stopped(of(it, "A"), it.state.settings), stale(of(it, "C"), it.state.settings)], [null, true, false]);
  crashes = false;
  it.plans.again();
  await it.rest();
  assert.deepEqual(it.asked.slice(2), ["plan A"]);
});

test("another letter plans nothing, and the worker knows the plate by it", async () => {
  const it = page([kin("A"), kin("C")]);
  await it.rest();
  it.set({ family: withKin(it.state.family, "idA", { job: { ...of(it, "A").work.job, letter: "X" } }) });
  await it.rest();
  assert.deepEqual([it.asked.slice(2), of(it, "A").facts.plate.letter], [["plate_bring idA-10-1"], "X"]);
  assert.equal(named(it.state.family), it.state.family);
});

test("a plate that is taken out is put away, but not while it prints in the proof", async () => {
  const it = page([kin("A"), kin("C")]);
  await it.rest();
  it.set({ plates: [of(it, "C").facts.plate] });
  it.set({ family: [] });
  await it.rest();
  assert.deepEqual(it.asked.slice(2), ["plate_drop idA-10-1"]);
  it.set({ plates: [] });
  await it.rest();
  assert.deepEqual(it.asked.slice(3), ["plate_drop idC-10-2"]);
});

test("a plate of the family prints in the proof as it is planned now, with its ink and its place", async () => {
  const it = page([kin("A"), kin("C")]);
  await it.rest();
  const { plate } = of(it, "C").facts;
  const own = { plate: null, ink: null, trap: 0.75, shift_mm: [0, 0], growth: [0, 0], turn: 0 };
  const proof = { ...PLAIN_PROOF, printings: [{ ...own, plate: plate.id, ink: 2, turn: 1 }, own] };
  it.set({ plates: [plate], proof });
  assert.equal(it.state.proof, proof, "it does already");
  // While it is to be planned anew it prints as before.
  it.set({ settings: ladder(8).settings });
  assert.equal(it.state.proof, proof);
  it.set(ladder(8));
  await it.rest();
  const now = of(it, "C").facts.plate;
  assert.notEqual(now.id, plate.id);
  assert.deepEqual([it.state.plates, it.state.proof.printings], [[now], [{ ...own, plate: now.id, ink: 2, turn: 1 }, own]]);
  assert.ok(it.asked.includes(`plate_drop ${plate.id}`));
  // Undo may bring back the plates as they were then: they follow at once.
  it.set({ plates: [plate], proof });
  assert.deepEqual(it.state.plates, [now]);
  // Out of the family, or refused, it prints as it was; a plate brought in from a file is nobody's.
  assert.equal(printing({ ...it.state, plates: [plate], proof, family: [] }), null);
  assert.equal(printing({ ...it.state, plates: [plate], proof, family: it.state.family.map((each) => ({ ...each, refused: "No." })) }), null);
  assert.equal(printing({ ...it.state, plates: [{ ...plate, of: undefined }], proof }), null);
});
