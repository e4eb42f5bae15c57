/** Repair from the proof: where to burnish, where to grain again, and a second plan with its own strip and sheets. */
import { assign, h, say, show, table } from "../../dom.js";
import { fileName, save, sheetSettings } from "../../downloads.js";
import { lengthField, numberField, radios } from "../../fields.js";
import { clock, count, length, minutes, number, readNumber, sentence } from "../../format.js";

/** @typedef {import("../../../web/types.d.ts").PulledRepair} PulledRepair */
/** @typedef {import("../../../web/types.d.ts").PulledPieces} PulledPieces */

/** Places named at most; the rest is counted. */
const NAMED = 8;

/** Second tones that can be asked for. */
const TONES = { least: 1, most: 5 };

/**
 * @param {import("../../state.js").Desk} desk @param {() => string} stripName what the reading is called as a strip
 * @param {(error: unknown) => boolean} lost whether an error says that the worker holds no reading any more, which is then said
 */
export function repair(desk, stripName, lost) {
  const asked = { tolerance_l: 4, mark_mm: 2, tones: 3, metal_alone: true, strip: /** @type {"plan" | "proof"} */ ("plan") };
  let view = /** @type {import("../../../web/types.d.ts").View} */ ("plate");
  let turned = 0;
  let units = desk.state.units;
  /** Whether the plan is the one that the proof was read by. */
  let holding = true;
  /** @type {PulledRepair | null} */
  let found = null;

  const anew = () => {
    if (found) plan();
  };
  const plain = (/** @type {string} */ label, /** @type {string} */ unit, /** @type {(value: number) => boolean | void} */ take, /** @type {number} */ places) =>
    numberField(label, { read: readNumber, write: (value) => number(value, places), unit, refuse: (text) => desk.notice(text, "refused"), take: (value) => {
      if (take(value) === false) return false;
      anew();
    } });
  const tolerance = plain("Off by more than", "L*", (value) => {
    if (!(value >= 1 && value <= 30)) {
      desk.notice(`A tolerance of 1 to 30 L* was expected; ${number(value, 1)} came. 4 is a little more than a reading’s doubt.`, "refused");
      return false;
    }
    asked.tolerance_l = value;
  }, 1);
  const mark = lengthField(desk, "Smallest piece", (mm) => {
    asked.mark_mm = mm;
    anew();
  });
  const tones = plain("Second tones", "", (value) => {
    const bites = Math.round(value);
    if (bites < TONES.least || bites > TONES.most) {
      desk.notice(`${TONES.least} to ${TONES.most} second tones, each with a bite of its own; ${number(value, 1)} came.`, "refused");
      return false;
    }
    asked.tones = bites + 1;
    tones.set(bites);
  }, 0);
  const by = radios("Bitten by", [["plan", "the plan’s strip"], ["proof", "this proof’s reading"]], (value) => {
    asked.strip = /** @type {any} */ (value);
    by.set(value);
    anew();
  });
  const alone = h("input", { type: "checkbox", checked: true, onchange: () => {
    asked.metal_alone = alone.checked;
    anew();
  } });
  const seen = radios("Seen in", [["plate", "plate view"], ["print", "print view"]], (value) => {
    view = /** @type {any} */ (value);
    seen.set(value);
    pictures();
  });
  const go = h("button", { type: "button", class: "first", onclick: () => plan() }, "Plan the repair");
  const pdf = h("button", { type: "button", onclick: sheets }, "Save its sheets (PDF)");
  const said = h("p", { class: "said", role: "status" });

  /** @param {"burnish" | "regrain" | "second"} name @param {string} title */
  function pane(name, title) {
    const canvas = h("canvas", { role: "img", width: 8, height: 8 });
    const sign = h("b", null);
    const words = h("p", null);
    const list = h("ul", { class: "pulled-places" });
    return { name, title, canvas, sign, words, list, root: h("figure", { class: "picture pulled-pane" }, h("h5", null, title), canvas, h("figcaption", null, sign), words, list) };
  }
  const panes = [pane("burnish", "Too dark: scrape and burnish"), pane("regrain", "Too light: grain and bite again"), pane("second", "The second plan")];
  const [burnish, regrain, second] = panes;
  const ladder = h("div", { class: "pulled-scroll", tabindex: 0, role: "region", "aria-label": "Second bites" });
  const notes = h("ul", { class: "notes" });
  const example = h("p", { class: "example" }, "EXAMPLE, NOT YOUR BATH");
  const result = h("div", { class: "pulled-repaired", hidden: true }, seen.root, h("div", { class: "pulled-panes" }, ...panes.map((each) => each.root)), example, ladder, notes, h("div", { class: "bar start" }, pdf));
  const root = h("section", { class: "pulled-repair", "aria-labelledby": "h-pulled-repair" }, h("h4", { id: "h-pulled-repair" }, "Repair"),
    h("p", { class: "aside" }, "What is off on the metal itself. A badly wiped plate is wiped again, not burnished."),
    h("div", { class: "row" }, tolerance.root, mark.root, tones.root), by.root,
    h("label", { class: "check" }, alone, " Leave out what wiping and ink explain"),
    h("div", { class: "bar start" }, go), said, result);

  async function plan() {
    const now = ++turned;
    say(said, "");
    try {
      const got = await desk.busy("planning the repair", desk.bridge.call("pulled_repair", { ...asked, strip_name: stripName() }));
      if (now !== turned) return;
      found = got;
    } catch (error) {
      if (now !== turned) return;
      if (lost(error)) return;
      found = null;
      say(said, /** @type {Error} */ (error).message);
    }
    fill();
    await pictures();
    if (now === turned) root.dataset.planned = String(now);
  }

  async function pictures() {
    if (!found) return;
    const now = turned;
    for (const each of panes) {
      if (each.root.hidden) continue;
      const wide = Math.max(200, each.root.clientWidth || 320) * Math.min(window.devicePixelRatio || 1, 2);
      try {
        const got = await desk.bridge.call("pulled_picture", { show: each.name, view, part: null, width: Math.round(wide), height: Math.round(1.5 * wide) });
        if (now !== turned) return;
        show(each.canvas, got);
      } catch (error) {
        if (now === turned && !lost(error)) say(said, /** @type {Error} */ (error).message);
        return;
      }
      say(each.sign, view === "plate" ? "PLATE VIEW" : "PRINT VIEW");
      assign(each.canvas, { "aria-label": `${each.title}, ${view} view: ${each.words.textContent}` });
    }
  }

  /** @param {ReturnType<typeof pane>} each @param {PulledPieces} pieces @param {string} hatch */
  function told(each, pieces, hatch) {
    const { units } = desk.state;
    say(each.words, pieces.count === 0 ? "Nothing is off by more than the tolerance."
      : `${sentence(count(pieces.count, "piece"))}, ${number(100 * pieces.share, pieces.share < 0.1 ? 1 : 0)} % of the face, under ${hatch}; off by ${number(pieces.mean_l ?? 0)} L* in the mean, nineteen in twenty parts of it by no more than ${number(pieces.most_l ?? 0)}.`);
    const rest = pieces.count - NAMED;
    each.list.replaceChildren(...pieces.pieces.slice(0, NAMED).map((piece, i) => h("li", null,
      `${i + 1}: ${length(piece.at_mm[0], units)} from the left, ${length(piece.at_mm[1], units)} ${units} from the top of the plate’s face, ${number(piece.area_mm2, 0)} mm²`)), ...(rest > 0 ? [h("li", null, `and ${rest} more, smaller ones`)] : []));
  }

  function fill() {
    result.hidden = !found;
    if (!found) return;
    told(burnish, found.burnish, "upright lines");
    told(regrain, found.regrain, "lines both ways");
    const plan = found.second;
    second.root.hidden = plan === null;
    // Times of a plan that holds no more are shown no more: it may have become a STOP.
    ladder.hidden = plan === null || !holding;
    pdf.hidden = !holding || found.burnish.count + found.regrain.count === 0;
    example.hidden = !plan?.example;
    notes.replaceChildren(...[...found.notes, ...(plan?.notes ?? [])].map((text) => h("li", null, text)));
    if (!plan) return;
    say(second.words, `${sentence(count(plan.tones.length - 1, "bite"))} by strip ${plan.strip}, about ${minutes(plan.paint_min)} of painting; white is stopped out first and stays so.`);
    const stop = desk.state.plan?.bath.pair.verdict === "stop";
    const time = (/** @type {number | null} */ s) => (s === null ? (stop ? "STOP" : "no strip yet") : clock(s));
    ladder.replaceChildren(table("Second bites, on the new grain", ["Tone", "Prints on bare metal", "Of the face", "Total", "Bite: set the clock to"], plan.tones.map((tone) => [
      String(tone.tone), `L* ${number(tone.lightness)}`, `${number(100 * tone.share, 1)} %`, tone.tone === 0 ? "stopped out" : time(tone.total_s), tone.tone === 0 ? "–" : time(tone.set_s)]), { class: "pulled-table" }));
  }

  async function sheets() {
    const { state } = desk;
    try {
      const bytes = await desk.busy("drawing the sheets of the repair", desk.bridge.call("pulled_sheets", sheetSettings(state)));
      save(bytes, "application/pdf", `${fileName(state.title, state.letter)}-repair.pdf`);
    } catch (error) {
      if (!lost(error)) desk.refused(/** @type {Error} */ (error));
    }
  }

  by.set(asked.strip);
  seen.set(view);
  return {
    root,
    /** Another reading: what was planned from the one before goes. @param {boolean} there */
    reading(there) {
      turned++;
      holding = true;
      found = null;
      result.hidden = true;
      say(said, "");
      go.disabled = !there;
    },
    /** @param {import("../../state.js").State} state @param {boolean} holds whether the plan is the one that the proof was read by */
    update(state, holds) {
      const turned = units !== state.units || holding !== holds;
      units = state.units;
      holding = holds;
      if (found && turned) fill();
      tolerance.set(asked.tolerance_l);
      mark.set(asked.mark_mm);
      tones.set(asked.tones - 1);
    },
  };
}
