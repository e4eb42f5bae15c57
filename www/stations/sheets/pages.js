/** The pages as they will print: the very marks that go to the PDF, one page large, all of them in a list. */
import { assign, h, say } from "../../dom.js";
import { sheetSettings } from "../../downloads.js";
import { sign } from "../../picture.js";

/** @typedef {import("../../state.js").State} State */
/** @typedef {import("../../../web/types.d.ts").SheetFacts} SheetFacts */

/** @param {import("../../state.js").Desk} desk */
export function pages(desk) {
  /** Which page is looked at, from 0. */
  let at = 0;
  /** What is on screen: what it was drawn for, and each page drawn so far as the address of its picture. */
  let of = "";
  /** @type {Map<number, string>} */
  const drawn = new Map();
  /** @type {{ state: State, facts: SheetFacts } | null} */
  let now = null;
  let asking = "";

  const picture = h("img", { alt: "", draggable: "false" });
  const well = h("div", { class: "page-well" }, picture, h("span", { class: "updating", "aria-hidden": "true" }, "updating"));
  const title = h("h3", { "aria-live": "polite" });
  /** Which way round the page shows the plate; its line stands, empty, for a page of words, so that nothing jumps. */
  const view = h("p", { class: "page-view", "aria-live": "polite" });
  const back = h("button", { type: "button", "aria-label": "The page before", onclick: () => go(at - 1) }, "‹");
  const on = h("button", { type: "button", "aria-label": "The next page", onclick: () => go(at + 1) }, "›");
  const list = h("ol", { class: "page-list" });
  const root = h("div", { class: "pages" }, h("div", { class: "page-head" }, back, h("div", null, title, view), on), well, h("h3", { class: "page-all" }, "All pages, in the order of the bench"), list);

  /** @param {number} index */
  function go(index) {
    at = Math.max(0, Math.min(index, (now?.facts.pages ?? 1) - 1));
    show();
  }

  /** @param {string} key */
  function forget(key) {
    of = key;
    for (const url of drawn.values()) URL.revokeObjectURL(url);
    drawn.clear();
  }

  function show() {
    if (!now) return;
    const { facts, state } = now;
    const entry = facts.entries[at];
    root.hidden = !entry;
    if (!entry) return;
    say(title, `${at + 1} of ${facts.pages} · ${entry.name}`);
    if (view.textContent !== `F${entry.view}`) {
      view.replaceChildren(entry.view === null ? "" : sign(entry.view.startsWith("PLATE") ? "plate" : "print", entry.view));
    }
    assign(back, { disabled: at === 0 });
    assign(on, { disabled: at === facts.pages - 1 });
    [...list.children].forEach((item, i) => assign(/** @type {HTMLElement} */ (item.firstElementChild), { "aria-current": i === at ? "true" : null }));
    const url = drawn.get(at);
    well.classList.toggle("stale", !url);
    if (url) {
      if (picture.src !== url) picture.src = url;
      picture.alt = [`Page ${at + 1}, ${entry.name}, as it prints`, entry.view].filter(Boolean).join(": ");
    } else draw(state, at);
  }

  /** @param {State} state @param {number} index */
  async function draw(state, index) {
    const key = JSON.stringify([of, index]);
    if (asking === key) return;
    asking = key;
    const wanted = of;
    try {
      const { from, pages: svgs } = await desk.bridge.call("sheet_preview", { sheets: sheetSettings(state), index });
      if (wanted !== of) return;
      svgs.forEach((svg, i) => {
        if (!drawn.has(from + i)) drawn.set(from + i, URL.createObjectURL(new Blob([svg], { type: "image/svg+xml" })));
      });
    } catch {
      // Stopped or refused: the station says so; the next change asks again.
    } finally {
      if (asking === key) asking = "";
    }
    if (wanted === of && drawn.has(at)) show();
  }

  return {
    root,
    /** @param {State} state @param {SheetFacts | null} facts */
    update(state, facts) {
      well.classList.toggle("stale", !facts || !drawn.has(at));
      if (!facts || state.dragging || state.plan === null) return;
      const key = JSON.stringify([sheetSettings(state), state.planned, state.plannedDrawing]);
      if (key !== of) {
        const names = facts.entries.map((entry) => entry.name);
        const before = now?.facts.entries[at]?.name;
        forget(key);
        // The page looked at stays, by its name, where it is still there.
        at = Math.max(0, before === undefined ? names.findIndex((name) => name.startsWith("stop-out")) : names.indexOf(before));
        list.replaceChildren(...names.map((name, i) => h("li", null, h("button", { type: "button", onclick: () => go(i) }, h("i", null, String(i + 1)), name))));
      }
      now = { state, facts };
      show();
    },
  };
}
