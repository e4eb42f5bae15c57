/**
 * The screens of a run, one for each turn.
 * @typedef {import("../../run/record.js").Run} Run
 * @typedef {import("../../run/clock.js").Passed} Passed
 * @typedef {import("./frame.js").Screen} Screen
 * @typedef {import("./frame.js").Choice} Choice
 * @typedef {object} Turns
 * @property {import("../../state.js").Desk} desk
 * @property {ReturnType<typeof import("./frame.js").frame>} screen
 * @property {ReturnType<typeof import("../../run/sound.js").sounds>} sound
 * @property {ReturnType<typeof import("./alarm.js").alarm>} alarms
 * @property {Run | null} on
 * @property {boolean} waiting for the plan that knows of the last entry
 * @property {boolean} recalling it was taken up again, and is not yet held against what is open: nothing goes into the log by what stands on the screen
 * @property {boolean} refused the log did not take the last dip
 * @property {(part: Partial<Run>) => void} turn
 * @property {(part: Partial<Run>) => void} keep written down, with everything on screen as it is
 * @property {() => void} again the same screen built anew
 * @property {(sentence?: string) => void} tell
 * @property {() => void} begin the turn that comes by the log
 * @property {(at: import("../../run/clock.js").Moment) => void} start
 * @property {(at: import("../../run/clock.js").Moment) => void} lifted
 * @property {(ms: number) => void} answered
 * @property {(what: import("../../../web/types.d.ts").Happened, how?: { note?: string, freeze?: boolean, turns?: boolean }) => Promise<void>} log
 * @property {(planned_s: number) => void} putBack
 * @property {boolean} together whether it takes all plates of a family in turn
 * @property {boolean} others whether another of them has a turn to come
 * @property {import("./all.js").View | null} view the turns to come
 * @property {string} taking the letter of a plate that is being taken to hand
 * @property {(at: import("../../run/clock.js").Moment) => void} dries a stop-out was painted
 * @property {() => void} another puts the turn off for another plate's
 * @property {(turn: import("../../run/all.js").Turn) => Promise<void>} go goes on with a turn
 * @property {(id: string) => void} choose another plate's turn
 * @property {(to: { actual_s: number, celsius: number | null }, note: string) => void} righted the last dip, for those too that lay in it
 * @property {() => void} close
 * @property {() => void} tidy takes the last dip into the log
 * @property {() => void} unlog goes on without it
 */
import { h, say } from "../../dom.js";
import { inOrder } from "../../family.js";
import { count, listed, minutes, number, percent, readCelsius, readTime, sentence } from "../../format.js";
import { digits, left, leftSeconds, likely, now, passed } from "../../run/clock.js";
import { absentWords, doneWords } from "../../run/all.js";
import { canSpeak } from "../../run/sound.js";
import { bites, CAUTIONS, lift, painted } from "../../run/words.js";
import { Picture } from "../../picture.js";
import { bathPlates, bitesTogether } from "../../together.js";
import { nextScreen } from "./next.js";
import { outScreen } from "./out.js";

const BAD_CELSIUS = "A temperature reads like 19 or 19,5 °C, above 0 and below 100: type it again.";

