/** The baths kept in this browser: what is in the tray, since when. */
import { h } from "../../dom.js";
import { number } from "../../format.js";
import { bathAge, keptBaths } from "../../kept.js";
import { withBath } from "../../settings.js";
import { day } from "../../shelf.js";

/** @typedef {import("../../kept.js").KeptBath} KeptBath */

const kept = keptBaths(() => globalThis.localStorage ?? null);

/** @param {import("../../state.js").Desk} desk @returns {import("../../state.js").Part} */
export function baths(desk) {
  const name = h("input", { type: "text", id: "bath-name", autocomplete: "off", maxlength: 30 });
  const mixed = h("input", { type: "date", id: "bath-mixed", autocomplete: "off" });
  const list = h("ul", { class: "kept" });
  const root = h("section", { class: "part strips", tabindex: -1, "aria-labelledby": "h-baths" }, h("h3", { id: "h-baths" }, "Baths kept in this browser"),
    h("p", { class: "aside" }, "Keep what is named above under a name of yours, to call it back another day. Its age is yours to note."),
    h("form", { class: "fields", onsubmit: keep },
      h("div", { class: "number" }, h("label", { for: "bath-name" }, "This bath is called"), h("span", { class: "typed" }, name)),
      h("div", { class: "number" }, h("label", { for: "bath-mixed" }, "Mixed on"), h("span", { class: "typed" }, mixed)),
      h("div", { class: "acts" }, h("button", { type: "submit" }, "Keep this bath"))),
    list);
  let shown = "";

  /** @param {Event} event */
  function keep(event) {
    event.preventDefault();
    const id = name.value.trim();
    if (!id) {
      name.focus();
      return desk.notice("The bath has no name yet: give it one, as the tray or the day it was mixed.", "refused");
    }
    const { metal, mordant, before, litres, strength_g_l, capacity_g_l } = desk.state.settings.bath;
    const done = kept.put({ id, metal, mordant, before, litres, strength_g_l, capacity_g_l, mixed: mixed.value }, new Date());
    desk.notice(done ? `The bath “${id}” is kept in this browser.` : "This browser keeps nothing (a private window, or its storage is full).", done ? "said" : "refused");
    update();
  }

  /** @param {KeptBath} bath */
  function use(bath) {
    const { metal, mordant, before, litres, strength_g_l, capacity_g_l } = bath;
    name.value = bath.id;
    mixed.value = bath.mixed;
    desk.change(`bath ${bath.id}`, withBath(desk.state.settings, { metal, mordant, before, litres, strength_g_l, capacity_g_l }));
  }

  function update() {
    mixed.max = day(new Date());
    const all = kept.all();
    const key = JSON.stringify(all);
    if (key === shown) return;
    shown = key;
    list.hidden = all.length === 0;
    list.replaceChildren(...all.map((bath) => {
      const age = bathAge(bath.mixed, new Date());
      return h("li", null,
        h("p", null, h("strong", null, bath.id), h("span", { class: age.old ? "old" : null }, age.words)),
        h("p", { class: "aside" }, [bath.metal ?? "metal not said", bath.mordant ?? "mordant not said", bath.litres === null ? "" : `${number(bath.litres)} l`].filter(Boolean).join(" · ")),
        h("div", { class: "acts" },
          h("button", { type: "button", "aria-label": `Use bath ${bath.id}`, onclick: () => use(bath) }, "Use"),
          h("button", { type: "button", "aria-label": `Forget bath ${bath.id}`, onclick: () => { kept.remove(bath.id); update(); root.focus({ preventScroll: true }); } }, "Forget")));
    }));
  }
  return { root, update };
}
