/**
 * Where the page has one column: pull and glass once more, small, over the questions while the large pull is out of sight. What it shows of the
 * pull is without grain, which would not come out right so small.
 */
import { h, say, show } from "../../dom.js";
import { sign } from "../../picture.js";

/** How high it is: this share of the window, and no more than so many px. */
const SHARE = 0.26;
const MOST_PX = 220;

/** @param {HTMLElement[]} wells of the large pictures */
export function mini(wells) {
  const pull = h("canvas", { "aria-hidden": "true" });
  const lens = h("canvas", { class: "small-lens", "aria-hidden": "true" });
  const name = h("b", null);
  const signs = h("span", { class: "signs" });
  const badge = h("span", { class: "small-example" }, "EXAMPLE, NOT YOUR BATH");
  const button = h("button", { type: "button", hidden: true, onclick: () => {
    const [{ parentElement: large }] = wells;
    large?.scrollIntoView({ block: "start" });
    const buttons = /** @type {HTMLElement[]} */ ([...large?.querySelectorAll("button") ?? []]);
    buttons.find((each) => each.checkVisibility())?.focus({ preventScroll: true });
  } }, pull, h("span", { class: "beside-small" }, h("span", null, name, signs, badge, h("span", { class: "hidden" }, "small: go up to it")), lens));
  const root = h("div", { class: "mini" }, button);
  const { classList, style } = document.documentElement;
  let asked = 0;
  /** What has come and is not drawn: where nobody sees it there is no need. @type {Map<HTMLCanvasElement, import("../../../web/types.d.ts").Picture>} */
  const due = new Map();

  function follow() {
    asked = 0;
    const band = Math.round(Math.min(MOST_PX, SHARE * innerHeight));
    style.setProperty("--band", `${band}px`);
    // Nothing is covered that is not above the questions: of the large picture so much is left as this takes.
    button.hidden = root.offsetParent === null || wells.some((well) => well.offsetParent !== null && well.getBoundingClientRect().bottom > band);
    classList.toggle("pull-above", !button.hidden);
    if (button.hidden) return;
    for (const [canvas, picture] of due) show(canvas, picture);
    due.clear();
  }
  const soon = () => { asked ||= requestAnimationFrame(follow); };
  for (const moves of ["scroll", "resize"]) addEventListener(moves, soon, { passive: true });

  return {
    root,
    /** @param {import("../../../web/types.d.ts").Picture} picture */
    pull(picture) { due.set(pull, picture); soon(); },
    /** @param {import("../../../web/types.d.ts").Picture} picture */
    lens(picture) { due.set(lens, picture); soon(); },
    /** @param {string} title @param {"print" | "plate"} view @param {boolean} example whether it is not of a measured strip */
    update(title, view, example) {
      say(name, title);
      badge.hidden = !example;
      // The glass looks at the print, and one sign is no sign of two views.
      lens.hidden = view === "plate";
      if (root.dataset.view !== view) {
        root.dataset.view = view;
        signs.replaceChildren(sign(view));
      }
      soon();
    },
  };
}
