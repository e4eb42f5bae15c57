import assert from "node:assert/strict";
import test from "node:test";
import { Bridge } from "../../../www/bridge.js";
import { EXAMPLE } from "../../../www/settings.js";

/** A worker that answers when told to. */
class Played {
  /** @type {any} */ onmessage = null;
  /** @type {any} */ onerror = null;
  /** @type {any[]} */ got = [];
  ended = false;
  /** @param {any} message */
  postMessage(message) {
    this.got.push(message);
    if (message.start) queueMicrotask(() => this.say({ ready: true }));
    else if (message.call === "open") queueMicrotask(() => this.say({ id: message.id, ok: { name: message.args.name } }));
    else if (message.call === "plan" && message.args.tones === 99) queueMicrotask(() => this.say({ id: message.id, error: { code: "tones", message: "Between 2 and 16 tones." } }));
    else if (message.call === "plan") queueMicrotask(() => this.say({ id: message.id, ok: "plan" }));
  }
  /** @param {any} data */
  say(data) { if (!this.ended) this.onmessage?.({ data }); }
  terminate() { this.ended = true; }
}

function set() {
  /** @type {Played[]} */
  const made = [];
  const bridge = new Bridge(() => (made.push(new Played()), /** @type {any} */ (made.at(-1))), () => ({}));
  return { made, bridge };
}
const bytes = new Uint8Array([1, 2, 3]);

test("answers find their calls, in any order, and progress is passed on", async () => {
  const { made, bridge } = set();
  /** @type {any[]} */
  const heard = [];
  const first = bridge.call("masks", null, (stage, share) => heard.push([stage, share]));
  const second = bridge.call("plan_json", null);
  await new Promise((go) => setTimeout(go, 5));
  const [, a, b] = made[0].got;
  made[0].say({ id: a.id, progress: { stage: "packing", share: 0.5 } });
  made[0].say({ id: b.id, ok: "{}" });
  made[0].say({ id: a.id, ok: bytes });
  assert.equal(await second, "{}");
  assert.equal(await first, bytes);
  assert.deepEqual(heard, [["packing", 0.5]]);
});

test("a refusal rejects with its sentence and its code", async () => {
  const { bridge } = set();
  await assert.rejects(bridge.call("plan", { ...EXAMPLE, tones: 99 }), { code: "tones", message: "Between 2 and 16 tones." });
});

test("stopping ends the worker, and the next one has the last drawing and the last good settings", async () => {
  const { made, bridge } = set();
  await bridge.call("open", { file: new Blob([bytes]), name: "a.png" });
  await bridge.call("plan", EXAMPLE);
  await assert.rejects(bridge.call("plan", { ...EXAMPLE, tones: 99 }));
  const slow = bridge.call("masks", null);
  const refused = assert.rejects(slow, { code: "stopped" });
  await new Promise((go) => setTimeout(go, 5));
  await bridge.stop();
  await refused;
  assert.equal(made.length, 2);
  assert.equal(made[0].ended, true);
  assert.deepEqual(made[1].got.map((m) => m.call ?? "start"), ["start", "open", "plan"]);
  assert.equal(made[1].got[1].args.name, "a.png");
  assert.equal(made[1].got[2].args.tones, EXAMPLE.tones);
});

