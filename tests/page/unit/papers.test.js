// Papers under the ink: the one list of pieces and what is said of it; the clocks of a pull, held to sums done by hand.
import assert from "node:assert/strict";
import { test } from "node:test";
import { PLAIN_PROOF } from "../../../www/state.js";
import { demoPapers } from "../../../www/stations/papers/demo.js";
import { chanceWords, remedyWords } from "../../../www/stations/papers/late.js";
import { beside, calls, exampleFigures, NO_PAPERS, paperNames, proofOf, rowsPapers, saidAbove, takenOver, withAbove, withoutPiece, withoutStock, withPieces, withStock } from "../../../www/stations/papers/pieces.js";
import { back, DEAD_MS, layingRecord, lefts, paceOf, since, spare, turned } from "../../../www/run/laying.js";

const square = (x) => [[x, 0], [x + 5, 0], [x + 5, 5], [x, 5]];
const some = (count) => withPieces(withStock(NO_PAPERS), 0, Array.from({ length: count }, (_, i) => square(6 * i)));

test("what is said of two pieces goes with them when another is taken away", () => {
  let papers = withAbove(withAbove(some(4), 0, 3, "one"), 2, 1, "one");
  assert.equal(saidAbove(papers, 3, 0), "other");
  papers = withoutPiece(papers, 1);
  assert.deepEqual(papers.above, [[0, 2]]);
  assert.deepEqual(papers.pieces.map(({ outline }) => outline[0][0]), [0, 12, 18]);
  assert.deepEqual(withAbove(papers, 2, 0, "one").above, [[2, 0]], "said otherwise, not both ways");
  assert.deepEqual(withAbove(papers, 0, 2, "").above, []);
  assert.equal(new Set(some(40).pieces.map(({ tear }) => tear)).size, 40);
  const two = withPieces(withStock(some(1)), 1, [null]);
  assert.equal(withoutStock({ ...two, pieces: two.pieces.slice(1) }, 0).pieces[0].stock, 0);
  assert.equal(calls(two, null, 1), "piece 2");
});

test("what the proof had laid in comes over in its order, and the proof then has none of its own", () => {
  const laid = (name, on_white) => ({ name, on_white, on_black: "#303030", outline: square(1), edge: "torn", tear: 7, back: null, turned: true });
  const proof = { ...PLAIN_PROOF, laid: [laid("top", "#eeeeee"), laid("under", "#dddddd"), laid("low", "#eeeeee")] };
  const { papers, proof: after } = takenOver(NO_PAPERS, proof);
  assert.deepEqual(after.laid, []);
  assert.equal(papers.stocks.length, 2);
  assert.deepEqual(papers.pieces.map(({ name, stock, turned: other, tear, edge }) => [name, stock, other, tear, edge]), [["top", 0, true, 7, "torn"], ["under", 1, true, 7, "torn"], ["low", 0, true, 7, "torn"]]);
  assert.deepEqual(papers.above, [[0, 1], [1, 2]]);
  assert.equal(takenOver(papers, after).proof, after, "nothing to take over is the same proof");
  const sent = proofOf({ proof: after, papers });
  assert.equal(sent.papers, papers);
  assert.equal(proofOf({ proof: after, papers }), sent, "the same two are sent as the same");
  assert.equal(proofOf({ proof: after, papers: null }), after);
});

test("the example has 34 pieces of three papers, a chain of three and a sky and a quay that are said", () => {
  const papers = demoPapers({ width: 157, height: 177 });
  assert.deepEqual([papers.pieces.length, papers.stocks.map(({ across_pct }) => across_pct), papers.open_s, papers.each_s], [34, [1.6, 2.1, 0.8], 480, 11]);
  const at = (name) => papers.pieces.findIndex((piece) => piece.name === name);
  assert.equal(saidAbove(papers, at("window"), at("snow edge")), "one");
  assert.ok(papers.pieces.every(({ outline }) => outline.every(([x, y]) => x >= 0 && x <= 157 && y >= 0 && y <= 177)));
});

const at = (seconds, wall = seconds) => ({ steady: 1000 * seconds, wall: 1000 * wall });
const begun = { phase: "before", pieces: [1, 2, 3].map((number) => ({ number, name: "", paper: "kozo", turned: false, torn: false, outline: null })), open_s: 100, each_s: 20, pasted: [], pressed: null, plate: [50, 60, 1], words: { letter: "B", title: "x" } };

test("each piece's clock runs from its own pasting to the press", () => {
  let laying = begun;
  assert.equal(spare(laying, at(0)), 40);
  for (const [seconds, phase] of [[10, "laying"], [25, "laying"], [50, "press"]]) {
    laying = turned(laying, at(seconds));
    assert.equal(laying.phase, phase);
  }
  assert.deepEqual(lefts(laying, at(60)), [50_000, 65_000, 90_000]);
  assert.equal(paceOf(laying), 20);
  // 50 s have gone, three pieces at 20 s are 60 s.
  assert.equal(spare(laying, at(60)), 40);
  assert.equal(spare(laying, at(120)), -10);
  // One that is struggled with takes nothing off those still to come: 70 s have gone with two pasted at 15 s, and the third takes its pace.
  const late = { ...begun, phase: "laying", pasted: [at(10), at(25)] };
  assert.equal(spare(late, at(80)), 100 - (70 + 15));
  const done = turned(laying, at(105));
  assert.deepEqual([done.phase, lefts(done, at(900))], ["done", [5_000, 20_000, 45_000]], "after the press nothing runs");
  assert.equal(turned(done, at(200)), done);
  assert.equal(back(done).phase, "press");
  assert.deepEqual([back(back(done)).phase, back(back(back(back(done)))).phase], ["laying", "before"]);
});

