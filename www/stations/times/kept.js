/** The strips kept in this browser: used, looked at again, taken away. */
import { h } from "../../dom.js";
import { clock, count, number } from "../../format.js";
import { ageWarning, ageWords, keptStrips } from "../../kept.js";
import { ownStrip } from "../../settings.js";
import { ageDays } from "../../shelf.js";

/** @typedef {import("../../../web/types.d.ts").StripSettings} StripSettings */

/** Strips of this browser's own store. */
export const strips = keptStrips(() => globalThis.localStorage ?? null);

/** @param {import("../../state.js").Desk} desk @param {(strip: StripSettings) => void} show puts a strip into the form @returns {import("../../state.js").Part} */
export function kept(desk, show) {
  const list = h("ul", { class: "kept" });
  const none = h("p", { class: "aside" }, "None yet. A strip you use is kept here, in this browser only.");
  const root = h("section", { class: "part", tabindex: -1, "aria-labelledby": "h-kept" }, h("h3", { id: "h-kept" }, "Strips kept in this browser"), none, list);
  let shown = "";

  /** @param {import("../../state.js").State} state */
  function update(state) {
    const all = strips.all();
    const key = JSON.stringify([all, ownStrip(state.planned)?.id]);
    if (key === shown) return;
    shown = key;
    none.hidden = all.length > 0;
    list.hidden = all.length === 0;
    const now = new Date();
    list.replaceChildren(...all.map((strip) => {
      const days = ageDays(strip.about?.bitten, now);
      const inUse = ownStrip(state.planned)?.id === strip.id;
      const { kept: _, ...settings } = strip;
      const warmth = strip.about?.celsius ?? null;
      return h("li", null,
        h("p", null, h("strong", null, strip.id), inUse ? h("em", null, "in use") : null, h("span", { class: ageWarning(days) ? "old" : null }, ageWords(days))),
        h("p", { class: "aside" }, [count(strip.readings.length - 1, "band"), `the longest ${clock(strip.readings.at(-1)?.[0] ?? 0)}`, strip.about?.bath, warmth === null ? "" : `${number(warmth)} °C`,
          strip.about?.read === "by_eye" ? "read by eye" : ""].filter(Boolean).join(" · ")),
        ageWarning(days) ? h("p", { class: "aside old" }, ageWarning(days)) : null,
        h("div", { class: "acts" },
          h("button", { type: "button", disabled: inUse, "aria-label": `Use strip ${strip.id}`, onclick: () => desk.change(`strip ${strip.id}`, { ...desk.state.settings, strip: settings }) }, "Use"),
          h("button", { type: "button", "aria-label": `Look at it: strip ${strip.id}`, onclick: () => show(settings) }, "Look at it"),
          h("button", { type: "button", "aria-label": `Forget strip ${strip.id}`, onclick: () => away(strip.id) }, "Forget")));
    }));
  }

  /** @param {string} id */
  function away(id) {
    const strip = strips.all().find((each) => each.id === id);
    strips.remove(id);
    desk.notice(`Strip ${id} is no longer kept in this browser.${ownStrip(desk.state.planned)?.id === id ? " The plan on screen still rests on it." : ""}${strip ? " To keep it again, use it from the form." : ""}`);
    update(desk.state);
    root.focus({ preventScroll: true });
  }
  return { root, update };
}
