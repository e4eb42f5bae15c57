/** What the page says in a sentence: remarks, refusals, what was rung for, and the line that shows work under way with its Cancel. */
import { h, say } from "./dom.js";
import { percent } from "./format.js";

/** @param {() => void} cancel */
export function notices(cancel) {
  let shown = 0;
  const text = h("p", null);
  const close = h("button", { type: "button", onclick: () => show("") }, "Close");
  /** What can be done about it at once. @type {(() => void) | null} */
  let press = null;
  const act = h("button", { type: "button", class: "act", onclick: () => press?.() });
  const said = h("div", { class: "notice", role: "status", "aria-live": "polite", "data-empty": "true" }, text, close);
  const stage = h("p", { role: "status" });
  const bar = h("progress", { max: 1, "aria-label": "Work under way" });
  const line = h("div", { class: "progress", hidden: true }, bar, stage, h("button", { type: "button", onclick: cancel }, "Cancel"));

  /** @param {string} sentence @param {"said" | "refused"} [kind] @param {{ label: string, press: () => void } | null} [offer] what can be done about it at once */
  function show(sentence, kind = "said", offer = null) {
    shown++;
    press = offer?.press ?? null;
    // Whoever pressed it by keys is not sent back to the head of the page.
    const pressed = document.activeElement === act;
    say(act, offer?.label ?? "");
    if (offer) text.after(act);
    else act.remove();
    said.dataset.kind = kind;
    said.dataset.empty = String(sentence === "");
    close.hidden = sentence === "";
    say(text, sentence);
    if (pressed && !offer) close.focus({ preventScroll: true });
  }
  show("");
  // A time that was up stands by itself until it is seen: another remark would put it out.
  const times = h("ul", null);
  const rung = h("div", { class: "rung", role: "alert", hidden: true }, times, h("button", { type: "button", onclick: () => { times.replaceChildren(); rung.hidden = true; } }, "Seen"));
  /** Takes away what was rung for by that name. @param {string} about */
  function hush(about) {
    for (const each of [...times.children]) if (/** @type {HTMLElement} */ (each).dataset.about === about) each.remove();
    rung.hidden = times.childElementCount === 0;
  }
  return {
    roots: [h("div", { class: "heard" }, rung, said), line],
    show,
    /** @param {string} sentence @param {string} about */
    ring(sentence, about) {
      rung.hidden = false;
      times.append(h("li", { "data-about": about }, sentence));
    },
    hush,
    /** Counts what was said. */
    get number() { return shown; },
    /** Takes back a refusal, if it is still the one of that number. @param {number} number */
    settle(number) {
      if (number === shown && said.dataset.kind === "refused") show("");
    },
    /** @param {string | null} name null: nothing under way @param {number | null} share 0–1 where known */
    stage(name, share) {
      line.hidden = name === null;
      if (name === null) return;
      say(stage, share === null ? `${name}…` : `${name}, ${percent(share)}`);
      if (share === null) bar.removeAttribute("value");
      else bar.value = share;
    },
  };
}
