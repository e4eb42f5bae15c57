/**
 * The whole screen at the bath: what stands on every screen of the run, and the hand. It knows presses, keys, choices and digits, and nothing
 * of plates.
 * @typedef {{ label: string, sub?: string, digits?: string, take(): void }} Choice
 * @typedef {object} Screen
 * @property {string} name for style and tests
 * @property {string} title
 * @property {Node[]} body
 * @property {string} act what holding does; empty: nothing
 * @property {(at: import("../../run/clock.js").Moment) => void} [acts]
 * @property {boolean} [double] a key must come twice
 * @property {boolean} [leave] whether the run may be left here
 * @property {string} [next]
 * @property {Choice[]} [choices] one of which is to be taken before anything else
 * @property {string} [question] of the choices
 */
import { h, say } from "../../dom.js";
import { now } from "../../run/clock.js";
import { confirms, DOUBLE_MS, Press } from "../../run/press.js";

/** Of the screen's shorter side, that the digits are high at least where the width allows. */
const HIGH = 0.36;
/** After a plate came out keys are not taken for so long, ms: a foot that presses three times has not chosen anything. */
const CALM_MS = 1_000;
/** Height of a figure over the size of its type, Stepbite Text's lining figures; measured on the drawn type. */
const FIGURE = 0.66;

