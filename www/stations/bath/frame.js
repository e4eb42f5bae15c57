/**
 * The whole screen at the bath: what stands on every screen of the run, and the hand. It knows presses, keys, choices and digits, and nothing
 * of plates.
 * @typedef {{ label: string, sub?: string, digits?: string, take(): void }} Choice
 * @typedef {object} Screen
 * @property {string} name for style and tests
 * @property {string} title
 * @property {Node[]} body
 * @property {Node[]} [after] what stands behind the choices
 * @property {string} act what holding does; empty: nothing
 * @property {(at: import("../../run/clock.js").Moment) => void} [acts]
 * @property {boolean} [double] a key must come twice
 * @property {boolean} [leave] whether the run may be left here
 * @property {string} [next]
 * @property {Choice[]} [choices] one of which is to be taken before anything else
 * @property {string} [question] of the choices
 */
import { h, say } from "../../dom.js";
import { momentOf, now } from "../../run/clock.js";
import { confirms, DOUBLE_MS, means, Press } from "../../run/press.js";

/** Of the screen's shorter side, that the digits are high at least where the width allows. */
const HIGH = 0.36;
/** After another screen came keys are not taken for so long, ms: a foot that presses twice out of habit has not meant what came up. */
const CALM_MS = 600;
/** And after a plate came out. */
const LONG_CALM_MS = 1_000;
/** A screen lower than this, px, has no height to give beyond that. */
const LOW = 480;
/** Height of a figure over the size of its type, Stepbite Text's lining figures; measured on the drawn type. */
const FIGURE = 0.66;

/** How high the letters of plates are, of the screen's shorter side, where the width allows. */
const LETTERS = 0.28;
/** And over the digits of a bite. */
const LETTERS_IN_DIP = 0.16;
const UNDER_LETTERS = 0.66;

const LOOK = "stepbite.bath-look";

