/** The pages as they will print: the very marks that go to the PDF, one page large, all of them in a list. */
import { assign, h, say } from "../../dom.js";
import { sheetSettings, sheetsKey } from "../../downloads.js";
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
  let asking = false;
  /** What the list names, and the page that was last brought into its view. */
  let listed = "";
  let inView = -1;

  const picture = h("img", { alt: "", draggable: "false" });
  const well = h("div", { class: "page-well", role: "region", "aria-label": "The page" }, picture, h("span", { class: "updating", "aria-hidden": "true" }, "updating"));
  const title = h("h3", { "aria-live": "polite" });
  /** Which way round the page shows the plate; its line stands, empty, for a page of words, so that nothing jumps. */
  const view = h("p", { class: "page-view", "aria-live": "polite" });
  const back = h("button", { type: "button", "aria-label": "The page before", onclick: () => go(at - 1) }, "‹");
  const on = h("button", { type: "button", "aria-label": "The next page", onclick: () => go(at + 1) }, "›");
  const near = h("button", { type: "button", class: "page-near", "aria-pressed": "false", onclick: () => {
    const close = well.classList.toggle("near");
    assign(near, { "aria-pressed": String(close) });
    assign(well, { tabindex: close ? 0 : null });
  } }, "Read it close");
  const list = h("ol", { class: "page-list" });
  const head = h("div", { class: "page-head" }, back, h("div", null, title, view), on);
  const all = h("h3", { class: "page-all" });
  const scroll = h("div", { class: "page-scroll" }, list);
  const none = h("p", { class: "page-none", hidden: true });
  const parts = [head, well, near, all, scroll];
  const root = h("div", { class: "pages" }, none, ...parts);

  /** @param {number} index */
  function go(index) {
    at = Math.max(0, Math.min(index, (now?.facts.pages ?? 1) - 1));
    show();
  }

  /** The list follows the page looked at; where it was scrolled to by hand it stays. */
  function follow() {
    if (inView === at || scroll.offsetParent === null) return;
    inView = at;
    const [frame, item] = [scroll, list.children[at]].map((each) => each.getBoundingClientRect());
    scroll.scrollTop += Math.min(0, item.top - frame.top) + Math.max(0, item.bottom - frame.bottom);
  }

  /** From the list: the page, and which way round it is, come into view. @param {number} index */
  function pick(index) {
    go(index);
    if (head.getBoundingClientRect().top < 0) head.scrollIntoView({ block: "start" });
  }

  /** @param {string} key */
  function forget(key) {
    of = key;
    for (const url of drawn.values()) URL.revokeObjectURL(url);
    drawn.clear();
  }

  /** The list is made anew; the keyboard stays in it. @param {string[]} names */
  function name(names) {
    listed = names.join("\n");
    const held = list.contains(document.activeElement);
    list.replaceChildren(...names.map((name, i) => h("li", null, h("button", { type: "button", onclick: () => pick(i) }, h("i", null, String(i + 1)), name))));
    say(all, names.length === 1 ? "The one page" : `All ${names.length} pages, in the order of the bench`);
    if (held) /** @type {HTMLElement | null | undefined} */ (list.children[at]?.firstElementChild)?.focus({ preventScroll: true });
  }

  function show() {
    if (!now) return;
    const { facts, state } = now;
    const entry = facts.entries[at];
    for (const part of parts) part.hidden = !entry;
    none.hidden = Boolean(entry);
    say(none, entry ? "" : facts.contents);
    if (!entry) return;
    say(title, `${at + 1} of ${facts.pages} · ${entry.name}`);
    if (view.textContent !== `F${entry.view}`) {
      view.replaceChildren(entry.view === null ? "" : sign(entry.view.startsWith("PLATE") ? "plate" : "print", entry.view));
    }
    // Not disabled, which would take the keyboard from them.
    assign(back, { "aria-disabled": String(at === 0) });
    assign(on, { "aria-disabled": String(at === facts.pages - 1) });
    [...list.children].forEach((item, i) => assign(/** @type {HTMLElement} */ (item.firstElementChild), { "aria-current": i === at ? "true" : null }));
    follow();
    const url = drawn.get(at);
    well.classList.toggle("stale", !url);
    if (url) {
      if (picture.src !== url) picture.src = url;
      picture.alt = [`Page ${at + 1}, ${entry.name}, as it prints`, entry.view].filter(Boolean).join(": ");
    } else draw(state, at, entry.kind === "pulls");
  }

  /** One call at a time, for the page looked at: nothing queues, however fast they are turned. @param {State} state @param {number} index @param {boolean} photos whether the page has photographs */
  async function draw(state, index, photos) {
    if (asking) return;
    asking = true;
    const wanted = of;
    let refused = false;
    try {
      const { from, pages: svgs } = await desk.bridge.call("sheet_preview", { sheets: sheetSettings(state, { photos }), index });
      if (wanted === of) svgs.forEach((svg, i) => drawn.set(from + i, URL.createObjectURL(new Blob([svg], { type: "image/svg+xml" }))));
    } catch (error) {
      refused = true;
      if (wanted === of) desk.refused(/** @type {Error} */ (error));
    } finally {
      asking = false;
    }
    // Meanwhile another page may have been turned to, or the sheets have changed; what was refused is not asked for again.
    if (!refused || wanted !== of || index !== at) show();
  }

  return {
    root,
    /** @param {State} state @param {SheetFacts | null} facts of the sheets as the state has them; null: not known yet */
    update(state, facts) {
      well.classList.toggle("stale", !facts || !drawn.has(at));
      if (!facts || state.dragging) return;
      const key = sheetsKey(state);
      if (key !== of) {
        const names = facts.entries.map((entry) => entry.name);
        const before = now?.facts.entries[at]?.name;
        forget(key);
        // The page looked at stays, by its name, where it is still there; else another of the same thing: a tile of it, or its transfer.
        const stem = (/** @type {string} */ name) => name.split(",")[0];
        const [same, alike] = before === undefined ? [-1, names.findIndex((name) => name.startsWith("stop-out"))]
          : [names.indexOf(before), names.findIndex((name) => stem(name) === stem(before))];
        at = Math.max(0, same < 0 ? alike : same);
        inView = -1;
        if (listed !== names.join("\n")) name(names);
      }
      now = { state, facts };
      show();
    },
  };
}
