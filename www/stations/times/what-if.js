/** What if a bite runs over or is cut short: which tones move, which are safe, and the ways on. Asked anew as the slider moves. */
import { h, say, table } from "../../dom.js";
import { radios, slider } from "../../fields.js";
import { clock, number, sentence, tenths } from "../../format.js";
import { cssGrey } from "../../srgb.js";
import { biteName } from "../../together.js";

/** @typedef {import("../../state.js").State} State */
/** @typedef {import("../../../web/types.d.ts").WhatIf} WhatIf */
/** @typedef {import("../../../web/types.d.ts").WayOn} WayOn */

/** Bites shorter than so many times what the hand may be off are flagged, as by the core. */
const SLACKS = 3;
/** L* under which two tones look like one. */
const TOLD_APART = 3;

/** @param {import("../../state.js").Desk} desk @returns {import("../../state.js").Part} */
export function whatIf(desk) {
  let bite = 1;
  let seconds = 20;
  /** What was answered last, and for what. @type {WhatIf | null} */
  let found = null;
  let key = "";
  let asking = false;

  const which = h("div", null);
  let bites = "";
  /** @type {ReturnType<typeof radios> | null} */
  let choice = null;
  const off = slider(desk, "Off by", { min: -120, max: 120, step: 1, unit: "s",
    words: (value) => value === 0 ? "as planned" : `${number(Math.abs(value))} s too ${value > 0 ? "long" : "short"}`,
    take: (value) => turn(bite, value),
    typed(value) {
      if (Math.abs(value) > 120) {
        desk.notice("A bite may be asked after that is up to 120 s too long or too short: type a number from −120 to 120.", "refused");
        return false;
      }
      turn(bite, value);
    } });
  const said = h("p", { class: "what" });
  const safe = h("p", null);
  const tones = h("div", { class: "scroll", tabindex: 0, role: "region", "aria-label": "Table of what each tone does" });
  const ways = h("div", { class: "ways-on" });
  const root = h("section", { class: "what-if", "aria-labelledby": "h-what-if" },
    h("h3", { id: "h-what-if" }, "What if a bite was longer, or shorter?"),
    h("p", { class: "aside" }, "Choose a bite and by how many seconds it was off. Everything here is read along the strip’s curve, tone by tone; the plan itself stays as it is."),
    h("div", { class: "slip" }, which, off.root, h("div", { class: "acts" }, ...[-20, -5, 0, 5, 20].map((value) =>
      h("button", { type: "button", onclick: () => turn(bite, value) }, value === 0 ? "as planned" : `${value > 0 ? "+" : "−"}${Math.abs(value)} s`)))),
    said, safe,
    h("div", { class: "side" }, tones, ways));

  /** @param {number} nextBite @param {number} nextSeconds */
  function turn(nextBite, nextSeconds) {
    bite = nextBite;
    seconds = nextSeconds;
    update(desk.state);
  }

  /** @param {State} state */
  function update(state) {
    const { plan, planned } = state;
    if (!plan || !planned) return;
    // Bites of tones that the plate lacks join in the next one's dip; what it has none of at all is not asked after.
    const dips = plan.joins.dips.filter(([, to]) => !plan.standing.dropped.includes(to));
    root.hidden = dips.length === 0;
    if (root.hidden) return;
    if (bites !== JSON.stringify(dips)) {
      bites = JSON.stringify(dips);
      choice = radios("Bite", dips.map(([from, to]) => [String(to), from === to ? String(to) : from + 1 === to ? `${from}+${to}` : `${from}–${to}`]), (value) => turn(Number(value), seconds));
      which.replaceChildren(choice.root);
    }
    if (!dips.some(([, to]) => to === bite)) bite = (dips.find(([, to]) => to > bite) ?? dips[dips.length - 1])[1];
    choice?.set(String(bite));
    off.set(seconds);
    const { strip, reserve_l, tones: many, handling } = planned;
    const now = JSON.stringify([bite, seconds, strip, reserve_l, many, handling, plan.tones.map((tone) => tone.total_s)]);
    if (now === key) return;
    key = now;
    if (!asking) ask();
  }

  /** One call at a time, always for the latest wish. */
  async function ask() {
    asking = true;
    try {
      for (let of = ""; of !== key;) {
        of = key;
        const answer = await desk.bridge.call("what_if", { bite, seconds });
        if (of !== key) continue;
        found = answer;
        render(desk.state);
      }
    } catch (error) {
      const { code, message } = /** @type {import("../../bridge.js").CallError} */ (error);
      key = "";
      if (code !== "stopped") desk.notice(message, "refused");
    } finally {
      asking = false;
    }
  }

  /** @param {State} state */
  function render(state) {
    const { plan } = state;
    if (!found || !plan) return;
    const what = found;
    say(said, slip(what));
    say(safe, moving(what));
    tones.replaceChildren(table(`Every tone if ${dipName(what)} ${be(what)} ${slipped(what)}`, ["Tone", "Planned L*", "Prints L*", "Moves by", "Before this bite"],
      what.tones.map((tone) => [
        String(tone.tone),
        h("span", { class: "named" }, patch(tone.planned_l), tenths(tone.planned_l)),
        h("span", { class: "named" }, patch(tone.prints_l), tone.past_end ? `not known (${tenths(tone.prints_l)} at the strip’s end)` : tenths(tone.prints_l)),
        tone.past_end ? "not known" : tone.covered || Math.abs(tone.by_l) < 0.05 ? "0" : `${tone.by_l < 0 ? "−" : "+"}${tenths(Math.abs(tone.by_l))}`,
        tone.covered ? h("span", { class: "named" }, h("i", { class: "swatch before" }), "already covered") : h("span", { class: "named" }, h("i", { class: "swatch bare" }), "bare"),
      ]), { class: "moves" }));
    const { lag_s, slack_s } = (state.planned ?? state.settings).handling;
    ways.replaceChildren(...on(what, lag_s, slack_s));
  }

  return { root, update };
}