test("a double press skips no piece, and the last press is taken back", () => {
  const one = turned(begun, at(10));
  assert.equal(turned(one, at(10 + (DEAD_MS - 1) / 1000)), one, "one press");
  const two = turned(one, at(10 + DEAD_MS / 1000));
  assert.equal(two.pasted.length, 2);
  const all = turned(two, at(30));
  assert.equal(turned(all, at(30.1)).phase, "press", "nor is the press passed by");
  assert.deepEqual(back(all).pasted, two.pasted);
  assert.equal(turned(back(all), at(31)).pasted.length, 3, "what was taken back is pressed again");
});

test("figures that papers begin with are said to be an example until they are the printer's own", () => {
  assert.match(exampleFigures(NO_PAPERS), /^EXAMPLE, NOT YOUR PASTE: open time and seconds a piece are nobody’s trial/);
  assert.match(exampleFigures({ ...NO_PAPERS, each_s: 14 }), /the open time is nobody’s trial/);
  assert.match(exampleFigures({ ...NO_PAPERS, open_s: 600 }), /^EXAMPLE, NOT YOUR PACE/);
  assert.equal(exampleFigures({ ...NO_PAPERS, open_s: 600, each_s: 14 }), "", "what is otherwise is somebody's, in older files too");
  assert.equal(exampleFigures({ ...NO_PAPERS, open_own: true, each_own: true }), "", "an own trial may come to the same");
});

test("pieces beside a smaller plate are counted, and papers of one name told apart", () => {
  const papers = some(4);
  const face = { width: 16, height: 40 };
  assert.equal(beside(papers, face, 1.5), 1, "18 mm from the left is past 17.5");
  assert.equal(beside(papers, face, 3), 0);
  assert.equal(beside(withPieces(papers, 0, [null]), face, 1.5), 1, "a whole ground is as large as any plate");
  assert.deepEqual(paperNames([{ name: "kozo" }, { name: "gampi" }, { name: "kozo" }]), ["kozo (1)", "gampi", "kozo (3)"]);
});

test("pieces and time of a row's plates are summed, for they go under the press at once", () => {
  const kin = (id, letter, papers) => ({ id, work: { job: { letter, papers }, settings: { plate: { width_mm: 90, height_mm: 180 } } }, facts: null, refused: null });
  const state = { letter: "A", title: "a", plan: null, plateId: "a", papers: some(4), row: { plates: [{ id: "a" }, { id: "b" }, { id: "c" }, { id: "d", out: true }] },
    family: [kin("b", "B", { ...some(6), each_s: 20, open_s: 300 }), kin("c", "C", null), kin("d", "D", some(9))] };
  const own = { pieces: 4, takes_s: 44 };
  const sum = rowsPapers(state, own);
  assert.deepEqual([sum.pieces, sum.takes_s, sum.open_s, sum.plates.map(({ letter }) => letter)], [10, 44 + 120, 300, ["A", "B"]], "D stands in no row");
  const letters = (row) => rowsPapers({ ...state, row }, own)?.plates.map(({ letter }) => letter) ?? null;
  assert.deepEqual(letters({ plates: [{ id: "a" }, { id: "c" }, { id: "d", out: true }] }), ["A", "B"], "B joined the family later, and stands last");
  assert.deepEqual(letters(null), ["A", "B", "D"], "a row nobody said anything of has all of them");
  assert.equal(letters({ plates: [{ id: "a" }, { id: "b", out: true }, { id: "c" }, { id: "d", out: true }] }), null);
  assert.equal(letters({ plates: [{ id: "a", out: true }, { id: "b" }] }), null, "the one at hand stands in none");
  assert.equal(rowsPapers({ ...state, family: [] }, own), null);
});

test("where the two clocks disagree the longer time counts", () => {
  assert.deepEqual(since(at(0), at(30, 31)), { ms: 30_000, sure: true });
  assert.deepEqual(since(at(0), at(30, 90)), { ms: 90_000, sure: false });
  assert.deepEqual(since(at(10), at(5, 5)), { ms: 0, sure: false });
});

test("a pull under way is found again, and nothing else is", () => {
  const held = new Map();
  const storage = { getItem: (key) => held.get(key) ?? null, setItem: (key, text) => held.set(key, text), removeItem: (key) => held.delete(key) };
  const record = layingRecord(() => storage);
  const laying = turned(begun, at(10));
  assert.ok(record.keep(laying));
  assert.deepEqual(record.found(), laying);
  record.forget();
  assert.equal(record.found(), null);
  for (const text of ["", "{", "null", JSON.stringify({ version: 9, laying }), JSON.stringify({ version: 1, laying: { ...laying, pasted: [{ steady: 1 }] } }), JSON.stringify({ version: 1, laying: { ...laying, pieces: [] } })]) {
    held.set("stepbite.laying", text);
    assert.equal(record.found(), null, text);
  }
  const none = layingRecord(() => { throw new Error("denied"); });
  assert.deepEqual([none.keep(laying), none.found()], [false, null]);
});

test("a chance is never sure, and each remedy says what it is", () => {
  assert.deepEqual([0, 0.018, 0.4834, 0.999].map(chanceWords), ["under 1 %", "2 %", "48 %", "over 99 %"]);
  assert.match(remedyWords({ way: "merge", pieces: 22, late: 0 }, 34)[0], /22 instead of 34/);
  assert.match(remedyWords({ way: "two_pulls", pieces: 17, late: 0 }, 34)[0], /17 pieces, then 17/);
});
