/** What is kept in this browser, and the earlier states to go back to. */
import { h, say } from "../dom.js";
import { hour, moment } from "../keeping/words.js";

/** @param {import("../state.js").Desk} desk @returns {import("../state.js").Part} */
export function kept(desk) {
  const now = h("p", { class: "lead" });
  const lasting = h("p", null);
  const filed = h("p", null);
  const page = h("p", null);
  const rows = h("ul", { class: "points" });
  const none = h("p", null, "None yet. A copy is put by each time sheets are saved, each time a bite is done, and before another drawing or state is opened; the latest twenty stay.");
  const forget = h("button", { type: "button", onclick: ask }, "Forget everything kept here");
  const sure = h("div", { class: "sure", hidden: true },
    h("p", null, "This takes the work and all earlier states out of this browser for good. Files you have saved stay where they are."),
    h("button", { type: "button", onclick: () => desk.keeper.forget() }, "Yes, forget everything"),
    h("button", { type: "button", onclick: () => { sure.hidden = true; forget.focus(); } }, "No, keep it"));
  const root = h("section", { class: "station kept", "aria-label": "What is kept" },
    h("h2", null, "What is kept"),
    now, lasting, filed, page,
    h("div", { class: "acts" },
      h("button", { type: "button", onclick: () => desk.keeper.save() }, "Save as a file"),
      h("button", { type: "button", onclick: () => desk.keeper.anew() }, "Begin anew with the example")),
    h("h3", null, "Earlier states"), none, rows,
    h("h3", null, "What this means"),
    h("p", null, "The work is written into this browser’s own storage, on this machine alone, within two seconds of every change: drawing, settings, log and choices. Undo is not kept. A browser may clear its storage when the disk is full or the page is not used for long, and a private window forgets everything when it closes. The file is the copy that is yours: it holds the drawing too, opens without a network on any machine, and is an ordinary ZIP."),
    forget, sure);

  function ask() {
    sure.hidden = false;
    sure.querySelector("button")?.focus();
  }

  /** @type {unknown} */
  let shown = null;
  return {
    root,
    update({ kept }) {
      if (shown === kept) return;
      shown = kept;
      say(now, kept.looks ? "Open in another tab, where it is kept. Here it can only be looked at."
        : kept.trouble ?? (kept.at === null ? "Nothing yet: the example is as it was." : `Kept in this browser, last written on ${moment(kept.at)}.`));
      now.classList.toggle("warn", kept.trouble !== null);
      say(lasting, kept.lasting === true ? "The browser has promised not to clear it by itself." : kept.lasting === false ? "The browser has not promised to keep it: save a file as well." : "");
      say(filed, kept.filed === null ? "Not saved as a file since this page was opened." : `Last saved as a file at ${hour(kept.filed)}.`);
      say(page, { held: "The page itself is kept too: it opens with the network off.", file: "The page is one file: it needs no network.",
        not: "The page itself is not kept in this browser: it opens only while its host can be reached. For the bath, take the one file along.", none: "" }[kept.page ?? "none"]);
      none.hidden = kept.points.length > 0;
      rows.replaceChildren(...kept.points.map(({ key, at, why, title, letter }) => {
        const what = `${title} ${letter}, ${moment(at)}`;
        return h("li", null,
          h("span", null, h("strong", null, `${title} · ${letter}`), ` ${moment(at)}, ${why}`),
          h("button", { type: "button", "aria-label": `Open again: ${what}`, disabled: kept.looks, onclick: () => desk.keeper.openPoint(key) }, "Open again"),
          h("button", { type: "button", "aria-label": `Save as a file: ${what}`, onclick: () => desk.keeper.savePoint(key) }, "Save as a file"));
      }));
    },
  };
}