test("a new worker is given the plates that print with this one, and none that was dropped", async () => {
  const { made, bridge } = set();
  const plate = (id) => /** @type {any} */ ({ id, letter: id });
  /** @param {any} asked @param {any} ok */
  const answered = async (asked, ok) => {
    await new Promise((go) => setTimeout(go, 5));
    made.at(-1).say({ id: made.at(-1).got.at(-1).id, ok });
    await asked;
  };
  await bridge.call("open", { file: new Blob([bytes]), name: "a.png" });
  await bridge.call("plan", EXAMPLE);
  await answered(bridge.call("plate_read", { file: new Blob([bytes]) }), plate("C"));
  await answered(bridge.call("plate_bring", plate("D")), null);
  await answered(bridge.call("plate_bring", plate("E")), null);
  await answered(bridge.call("plate_drop", { id: "D" }), null);
  const again = bridge.restart();
  for (let i = 0; i < 2; i++) await answered(Promise.resolve(), null);
  await again;
  assert.deepEqual(made[1].got.map((m) => m.call ?? "start"), ["start", "open", "plate_bring", "plate_bring", "plan"]);
  assert.deepEqual(made[1].got.slice(2, 4).map((m) => m.args.id), ["C", "E"]);
  // One that is on its way when the worker is stopped belongs to the page all the same; one that is refused does not.
  const waits = bridge.call("plate_bring", plate("F"));
  const stopped = assert.rejects(waits, { code: "stopped" });
  await new Promise((go) => setTimeout(go, 5));
  const third = bridge.stop();
  await stopped;
  for (let i = 0; i < 3; i++) await answered(Promise.resolve(), null);
  await third;
  assert.deepEqual(made[2].got.slice(2, 5).map((m) => m.args.id), ["C", "E", "F"]);
  const refused = bridge.call("plate_bring", plate("G"));
  await new Promise((go) => setTimeout(go, 5));
  made[2].say({ id: made[2].got.at(-1).id, error: { code: "brought", message: "No." } });
  await assert.rejects(refused, { code: "brought" });
  const fourth = bridge.restart();
  for (let i = 0; i < 3; i++) await answered(Promise.resolve(), null);
  await fourth;
  assert.deepEqual(made[3].got.slice(2, 5).map((m) => m.args.id), ["C", "E", "F"]);
});

test("a drawing that gives no plan is put back for the one before, and other calls wait meanwhile", async () => {
  const { made, bridge } = set();
  const first = await bridge.swap({ file: new Blob([bytes]), name: "a.png" }, () => EXAMPLE);
  assert.deepEqual([first.info.name, first.settings, first.plan], ["a.png", EXAMPLE, "plan"]);
  const swapped = bridge.swap({ file: new Blob([bytes]), name: "b.png" }, () => ({ ...EXAMPLE, tones: 99 }));
  const meanwhile = bridge.call("plan", EXAMPLE);
  await assert.rejects(swapped, { code: "tones" });
  assert.equal(await meanwhile, "plan");
  const said = made[0].got.slice(1).map((m) => m.args.name ?? m.args.tones);
  assert.deepEqual(said, ["a.png", EXAMPLE.tones, "b.png", 99, "a.png", EXAMPLE.tones, EXAMPLE.tones]);
});

test("a crash rejects what waits, and a restart takes up the work", async () => {
  const { made, bridge } = set();
  await bridge.call("open", { file: new Blob([bytes]), name: "a.png" });
  const waiting = bridge.call("masks", null);
  const refused = assert.rejects(waiting, { code: "crashed" });
  await new Promise((go) => setTimeout(go, 5));
  made[0].onerror({ message: "unreachable" });
  await refused;
  await bridge.restart();
  assert.equal(await bridge.call("plan", EXAMPLE), "plan");
  assert.equal(made.length, 2);
  // A worker that says so itself still lives: it goes, and its memory with it.
  const trapped = assert.rejects(bridge.call("masks", null), { code: "crashed" });
  await new Promise((go) => setTimeout(go, 5));
  made[1].say({ id: made[1].got.at(-1).id, error: { code: "crashed", message: "It stopped." } });
  await trapped;
  await bridge.restart();
  assert.deepEqual([made[1].ended, made[2].ended], [true, false]);
});

test("a worker that can't start says why", async () => {
  const bridge = new Bridge(() => {
    const worker = new Played();
    worker.postMessage = (message) => { if (message.start) queueMicrotask(() => worker.say({ failed: "No WebAssembly here." })); };
    return /** @type {any} */ (worker);
  }, () => ({}));
  await assert.rejects(bridge.call("plan", EXAMPLE), { code: "no_start", message: "No WebAssembly here." });
});
