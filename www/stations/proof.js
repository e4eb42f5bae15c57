/** Proof: the expected print, large, with a glass that shows its grain at plate scale or enlarged. */
import { assign, h, say, show } from "../dom.js";
import { byStrip, length, number, percent } from "../format.js";
import { radios, slider } from "../fields.js";
import { Picture, proofWish, sign } from "../picture.js";
import { wanted } from "../stale.js";
import { warning } from "../ticket.js";

/** CSS pixels in a millimetre of the sheet. (CSS Values and Units 3, section 6.2) */
const CSS_PX_PER_MM = 96 / 25.4;
/** The thickest film offered, density: half the light of the paper. Choice of ours. */
const THICKEST = 0.3;
/** Papers to pull on, as sRGB; the first is the strip's own. */
const PAPERS = [["", "the strip's own"], ["#ece6d8", "cream"], ["#dfd3bb", "buff"], ["#dfe3e1", "cool grey"]];

/** @typedef {import("../state.js").State} State */

/** @param {import("../state.js").Desk} desk @returns {import("../state.js").Part} */
export function proof(desk) {
  const pull = new Picture(desk, { wish: (s) => proofWish(s), title: () => "The pull", note: (s) => s.title,
    label: (s) => `The expected print of ${s.title}, ${byStrip(s.plan)}` });
  const glass = new Glass(desk);
  const ring = h("button", { type: "button", class: "ring", onkeydown: keys }, h("span", { class: "hidden" }));
  pull.sheet.append(ring);
  pull.sheet.addEventListener("pointermove", follow);
  pull.sheet.addEventListener("pointerdown", follow);

  /** @param {PointerEvent} event */
  function follow(event) {
    const { plan } = desk.state;
    const box = pull.canvas.getBoundingClientRect();
    if (!plan || (event.pointerType === "touch" && event.type === "pointermove" && !event.isPrimary)) return;
    to((event.clientX - box.left) / box.width * plan.face_mm.width, (event.clientY - box.top) / box.height * plan.face_mm.height);
  }

  /** @param {number} x @param {number} y */
  function to(x, y) {
    const { plan, glass: now } = desk.state;
    if (!plan) return;
    const at = /** @type {[number, number]} */ ([Math.min(plan.face_mm.width, Math.max(0, x)), Math.min(plan.face_mm.height, Math.max(0, y))]);
    desk.set({ glass: { ...now, at } });
  }

  /** A film as typed. It changes the picture only, and the core takes any. @param {number} plate_tone */
  function typed(plate_tone) {
    if (plate_tone >= 0 && plate_tone <= THICKEST) return desk.setProof({ plate_tone });
    desk.notice(`A film of plate tone of 0 to ${number(THICKEST, 2)} D was expected, ${number(plate_tone, 2)} came: 0 is none beyond the strip's own.`, "refused");
    return false;
  }

  /** @param {KeyboardEvent} event */
  function keys(event) {
    const by = event.shiftKey ? 10 : 1;
    const move = { ArrowLeft: [-by, 0], ArrowRight: [by, 0], ArrowUp: [0, -by], ArrowDown: [0, by] }[event.key];
    if (!move) return;
    event.preventDefault();
    const [x, y] = desk.state.glass.at;
    to(x + move[0], y + move[1]);
  }

  const zoom = radios("The glass shows", [["1", "plate scale"], ["4", "4 times"], ["10", "10 times"]], (value) => desk.set({ glass: { ...desk.state.glass, zoom: /** @type {any} */ (Number(value)) } }));
  const paper = radios("Paper", /** @type {[string, string][]} */ (PAPERS), (value) => desk.setProof({ paper: value || null }));
  const film = slider(desk, "Plate tone", { min: 0, max: THICKEST, step: 0.01, unit: "D", words: (value) => value === 0 ? "none beyond the strip's own" : `density ${number(value, 2)} beyond the strip's own`,
    take: (value) => desk.setProof({ plate_tone: Math.max(0, value) }), typed });
  const based = h("p", { class: "based" });
  const warn = h("p", { class: "example" });
  const root = h("section", { class: "station proof", "aria-labelledby": "h-proof" },
    h("div", { class: "top" }, h("h2", { id: "h-proof" }, "Proof"), based, warn),
    h("div", { class: "side" }, pull.root, h("div", { class: "column" }, glass.root, zoom.root, paper.root, film.root,
      h("p", { class: "aside" }, "The strip sets how dark each tone is; the grain is one such grain, not yours. Move the glass with the pointer, or focus its ring and use the arrow keys. Enlarging shows more of the same grain, never bigger dots."))));
  return {
    root,
    update(state) {
      pull.update(state);
      glass.update(state);
      zoom.set(String(state.glass.zoom));
      paper.set(state.proof.paper ?? "");
      film.set(state.proof.plate_tone);
      const { plan } = state;
      if (!plan) return;
      say(based, `Made from the stop-outs and the bites, ${plan.strip.kind === "missing" ? "as the example strip prints: there is no strip of yours yet" : `as strip ${plan.strip.id} prints`}. ${state.proof.plate_tone || state.proof.paper ? "Paper and plate tone are your what-if." : "Paper and plate tone as on the strip."}`);
      warn.hidden = plan.strip.kind === "measured";
      say(warn, warning("times", state) && plan.strip.kind !== "measured" ? "EXAMPLE, NOT YOUR BATH" : "");
      const [x, y] = state.glass.at;
      const seen = glass.seen(state) / plan.face_mm.width;
      pull.sheet.style.setProperty("--x", String(x / plan.face_mm.width));
      pull.sheet.style.setProperty("--y", String(y / plan.face_mm.height));
      pull.sheet.style.setProperty("--seen", String(seen));
      assign(ring, { "aria-label": `The glass, ${length(x, state.units)} ${state.units} from the left and ${length(y, state.units)} ${state.units} from the top. It shows ${percent(seen)} of the width. Arrow keys move it` });
    },
  };
}