/** @param {{ from: number, bite: number }} dip */
const dipName = ({ from, bite }) => biteName(from, bite);

/** @param {{ from: number, bite: number }} dip */
const be = ({ from, bite }) => from < bite ? "are" : "is";

/** @param {WhatIf} what */
function slipped({ seconds }) {
  return seconds === 0 ? "as planned" : `${number(Math.abs(seconds))} s too ${seconds > 0 ? "long" : "short"}`;
}

/** What happened. @param {WhatIf} what */
function slip(what) {
  const { seconds, asked_s, planned_set_s } = what;
  const bite = sentence(dipName(what));
  if (asked_s === 0) return `${bite} as planned: the clock set to ${clock(planned_set_s)}. At its end a second more is worth ${number(-what.slope, 2)} L*.`;
  const short = asked_s < seconds ? ` It is only ${number(what.planned_s)} s long, so it can’t be shorter by more than that.` : "";
  return `${bite} ${be(what)} ${slipped(what)}: ${clock(Math.max(0, planned_set_s + seconds))} by the clock instead of ${clock(planned_set_s)}.${short}`;
}

/** Which tones move, and which are safe. @param {WhatIf} what */
function moving(what) {
  const { bite, tones, seconds } = what;
  const safe = bite === 1 ? "Tone 0 is safe: already covered." : `Tones 0 to ${bite - 1} are safe: already covered.`;
  if (seconds === 0) return safe;
  const last = tones.length - 1;
  const way = seconds > 0 ? "darker" : "lighter";
  const past = tones.filter((tone) => tone.past_end).map((tone) => tone.tone);
  const known = tones.filter((tone) => !tone.covered && !tone.past_end);
  const by = (/** @type {number} */ i) => tenths(Math.abs(known[i].by_l));
  const moved = known.length === 0 ? ""
    : known.length === 1 ? ` Tone ${known[0].tone} comes out ${way} by ${by(0)} L*.`
    : ` If nothing is done, tones ${bite} to ${known[known.length - 1].tone} come out ${way}: by ${by(0)} L* at tone ${bite}, by ${by(known.length - 1)} at tone ${known[known.length - 1].tone}.`;
  const beyond = past.length === 0 ? "" : ` ${past.length === 1 ? `Tone ${past[0]}` : `Tones ${past[0]} to ${last}`} would stay in longer than the strip’s last usable band: how ${past.length === 1 ? "it prints" : "they print"} then is not known.`;
  return safe + moved + beyond;
}

