/** A short list of places, the first ones shown; pressing one points at it on the picture, pressing it again lets go. */
import { assign, h, say } from "../../dom.js";
import { grouped } from "../../format.js";

/** How many are shown before "more" is pressed. */
const FEW = 3;

/** What was pressed shows on the pictures above: they come into sight. */
export function showPictures() {
  document.querySelector(".station.painting figure .well")?.scrollIntoView({ block: "nearest" });
}

/**
 * @template T
 * @param {import("../../state.js").Desk} desk
 * @param {NonNullable<import("../../state.js").Looking["at"]>["of"]} of
 * @param {string} name said to those who listen, "Islands, the smallest first"
 * @param {(item: T, index: number) => string} words
 * @param {(item: T, index: number) => (Node | null)} [beside] a further button
 */
export function places(desk, of, name, words, beside = () => null) {
  const list = h("ol", { class: "places", "aria-label": name });
  const more = h("button", { type: "button", class: "plain more", hidden: true, onclick: () => {
    all = !all;
    draw(items, desk.state);
  } });
  let all = false;
  /** @type {T[]} */
  let items = [];
  /** @type {HTMLButtonElement[]} */
  let buttons = [];
  /** What the buttons were made for. @type {T[] | null} */
  let made = null;
  let madeAll = false;

  /** @param {T[]} next @param {import("../../state.js").State} state */
  function draw(next, state) {
    items = next;
    if (made !== items || madeAll !== all) {
      [made, madeAll] = [items, all];
      buttons = items.slice(0, all ? 60 : FEW).map((item, i) =>
        h("button", { type: "button", class: "plain spot", onclick: () => point(i) }, words(item, i)));
      list.replaceChildren(...buttons.map((button, i) => h("li", null, h("i", { "aria-hidden": "true" }, String(i + 1)), button, beside(items[i], i))));
    }
    assign(list, { "data-all": String(all) });
    list.hidden = items.length === 0;
    more.hidden = items.length <= FEW;
    say(more, all ? "fewer" : `more, up to ${grouped(Math.min(60, items.length))}`);
    const { at } = state.looking;
    buttons.forEach((button, i) => assign(button, { "aria-pressed": String(at?.of === of && at.index === i) }));
  }

  /** @param {number} index */
  function point(index) {
    const { looking } = desk.state;
    const same = looking.at?.of === of && looking.at.index === index;
    desk.set({ looking: { ...looking, at: same ? null : { of, index } } });
    if (!same) showPictures();
  }
  return { nodes: [list, more], draw };
}