/** @param {Turns} turns */
export function screens(turns) {
  const { desk, screen, sound, alarms } = turns;
  const settings = () => desk.state.settings;
  let heard = false;
  let noted = true;
  let busy = false;
  /** Whether the present bite's clocks are being asked about. */
  let asking = false;

  const picture = new Picture(desk, {
    wish: () => turns.on?.phase === "paint" ? { kind: "stopout", number: turns.on.number, view: "plate" } : null,
    title: () => `Stop-out ${turns.on?.number ?? ""}`,
    label: () => `Stop-out ${turns.on?.number ?? ""}: what to paint`,
  });
  const large = h("b", { class: "digits", role: "timer" });
  const under = h("p", { class: "sub" });
  const fill = h("i");
  const bar = h("div", { class: "bar", "aria-hidden": "true" }, fill);
  const small = h("span", { class: "count" });
  /** As the large digits have it. @param {number} seconds */
  const figure = (seconds) => digits(Math.round(seconds));

  /** @param {Run} run @returns {Screen} */
  function check(run) {
    const { plan } = desk.state;
    const pair = plan?.bath.pair.verdict === "sign_off" && plan.bath.named;
    const agreed = run.agreed === plan?.bath.said;
    const what = h("ul", { class: "before" },
      h("li", null, h("b", null, "Sound"), !sound.can ? "This browser has no sound: the screen flashes instead. Keep it in sight." : heard
        ? !sound.runs ? "No sound comes from this browser yet. The screen flashes all the same: keep it in sight." : "Two low notes come 10 s before the end, three high ones at the end. Not heard? Turn the volume up and take the device off silent."
        : "Hear it once before it matters: hold anywhere, or press a key.", sound.can && heard ? h("button", { type: "button", onclick: hear }, "Hear it again") : null),
      h("li", null, h("b", null, "Hand"), "Hold anywhere for 0.8 s to start, stop or confirm: the moment you press counts. Or a key or pedal (space, Enter, Page Down): once to start, twice quickly to lift."),
      h("li", null, h("b", null, "Clock"), plan?.strip.kind === "missing" ? "No strip, so no times: the clock counts up, and what you do is logged."
        : `Times by strip ${plan?.strip.id ?? ""}${plan?.strip.kind === "example" ? ", an EXAMPLE and not your bath: bite a strip of your own before a plate you care for" : ""}.`),
      plan && beforehand().length ? h("li", null, h("b", null, "First"), beforehand().join(" ")) : null,
      pair ? h("li", { class: "warn" }, h("b", null, "Sign-off"), h("span", null, plan?.bath.said ?? "", h("label", { class: "check" },
        h("input", { type: "checkbox", checked: agreed, onchange: (/** @type {any} */ e) => { turns.keep({ agreed: e.target.checked ? plan?.bath.said ?? null : null }); turns.again(); } }), "Whoever answers for the shop agrees"))) : null,
      bitesTogether(desk.state) ? h("li", null, h("b", null, "Plates"), h("label", { class: "check" },
        h("input", { type: "checkbox", checked: turns.together, onchange: (/** @type {any} */ e) => { turns.keep({ family: e.target.checked }); turns.again(); } }), `All ${desk.state.family.length + 1} in turn: between two turns the run says which comes`)) : null,
      canSpeak() ? h("li", null, h("b", null, "Voice"), h("label", { class: "check" },
        h("input", { type: "checkbox", checked: alarms.talks, onchange: (/** @type {any} */ e) => alarms.talk(e.target.checked) }), "Say it aloud as well")) : null);
    const act = pair && !agreed ? "" : !sound.can ? "Hold, or a key: begin" : heard ? "Hold, or a key: heard it, go on" : "Hold, or a key: hear the alarm";
    return {
      name: "check", title: "Before the run", body: [h("p", { class: "headline" }, "Before the run"), what, caution("check")], act,
      acts: act === "" ? undefined : () => heard || !sound.can ? turns.begin() : hear(),
    };
  }

  function hear() {
    sound.wakeUp();
    sound.play("test");
    heard = true;
    turns.again();
  }

  function beforehand() {
    const { plan, planned } = desk.state;
    return [planned?.lines === "etched" && plan?.standing.painted === 0 ? "Before the grain: the etched-line stage, by the lines’ own picture." : "",
      (plan?.resist_share ?? 0) > 0 && plan?.standing.painted === 0 ? "Before stop-out 1: the lift drawing. The fixed resist stays on through every bite." : ""].filter(Boolean);
  }

  /** @param {keyof typeof CAUTIONS} which */
  const caution = (which) => h("p", { class: "caution" }, CAUTIONS[which]);

  /** @param {Run} run @returns {Screen} */
  function paint(run) {
    const { plan } = desk.state;
    const stop = plan?.stopouts[run.number - 1];
    if (!plan || !stop) return waits("Opening the plan again");
    if (plan.bath.pair.verdict === "stop") return waits(plan.bath.said);
    if (turns.waiting || turns.recalling) return waits("Working out what comes next");
    picture.update(desk.state);
    const none = stop.new_share === 0;
    const facts = h("div", { class: "facts" },
      h("p", { class: "headline" }, `Stop-out ${run.number}: paint ${none ? "nothing" : painted(run.number)}`),
      h("dl", null,
        h("dt", null, "then covered"), h("dd", null, percent(stop.covered_share)),
        h("dt", null, "islands"), h("dd", null, count(stop.islands, "island").replace(/ .*/, "")),
        h("dt", null, "about"), h("dd", null, minutes(stop.paint_min)),
        h("dt", null, "so far"), h("dd", null, small)),
      h("p", { class: "legend" }, ...[["now", "PAINT NOW"], ["before", "COVERED BEFORE"], ["bare", "LEAVE BARE"]].map(([name, text]) => h("span", null, h("i", { class: `swatch ${name}` }), text)),
        ...(plan.resist_share > 0 ? [h("span", null, h("i", { class: "swatch resist" }), "FIXED RESIST")] : [])),
      plan.by_hand_share > 0 ? h("p", null, "Dotted edges: by hand, as you see fit.") : null,
      h("p", { class: "lead" }, "Once ticked it is varnish: no change of the plan takes it off."),
      h("label", { class: "check" }, h("input", { type: "checkbox", checked: noted, onchange: (/** @type {any} */ e) => { noted = e.target.checked; } }), "Log the minutes it took"),
      putOff(), caution("paint"));
    return {
      name: "paint", title: `Stop-out ${run.number}: what to paint, plate view`, body: [picture.root, facts],
      act: none ? "Hold, or a key: nothing to paint, go on" : "Hold, or a key: painted and looked over", acts: (at) => ticked(run, at, none), leave: true,
      next: `${none ? "" : `let it dry${settings().bench.dry_min ? ` ${minutes(settings().bench.dry_min ?? 0)}` : ""}, `}bite ${run.number}`,
    };
  }

  /** @param {Run} run @param {import("../../run/clock.js").Moment} at @param {boolean} none */
  async function ticked(run, at, none) {
    if (busy) return;
    busy = true;
    screen.act("Writing it down");
    try {
      const gone = run.timing ? passed(run.timing, at) : null;
      const min = noted && !none && gone?.kind === "sure" && likely(gone.ms) ? Math.round(gone.ms / 6000) / 10 : null;
      await turns.log({ kind: "painted", stop_out: run.number, minutes: min }, { freeze: true, turns: !none });
      turns.tell("");
      if (none) turns.begin();
      else turns.dries(at);
    } catch (error) {
      turns.tell(`${/** @type {Error} */ (error).message} Nothing was written down: try again.`);
      turns.again();
    } finally {
      busy = false;
    }
  }

  /** @param {Run} run @returns {Screen} */
  function dry(run) {
    return {
      name: "dry", title: `Stop-out ${run.number} is drying`,
      body: [h("p", { class: "headline" }, `Let stop-out ${run.number} dry`), h("div", { class: "figures" }, large), under, longer(run), putOff(), caution("dry")].filter((node) => node !== null),
      act: "Hold, or a key: it is dry", acts: () => turns.begin(), next: `bite ${run.number}`,
    };
  }

  /** The way to another plate's turn. */
  function putOff() {
    return turns.others ? h("div", { class: "row" }, h("button", { type: "button", onclick: turns.another }, "Another plate first")) : null;
  }

  /** Plates that lie in the dip, by their letters; none: this one alone. @param {Run} run */
  const inDip = ({ words, mates = [] }) => mates.length ? inOrder([words.letter, ...mates.map(({ letter }) => letter)]) : [];

  /** @param {Run} run */
  function lying(run) {
    const letters = inDip(run);
    const alone = () => {
      turns.keep({ mates: [] });
      turns.again();
    };
    return letters.length ? h("div", { class: "row in-dip" }, h("span", null, `Plates ${listed(letters)} in the tray together, each logged for itself`), h("button", { type: "button", onclick: alone }, `Plate ${run.words.letter} alone`)) : putOff();
  }

  /** More minutes on a clock of drying or rinsing. @param {Run} run */
  function longer(run) {
    const more = (/** @type {number} */ min) => () => {
      const timed = turns.on?.timing;
      if (!timed) return;
      const gone = passed(timed, now());
      if (gone.kind !== "sure") return;
      turns.turn({ timing: { ...timed, length_ms: Math.max(timed.length_ms ?? 0, gone.ms) + min * 60_000 } });
    };
    return h("div", { class: "row" }, h("span", null, run.timing?.length_ms === null ? "Ring in" : "Longer by"), ...[1, 5, 20].map((min) => h("button", { type: "button", onclick: more(min) }, `${min} min`)));
  }

  /** @param {Run} run @returns {Screen} */
  function ready(run) {
    const { plan } = desk.state;
    const inside = listed(inDip(run));
    const headline = run.back ? `Put ${inside ? `plates ${inside}` : "the plate"} back for bite ${run.number}` : `${sentence(bites(run))}${inside ? `: plates ${inside} together` : ""}`;
    if (!plan) return waits("Opening the plan again");
    if (plan.bath.pair.verdict === "stop") return waits(plan.bath.said);
    large.replaceChildren(run.planned_s === null ? "0:00" : figure(run.planned_s));
    say(under, "");
    const total = run.planned_s === null ? [] : ["; total then ", h("b", null, figure(run.before_s + run.planned_s))];
    under.append(...(run.planned_s === null ? [`bite ${run.number}: no strip, so it counts up; total so far `, h("b", null, figure(run.before_s))]
      : [`${run.back ? "back for " : ""}${bites(run)}: `, h("b", null, figure(run.planned_s)), "; total so far ", h("b", null, figure(run.before_s)), ...total]));
    // Taken with every letter, and nothing else is touched: the plate may go in while it is typed.
    const warm = h("input", { type: "text", inputmode: "decimal", id: "run-celsius", autocomplete: "off", "data-keys": "figure", value: run.celsius === null ? "" : number(run.celsius),
      oninput: () => {
        const celsius = readCelsius(warm.value);
        turns.keep({ celsius: celsius !== null && celsius > 0 && celsius < 100 ? celsius : null });
      },
      onchange: () => turns.tell(warm.value.trim() && turns.on?.celsius === null ? BAD_CELSIUS : "") });
    return {
      name: "ready", title: `${sentence(bites(run))}: ready`,
      body: [h("p", { class: "headline" }, headline), h("div", { class: "figures" }, large), under,
        h("p", { class: "row" }, h("label", { for: "run-celsius" }, "Bath now, °C, if you read it"), warm), lying(run), caution("ready")].filter((node) => node !== null),
      act: inside ? "Hold, or a key, as they go in" : "Hold, or a key, as the plate goes in", acts: turns.start, next: run.words.next,
    };
  }

  /** @param {Run} run @returns {Screen} */
  function bite(run) {
    asking = false;
    bar.hidden = run.planned_s === null;
    const letters = inDip(run);
    return {
      name: "bite", title: `${sentence(bites(run))} ${run.joins ? "are" : "is"} running`, body: [...(letters.length ? [h("div", { class: "figures" }, h("b", { class: "letters" }, letters.join(" ")))] : []), h("div", { class: "figures" }, large), under, bar], double: true, leave: false,
      act: `Hold anywhere, or a key twice: ${letters.length ? "all" : "plate"} out`, acts: turns.lifted, next: run.words.next,
    };
  }

  /** @param {Run} run @returns {Screen} */
  function asked(run) {
    const { steady_ms, wall_ms } = run.conflict ?? { steady_ms: 0, wall_ms: 0 };
    const typed = h("input", { type: "text", id: "asked-time", autocomplete: "off", onkeydown: (/** @type {KeyboardEvent} */ e) => { if (e.key === "Enter") keep(); } });
    const keep = () => {
      const seconds = readTime(typed.value);
      if (seconds === null || !likely(1000 * seconds)) turns.tell("A time reads like 0:25 or 25, or 1:02:03 with hours, and is a day at most: type how long the plate was in.");
      else turns.answered(1000 * seconds);
    };
    return {
      name: "asked", title: "How long was it in?", leave: false, act: "",
      body: [h("p", { class: "headline" }, `How long was bite ${run.number} in?`),
        h("p", { class: "lead" }, "This device’s clock was set, or the device slept, while the plate was in. Its two clocks disagree, and only you can tell which is right. Rinse first: nothing is lost by waiting."),
        h("p", { class: "row" }, h("label", { for: "asked-time" }, "Neither, by another clock it was in for"), typed, h("button", { type: "button", onclick: keep }, "Log that"))],
      question: "Which is right?", choices: answers(steady_ms, wall_ms, null),
    };
  }

  /** @param {number} steady_ms @param {number} wall_ms @param {number | null} length_ms @returns {Choice[]} */
  function answers(steady_ms, wall_ms, length_ms) {
    const sub = (/** @type {number} */ ms) => length_ms === null ? "" : `${digits(leftSeconds(length_ms - ms))} left`;
    const take = (/** @type {"steady_ms" | "wall_ms"} */ by, /** @type {number} */ ms) => () => {
      const timed = turns.on?.timing;
      // While it still runs, an answer is about the moment it is given, not the one it was asked at.
      const gone = timed ? passed(timed, now()) : null;
      asking = false;
      turns.answered(gone?.kind === "conflict" ? gone[by] : ms);
    };
    return [
      { digits: digits(Math.round(steady_ms / 1000)), label: "by the running clock", sub: sub(steady_ms), ms: steady_ms, take: take("steady_ms", steady_ms) },
      { digits: digits(Math.round(wall_ms / 1000)), label: "by the time of day", sub: sub(wall_ms), ms: wall_ms, take: take("wall_ms", wall_ms) },
    ].filter(({ ms }) => likely(ms));
  }

  /** @returns {Screen} */
  function finished() {
    const { plan } = desk.state;
    if (turns.together) {
      const { absent } = bathPlates(desk.state);
      const words = doneWords(absent);
      return {
        name: "finished", title: words, leave: false,
        body: [h("p", { class: "headline" }, words), h("p", { class: "lead" }, `Everything is in their logs. ${absentWords(absent)}`.trim()), caution("finished")],
        act: "Hold, or a key: back to the list", acts: turns.close, next: "varnish off, grain off, first proofs",
      };
    }
    return {
      name: "finished", title: "The last bite is done", leave: false,
      body: [h("p", { class: "headline" }, "The last bite is done"), h("p", { class: "lead" }, `In the bath in all: ${figure(plan?.standing.total_s ?? 0)}. Everything is in the log.`), caution("finished")],
      act: "Hold, or a key: back to the list", acts: turns.close, next: "varnish off, grain off, first proof",
    };
  }

  /** @param {string} words @returns {Screen} */
  function waits(words) {
    return { name: "waits", title: words, body: [h("p", { class: "headline" }, words)], act: "", leave: true };
  }

  /** What the clock says. @param {Run} run @param {Passed} gone */
  function tick(run, gone) {
    if (!run.timing) return;
    const timed = run.timing;
    if (run.phase === "paint") return say(small, gone.kind === "sure" ? digits(Math.floor(gone.ms / 1000)) : "the clock was set: not counted");
    if (gone.kind === "conflict") {
      if (asking) return screen.figures(answers(gone.steady_ms, gone.wall_ms, timed.length_ms));
      asking = true;
      say(large, digits(Math.floor(Math.max(0, gone.steady_ms) / 1000)));
      say(under, "");
      screen.root.dataset.conflict = "true";
      if (run.phase === "bite") screen.act("Hold beside the answers, or a key twice: plate out");
      screen.ask(answers(gone.steady_ms, gone.wall_ms, timed.length_ms), `The clocks disagree: this device’s was set, or it slept. ${run.phase === "bite" ? "How long has the plate been in? Lifting works all the same, and is asked about then." : "How long has it been?"}`);
      return;
    }
    if (screen.root.dataset.conflict === "true") {
      screen.root.dataset.conflict = "false";
      asking = false;
      screen.ask([], "");
      turns.again();
    }
    const over = left(timed, gone.ms);
    const before = large.textContent?.length;
    say(large, over === null ? digits(Math.floor(gone.ms / 1000)) : digits(leftSeconds(over)));
    if (before !== large.textContent?.length) screen.fit();
    if (run.phase === "bite") {
      const total = figure(Math.floor(run.before_s + gone.ms / 1000));
      const of = run.planned_s === null ? "" : ` of ${figure(run.before_s + run.planned_s)}`;
      const words = run.planned_s === null ? `in bite ${run.number}, counting up` : over !== null && over <= -1000 ? `over: lift the plate now. ${sentence(bites(run))} ${run.joins ? "were" : "was"} ` : `left of ${bites(run)}, `;
      told(under, [words, run.planned_s === null ? "" : figure(run.planned_s), " · total so far ", total, of]);
      fill.style.width = `${timed.length_ms ? Math.min(100, 100 * gone.ms / timed.length_ms) : 0}%`;
    } else if (run.phase === "dry" || run.phase === "out") {
      const what = run.phase === "dry" ? "drying" : "rinsing and drying";
      told(under, over === null ? [`${what} so far`] : over <= -1000 ? [`over: ${what} was to take `, minutes((timed.length_ms ?? 0) / 60_000)] : [`left of ${what}`]);
    }
  }

  /** Figures stand out in a line of words. @param {HTMLElement} line @param {string[]} parts words and figures in turn */
  function told(line, parts) {
    const text = parts.join("");
    if (line.textContent === text) return;
    line.replaceChildren(...parts.map((part, i) => i % 2 ? h("b", null, part) : part));
  }

  const { next, rest } = nextScreen(turns);
  const out = outScreen(turns, { large, under, longer, caution, badCelsius: BAD_CELSIUS });
  return {
    /** Another run: its sound is heard anew. */
    afresh() { heard = false; },
    /** @param {Run} run */
    of(run) {
      screen.root.dataset.conflict = "false";
      asking = false;
      // A plate in the bath, or just out of it, keeps its screen.
      if (turns.taking && !["bite", "asked", "out"].includes(run.phase)) return { ...waits(`Taking plate ${turns.taking} to hand`), leave: false };
      const made = { check, paint, dry, ready, bite, asked, out, next, finished }[run.phase](run);
      rest(run);
      return made;
    },
    tick,
    rest,
    /** @param {Run} run */
    lift(run) {
      return run.phase === "bite" || run.phase === "ready" ? lift(settings().handling.drag_s, run.planned_s === null) : "";
    },
  };
}
