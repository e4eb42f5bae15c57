import assert from "node:assert/strict";
import { describe, test } from "node:test";
import { kills } from "../kills/kills.js";
import { runKills } from "../kills/run.js";

// Some six minutes, and mostly waiting, so both at once; `node kills/kills.js TIMES SEED` and `kills/run.js` tell more of each.
describe("the browser killed", { concurrency: true }, () => {
  test("100 times at chance moments: no torn state, nothing older than two seconds lost", async () => {
    const sum = await kills(100, 20260);
    assert.deepEqual(sum.torn, []);
    assert.equal(sum.kills, 100);
    assert.ok(sum.changes > 400, `${sum.changes} changes were made`);
    assert.ok(sum.opened >= 80, `the work was opened again ${sum.opened} times`);
    assert.ok(sum.lost > 0, "the kills came while there was something to lose");
  });

  test("15 times while a run is under way: every turn is there, and a bite began when its key was pressed", async () => {
    const sum = await runKills(15, 20261);
    assert.deepEqual(sum.faults, []);
    assert.equal(sum.kills, 15);
    assert.ok(sum.inBite >= 2, `${sum.inBite} kills came in mid-bite`);
  });
});