/** @param {{ leave(): void, look(): void }} how */
export function frame(how) {
  const letter = h("b", { class: "work-letter" });
  const title = h("span", { class: "work-name" });
  const where = h("span", { class: "where" });
  const aside = h("span", { class: "lift" });
  const look = h("button", { type: "button", class: "look", onclick: how.look });
  const leave = h("button", { type: "button", class: "leave", "aria-label": "Leave the run", onclick: how.leave }, "Leave");
  const example = h("p", { class: "example large" }, "EXAMPLE, NOT YOUR BATH");
  const heading = h("h2", { class: "hidden", tabindex: -1, id: "h-run" });
  const body = h("div", { class: "screen" });
  const said = h("p", { class: "said", role: "status", hidden: true });
  const next = h("p", { class: "next" });
  const words = h("span", null);
  const act = h("button", { type: "button", class: "act" }, h("i", { "aria-hidden": "true" }), words);
  const asked = h("div", { class: "choices", role: "group" });
  const root = h("section", { class: "bathrun", role: "dialog", "aria-modal": "true", "aria-labelledby": "h-run", hidden: true },
    h("header", null, letter, title, where, aside, example, h("span", { class: "ways-out" }, look, leave)),
    heading, body, asked, said, h("footer", null, next, act));
  /** @type {Screen | null} */
  let screen = null;
  let marked = 0;
  /** Keys are taken from this moment on. */
  let calm = 0;
  /** @type {any} */
  let moving = null;

  const press = new Press({
    now,
    later: (work, ms) => setTimeout(work, ms),
    never: (timer) => clearTimeout(/** @type {any} */ (timer)),
    holding(down) { root.dataset.holding = String(down); },
    half() {
      if (choosing()) {
        clearTimeout(moving);
        moving = setTimeout(() => mark(marked + 1), DOUBLE_MS);
        return;
      }
      root.dataset.half = "true";
      say(words, "Once more, quickly");
      setTimeout(() => { root.dataset.half = "false"; say(words, screen?.act ?? ""); }, DOUBLE_MS);
    },
    act(at) {
      clearTimeout(moving);
      if (choosing()) screen?.choices?.[marked]?.take();
      else screen?.acts?.(at);
    },
  });

  const choosing = () => Boolean(screen?.choices?.length) && !screen?.acts;

  /** @param {number} which */
  function mark(which) {
    const all = [...asked.querySelectorAll("button")];
    if (!all.length) return;
    marked = which % all.length;
    all.forEach((button, i) => button.dataset.marked = String(i === marked));
    all[marked].focus({ preventScroll: true });
  }

  /** Whether what was touched has a purpose of its own. @param {EventTarget | null} target */
  const own = (target) => target instanceof Element && target.closest("button:not(.act), input, textarea, label, a, summary") !== null;

  root.addEventListener("pointerdown", (event) => {
    if (event.button !== 0 || own(event.target) || !screen?.acts) return;
    press.down(event.pointerId);
  });
  for (const ended of ["pointerup", "pointercancel"]) {
    root.addEventListener(ended, (event) => {
      const { pointerId } = /** @type {PointerEvent} */ (event);
      if (ended === "pointerup") press.up(pointerId);
      else press.drop();
    });
  }
  root.addEventListener("contextmenu", (event) => {
    if (!own(event.target)) event.preventDefault();
  });
  // What a finger touched does not keep the keys.
  root.addEventListener("click", (event) => {
    if (event.detail > 0 && event.target instanceof Element && event.target.closest("button") && !choosing()) heading.focus({ preventScroll: true });
  });
  // Voices and switches press a button without a pointer.
  act.addEventListener("click", (event) => {
    if (event.detail === 0 && screen?.acts && !(/** @type {any} */ (event)).pointerType) screen.acts(now());
  });

  /** @param {KeyboardEvent} event */
  function key(event) {
    if (root.hidden) return;
    // Nothing is undone, opened or left by a slip of the hand.
    if ((event.ctrlKey || event.metaKey) && "zyo".includes(event.key.toLowerCase())) {
      event.preventDefault();
      event.stopImmediatePropagation();
      return;
    }
    if (event.key === "Tab") return trap(event);
    const typing = event.target instanceof HTMLInputElement && event.target.type === "text";
    const pressing = event.target instanceof Element && event.target.closest("button:not(.act), summary, input, a") !== null;
    if (typing || !confirms(event)) return;
    if (now().steady < calm) return event.preventDefault();
    if (choosing()) {
      if (event.key === "Enter" && !asked.contains(/** @type {Node} */ (event.target))) return;
      event.preventDefault();
      if (event.key === "Enter") screen?.choices?.[marked]?.take();
      else press.key();
      return;
    }
    // What a key lands on by chance must not swallow the lifting of a plate; only an answer reached on purpose is taken first.
    if (pressing && (event.key === "Enter" || event.key === " ") && (!screen?.double || asked.contains(/** @type {Node} */ (event.target)))) return;
    if (!screen?.acts) return;
    event.preventDefault();
    press.key();
  }

  /** The keys stay within the run. @param {KeyboardEvent} event */
  function trap(event) {
    const all = [...root.querySelectorAll("button, input, summary, a[href]")].filter((item) => /** @type {HTMLElement} */ (item).offsetParent !== null);
    const at = all.indexOf(/** @type {Element} */ (document.activeElement));
    const to = event.shiftKey ? at - 1 : at + 1;
    if (at >= 0 && to >= 0 && to < all.length) return;
    event.preventDefault();
    /** @type {HTMLElement | undefined} */ (all.at(event.shiftKey ? -1 : 0))?.focus();
  }

  addEventListener("keydown", key, true);
  addEventListener("keyup", (event) => {
    if (!root.hidden && event.key === " " && !own(event.target)) event.preventDefault();
  }, true);

  document.body.append(root);
  new ResizeObserver(() => fit()).observe(body);

  /** Digits as large as the place they have allows. */
  function fit() {
    for (const digits of /** @type {NodeListOf<HTMLElement>} */ (root.querySelectorAll(".digits"))) {
      const place = digits.parentElement;
      if (!place || !place.clientWidth) continue;
      digits.style.fontSize = "100px";
      const wide = place.clientWidth / Math.max(1, digits.scrollWidth);
      const shorter = Math.min(innerWidth, innerHeight);
      const most = screen?.name === "bite" ? Math.max(HIGH, 0.42 * innerHeight / shorter) : screen?.name === "out" ? 0.16 : 0.3;
      digits.style.fontSize = `${Math.floor(Math.min(100 * wide, most * shorter / FIGURE))}px`;
    }
  }

  return {
    root,
    body,
    fit,
    /** @param {Screen} to */
    show(to) {
      press.clear();
      clearTimeout(moving);
      if (screen?.name === "bite" && to.name !== "bite") calm = now().steady + CALM_MS;
      screen = to;
      root.dataset.screen = to.name;
      root.dataset.half = "false";
      press.double = Boolean(to.double) || (Boolean(to.choices?.length) && !to.acts);
      say(heading, to.title);
      body.replaceChildren(...to.body);
      say(next, to.next ? `Next: ${to.next}` : "");
      leave.hidden = to.leave === false;
      act.hidden = !to.acts;
      say(words, to.act);
      this.ask(to.choices ?? [], to.question ?? "");
      fit();
      if (!choosing()) heading.focus({ preventScroll: true });
    },
    /** What is to be decided, in place of what was asked before. @param {Choice[]} choices @param {string} question */
    ask(choices, question) {
      if (screen) screen = { ...screen, choices };
      asked.hidden = choices.length === 0;
      asked.setAttribute("aria-label", question || "Which?");
      asked.replaceChildren(...(choices.length ? [h("p", { class: "question" }, question)] : []), ...choices.map((choice) =>
        h("button", { type: "button", onclick: () => choice.take() }, choice.digits ? h("b", null, choice.digits) : null, h("strong", null, choice.label), choice.sub ? h("span", null, choice.sub) : null)),
        ...(choices.length && choosing() ? [h("p", { class: "how" }, "Touch one. By pedal or space: once for the next, twice for the marked one. Enter takes the marked one.")] : []));
      if (choosing()) mark(0);
    },
    /** The same choices with their figures as they are now. @param {Choice[]} choices */
    figures(choices) {
      asked.querySelectorAll("button").forEach((button, i) => {
        const [figure, , sub] = button.children;
        if (choices[i]?.digits) say(figure, choices[i].digits ?? "");
        if (sub) say(sub, choices[i]?.sub ?? "");
      });
    },
    /** @param {{ letter: string, title: string, where: string, example: boolean }} to @param {string} [lift] */
    head(to, lift = "") {
      say(letter, to.letter);
      say(title, to.title);
      say(where, to.where);
      say(aside, lift);
      example.hidden = !to.example;
    },
    /** @param {string} sentence */
    tell(sentence) {
      said.hidden = sentence === "";
      say(said, sentence);
    },
    /** @param {string} text */
    next(text) { say(next, text ? `Next: ${text}` : ""); },
    /** @param {string} text */
    act(text) {
      if (screen) screen = { ...screen, act: text };
      if (root.dataset.half !== "true") say(words, text);
    },
    /** @param {"dark" | "light"} to */
    look(to) {
      root.dataset.look = to;
      say(look, to === "dark" ? "Light" : "Dark");
      look.setAttribute("aria-label", to === "dark" ? "Light screen" : "Dark screen");
    },
    open(/** @type {boolean} */ to) {
      root.hidden = !to;
      const page = document.getElementById("page");
      if (page) page.inert = to;
      document.documentElement.classList.toggle("bathing", to);
    },
  };
}
