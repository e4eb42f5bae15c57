/**
 * The pull, large: alone, wiped with the drawing, beside it, how far they lie apart, or both orders of its plates. It fits the window, or is as
 * large as the plate is and melts what an eye at arm's length would not tell apart.
 * @typedef {import("../../state.js").State} State
 * @typedef {import("../../state.js").Proofing} Proofing
 */
import { h, say } from "../../dom.js";
import { byStrip, length, number } from "../../format.js";
import { Picture, proofWish } from "../../picture.js";
import { legendItems } from "../whole.js";
import { Answer } from "../../answer.js";
import { MELT_MM, meltPx } from "./arms-length.js";
import { otherOrder } from "./choices.js";
import { CSS_PX_PER_MM } from "./glass.js";
import { MeltedCanvas } from "./melted-canvas.js";
import { mini } from "./mini.js";
import { wipe } from "./wipe.js";
import { basis, differenceWords, orderWords } from "./words.js";
import { proofOf } from "../papers/pieces.js";

/** Room about the plate on its sheet, CSS px; the border counts. */
const AROUND_PX = 2 * 15 + 2;

/** The pull, or the drawing beside it: at its own size it is melted as the eye does. */
class Pull extends Picture {
  #own = false;
  /** @type {import("../../../web/types.d.ts").Picture | null} */
  #last = null;
  #melted = new MeltedCanvas(this.canvas, this.root);
  /** Hears of every picture that has its tones right and no grain. @type {((picture: import("../../../web/types.d.ts").Picture) => void) | null} */
  flat = null;

