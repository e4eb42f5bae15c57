/**
 * The laying clock: which piece is pasted next, and how long each pasted one still holds until the press. It takes the whole screen, is worked
 * by a press anywhere, a key or a pedal, and goes on after the page was loaded again.
 * @typedef {import("../../run/laying.js").Laying} Laying
 */
import { h, say, svg } from "../../dom.js";
import { clock, count } from "../../format.js";
import { digits, leftSeconds, now } from "../../run/clock.js";
import { agrees, back, layingRecord, lefts, paceOf, spare, tooSoon, turned } from "../../run/laying.js";
import { sounds } from "../../run/sound.js";
import { wake } from "../../run/wake.js";
import { frame } from "../bath/frame.js";
import { exampleFigures } from "./pieces.js";

/** The clocks are looked at this often, ms: what they say does not depend on it. */
const LOOK_MS = 100;
/** The lock that one tab holds while its laying clock runs, and how long a page that is loaded again waits for it, ms. */
const LOCK = "stepbite-laying-clock";
const WAIT_MS = 2_000;
/** So much before the first piece is dry it is told, ms. */
const SOON_MS = 60_000;
/** A pull that was left is looked at this often, ms. */
const LEFT_MS = 1_000;

/** Which calls are due with so much left of the first piece, ms. @param {number} first */
const due = (first) => [first <= SOON_MS && first > 0 && "soon", first <= 0 && "dry"].filter((name) => typeof name === "string");

