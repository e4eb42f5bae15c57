/** The strips kept in this browser: used, looked at again, taken away. */
import { h, table } from "../../dom.js";
import { clock } from "../../format.js";
import { ageDays, ageWarning, ageWords, keptStrips } from "../../kept-strips.js";

/** @typedef {import("../../../web/types.d.ts").StripSettings} StripSettings */

/** Strips of this browser's own store. */
export const strips = keptStrips(() => globalThis.localStorage ?? null);

/** @param {import("../../state.js").Desk} desk @param {(strip: StripSettings) => void} show puts a strip into the form @returns {import("../../state.js").Part} */
export function kept(desk, show) {
  const list = h("div", { class: "scroll", tabindex: 0, role: "region", "aria-label": "Strips kept in this browser" });
  const none = h("p", { class: "aside" }, "None yet. A strip you use is kept here, in this browser only.");
  const root = h("section", { class: "part", "aria-labelledby": "h-kept" }, h("h3", { id: "h-kept" }, "Your strips so far"), none, list);
  let shown = "";

  /** @param {import("../../state.js").State} state */
  function update(state) {
    const all = strips.all();
    const key = JSON.stringify([all, state.planned?.strip?.id]);
    if (key === shown) return;
    shown = key;
    none.hidden = all.length > 0;
    list.hidden = all.length === 0;
    const now = new Date();
    list.replaceChildren(table("Strips kept in this browser", ["Strip", "Age", "Bath", "Bands", "Do"], all.map((strip) => {
      const days = ageDays(strip.about?.bitten, now);
      const inUse = state.planned?.strip?.id === strip.id;
      const { kept: _, ...settings } = strip;
      return [
        h("span", null, strip.id, inUse ? h("em", { class: "using" }, " in use") : null),
        h("span", { class: ageWarning(days) ? "warn" : null }, `${ageWords(days)}${ageWarning(days) ? ", old" : ""}`),
        [strip.about?.bath, strip.about?.celsius === null || strip.about?.celsius === undefined ? "" : `${strip.about.celsius} °C`].filter(Boolean).join(", ") || "—",
        `${strip.readings.length - 1}, to ${clock(strip.readings.at(-1)?.[0] ?? 0)}`,
        h("span", { class: "does" },
          h("button", { type: "button", class: "plain", disabled: inUse, onclick: () => desk.change(`strip ${strip.id}`, { ...desk.state.settings, strip: settings }) }, `Use ${strip.id}`),
          h("button", { type: "button", class: "plain", onclick: () => show(settings) }, `Look at ${strip.id}`),
          h("button", { type: "button", class: "plain", onclick: () => away(strip.id) }, `Forget ${strip.id}`)),
      ];
    }), { class: "kept" }));
  }

  /** @param {string} id */
  function away(id) {
    const strip = strips.all().find((each) => each.id === id);
    strips.remove(id);
    desk.notice(`Strip ${id} is no longer kept in this browser.${desk.state.planned?.strip?.id === id ? " The plan on screen still rests on it." : ""}${strip ? " To keep it again, use it from the form." : ""}`);
    update(desk.state);
  }
  return { root, update };
}
