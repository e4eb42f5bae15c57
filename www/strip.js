/**
 * The strip across the head of the page: the tones as a bitten test strip. Blocks carry tone and total, joints the
 * bite that leads from one to the next. A joint is dragged, or moved by the arrow keys, to move a break.
 */
import { assign, h, say } from "./dom.js";
import { biteWords, instead, number, percent, totalWords } from "./format.js";
import { breakRange, breaksWay, FEWEST_TONES, MOST_TONES, moveBreak, whenCovered, withBreaks, withTones } from "./settings.js";
import { lightnessAt, nearestJoint, positions, tiers } from "./strip-places.js";
import { radios } from "./fields.js";

/** @typedef {import("./state.js").State} State */
/** @typedef {import("./state.js").Desk} Desk */

/** Half of what a finger needs. */
const REACH = 22;
/** A press that moves less than this is a press on the block. */
const SLACK = 4;

/** @param {Desk} desk @returns {import("./state.js").Part} */
export function strip(desk) {
  const bites = h("div", { class: "bites", "aria-hidden": "true" });
  const blocks = h("div", { class: "blocks" });
  const joints = h("div", { class: "joints" });
  const field = h("div", { class: "field" }, bites, blocks, joints);
  const reads = h("span", null);
  const example = h("span", { class: "example" }, "EXAMPLE, NOT YOUR BATH ");
  const readout = h("p", { class: "readout" }, example, reads);
  const ways = radios("Breaks", [["even", "even"], ["fitted", "fitted"], ["hand", "by hand"]],
    (way) => desk.change(way === "hand" ? "breaks by hand" : `breaks ${way}`, withBreaks(desk.state.settings, desk.state.plan, /** @type {any} */ (way))));
  const widths = radios("Widths", [["share", "by share"], ["even", "even"]], (value) => desk.set({ widths: /** @type {any} */ (value) }));
  const drop = h("button", { type: "button", class: "square", "aria-label": "Drop a bite", onclick: () => tones(-1) }, "−");
  const add = h("button", { type: "button", class: "square", "aria-label": "Add a bite", onclick: () => tones(1) }, "+");
  const root = h("section", { class: "strip", "aria-label": "The strip: tones, totals and bites" }, field,
    h("div", { class: "foot" }, readout, h("div", { class: "ways" }, ways.root, widths.root,
      h("div", { class: "stepper", role: "group", "aria-label": "Number of bites" }, drop, h("span", null, "a bite"), add))));

  /** @type {{ index: number, from: number, moved: boolean, places: number[], at: number, pointer: number, breaks: number[] } | null} */
  let drag = null;

  /** @param {number} by */
  function tones(by) {
    const { settings, plan } = desk.state;
    const n = settings.tones + by;
    if (n < FEWEST_TONES || n > MOST_TONES) return;
    const next = withTones(settings, plan, n);
    desk.change(by > 0 ? `bite ${n - 1} added` : `bite ${n} dropped`, next);
  }

  /** @param {PointerEvent} event */
  function at(event) {
    const box = field.getBoundingClientRect();
    return (event.clientX - box.left) / box.width;
  }

  joints.addEventListener("pointerdown", (event) => {
    const { plan } = desk.state;
    if (!plan || event.button !== 0) return;
    const places = positions(plan.tones.map((tone) => tone.share), desk.state.widths);
    const where = at(event);
    const index = nearestJoint(places, where, REACH / field.clientWidth);
    drag = { index, from: where, moved: false, places, at: index < 0 ? where : places[index + 1], pointer: event.pointerId, breaks: plan.breaks };
    joints.setPointerCapture(event.pointerId);
  });
  joints.addEventListener("pointermove", (event) => {
    const { plan, settings } = desk.state;
    if (!drag) {
      const places = plan ? positions(plan.tones.map((tone) => tone.share), desk.state.widths) : [];
      joints.classList.toggle("near", nearestJoint(places, at(event), REACH / field.clientWidth) >= 0);
      return;
    }
    if (!plan || drag.index < 0) return;
    const where = at(event);
    if (!drag.moved && Math.abs(where - drag.from) * field.clientWidth < SLACK) return;
    if (!drag.moved) {
      drag.moved = true;
      /** @type {HTMLElement} */ (joints.children[drag.index]).focus();
      joints.classList.add("held");
      desk.set({ dragging: true });
    }
    drag.at = Math.min(drag.places[drag.index + 2], Math.max(drag.places[drag.index], drag.places[drag.index + 1] + where - drag.from));
    const lightness = lightnessAt(drag.places, drag.breaks, plan.ends, drag.at);
    move(drag.index, lightness, `drag ${drag.pointer}`);
    if (settings === desk.state.settings) draw(desk.state);
  });
  for (const end of ["pointerup", "pointercancel"]) {
    joints.addEventListener(end, (event) => {
      const was = drag;
      drag = null;
      if (!was) return;
      if (was.moved) {
        joints.classList.remove("held");
        desk.settle();
        desk.set({ dragging: false });
      } else if (end === "pointerup") {
        const tone = was.places.findIndex((place) => place > at(/** @type {PointerEvent} */ (event))) - 1;
        pick(Math.max(0, tone));
      }
      draw(desk.state);
    });
  }

  /** @param {number} tone */
  function pick(tone) {
    // While a tool that sets a tone is in the hand, the strip is its paint-box.
    const { station, tools } = desk.state;
    if (station === "painting" && (tools.tool === "brush" || tools.tool === "lasso" || tools.tool === "fill")) return desk.set({ tools: { ...tools, tone }, tone: null });
    desk.set({ tone: desk.state.tone === tone ? null : tone });
  }

  /** The gesture that was told why its break does not move. */
  let told = "";

  /** @param {number} index @param {number} lightness @param {string} gesture */
  function move(index, lightness, gesture) {
    const { plan, settings } = desk.state;
    if (!plan) return;
    const { locked } = plan.standing;
    if (index < locked.breaks) {
      // Once a gesture: it says why, and nothing moves.
      if (told !== gesture) desk.notice(locked.said ?? "", "refused");
      told = gesture;
      return;
    }
    const next = moveBreak(settings, plan, index, lightness);
    const now = Array.isArray(settings.breaks) ? settings.breaks[index] : plan.breaks[index];
    if (/** @type {number[]} */ (next.breaks)[index] !== now) desk.change(`break ${index + 1} moved`, next, gesture);
  }

  /** @param {KeyboardEvent} event @param {number} index */
  function key(event, index) {
    const { plan, settings } = desk.state;
    if (!plan) return;
    const breaks = Array.isArray(settings.breaks) && settings.breaks.length === settings.tones - 1 ? settings.breaks : plan.breaks;
    const [low, high] = breakRange(breaks, plan.ends, index);
    const by = event.shiftKey ? 3 : 0.5;
    const here = breaks[index];
    /** @type {Record<string, number>} */
    const to = { ArrowLeft: here + by, ArrowUp: here + by, ArrowRight: here - by, ArrowDown: here - by, Home: high, End: low };
    if (!(event.key in to)) return;
    event.preventDefault();
    move(index, to[event.key], `keys on joint ${index}`);
  }

  /** @param {State} state */
  function draw(state) {
    const { plan } = state;
    if (!plan) return;
    const n = plan.tones.length;
    const places = positions(plan.tones.map((tone) => tone.share), state.widths);
    if (drag?.moved && drag.places.length === places.length) {
      places.splice(0, places.length, ...drag.places);
      places[drag.index + 1] = drag.at;
    }
    while (blocks.children.length > n) blocks.lastChild?.remove();
    while (blocks.children.length < n) {
      const tone = blocks.children.length;
      blocks.append(h("button", { type: "button", class: "block", onclick: () => pick(tone) }, h("span", { class: "hidden" }, "Tone "), h("b", null), " ", h("span", { class: "total" }), h("span", { class: "hidden" })));
    }
    while (joints.children.length > n - 1) joints.lastChild?.remove();
    while (bites.children.length > n - 1) bites.lastChild?.remove();
    while (joints.children.length < n - 1) {
      const index = joints.children.length;
      joints.append(h("div", { class: "joint", role: "slider", tabindex: 0, onkeydown: (/** @type {KeyboardEvent} */ e) => key(e, index), onblur: () => desk.settle() }));
      bites.append(h("span", null));
    }
    const painting = state.station === "painting";
    const wide = field.clientWidth || 1;
    const rows = tiers(places, wide, n > 12 ? 40 : 46);
    field.classList.toggle("staggered", rows.some((row) => row > 0));
    const kinds = plan.tones.map((_, k) => narrow((places[k + 1] - places[k]) * wide, k));
    // Small labels anywhere make them small everywhere, so that they stand on one line.
    field.classList.toggle("tight", kinds.some((kind) => kind !== "false"));
    plan.tones.forEach((tone, k) => {
      const block = /** @type {HTMLElement} */ (blocks.children[k]);
      const cover = !painting ? "" : k < state.stopout - 1 ? "before" : k === state.stopout - 1 ? "now" : "bare";
      const said = cover === "before" ? ", covered before" : cover === "now" ? ", to paint now" : cover === "bare" ? ", bare" : "";
      const dark = tone.lightness < 58;
      assign(block, {
        style: { left: `${places[k] * 100}%`, width: `${(places[k + 1] - places[k]) * 100}%`, background: tone.colour, color: dark ? "#fff" : "#171918" },
        "data-cover": cover || null, "data-dark": dark, "aria-pressed": state.tone === k, "data-narrow": kinds[k],
      });
      say(block.children[1], String(k));
      say(block.children[2], k ? brief(plan, k, totalWords) : "paper");
      say(block.children[3], ` ${k ? "total" : "never bitten"}, ${percent(tone.share)} of the face${said}. Show where it lies`);
      if (k === 0) return;
      const joint = /** @type {HTMLElement} */ (joints.children[k - 1]);
      const [low, high] = breakRange(plan.breaks, plan.ends, k - 1);
      assign(joint, {
        style: { left: `${places[k] * 100}%` }, "aria-label": `Break ${k}, between tones ${k - 1} and ${k}`, "aria-orientation": "horizontal",
        "aria-disabled": k <= plan.standing.locked.breaks ? "true" : null,
        "aria-valuemin": Math.round(low), "aria-valuemax": Math.round(high), "aria-valuenow": Math.round(plan.breaks[k - 1]),
        "aria-valuetext": `break ${k} at L* ${number(plan.breaks[k - 1])}, bite ${k} ${biteWords(plan, k)}${k <= plan.standing.locked.breaks ? ", painted: it stays" : ""}`,
      });
      const bite = /** @type {HTMLElement} */ (bites.children[k - 1]);
      assign(bite, { style: { left: `${places[k] * 100}%` }, "data-row": rows[k - 1], class: painting && k === state.stopout ? "next" : null });
      say(bite, painting && k === state.stopout ? `bite ${k} · ${brief(plan, k, biteWords)}` : brief(plan, k, biteWords));
    });
    root.style.setProperty("--tones", String(n));
    say(reads, reading(state));
    example.hidden = plan.strip.kind !== "example";
    ways.set(breaksWay(state.settings));
    widths.set(state.widths);
    drop.disabled = state.settings.tones <= Math.max(FEWEST_TONES, plan.standing.locked.least_tones);
    add.disabled = state.settings.tones >= MOST_TONES;
  }

  /** @param {State} state */
  function reading(state) {
    const { plan } = state;
    if (!plan) return "";
    if (drag?.moved) {
      const k = drag.index + 1;
      return `Break ${k} at L* ${number(plan.breaks[k - 1])}: tone ${k - 1} has ${percent(plan.tones[k - 1].share)} of the face, tone ${k} has ${percent(plan.tones[k].share)}.`;
    }
    const tone = state.tone === null ? undefined : plan.tones[state.tone];
    if (tone) {
      return `Tone ${tone.index}: ${percent(tone.share)} of the face, prints L* ${number(tone.lightness)}; ${whenCovered(tone, plan.tones.length)}${tone.index ? `; total ${totalWords(plan, tone.index)}` : ""}.`;
    }
    if (plan.bath.pair.verdict === "stop") return `STOP: ${plan.bath.pair.pair}. What stands on the blocks and joints is no list to bite by. Drag a joint to move a break; press a block to see where its tone lies.`;
    if (plan.bath.ratios) return "No strip yet, so no times: in the blocks the total as a multiple of the first, on the joints the bite. Drag a joint to move a break; press a block to see where its tone lies.";
    const signs = [plan?.standing.due ? "? is to be decided at the bath" : "", plan?.standing.dropped.length ? "– is left out" : ""].filter(Boolean).join(", ");
    return `In the blocks the total, on the joints the bite to set on the clock${signs ? `; ${signs}` : ""}. Drag a joint to move a break; press a block to see where its tone lies.`;
  }

  new ResizeObserver(() => draw(desk.state)).observe(field);
  return { root, update: draw };
}

/** How tightly a block must be set. @param {number} width px @param {number} tone the first says "paper" */
function narrow(width, tone) {
  return width < (tone === 0 ? 38 : 31) ? "tiny" : width < (tone === 0 ? 52 : 43) ? "true" : "false";
}

/**
 * A time where the strip has room for few letters: "?" where it is to be decided, "–" where the bite is left out.
 * @param {import("../web/types.d.ts").Plan} plan @param {number} k @param {typeof biteWords} words
 */
function brief(plan, k, words) {
  const none = instead(plan, k);
  return none === null ? words(plan, k) : none === "left out" ? "–" : "?";
}