/** The round window; it asks for its own picture as any other. */
class Glass {
  #desk;
  #key = "";
  stage = "looking through the glass";

  /** @param {import("../state.js").Desk} desk */
  constructor(desk) {
    this.#desk = desk;
    this.canvas = h("canvas", { role: "img", "aria-label": "The grain through the glass, print view" });
    this.lens = h("div", { class: "lens" }, this.canvas);
    this.scale = h("figcaption", null);
    this.root = h("figure", { class: "glass" }, h("div", { class: "over" }, h("h3", null, "The glass"), h("span", { class: "signs" }, sign("print"))), this.lens, this.scale);
    desk.live.add(/** @type {any} */ (this));
    new ResizeObserver(() => desk.live.refresh()).observe(this.lens);
  }

  /** Width it sees, mm of plate. @param {State} state */
  seen(state) {
    return this.lens.clientWidth / (CSS_PX_PER_MM * state.glass.zoom);
  }

  #wanted() {
    const state = this.#desk.state;
    if (!state.planned || this.root.offsetParent === null || !this.lens.clientWidth) return null;
    const ratio = window.devicePixelRatio || 1;
    const side = Math.round(this.lens.clientWidth * ratio);
    /** @type {import("../../web/types.d.ts").PictureSpec} */
    const spec = { kind: "glass", view: "print", width: side, height: side, px_per_mm: CSS_PX_PER_MM * ratio * state.glass.zoom, centre_mm: state.glass.at, proof: state.proof };
    return wanted(spec, state);
  }

  mark() {
    const wanted = this.#wanted();
    if (wanted) this.lens.classList.toggle("stale", wanted.due !== this.#key);
  }

  stale() {
    const wanted = this.#wanted();
    return wanted && wanted.key !== this.#key ? wanted : null;
  }

  /** @param {import("../../web/types.d.ts").Picture} picture @param {string} key */
  put(picture, key) {
    show(this.canvas, picture);
    this.#key = key;
    this.mark();
  }

  /** @param {State} state */
  update(state) {
    const mm = this.seen(state);
    say(this.scale, `${number(mm)} mm of the plate across, ${state.glass.zoom === 1 ? "at its own size on this screen" : `enlarged ${state.glass.zoom} times`}`);
  }
}
