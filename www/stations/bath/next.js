/**
 * The screen between two turns of a family: which plate comes, for what and with which others, and what dries of the rest and how long yet. Another may be
 * taken instead.
 * @typedef {import("./screens.js").Turns} Turns
 * @typedef {import("../../run/record.js").Run} Run
 * @typedef {import("./frame.js").Screen} Screen
 * @typedef {import("../../run/record.js").Wait} Wait
 * @typedef {import("../../together.js").BathPlate} BathPlate
 */
import { h, say } from "../../dom.js";
import { absentWords, doneWords, SOON_MS, standsWords, turnWords, waitFigures, waitLeft, waitsBeside } from "../../run/all.js";
import { now } from "../../run/clock.js";

/** How long a plate waits yet, in figures. @param {Wait} wait */
const figures = (wait) => waitFigures(wait, now());

/** @param {Wait} wait what it does, where it has not had its time */
const does = (wait) => wait.what === "dry" ? wait.timing.length_ms === null ? " has dried for " : " dries " : " is rinsed and dries ";

/** What a plate stands at while it waits, and once it has. @param {BathPlate} plate @param {Wait | undefined} wait */
const stands = (plate, wait) => standsWords(plate, wait && figures(wait) ? wait.what : null);

/** @param {Turns} turns */
export function nextScreen(turns) {
  const { screen } = turns;
  /** What is shown of each plate and its waiting. @type {Map<string, { plate: BathPlate, stands: HTMLElement, left: HTMLElement }>} */
  const shown = new Map();
  let ready = "";

  /** Which waits are as good as over. @param {Run} run */
  const over = ({ waits = [] }) => waits.map((wait) => (waitLeft(wait, now()) ?? Infinity) <= SOON_MS ? wait.id : "").join();

  /** What of the other plates stands on every other screen, in words and figures in turn. @param {Run} run */
  function beside(run) {
    return waitsBeside(run).flatMap((wait, i) => {
      const figure = figures(wait);
      return figure ? [`${i ? " · " : ""}${wait.letter}${does(wait)}`, figure] : [`${i ? " · " : ""}${wait.letter} `, wait.what === "dry" ? "is dry" : "is rinsed and dry"];
    });
  }

  /** @param {Run} run @returns {Screen} */
  function next(run) {
    shown.clear();
    ready = over(run);
    const view = turns.view;
    if (!view) return { name: "next", title: "Between two turns", body: [], act: "", leave: true };
    const { known, plates, absent, turn, said } = view;
    const waits = run.waits ?? [];
    const inside = turn ? [turn.plate, ...turn.mates] : [];
    const letters = plates.filter((plate) => inside.includes(plate)).map(({ letter }) => letter);
    const words = turn ? turnWords(turn, plates) : known ? { title: doneWords(absent), sub: "All of it is in their logs." } : { title: "Working out what comes next", sub: "A plate may be taken all the same." };
    const late = turn && turn.wait_ms > SOON_MS ? h("p", { class: "sub" }, Number.isFinite(turn.wait_ms) ? "Not dry yet." : "No time to dry is set: look whether it is dry.") : null;
    const others = h("div", { class: "plates-row", role: "group", "aria-label": "Take another plate instead" }, ...plates.map((plate) => {
      const wait = waits.find(({ id }) => id === plate.id);
      const [words, left] = [h("span", null, stands(plate, wait)), h("i", null, wait ? figures(wait) : "")];
      shown.set(plate.id, { plate, stands: words, left });
      const out = !plate.dips.length;
      return h("button", { type: "button", disabled: out, "aria-pressed": String(inside.includes(plate)), onclick: () => turns.choose(plate.id) },
        h("b", null, plate.letter), words, left);
    }));
    return {
      name: "next", title: words.title,
      body: [h("div", { class: "figures", "aria-hidden": "true" }, h("b", { class: "letters" }, turn ? letters.join(" ") : known ? "✓" : "…")), h("p", { class: "headline" }, words.title), h("p", { class: "sub" }, words.sub), late,
        others, said || absent.length ? h("p", { class: "lead" }, [said, absentWords(absent)].filter(Boolean).join(" ")) : null].filter((node) => node !== null),
      act: turn ? turn.plate.hand ? `Hold, or a key: go on with plate ${turn.plate.letter}` : `Hold, or a key: take plate ${turn.plate.letter} to hand` : known ? "Hold, or a key: done" : "",
      acts: turn ? () => { turns.go(turn); } : known ? () => turns.turn({ phase: "finished", waits: [] }) : undefined,
      leave: true,
    };
  }

  return {
    next,
    /** What waits, as it is now. @param {Run} run */
    rest(run) {
      screen.others(run.phase === "next" || run.phase === "check" ? [] : beside(run));
      // While another is taken to hand its screen is not this one.
      if (run.phase !== "next" || turns.taking) return;
      for (const wait of run.waits ?? []) {
        const of = shown.get(wait.id);
        if (!of) continue;
        say(of.left, figures(wait));
        say(of.stands, stands(of.plate, wait));
      }
      // Another may come first now.
      const then = over(run);
      if (then === ready) return;
      ready = then;
      turns.again();
    },
  };
}