/** @param {{ leave(): void }} how */
export function frame(how) {
  const letter = h("b", { class: "work-letter" });
  const title = h("span", { class: "work-name" });
  const where = h("span", { class: "where" });
  const aside = h("span", { class: "lift" });
  const look = h("button", { type: "button", class: "look", onclick: () => lookLike(root.dataset.look === "dark" ? "light" : "dark", true) });
  const leave = h("button", { type: "button", class: "leave", "aria-label": "Leave the run", onclick: how.leave }, "Leave");
  const example = h("p", { class: "example large" }, "EXAMPLE, NOT YOUR BATH");
  const heading = h("h2", { class: "hidden", tabindex: -1, id: "h-run" });
  const body = h("div", { class: "screen" });
  const said = h("p", { class: "said", role: "status", hidden: true });
  // What dries of other plates.
  const others = h("p", { class: "others", hidden: true });
  const next = h("p", { class: "next" });
  const words = h("span", null);
  const act = h("button", { type: "button", class: "act" }, h("i", { "aria-hidden": "true" }), words);
  const asked = h("div", { class: "choices", role: "group" });
  const behind = h("div", { class: "behind" });
  // For those who hear the screen: what is due is said at once.
  const aloud = h("p", { class: "hidden", role: "alert" });
  const root = h("section", { class: "bathrun", role: "dialog", "aria-modal": "true", "aria-labelledby": "h-run", hidden: true },
    h("header", null, h("div", { class: "heads" }, letter, title, where, aside, example), h("span", { class: "ways-out" }, look, leave)),
    heading, body, asked, behind, others, said, aloud, h("footer", null, next, act));
  /** @type {Screen | null} */
  let screen = null;
  let marked = 0;
  /** Keys are taken from this moment on. */
  let calm = 0;
  /** @type {any} */
  let moving = null;
  /** @type {any} */
  let halved = null;
  /** An answer was gone to by Tab, so that a key on it is meant for it. */
  let reached = false;
  /** The space bar's press is the run's, so its release presses no button. */
  let swallowed = false;

  /** @type {Press<number>} */
  const press = new Press({
    now,
    later: (work, ms) => setTimeout(work, ms),
    never: (timer) => clearTimeout(/** @type {any} */ (timer)),
    holding(down, on) {
      const answer = on === null ? null : answers()[on];
      if (answer) answer.dataset.held = String(down);
      else root.dataset.holding = String(down);
    },
    half() {
      clearTimeout(moving);
      clearTimeout(halved);
      if (choosing()) {
        moving = setTimeout(() => mark(marked + 1), DOUBLE_MS);
        return;
      }
      root.dataset.half = "true";
      say(words, "Once more, quickly");
      halved = setTimeout(whole, DOUBLE_MS);
    },
    act(at, on) {
      clearTimeout(moving);
      if (on !== null) screen?.choices?.[on]?.take();
      else if (choosing()) screen?.choices?.[marked]?.take();
      else screen?.acts?.(at);
    },
  });

  /** No key waits for its second. */
  function whole() {
    clearTimeout(halved);
    root.dataset.half = "false";
    say(words, screen?.act ?? "");
  }

  const choosing = () => Boolean(screen?.choices?.length) && !screen?.acts;
  const answers = () => [...asked.querySelectorAll("button")];

  /** @param {number} which @param {boolean} [focus] */
  function mark(which, focus = true) {
    const all = answers();
    if (!all.length) return;
    marked = which % all.length;
    all.forEach((button, i) => button.dataset.marked = String(i === marked));
    if (!focus) return;
    reached = false;
    all[marked].focus({ preventScroll: true });
  }

  /** Whether what was touched has a purpose of its own. @param {EventTarget | null} target */
  const own = (target) => target instanceof Element && target.closest("button:not(.act), input, textarea, label, a, summary") !== null;

  root.addEventListener("pointerdown", (event) => {
    reached = false;
    if (event.button !== 0 || !(event.target instanceof Element)) return;
    const answer = answers().findIndex((button) => button.contains(/** @type {Element} */ (event.target)));
    if (answer >= 0) press.down(event.pointerId, momentOf(event), answer);
    // While a plate is in the bath the whole screen lifts it, whatever else lies there.
    else if (screen?.acts && (screen.double || !own(event.target))) press.down(event.pointerId, momentOf(event));
  });
  addEventListener("pointerup", (event) => press.up(event.pointerId, momentOf(event)), true);
  addEventListener("pointercancel", (event) => press.cancel(event.pointerId), true);
  document.addEventListener("visibilitychange", () => document.visibilityState === "hidden" && press.drop());
  root.addEventListener("contextmenu", (event) => {
    if (!own(event.target)) event.preventDefault();
  });
  // What a finger touched does not keep the keys.
  root.addEventListener("click", (event) => {
    if (event.detail === 0 || !(event.target instanceof Element) || !event.target.closest("button")) return;
    if (choosing()) mark(marked);
    else heading.focus({ preventScroll: true });
  });
  // Voices and switches press a button without a pointer.
  act.addEventListener("click", (event) => {
    if (event.detail === 0 && screen?.acts && !(/** @type {any} */ (event)).pointerType) screen.acts(now());
  });

  /** Whether a key is typed into a field. Where the next thing is to start a clock, only what a figure needs is. @param {KeyboardEvent} event */
  function typed(event) {
    const field = event.target;
    if (!(field instanceof HTMLInputElement) || field.type !== "text") return false;
    if (field.dataset.keys !== "figure" || !means(event)) return true;
    if (event.key === "Enter") {
      event.preventDefault();
      // It is taken as it stands, and the next key is the run's again.
      heading.focus({ preventScroll: true });
    }
    return event.key === "Enter" || event.key.startsWith("Arrow");
  }

  /** @param {KeyboardEvent} event */
  function key(event) {
    if (root.hidden) return;
    // Nothing is undone, opened or left by a slip of the hand.
    if ((event.ctrlKey || event.metaKey) && "zyo".includes(event.key.toLowerCase())) {
      event.preventDefault();
      event.stopImmediatePropagation();
      return;
    }
    if (event.key === "Tab") {
      reached = true;
      return trap(event);
    }
    if (typed(event) || !means(event)) return;
    // One that is held down, or comes right after another screen, presses nothing, nor the button it happens to be on.
    swallowed = true;
    if (!confirms(event) || momentOf(event).steady < calm) return event.preventDefault();
    const target = event.target instanceof Element ? event.target.closest("button:not(.act), summary, input:not([data-keys=figure]), a") : null;
    const answer = target !== null && asked.contains(target);
    if (target && (event.key === "Enter" || event.key === " ")) {
      // What a key lands on by chance must not swallow the lifting of a plate, nor take an answer; only what was gone to on purpose is pressed.
      if (answer ? reached : !screen?.double) {
        swallowed = false;
        return;
      }
    }
    event.preventDefault();
    if (!choosing() && !screen?.acts) return;
    press.key(momentOf(event));
  }

  /** The keys stay within the run. @param {KeyboardEvent} event */
  function trap(event) {
    const all = [...root.querySelectorAll("button, input, summary, a[href]")].filter((item) => item.checkVisibility());
    const at = all.indexOf(/** @type {Element} */ (document.activeElement));
    const to = event.shiftKey ? at - 1 : at + 1;
    if (at >= 0 && to >= 0 && to < all.length) return;
    event.preventDefault();
    /** @type {HTMLElement | undefined} */ (all.at(event.shiftKey ? -1 : 0))?.focus();
  }

  addEventListener("keydown", key, true);
  addEventListener("keyup", (event) => {
    if (!root.hidden && event.key === " " && swallowed) event.preventDefault();
    swallowed = false;
  }, true);

  new ResizeObserver(() => fit()).observe(body);
  // Digits are measured by the type they are drawn in, which may come after them.
  document.fonts?.ready.then(() => fit());

  /** @param {"dark" | "light"} to @param {boolean} [keep] */
  function lookLike(to, keep = false) {
    root.dataset.look = to;
    say(look, to === "dark" ? "Light" : "Dark");
    look.setAttribute("aria-label", to === "dark" ? "Light screen" : "Dark screen");
    try {
      if (keep) localStorage.setItem(LOOK, to);
    } catch { /* it holds until the page goes */ }
  }
  let dark = true;
  try {
    dark = localStorage.getItem(LOOK) !== "light";
  } catch { /* none kept */ }
  lookLike(dark ? "dark" : "light");

  /** Digits as large as the place they have allows. */
  function fit() {
    for (const digits of /** @type {NodeListOf<HTMLElement>} */ (root.querySelectorAll(".digits"))) {
      const place = digits.parentElement;
      if (!place || !place.clientWidth) continue;
      digits.style.fontSize = "100px";
      const wide = place.clientWidth / Math.max(1, digits.scrollWidth);
      const shorter = Math.min(innerWidth, innerHeight);
      // Letters over the digits take of their height.
      const under = root.querySelector(".letters") ? UNDER_LETTERS : 1;
      const most = under * (screen?.name === "bite" ? Math.max(HIGH, innerHeight < LOW ? 0 : 0.42 * innerHeight / shorter) : screen?.name === "out" ? 0.16 : 0.3);
      digits.style.fontSize = `${Math.floor(Math.min(100 * wide, most * shorter / FIGURE))}px`;
    }
    for (const letters of /** @type {NodeListOf<HTMLElement>} */ (root.querySelectorAll(".letters"))) {
      const place = letters.parentElement;
      if (!place?.clientWidth) continue;
      letters.style.fontSize = "100px";
      const high = (screen?.name === "bite" ? LETTERS_IN_DIP : LETTERS) / (innerHeight < LOW ? 2 : 1);
      letters.style.fontSize = `${Math.floor(Math.min(100 * place.clientWidth / Math.max(1, letters.scrollWidth), high * Math.min(innerWidth, innerHeight) / FIGURE))}px`;
    }
    // Where nothing needs to be scrolled a finger that slips still holds.
    root.dataset.fits = String(root.scrollHeight <= root.clientHeight + 1);
  }

  return {
    root,
    body,
    fit,
    /** @param {Screen} to */
    show(to) {
      // The same bite, built anew as a plan or the disk's record arrives: the hand that is lifting the plate is not interrupted.
      const goesOn = screen?.name === to.name && screen.double && to.double && !screen.choices?.length && !to.choices?.length;
      if (!goesOn) press.clear();
      clearTimeout(moving);
      if (screen && screen.name !== to.name) calm = now().steady + (screen.name === "bite" ? LONG_CALM_MS : CALM_MS);
      screen = to;
      root.dataset.screen = to.name;
      if (goesOn) this.act(to.act ?? "");
      else whole();
      press.double = Boolean(to.double) || (Boolean(to.choices?.length) && !to.acts);
      say(heading, to.title);
      body.replaceChildren(...to.body);
      behind.replaceChildren(...(to.after ?? []));
      say(next, to.next ? `Next: ${to.next}` : "");
      leave.hidden = to.leave === false;
      act.hidden = !to.acts;
      this.ask(to.choices ?? [], to.question ?? "");
      fit();
      if (!choosing()) heading.focus({ preventScroll: true });
    },
    /** What is to be decided, in place of what was asked before. @param {Choice[]} choices @param {string} question */
    ask(choices, question) {
      if (screen) screen = { ...screen, choices };
      asked.hidden = choices.length === 0;
      root.dataset.asks = String(choices.length > 0);
      asked.setAttribute("aria-label", question || "Which?");
      asked.replaceChildren(...(choices.length ? [h("p", { class: "question" }, question)] : []), ...choices.map((choice, i) =>
        h("button", { type: "button", onclick: (/** @type {MouseEvent} */ event) => { if (event.detail === 0) choice.take(); }, onfocus: () => mark(i, false) }, choice.digits ? h("b", null, choice.digits) : null, h("strong", null, choice.label), choice.sub ? h("span", null, choice.sub) : null)),
        ...(choices.length && choosing() ? [h("p", { class: "how" }, "Hold one for 0.8 s. By key or pedal: once for the next, twice quickly for the marked one.")] : []));
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
    /** What stands of other plates, in words and figures in turn. @param {string[]} parts */
    others(parts) {
      const text = parts.join("");
      if (others.textContent === text) return;
      others.hidden = text === "";
      others.replaceChildren(...parts.map((part, i) => i % 2 ? h("b", null, part) : part));
    },
    /** Says at once to who hears the screen. @param {string} sentence */
    call(sentence) { say(aloud, sentence); },
    /** @param {string} text */
    act(text) {
      if (screen) screen = { ...screen, act: text };
      if (root.dataset.half !== "true") say(words, text);
    },
    open(/** @type {boolean} */ to) {
      // On the page from when it is first needed: a run and a laying clock have a screen each.
      if (to && !root.isConnected) document.body.append(root);
      root.hidden = !to;
      const page = document.getElementById("page");
      if (page) page.inert = to;
      document.documentElement.classList.toggle("bathing", to);
    },
  };
}
