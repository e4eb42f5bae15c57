/** What is said of one pull, to be written down or put right. */
import { assign, h, say } from "../../dom.js";
import { radios } from "../../fields.js";
import { reduced } from "./photo.js";
import { MOST } from "./record.js";

/** @typedef {import("../../../web/types.d.ts").PullSaid} PullSaid */
/** @typedef {{ id: string, jpeg: string }} Photo */

let forms = 0;

/** Words in a field of their own. @param {string} label @param {{ most: number, id: string, lines?: number, hint?: string }} how */
function words(label, { most, id, lines = 1, hint }) {
  const input = lines > 1 ? h("textarea", { id, rows: lines, maxlength: most }) : h("input", { type: "text", id, maxlength: most, autocomplete: "off" });
  return { root: h("div", { class: lines > 1 ? "said-field long" : "said-field" }, h("label", { for: id }, label), hint ? h("span", { class: "aside", id: `${id}-hint` }, hint) : null, input), input };
}

/**
 * @param {import("../../state.js").Desk} desk
 * @param {{ action: string, why: boolean, write(said: PullSaid, photo: Photo | null, note: string): string | null, photoOf(id: string): string | null }} how `why`: a correction, with a note; `write` gives a sentence where it refuses; `photoOf` gives base64
 */
export function form(desk, how) {
  const own = `pull-form-${++forms}`;
  /** @type {PullSaid["kind"]} */
  let kind = "proof";
  /** @type {PullSaid["photo"]} */
  let photo = null;
  /** @type {Photo | null} */
  let fresh = null;
  let struck = false;
  let reading = 0;
  let touched = false;
  const day = h("input", { type: "date", id: `${own}-day`, min: "1900-01-01", max: "2999-12-31" });
  const kinds = radios("Kind", [["proof", "proof"], ["edition", "of the edition"], ["unique", "unique"]], (value) => {
    kind = /** @type {PullSaid["kind"]} */ (value);
    shape();
  });
  const copy = h("input", { type: "text", inputmode: "numeric", id: `${own}-copy`, maxlength: 6, autocomplete: "off" });
  const copyRoot = h("div", { class: "said-field short" }, h("label", { for: copy.id }, "Number in the edition"), copy);
  const plates = h("ol", { class: "pulled-plates" });
  const add = h("button", { type: "button", class: "plain", onclick: () => plate({ letter: "", turned: false, ink: "" })?.focus() }, "One plate more");
  const fields = {
    papers: words("Papers under the ink, a line each, the first laid first", { most: 4000, id: `${own}-papers`, lines: 2 }),
    sheet: words("Sheet", { most: MOST.short, id: `${own}-sheet` }), damping: words("Damping", { most: MOST.short, id: `${own}-damping` }),
    wiping: words("Wiping", { most: MOST.short, id: `${own}-wiping` }), pressure: words("Pressure, blankets", { most: MOST.short, id: `${own}-pressure` }),
    words: words("Your words", { most: MOST.words, id: `${own}-words`, lines: 3 }),
  };
  const note = words("Why it is put right", { most: MOST.note, id: `${own}-note` });
  const pick = (/** @type {string | null} */ capture, /** @type {string} */ label) => {
    const input = h("input", { type: "file", accept: "image/*", capture, hidden: true, "aria-label": label, onchange: () => {
      const file = input.files?.[0];
      input.value = "";
      if (file) void take(file);
    } });
    return input;
  };
  const file = pick(null, "Photo of the pull");
  const camera = pick("environment", "Photograph the pull");
  const shown = h("img", { class: "pull-photo", alt: "", hidden: true });
  const alt = words("What is to be seen in it", { most: MOST.note, id: `${own}-alt` });
  const off = h("button", { type: "button", class: "plain", onclick: () => { photo = fresh = null; reading++; picture(); } }, "Leave the photo out");
  const answer = h("p", { class: "aside", role: "status" });
  const done = h("button", { type: "button", class: "first", onclick: () => write() }, how.action);
  const root = h("div", { class: "pull-form" },
    h("div", { class: "pull-when" }, h("div", { class: "said-field short" }, h("label", { for: day.id }, "Day"), day), kinds.root, copyRoot),
    h("fieldset", { class: "pulled-order" }, h("legend", null, "Plates, in the order they printed"), plates, add),
    h("div", { class: "said-fields" }, fields.sheet.root, fields.damping.root, fields.wiping.root, fields.pressure.root),
    fields.papers.root, fields.words.root,
    h("div", { class: "pull-picture" }, shown, h("div", { class: "row" },
      h("button", { type: "button", onclick: () => file.click() }, "Choose a photo"), h("button", { type: "button", onclick: () => camera.click() }, "Take a photo"), off, file, camera), alt.root),
    how.why ? note.root : null, h("div", { class: "row pull-done" }, done), answer);

  for (const event of ["input", "change", "click"]) root.addEventListener(event, ({ target }) => { touched ||= target !== done; });

  function shape() {
    copyRoot.hidden = kind !== "edition";
  }

  function picture() {
    const jpeg = photo ? (fresh?.id === photo.id ? fresh.jpeg : how.photoOf(photo.id)) : null;
    shown.hidden = jpeg === null;
    if (jpeg !== null) assign(shown, { src: `data:image/jpeg;base64,${jpeg}`, alt: alt.input.value || "The photo that goes with this pull" });
    alt.root.hidden = off.hidden = photo === null;
  }

  /** @param {PullSaid["plates"][number]} printed @returns {HTMLElement | null} */
  function plate(printed) {
    if (plates.childElementCount >= MOST.plates) {
      desk.notice(`A pull has up to ${MOST.plates} plates.`, "refused");
      return null;
    }
    const letter = h("input", { type: "text", class: "pulled-letter", maxlength: 8, autocomplete: "off", "aria-label": "Letter of the plate" });
    const ink = h("input", { type: "text", class: "pulled-ink", maxlength: MOST.short, autocomplete: "off", "aria-label": "Its ink" });
    const turned = h("input", { type: "checkbox" });
    letter.value = printed.letter;
    ink.value = printed.ink;
    turned.checked = printed.turned;
    const earlier = h("button", { type: "button", class: "plain earlier", onclick: () => {
      const before = row.previousElementSibling;
      if (before) before.before(row);
      (row.previousElementSibling ? earlier : letter).focus();
    } }, "Earlier");
    const away = h("button", { type: "button", class: "plain", onclick: () => {
      const next = row.nextElementSibling ?? row.previousElementSibling;
      row.remove();
      (next?.querySelector("input") ?? add).focus();
    } }, "Leave out");
    const row = h("li", null, letter, h("span", { "aria-hidden": "true" }, "in"), ink, h("label", { class: "check" }, turned, h("span", null, "turned round")), earlier, away);
    plates.append(row);
    return letter;
  }

  /** @param {File} chosen */
  async function take(chosen) {
    const mine = ++reading;
    say(answer, "The photo is being made small.");
    try {
      const made = await desk.busy("making the photo small", reduced(chosen));
      if (mine !== reading) return;
      fresh = made;
      photo = { id: made.id, alt: alt.input.value };
      picture();
      say(answer, `The photo is kept small, ${Math.round(made.jpeg.length * 3 / 4 / 1000)} kB, without the file’s own words on place and camera.`);
      alt.input.focus();
    } catch (error) {
      if (mine !== reading) return;
      say(answer, /** @type {Error} */ (error).message);
      desk.notice(/** @type {Error} */ (error).message, "refused");
    }
  }

  /** @returns {PullSaid} */
  function said() {
    const typed = copy.value.trim();
    const list = [...plates.children].map((row) => {
      const [letter, ink, turned] = row.querySelectorAll("input");
      return { letter: letter.value.trim(), ink: ink.value.trim(), turned: turned.checked };
    });
    const text = (/** @type {keyof typeof fields} */ name) => fields[name].input.value.trim();
    return {
      day: day.value, kind, copy: kind !== "edition" || typed === "" ? null : /^\d+$/.test(typed) ? Number(typed) : NaN,
      plates: list.filter(({ letter, ink }) => letter || ink), papers: text("papers").split("\n").map((line) => line.trim()).filter(Boolean),
      sheet: text("sheet"), damping: text("damping"), wiping: text("wiping"), pressure: text("pressure"), words: text("words"),
      photo: photo && { id: photo.id, alt: alt.input.value.trim() }, struck,
    };
  }

  function write() {
    const refused = how.write(said(), fresh, note.input.value.trim());
    say(answer, refused ?? "");
    if (refused) desk.notice(refused, "refused");
  }

  return {
    root,
    /** Whether the printer has the keyboard in it, or has changed something: then what the page knows does not overwrite it. */
    get held() { return root.contains(document.activeElement) || touched; },
    /** @param {PullSaid} next */
    set(next) {
      touched = false;
      fresh = null;
      reading++;
      ({ kind, struck, photo } = next);
      day.value = next.day;
      kinds.set(kind);
      copy.value = next.copy === null ? "" : String(next.copy);
      plates.replaceChildren();
      next.plates.forEach(plate);
      for (const name of /** @type {const} */ (["sheet", "damping", "wiping", "pressure", "words"])) fields[name].input.value = next[name];
      fields.papers.input.value = next.papers.join("\n");
      alt.input.value = photo?.alt ?? "";
      note.input.value = "";
      say(answer, "");
      shape();
      picture();
    },
  };
}