  /** @param {State} state */
  update(state) {
    super.update(state);
    const own = state.proofing.size === "own";
    if (own === this.#own) return;
    this.#own = own;
    if (this.#last) this.paint(this.#last);
  }

  /** @param {import("../../../web/types.d.ts").Picture} picture @param {string} key @param {boolean} [draft] */
  put(picture, key, draft = false) {
    if (draft || !this.drafted(key)) this.flat?.(picture);
    super.put(picture, key, draft);
  }

  /** @param {import("../../../web/types.d.ts").Picture} picture */
  paint(picture) {
    this.#last = picture;
    this.#melted.show(picture, this.melts(picture));
  }

  /** Pixels of the last picture, which may be on its way to the canvas. */
  size() {
    return { width: this.#last?.width ?? 0, height: this.#last?.height ?? 0 };
  }

  /** By how much a picture over its face melts, px. @param {import("../../../web/types.d.ts").Picture} picture */
  melts(picture) {
    return this.#own ? meltPx(picture.width / Math.max(1, this.canvas.clientWidth) * this.scale()) : 0;
  }

  /** CSS pixels a millimetre. */
  scale() {
    return Number(this.sheet.querySelector("svg")?.style.getPropertyValue("--mm")) || CSS_PX_PER_MM;
  }
}

/** What the large picture shows. @param {State} state @returns {import("../../picture.js").Wish} */
function mainWish(state) {
  const { proofing: { way, view }, proof } = state;
  if (way === "difference") return { kind: "difference", view, proof: proofOf(state) };
  if (way === "chance" && proof.edges) return { kind: "chance", view, edges: proof.edges };
  return proofWish(state, view);
}

/** What lies beside it; null: nothing. @param {State} state @returns {import("../../picture.js").Wish | null} */
function besideWish(state) {
  const { proofing: { way, view }, proof } = state;
  if (way === "side") return { kind: "wanted", view, proof: proofOf(state) };
  return way === "orders" ? proofWish({ ...state, proof: otherOrder(proof) }, view) : null;
}

/** @param {import("../../state.js").Desk} desk */
export function hero(desk) {
  const answer = new Answer(desk, "difference", (state) => state.proofing.way === "difference" ? { proof: proofOf(state) } : undefined, (state) => {
    pull.update(state);
    figured(state);
  });
  const most = (/** @type {State} */ state) => (state.proofing.size === "own" ? CSS_PX_PER_MM : Infinity);
  const pull = new Pull(desk, { wish: mainWish, most,
    title: (s) => s.proofing.way === "difference" ? "How far apart they lie" : s.proofing.way === "chance" ? "Where edges may go" : s.proofing.way === "orders" ? orderWords(s.proof, s.plates, s.letter) : "The pull",
    note: (s) => s.proofing.way === "orders" ? "as set" : s.proofing.way === "difference" ? answer.found && answer.current ? `ΔE ${number(answer.found.mean)} on average` : "" : s.title,
    label: (s) => s.proofing.way === "difference" ? "How far proof and drawing lie apart: the darker the farther, hatched where over 6" : s.proofing.way === "chance" ? "Where edges may come out otherwise: brown lighter, dark darker; the stronger the likelier and the larger the difference"
      : `The expected print of ${s.title}, ${byStrip(s.plan)}` });
  const beside = new Pull(desk, { wish: besideWish, most,
    title: (s) => s.proofing.way === "orders" ? orderWords(otherOrder(s.proof), s.plates, s.letter) : "The drawing",
    note: (s) => s.proofing.way === "orders" ? "the other order" : "as it would print without loss",
    label: (s) => s.proofing.way === "orders" ? "The expected print with its plates in the other order" : "The drawing, in the light that the print's paper and darkest tone leave it" });
  const wiped = wipe(desk, pull);
  const small = mini([pull.well, beside.well]);
  pull.flat = small.pull;
  const based = h("p", { class: "based aside" });
  const badge = h("p", { class: "example" }, "EXAMPLE, NOT YOUR BATH");
  const figures = h("p", { class: "figures", "aria-live": "polite" });
  const far = h("p", { class: "legend" }, ...legendItems([["alike", "ALIKE"], ["apart", "APART"], ["over-six", "ΔE OVER 6"]]));
  const may = h("p", { class: "legend" }, ...legendItems([["may-lighter", "MAY COME OUT LIGHTER"], ["may-darker", "MAY COME OUT DARKER"]]));
  const stronger = h("p", { class: "aside" }, "Stronger where it is likelier, and where the tones that meet lie farther apart.");
  const size = h("p", { class: "aside" });
  const lamp = h("p", { class: "aside" }, "By this lamp, for an eye that takes the paper for white: greys stay grey, coloured inks shift.");
  pull.words.append(h("div", { class: "under-pull" }, badge, wiped.words, figures, far, may, stronger, lamp, size, based));
  const root = h("div", { class: "pulls" }, pull.root, beside.root);

  /** @param {State} state */
  function figured(state) {
    figures.hidden = state.proofing.way !== "difference";
    say(figures, answer.trouble || (answer.found ? differenceWords(answer.found) : "Being worked out."));
    figures.classList.toggle("waiting", !answer.current);
  }

  return {
    root, pull, small,
    /** @param {State} state */
    update(state) {
      const { way, size: how } = state.proofing;
      root.dataset.way = way;
      root.dataset.size = how;
      const { plan } = state;
      // At its own size the sheet takes the height that it needs.
      root.style.setProperty("--own", plan ? `${Math.ceil(plan.plate_mm.height * CSS_PX_PER_MM + AROUND_PX)}px` : "auto");
      // Before the pull, which says in its head what it was answered as long as that holds.
      answer.update(state);
      pull.update(state);
      beside.update(state);
      wiped.update(state);
      figured(state);
      far.hidden = way !== "difference";
      may.hidden = stronger.hidden = way !== "chance";
      lamp.hidden = state.proof.lamp === "daylight" || way === "difference" || way === "chance";
      say(based, basis(state));
      const over = state.plates.some((plate) => plate.example && state.proof.printings.some((each) => each.plate === plate.id));
      badge.hidden = plan?.strip.kind === "measured" && !over;
      small.update(pull.heading.textContent ?? "", state.proofing.view, !badge.hidden);
      size.hidden = how !== "own";
      if (!plan || how !== "own") return;
      const scale = pull.scale() / CSS_PX_PER_MM;
      say(size, scale > 0.995 ? `As large as the plate is, on a screen whose millimetres are true. Detail under ${length(Math.round(MELT_MM * 1000) / 1000, state.units)} ${state.units} melts, as for an eye at arm’s length.`
        : `The plate is larger than this window: shown at ${Math.round(100 * scale)} % of its size.`);
    },
  };
}