/** @param {import("../../state.js").Desk} desk @param {import("../papers.js").Bench} bench */
export function laying(desk, bench) {
  const kept = layingRecord(() => localStorage);
  /** @type {Laying | null} */
  let on = null;
  /** @type {any} */
  let timer = null;
  let trouble = "";
  let awake = "";
  /** Said for a moment, of presses that counted as one. */
  let twice = "";
  /** A pull that was left, to go on with; its clocks go on, and what is due of them is told at any station. @type {Laying | null} */
  let resting = null;
  /** @type {any} */
  let watching = null;
  /** Whether the browser keeps it; where it keeps nothing this tab alone knows of it. */
  let stored = true;
  /** Lets another tab have the clock. @type {(() => void) | null} */
  let free = null;
  /** Which calls of this pull were told. @type {Set<string>} */
  let told = new Set();
  const screen = frame({ leave: () => leave() });
  screen.root.classList.add("laying");
  // The bath’s screen has this heading too: each is called by its own.
  const heading = screen.root.querySelector("h2");
  if (heading) heading.id = "h-laying";
  screen.root.setAttribute("aria-labelledby", "h-laying");
  screen.root.querySelector(".leave")?.setAttribute("aria-label", "Leave the laying clock");
  const sound = sounds(() => {});
  const lock = wake((sentence) => {
    awake = sentence;
    tell();
  });

  const large = h("b", { class: "digits", role: "timer" });
  const under = h("p", { class: "sub" });
  const rest = h("ol", { class: "pasted", "aria-label": "Pasted pieces and what is left of each" });
  const map = svg("svg", { class: "laying-map", "aria-hidden": "true" });
  const seen = h("figure", { class: "laying-seen" }, h("figcaption", null, "PLATE VIEW"), map);

  /** Whether this tab has the clock: one alone counts, and none takes it from another. @returns {Promise<boolean>} */
  async function have() {
    const { locks } = navigator;
    if (free || !locks) return true;
    // A page that was just loaded again has to wait for the one before to be gone.
    const over = new AbortController();
    const timer = setTimeout(() => over.abort(), WAIT_MS);
    return new Promise((resolve) => {
      locks.request(LOCK, { signal: over.signal }, () => {
        clearTimeout(timer);
        resolve(true);
        return new Promise((done) => { free = () => { free = null; done(undefined); }; });
      }).catch((error) => resolve(error?.name !== "AbortError"));
    });
  }

  function elsewhere() {
    desk.notice("The laying clock runs in another tab: go on there, or close that tab and go on here.", "refused");
    desk.set({});
  }

  async function begin() {
    const facts = bench.facts;
    const papers = bench.papers();
    if (!facts?.order?.length) return;
    // Sound is woken by the press itself.
    sound.wakeUp();
    if (!await have()) return elsewhere();
    const pieces = facts.order.flatMap((at) => {
      const { name, turned: other, edge, stock } = papers.pieces[at];
      const { number, outline, parts } = facts.pieces[at];
      return Array.from({ length: parts }, (_, k) => ({ number, name: parts > 1 ? `${name}${name ? ", " : ""}part ${k + 1} of ${parts}` : name, paper: papers.stocks[stock].name, turned: other, torn: edge === "torn", outline }));
    });
    const { letter, title } = desk.state;
    on = { phase: "before", pieces, open_s: papers.open_s, each_s: papers.each_s, pasted: [], pressed: null, plate: facts.plate, words: { letter, title }, example: exampleFigures(papers) };
    told = new Set();
    up();
  }

  /** Goes on with the pull that was left. */
  async function goOn() {
    // Another tab may have gone on with it since, and finished it while this one waited.
    rests(left());
    if (!resting) return gone();
    sound.wakeUp();
    if (!await have()) return elsewhere();
    const found = left();
    if (!found) return gone();
    on = { ...found, left: false };
    rests(null);
    kept.keep(on);
    told = new Set();
    up();
  }

  /** There is nothing left to go on with. */
  function gone() {
    free?.();
    rests(null);
    desk.hush("pull");
    desk.notice("The pull that was left is over: it was gone on with in another tab.");
    desk.set({});
  }

  /** The pull that was left, as it is now. */
  function left() {
    return stored ? kept.found() : resting;
  }

  /** @param {Laying | null} pull that was left */
  function rests(pull) {
    resting = pull;
    clearInterval(watching);
    watching = pull && setInterval(watch, LEFT_MS);
  }

  /** Tells what is due of a pull that was left: nobody looks at its clocks. */
  function watch() {
    const pull = left();
    // Gone on with in another tab it is told there.
    if (on || !pull?.left) return;
    const first = lefts(pull, now())[0];
    for (const name of due(first)) {
      if (told.has(name)) continue;
      told.add(name);
      desk.hush("pull");
      sound.due(name === "soon" ? "ten" : "time");
      const go = "Papers, “Go on with the pull”.";
      desk.ring(name === "soon" ? `One minute left of the first piece of the pull that was left: ${go}` : `The first piece of the pull that was left is past its time: ${go}`, "pull");
    }
  }

  function up() {
    screen.open(true);
    desk.hush("pull");
    desk.set({ running: true });
    lock.on();
    draw();
    clearInterval(timer);
    timer = setInterval(look, LOOK_MS);
  }

  /** Away from the screen: a pull under way is kept, and gone on with when wanted. @param {boolean} [over] it is over, and forgotten */
  function leave(over = false) {
    clearInterval(timer);
    lock.off();
    if (over || on?.phase === "done") {
      kept.forget();
      rests(null);
    } else if (on && on.phase !== "before") {
      rests({ ...on, left: true });
      stored = kept.keep(/** @type {Laying} */ (resting));
      desk.notice("The pull is kept as it stood, and its clocks go on: Papers, “Go on with the pull”.");
    }
    on = null;
    free?.();
    screen.open(false);
    desk.set({ running: false });
  }

  /** @param {Laying} next */
  function keep(next) {
    on = next;
    trouble = kept.keep(next) ? "" : "This browser keeps nothing for the page (a private window, or its storage is full): don’t close or reload it until the sheet is under the press.";
    draw();
  }

  /** A press: another turn, unless it is one with the press before. @param {import("../../run/clock.js").Moment} at */
  function pressed(at) {
    if (!on) return;
    if (!tooSoon(on, at)) return keep(turned(on, at));
    twice = "Two presses so close count as one.";
    setTimeout(() => {
      twice = "";
      tell();
    }, 2_500);
    tell();
  }

  function tell() {
    const clocks = on && !agrees(on, now()) ? "This machine’s two clocks disagree on the time that has passed: the longer one counts here." : "";
    screen.tell([trouble, awake, clocks, twice].filter(Boolean).join(" "));
  }

  /** @param {Laying} of */
  function where({ phase, pieces, pasted }) {
    return phase === "before" ? `${count(pieces.length, "piece")}` : phase === "laying" ? `${pasted.length} of ${pieces.length} pasted` : phase === "press" ? "all are pasted" : "under the press";
  }

  /** @param {import("../../run/laying.js").ToLay} piece */
  const called = (piece) => [`${piece.number}`, piece.name, piece.paper].filter(Boolean).join(" · ");
  /** @param {import("../../run/laying.js").ToLay} piece */
  const minded = (piece) => [piece.turned ? "other side to the ink" : "good side down", piece.torn ? "torn edge" : ""].filter(Boolean).join(", ");

  function draw() {
    if (!on) return;
    const { phase, pieces, pasted, open_s, each_s, words } = on;
    screen.head({ letter: words.letter, title: words.title, where: where(on), example: false }, "");
    const next = pieces[pasted.length];
    const present = pieces[pasted.length - 1];
    const undo = h("button", { type: "button", onclick: () => on && keep(back(on)) }, "One turn back");
    if (phase === "before") {
      const facts = h("ul", { class: "before" },
        h("li", null, h("b", null, "Hand"), "Hold anywhere for 0.8 s, or press a key or pedal, each time you begin to paste a piece: its own clock starts with the press. Then lay it, and press for the next."),
        h("li", null, h("b", null, "Order"), `Lowest number first, good side down, paste towards you. ${pieces.length === 1 ? "The one piece" : `All ${pieces.length}`} at ${each_s} s each take about ${clock(each_s * pieces.length)}; the paste is open for ${clock(open_s)}.${on.example ? ` ${on.example}` : ""}`),
        h("li", null, h("b", null, "Told"), "Two low notes come a minute before the first pasted piece is dry, three high ones when it is. The screen goes on through a reload."));
      screen.show({ name: "check", title: "Before the first piece is pasted", body: [h("p", { class: "headline" }, `First: piece ${called(next)}`), facts], act: "Hold, or a key: pasting the first piece", acts: pressed, leave: true });
    } else if (phase === "done") {
      const at = now();
      const left = lefts(on, at);
      const worst = Math.min(...left);
      const pace = paceOf(on);
      screen.show({
        name: "finished", title: "Under the press", leave: true, act: "Hold, or a key: close the clock", acts: () => leave(true),
        body: [h("p", { class: "headline" }, worst >= 0 ? "Under the press in time." : "The first pasted pieces were past their time: look at their edges."),
          h("p", { class: "sub" }, `The first piece had ${digits(leftSeconds(worst))} left${worst < 0 ? "; what is over time may lift" : ""}. ${pace === null ? "" : `A piece took ${Math.round(pace * 10) / 10} s on average; you planned ${each_s} s. `}`),
          pace !== null && Math.abs(pace - each_s) >= 0.5 ? h("p", null, h("button", { type: "button", onclick: () => takePace(pace) }, `Plan with ${Math.round(pace * 10) / 10} s a piece from now on`)) : h("p", null)],
        after: [h("div", null, undo)],
      });
    } else {
      const figure = h("div", { class: "figures" }, large);
      const what = phase === "press" ? [h("p", { class: "headline" }, `Lay piece ${called(present)}, then the sheet`), h("p", { class: "lead" }, minded(present))]
        : [h("p", { class: "headline" }, `Paste and lay piece ${called(present)}`), h("p", { class: "lead" }, minded(present))];
      screen.show({
        name: "lay", title: phase === "press" ? "All are pasted: to the press" : `Piece ${present.number}`, leave: true,
        body: [h("div", { class: "laying-now" }, h("div", { class: "laying-words" }, ...what, figure, under), seen), rest],
        act: phase === "press" ? "Hold, or a key: under the press" : `Hold, or a key: laid, now pasting ${next.number}`, acts: pressed,
        next: phase === "press" ? "the sheet, the blankets, the press" : `piece ${called(next)}`, after: [h("div", null, undo)],
      });
      plate();
    }
    look();
    screen.fit();
  }

  /** @param {number} pace */
  function takePace(pace) {
    bench.set("pace of the last pull", { ...bench.papers(), each_s: Math.min(600, Math.max(1, Math.round(pace * 10) / 10)), each_own: true });
    leave(true);
  }

  /** The plate face up, the piece at hand dark on it. */
  function plate() {
    if (!on) return;
    const [width, height, bevel] = on.plate;
    map.setAttribute("viewBox", `${-bevel} ${-bevel} ${width + 2 * bevel} ${height + 2 * bevel}`);
    const at = on.pasted.length - 1;
    const shape = (/** @type {[number, number][] | null} */ outline, /** @type {string} */ name) => outline === null
      ? svg("rect", { class: name, x: -bevel, y: -bevel, width: width + 2 * bevel, height: height + 2 * bevel }) : svg("polygon", { class: name, points: outline.join(" ") });
    const done = on.pieces.slice(0, at).map(({ outline }) => shape(outline, "done"));
    map.replaceChildren(svg("rect", { class: "metal", x: -bevel, y: -bevel, width: width + 2 * bevel, height: height + 2 * bevel }),
      svg("g", { transform: `translate(${width} 0) scale(-1 1)` }, ...done, ...(at >= 0 ? [shape(on.pieces[at].outline, "now")] : [])));
  }

  /** What the clocks say now. */
  function look() {
    if (!on || on.phase === "before" || on.phase === "done") return;
    const at = now();
    const left = lefts(on, at);
    const first = left[0];
    say(large, digits(leftSeconds(first)));
    screen.root.dataset.late = String(first < 0);
    const margin = Math.round(spare(on, at));
    const pace = paceOf(on);
    say(under, `left of piece ${on.pieces[0].number}, the first pasted${first < 0 ? ": it is past its time" : ""}. ${on.phase === "press" ? "" : `At ${pace === null ? "the planned" : "this"} pace, ${margin >= 0 ? `${digits(margin)} to spare at the press` : `late by ${digits(-margin)}`}.`}${on.example ? ` ${on.example.split(":")[0]}.` : ""}`);
    if (rest.children.length !== left.length) {
      rest.replaceChildren(...left.map((_, i) => h("li", null, h("b", null, String(on?.pieces[i].number ?? "")), h("span", null), h("i", { "aria-hidden": "true" }))));
    }
    left.forEach((ms, i) => {
      const row = /** @type {HTMLElement} */ (rest.children[i]);
      say(/** @type {Element} */ (row.children[1]), digits(leftSeconds(ms)));
      row.dataset.late = String(ms < 0);
      row.style.setProperty("--left", String(Math.max(0, Math.min(1, ms / 1000 / (on?.open_s ?? 1)))));
    });
    for (const name of due(first)) {
      if (name === "soon") call(name, "ten", "One minute left of the first piece.");
      else call(name, "time", "The first piece is past its time.");
    }
    tell();
  }

  /** @param {string} name @param {"ten" | "time"} note @param {string} sentence */
  function call(name, note, sentence) {
    if (told.has(name)) return;
    told.add(name);
    sound.due(note);
    screen.root.dataset.flash = note;
    setTimeout(() => { screen.root.dataset.flash = ""; }, 1_200);
    screen.call(sentence);
  }

  // A pull that was under way when the page went goes on, whatever station comes up.
  const found = kept.found();
  if (found && found.phase !== "before") {
    // What was due before the page came up is not told again.
    if (found.pasted.length) told = new Set(due(lefts(found, now())[0]));
    rests(found);
    if (!found.left) {
      queueMicrotask(async () => {
        if (!await have()) return elsewhere();
        // The page before may have had another press, or another tab ended it, while this one waited.
        const pull = kept.found();
        if (!pull || pull.left) {
          free?.();
          rests(pull);
          return desk.set({});
        }
        on = pull;
        told = new Set();
        rests(null);
        up();
      });
    }
  } else kept.forget();

  return { begin, goOn, get on() { return on !== null; }, get kept() { return on ? null : resting; } };
}