/** The ways on. @param {WhatIf} what @param {number} lag restart lag of the printer's own, s @param {number} slack how far the hand may be off, s */
function on(what, lag, slack) {
  const { bite, seconds, next } = what;
  if (seconds === 0) return [];
  const tone = what.tones[bite];
  if (seconds < 0) {
    const back = `Before you paint, put it back for ${clock(-seconds)}${lag > 0 ? `, and the ${number(lag)} s it takes to start biting again` : ""}: nothing is lost. A bath may take a moment to start again.`;
    return [h("h4", null, "Put it back"), h("p", null, back),
      h("h4", null, `Once tone ${bite} is painted`),
      h("p", null, next
        ? `Tone ${bite} stays ${number(Math.abs(tone.by_l))} L* light. Set ${dipName(next)} to ${clock(next.set_s)} instead of ${clock(next.set_s + seconds)}, and every later tone comes exactly back.`
        : `Tone ${bite} is the darkest and is never painted: it can go back in as long as its grain stands.`)];
  }
  if (!next) return [h("h4", null, "No later bite"), h("p", null, `Nothing bites after bite ${bite}. What is too dark can only be burnished lighter on the metal.`)];
  const parts = [h("h4", null, "Take it off the next bite")];
  if (next.fits) {
    parts.push(h("p", null, `Set ${dipName(next)} to ${clock(next.set_s)} instead of ${clock(next.set_s + seconds)}. Every later tone comes exactly back; tone ${bite} alone stays ${number(Math.abs(tone.by_l))} L* dark, ${number(next.gap_l)} L* from tone ${next.bite}${next.gap_l < TOLD_APART ? ", so near that the two will look like one" : ""}.`));
  } else if (next.left_s > 0) {
    parts.push(h("p", null, `Only ${number(next.left_s)} s would be left for ${dipName(next)}, which no hand can do: tones ${bite} and ${next.bite} are one now.`));
  } else {
    parts.push(h("p", null, `Nothing is left for ${dipName(next)}: tone ${bite} has gone past tone ${next.bite}.`));
  }
  if (what.dropped) parts.push(...dropped(what, what.dropped, slack));
  if (what.respaced && what.respaced.rungs.length > 0) parts.push(...respaced(what, what.respaced, slack));
  return parts;
}

/** @param {WhatIf} what @param {WayOn} way @param {number} slack */
function dropped(what, way, slack) {
  const { bite } = what;
  const gone = way.joined;
  const last = gone[gone.length - 1];
  const names = gone.length === 1 ? `bite ${gone[0]}` : gone.length === 2 ? `bites ${gone[0]} and ${last}` : `bites ${gone[0]} to ${last}`;
  const together = gone.length === 1 ? `Tones ${bite} and ${last}` : `Tones ${bite} to ${last}`;
  const [lighter, darker, gap] = way.widest;
  const paint = way.rungs.length ? `; paint them together, at stop-out ${last + 1}` : ": nothing is left to bite";
  return [h("h4", null, `Drop ${names}, keep the targets`),
    h("p", null, `${together} print as one${paint}. A wide gap of ${number(gap)} L* is left between tones ${lighter} and ${darker}.`),
    ...(way.rungs.length ? [rungs(`Without ${names}`, way), ...gambles(way, slack)] : [])];
}

/** @param {WhatIf} what @param {WayOn} way @param {number} slack */
function respaced(what, way, slack) {
  const gap = way.narrowest_l ?? 0;
  return [h("h4", null, "Space the rest evenly"),
    h("p", null, `From what tone ${what.bite} is now to the darkest, the tones left stand ${number(gap)} L* apart${gap < TOLD_APART ? ", so near that neighbours will look like one" : ""}.`),
    rungs("Spaced evenly anew", way), ...gambles(way, slack)];
}

/** @param {string} caption @param {WayOn} way */
function rungs(caption, way) {
  return table(caption, ["Bite", "Set the clock to", "Total", "Bite, exact", "L*"], way.rungs.filter((rung) => rung.bite_s > 0).map((rung) =>
    [String(rung.tone), h("strong", null, rung.set_s > 0 ? clock(rung.set_s) : "nothing"), clock(rung.shown_total_s), `${tenths(rung.bite_s)} s`, tenths(rung.prints_l)]));
}

/** Bites so short that a hand's slack decides them, flagged as on the ladder. @param {WayOn} way @param {number} slack s */
function gambles(way, slack) {
  const short = way.rungs.filter((rung) => rung.bite_s > 0 && Math.round(rung.bite_s * 10) / 10 < SLACKS * slack).map((rung) => rung.tone);
  if (short.length === 0) return [];
  const names = short.length === 1 ? `Bite ${short[0]} is` : `Bites ${short.slice(0, -1).join(", ")} and ${short[short.length - 1]} are`;
  return [h("p", { class: "gamble" }, `${names} under ${number(SLACKS * slack)} s: a gamble by hand.`)];
}

/** A patch of paper printed at an L*. @param {number} l */
function patch(l) {
  return h("i", { class: "swatch", style: { background: cssGrey(l) } });
}
