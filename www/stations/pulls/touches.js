/** Touches by hand, noted on the print: places pressed on the picture, and the printer's own words. Nothing is added to them. */
import { assign, h, say } from "../../dom.js";
import { drawn } from "../../drawn.js";
import { length } from "../../format.js";
import { Picture } from "../../picture.js";
import { proofOf } from "../papers/pieces.js";
import { apart, label } from "../painting/pointing.js";
import { MOST, recordOf } from "./record.js";

/** @typedef {import("../../../web/types.d.ts").Touch} Touch */

/** @param {number} mm */
const hundredths = (mm) => Math.round(mm * 100) / 100;

/** @param {import("../../state.js").Desk} desk */
export function touches(desk) {
  const heard = h("p", { class: "hidden", role: "status" });
  const picture = new Picture(desk, { wish: (state) => ({ kind: "proof", view: "print", grain: false, proof: proofOf(state) }), title: () => "Touches on the print", label: () => "The expected print, with the places that are touched by hand", level: "h3" });
  const list = h("ol", { class: "touch-list" });
  const others = h("p", { class: "aside" });
  const hint = h("p", { class: "aside" }, "Press the print where it is touched by hand, and write what is done there. By keys: the arrows move a cross, Enter sets a place.");
  const root = h("section", { class: "pull-touches", "aria-label": "Touches by hand" }, picture.root, hint, list, others, heard);
  let shown = "";
  let pressing = true;

  const own = () => recordOf(desk.state).touches.filter(({ plate }) => plate === desk.state.plateId);
  /** @param {string} name @param {Touch[]} next */
  const put = (name, next) => desk.changeJob(name, { record: { ...recordOf(desk.state), touches: next } });

  const draws = drawn(picture, {
    shape: () => (pressing ? "place" : null), width: () => 1, face: () => desk.state.plan?.face_mm ?? null, said: (text) => say(heard, text),
    done([at]) {
      const all = recordOf(desk.state).touches;
      if (all.length >= MOST.touches) return desk.notice(`A print has up to ${MOST.touches} places to touch: take one away first.`, "refused");
      if (!put("a touch by hand", [...all, { plate: desk.state.plateId, at: [hundredths(at[0]), hundredths(at[1])], words: "" }])) return;
      say(heard, `Place ${own().length} is set: write what is done there.`);
      /** @type {HTMLElement | null} */ (list.querySelector("li:last-child textarea"))?.focus();
    },
  });

  /** @param {Touch} touch @param {number} number */
  function row(touch, number) {
    const input = h("textarea", { rows: 2, maxlength: MOST.note, "aria-label": `What is done at place ${number}`, placeholder: "a pale breath of blue" });
    input.value = touch.words;
    input.addEventListener("change", () => {
      const words = input.value.trim();
      const all = recordOf(desk.state).touches;
      const now = own()[number - 1];
      if (now && words !== now.words) put(`words on touch ${number}`, all.map((each) => each === now ? { ...now, words } : each));
    });
    const away = h("button", { type: "button", class: "plain", "aria-label": `Take away place ${number}`, onclick: () => {
      const gone = own()[number - 1];
      put(`touch ${number} taken away`, recordOf(desk.state).touches.filter((each) => each !== gone));
      picture.sheet.focus({ preventScroll: true });
    } }, "Take away");
    const at = touch.at.map((mm) => length(mm, desk.state.units)).join(", ");
    return h("li", null, h("b", null, String(number)), input, h("span", { class: "aside" }, `at ${at} ${desk.state.units}`), away);
  }

  return {
    root,
    /** @param {import("../../state.js").State} state */
    update(state) {
      picture.update(state);
      pressing = !state.kept.looks;
      draws.update("The print. Press a place that is touched by hand; by keys: the arrows move a cross, Enter sets a place.");
      const mine = own();
      const face = state.plan?.face_mm;
      const key = JSON.stringify([mine, state.units, state.plateId]);
      const beside = recordOf(state).touches.length - mine.length;
      say(others, beside > 0 ? `${beside} more on the other plates of the family: take one to hand to see its own.` : "");
      if (face) {
        const scale = picture.canvas.clientWidth / face.width || 1;
        const stands = apart(mine.map(({ at }) => at), { face, scale, mirrored: false });
        const marks = mine.map(({ at }, i) => label(at, String(i + 1), { face, off: stands[i] }));
        [...picture.marks.querySelectorAll(":scope > .touched")].forEach((mark) => mark.remove());
        for (const mark of marks) {
          mark.classList.add("touched");
          picture.marks.append(mark);
        }
      }
      if (key === shown) return;
      // What is being typed is not taken from under the hand: its own change has the same words.
      const held = /** @type {HTMLElement | null} */ (document.activeElement);
      const at = held && list.contains(held) ? [...list.children].findIndex((each) => each.contains(held)) : -1;
      shown = key;
      list.replaceChildren(...mine.map((touch, i) => row(touch, i + 1)));
      if (at >= 0) list.children[Math.min(at, list.childElementCount - 1)]?.querySelector("textarea")?.focus({ preventScroll: true });
      assign(list, { hidden: mine.length === 0 });
    },
  };
}
