/** Where a tone lies, for the stations that have no picture of their own to show it in. */
import { h, say } from "./dom.js";
import { area, percent, sentence } from "./format.js";
import { Picture } from "./picture.js";
import { whenCovered } from "./settings.js";

/** These show it in their own pictures. */
const SHOW_IT = new Set(["whole", "tones", "painting", "cautions"]);

/** @param {import("./state.js").Desk} desk @returns {import("./state.js").Part} */
export function found(desk) {
  const picture = new Picture(desk, {
    wish: (s) => s.tone === null || SHOW_IT.has(s.station) ? null : { kind: "tone", tone: s.tone, view: "print" },
    title: (s) => `Where tone ${s.tone} lies`, label: (s) => `Tone ${s.tone} picked out`,
  });
  const words = h("p", { class: "aside" });
  const close = h("button", { type: "button", onclick: () => desk.set({ tone: null }) }, "Close");
  const root = h("div", { class: "found", hidden: true }, picture.root, h("div", null, words, close));
  return {
    root,
    update(state) {
      root.hidden = state.tone === null || SHOW_IT.has(state.station);
      picture.update(state);
      const tone = state.plan && state.tone !== null ? state.plan.tones[state.tone] : null;
      if (tone && state.plan) say(words, sentence(`${percent(tone.share)} of the face, ${area(tone.share, state.plan.face_mm, state.units)}; ${whenCovered(tone, state.plan.tones.length)}.`));
    },
  };
}
