/** The pulls that are written down, the newest first; each can be put right or struck out by a correction. */
import { h, say } from "../../dom.js";
import { form } from "./form.js";
import { corrected, counts, MOST, recordOf, today } from "./record.js";

/** @typedef {import("../../../web/types.d.ts").Pull} Pull */
/** @typedef {import("../../../web/types.d.ts").PullRecord} PullRecord */
/** @typedef {import("../../../web/types.d.ts").RecordFacts} RecordFacts */

/** So many are shown at first, and with each press more. */
const SHOWN = 20;

/** @param {import("../../state.js").Desk} desk */
export function list(desk) {
  const head = h("h3", { id: "h-pull-list" }, "Written down");
  const said = h("p", { class: "aside" });
  const edition = h("ul", { class: "notes" });
  const all = h("ol", { class: "pull-list", reversed: true });
  const more = h("button", { type: "button", onclick: () => {
    most += SHOWN;
    draw();
  } });
  const none = h("p", { class: "aside" }, "Nothing yet. A pull is written down above, as soon as it hangs.");
  const root = h("section", { class: "pull-written", "aria-labelledby": "h-pull-list" }, head, said, edition, none, all, more);
  let most = SHOWN;
  /** @type {PullRecord | null} */
  let record = null;
  /** @type {RecordFacts | null} */
  let facts = null;
  /** What is shown of each, by its number: drawn again only where it changed. @type {Map<number, { of: Pull, key: string, root: HTMLElement, acts: HTMLElement[] }>} */
  const made = new Map();

  const photoOf = (/** @type {string} */ id) => record?.photos.find((photo) => photo.id === id)?.jpeg || null;

  /** @param {string} name @param {PullRecord | string} next @param {string} sentence said when it is done @returns {string | null} */
  function put(name, next, sentence) {
    if (typeof next === "string") return next;
    if (!desk.changeJob(name, { record: next })) return "This tab may only look.";
    desk.notice(sentence);
    return null;
  }

  /** @param {Pull} pull @param {RecordFacts["pulls"][number] | undefined} told @param {HTMLElement[]} [before] what was being put right of the same pull: what is typed there stays */
  function item(pull, told, before) {
    const { now, number } = pull;
    const jpeg = now.photo && photoOf(now.photo.id);
    const picture = now.photo && (jpeg ? h("img", { class: "pull-photo", src: `data:image/jpeg;base64,${jpeg}`, alt: now.photo.alt || `Photo of pull ${number}`, loading: "lazy" })
      : h("p", { class: "aside" }, `Its photo is no longer there${now.photo.alt ? `: ${now.photo.alt}` : ""}.`));
    const right = h("details", null, h("summary", null, "Put right"));
    // Its form is made when it is first opened.
    right.addEventListener("toggle", () => {
      if (!right.open || right.childElementCount > 1) return;
      const fields = form(desk, { action: "Write the correction", why: true, photoOf, write: (next, photo, note) => put(`pull ${number} put right`, corrected(recordOf(desk.state), number, next, { day: today(), note }, photo), `Pull ${number} is put right; what stood there stays with it.`) });
      fields.set(now);
      right.append(fields.root);
    });
    const id = `strike-${number}`;
    const why = h("input", { type: "text", id, maxlength: MOST.note, autocomplete: "off" });
    const word = now.struck ? "Count it again" : "Strike it out";
    const strike = h("details", null, h("summary", null, word),
      h("p", { class: "aside" }, now.struck ? "It was struck out by mistake: it counts again." : "For a pull that never was, or that stands here twice. It keeps its place and its number, and counts no more."),
      h("div", { class: "said-field" }, h("label", { for: id }, "Why"), why),
      h("button", { type: "button", onclick: () => {
        const refused = put(`pull ${number} ${now.struck ? "counted again" : "struck out"}`, corrected(recordOf(desk.state), number, { ...now, struck: !now.struck }, { day: today(), note: why.value.trim() }, null), now.struck ? `Pull ${number} counts again.` : `Pull ${number} is struck out, and keeps its place.`);
        if (refused) desk.notice(refused, "refused");
      } }, word));
    const acts = before ?? [right, strike];
    const root = h("li", { class: now.struck ? "pull-one struck" : "pull-one", "data-pull": number },
      h("div", { class: "pull-head" }, h("h4", null, `Pull ${number}`), h("span", null, told?.label ?? now.kind), h("time", { datetime: now.day }, now.day)),
      h("div", { class: "pull-said" }, h("dl", null, ...(told?.lines ?? []).map(([name, words]) => h("div", null, h("dt", null, name), h("dd", null, words)))), picture),
      told?.corrections.length ? h("ul", { class: "pull-corrections" }, ...told.corrections.map((text) => h("li", null, text))) : null,
      ...acts);
    return { root, acts };
  }

  function draw() {
    const now = record;
    if (!now) return;
    const shown = [...now.pulls].reverse().slice(0, most);
    // Moved with what it stands in, a field loses the keyboard.
    const active = document.activeElement;
    const focused = active instanceof HTMLElement && all.contains(active) ? active : null;
    const roots = shown.map((pull) => {
      const told = facts?.pulls.find(({ number }) => number === pull.number);
      const key = JSON.stringify([told, pull.now.photo && now.photos.some(({ id, jpeg }) => id === pull.now.photo?.id && jpeg !== "")]);
      const before = made.get(pull.number);
      if (before && before.of === pull && before.key === key) return before.root;
      const next = item(pull, told, before?.of === pull ? before.acts : undefined);
      made.set(pull.number, { of: pull, key, ...next });
      return next.root;
    });
    const same = all.childElementCount === roots.length && roots.every((each, k) => all.children[k] === each);
    if (!same) {
      all.replaceChildren(...roots);
      const held = focused !== null;
      if (held) focused?.focus({ preventScroll: true });
      if (held && !all.contains(document.activeElement)) all.querySelector("summary")?.focus({ preventScroll: true });
    }
    const rest = now.pulls.length - shown.length;
    more.hidden = rest <= 0;
    say(more, `Show ${Math.min(rest, SHOWN)} more of ${rest} earlier ones`);
    none.hidden = now.pulls.length > 0;
    say(said, counts(now));
    said.hidden = now.pulls.length === 0;
    const words = facts?.said ?? [];
    if (edition.textContent !== words.join("")) edition.replaceChildren(...words.map((text) => h("li", null, text)));
  }

  return {
    root,
    /** @param {import("../../state.js").State} state @param {RecordFacts | null} told null: not there yet */
    update(state, told) {
      const next = recordOf(state);
      if (next === record && told === facts) return;
      [record, facts] = [next, told ?? facts];
      draw();
    },
  };
}
