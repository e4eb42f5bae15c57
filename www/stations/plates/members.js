/** The plates of the family, a card each: what it is, which tones it has and what that saves, where it stands, and what can be done with it. */
import { assign, h, say } from "../../dom.js";
import { byLetter, inOrder, letters, paced, stale, stopped, twice, withKin } from "../../family.js";
import { count, listed, minutes, number, sentence, size, words } from "../../format.js";
import { Picture, sign } from "../../picture.js";
import { cssGrey } from "../../srgb.js";
import { addFile, copy, openExample, room } from "./add.js";
import { drawMap } from "./map.js";
import { joinsWords, sharesWords, standsWords, tonesWords } from "./words.js";

/** @typedef {import("../../state.js").State} State */
/** @typedef {import("../../state.js").Desk} Desk */
/** @typedef {import("../../family.js").Kin} Kin */
/** @typedef {import("../../../web/types.d.ts").Corner} Corner */

const TYPES = "image/png,image/jpeg,image/tiff,image/webp,image/bmp,application/zip,.zip,.png,.jpg,.jpeg,.tif,.tiff,.webp,.bmp";
/** @type {[Corner, string][]} */
const CORNERS = [["top_left", "upper left"], ["top_right", "upper right"], ["foot_left", "lower left"], ["foot_right", "lower right"]];

/** @param {Desk} desk */
export function members(desk) {
  const file = h("input", { type: "file", accept: TYPES, multiple: true, hidden: true, class: "member-file", "aria-label": "Drawing or saved work of another plate", onchange: async () => {
    const chosen = [...file.files ?? []];
    file.value = "";
    await each(chosen.map((one) => () => addFile(desk, one)));
  } });
  const add = h("button", { type: "button", class: "first", onclick: () => file.click() }, "Add a plate");
  const example = h("button", { type: "button", onclick: () => {
    if (desk.state.running) desk.notice("A run is under way: leave it before you open something else.");
    else each([() => openExample(desk)]);
  } }, "Open the example of four plates");
  const list = h("ul", { class: "members" });
  const halted = h("p", { class: "aside halted", hidden: true }, h("span", null), " ", h("button", { type: "button", onclick: () => {
    desk.planAgain();
    add.focus();
  } }, "Plan it again"));
  const [haltedSaid, haltedAct] = /** @type {HTMLElement[]} */ ([...halted.children]);
  const said = h("p", { class: "aside" });
  const doubled = h("p", { class: "warn", role: "status" });
  const ours = hand(desk);
  /** @type {Map<string, ReturnType<typeof beside>>} */
  const cards = new Map();
  const root = h("div", { class: "family" }, h("div", { class: "row family-acts" }, add, file, example), said, doubled, halted, list);
  /** The cards as they stand. @type {HTMLElement[]} */
  let order = [];

  /** One after another; what is refused is said. @param {(() => Promise<void>)[]} work */
  async function each(work) {
    add.disabled = example.disabled = true;
    try {
      for (const one of work) await one();
    } catch (error) {
      desk.refused(/** @type {Error} */ (error));
    } finally {
      add.disabled = example.disabled = false;
    }
  }

  return {
    root,
    /** @param {State} state */
    update(state) {
      const { family, plan } = state;
      const same = twice(letters(state));
      say(doubled, same.length ? `Two plates have the letter ${listed(same)}. It tells them apart on every sheet: give one of them another.` : "");
      const strip = plan && plan.strip.kind !== "missing" ? `strip ${plan.strip.id}` : "no strip yet";
      say(said, family.length === 0
        ? "One plate so far. Add the others that are bitten with it, laid beside it or printed over it: each keeps its own drawing, size and painting."
        : `One ladder of times for all ${words(family.length + 1)}: ${plan ? `${strip}, ${words(plan.tones.length)} tones` : "being planned"}. Tones, strip and bath are changed on the plate at hand, and the others follow.`);
      for (const kin of family) if (!cards.has(kin.id)) cards.set(kin.id, beside(desk, kin.id));
      for (const id of [...cards.keys()]) if (!family.some((kin) => kin.id === id)) cards.delete(id);
      const waits = inOrder(family.filter((kin) => stopped(kin, state.settings)).map(({ work }) => work.job.letter));
      halted.hidden = waits.length === 0;
      say(haltedSaid, waits.length === 0 ? "" : `The planning of plate${waits.length > 1 ? "s" : ""} ${listed(waits)} was stopped: ${waits.length > 1 ? "they stay" : "it stays"} as before until ${waits.length > 1 ? "they are" : "it is"} planned again.`);
      say(haltedAct, waits.length > 1 ? "Plan them again" : "Plan it again");
      const roots = [{ id: state.plateId, letter: state.letter, root: ours.root }, ...family.map((kin) => ({ id: kin.id, letter: kin.work.job.letter, root: /** @type {ReturnType<typeof beside>} */ (cards.get(kin.id)).root }))]
        .sort(byLetter);
      const now = roots.map((each) => each.root);
      if (now.length !== order.length || now.some((each, k) => each !== order[k])) {
        // A card that stands elsewhere now keeps the focus that was in it; of one that is gone, another in its place has it.
        const held = document.activeElement;
        const within = held instanceof HTMLElement && list.contains(held);
        const place = within ? order.findIndex((card) => card.contains(held)) : -1;
        list.replaceChildren(...order = now);
        if (within) (list.contains(held) ? held : now[Math.min(place, now.length - 1)]).focus({ preventScroll: true });
      }
      ours.update(state);
      for (const kin of family) cards.get(kin.id)?.update(state, kin);
    },
  };
}

/**
 * What every card has. `taken` puts a letter or a title down.
 * @param {{ letter(value: string): void, title(value: string): void, notch(value: Corner): void }} taken
 */
function frame(taken) {
  // What could not be taken goes back, also where the focus still is.
  let shown = { letter: "", title: "" };
  const letter = h("input", { class: "member-letter", maxlength: 2, autocomplete: "off", spellcheck: "false", onchange: () => {
    taken.letter(letter.value.trim() || "A");
    letter.value = shown.letter;
  } });
  const title = h("input", { class: "member-title", maxlength: 60, autocomplete: "off", spellcheck: "false", onchange: () => {
    taken.title(title.value.trim() || "Untitled");
    title.value = shown.title;
  } });
  const facts = h("p", { class: "member-size" });
  const bar = h("div", { class: "member-tones", role: "img" });
  const lines = h("ul", { class: "member-lines" });
  const notes = h("ul", { class: "member-notes" });
  const noted = h("details", { class: "member-noted", hidden: true }, h("summary", null), notes);
  const refusal = h("p", { class: "warn" });
  const notch = h("select", { onchange: () => taken.notch(/** @type {Corner} */ (notch.value)) }, ...CORNERS.map(([value, word]) => h("option", { value }, word)));
  const notched = h("label", { class: "member-notch" }, h("span", null, "Notch, plate face up"), notch);
  const acts = h("div", { class: "row acts-row" });
  const picture = h("div", { class: "member-picture" });
  const mark = h("span", { class: "at-hand", hidden: true }, "at hand");
  // Takes the focus of a card that was in its place.
  const root = h("li", { class: "member", tabindex: -1 }, h("div", { class: "member-head" }, letter, h("div", { class: "member-name" }, title, facts), mark), picture,
    h("div", { class: "member-body" }, refusal, bar, lines, noted, notched, acts));
  return {
    root, picture, acts, mark,
    /**
     * @param {{ letter: string, title: string, size: string, notch: Corner, refused: string | null, twice: boolean,
     *   tones: { index: number, share: number, colour: string }[], lines: string[], notes: readonly string[] }} card
     */
    show(card) {
      shown = card;
      if (document.activeElement !== letter) letter.value = card.letter;
      if (document.activeElement !== title) title.value = card.title;
      assign(letter, { "aria-label": `Letter of plate ${card.letter}`, "aria-invalid": card.twice ? "true" : null });
      assign(title, { "aria-label": `Title of plate ${card.letter}` });
      say(facts, card.size);
      say(refusal, card.refused ?? "");
      notch.value = card.notch;
      assign(notch, { "aria-label": `Notch of plate ${card.letter}, the plate face up with its top away from you` });
      const key = JSON.stringify(card.tones);
      if (bar.dataset.key !== key) {
        bar.dataset.key = key;
        bar.replaceChildren(...card.tones.map(({ index, share, colour }) => h("span", { class: share === 0 ? "lacks" : "has", style: { background: share === 0 ? "" : colour } }, h("i", null, String(index)))));
        bar.setAttribute("aria-label", `Tones: ${sharesWords(card.tones)}`);
        bar.hidden = card.tones.length === 0;
      }
      const text = card.lines.join("\n");
      if (lines.dataset.text !== text) {
        lines.dataset.text = text;
        lines.replaceChildren(...card.lines.map((line) => h("li", null, line)));
      }
      const remarks = card.notes.join("\n");
      if (notes.dataset.text !== remarks) {
        notes.dataset.text = remarks;
        notes.replaceChildren(...card.notes.map((note) => h("li", null, note)));
        say(/** @type {HTMLElement} */ (noted.firstElementChild), `${sentence(count(card.notes.length, "note"))} on its plan`);
        noted.hidden = card.notes.length === 0;
      }
    },
  };
}

/** The plate at hand. @param {Desk} desk */
function hand(desk) {
  const card = frame({
    letter: (letter) => desk.set({ letter }),
    title: (title) => desk.set({ title }),
    notch: (notch) => desk.set({ sheets: { ...desk.state.sheets, notch } }),
  });
  const picture = new Picture(desk, { small: true, level: "h4", wish: (state) => state.station === "plates" && state.plan ? { kind: "tones", view: "print" } : null,
    title: () => "", label: (state) => `Tones of plate ${state.letter}` });
  card.picture.append(picture.root);
  card.mark.hidden = false;
  card.root.classList.add("in-hand");
  const again = h("button", { type: "button", class: "plain", onclick: () => copy(desk, null) }, "Copy");
  card.acts.append(again);
  return {
    root: card.root,
    /** @param {State} state */
    update(state) {
      const { plan, letter, title, settings, units } = state;
      picture.update(state);
      assign(again, { "aria-label": `Copy plate ${letter}` });
      card.show({
        letter, title, refused: null, notch: state.sheets.notch ?? "top_right", twice: twice(letters(state)).includes(letter.toUpperCase()),
        size: plan ? sizeWords(plan.plate_mm, settings.plate.bevel_mm, units) : "",
        tones: plan ? plan.tones.map(({ index, share, colour }) => ({ index, share, colour })) : [],
        // Those of the plate at hand stand where they belong, station by station.
        lines: plan ? linesOf(plan) : [], notes: [],
      });
    },
  };
}

/** @param {{ width: number, height: number }} plate @param {number} bevel_mm @param {import("../../format.js").Units} units */
function sizeWords(plate, bevel_mm, units) {
  return `${size(plate.width, plate.height, units)}, bevel ${units === "in" ? number(bevel_mm / 25.4, 3) : number(bevel_mm, 2)}`;
}

/** @param {Pick<import("../../../web/types.d.ts").KinFacts, "joins" | "standing" | "stopouts"> & { tones: { index: number, share: number }[] }} plate */
function linesOf(plate) {
  const { painted } = plate.joins;
  const paint = plate.stopouts.filter(({ number }) => painted.includes(number)).reduce((sum, { paint_min }) => sum + paint_min, 0);
  return [tonesWords(plate.tones), ...joinsWords(plate), `${sentence(words(painted.length))} stop-out${painted.length === 1 ? "" : "s"} to paint, ${minutes(paint)}.`, standsWords(plate.standing)];
}

/** Another plate. @param {Desk} desk @param {string} id */
function beside(desk, id) {
  const mine = () => desk.state.family.find((kin) => kin.id === id);
  /** @param {(job: import("../../../web/types.d.ts").Job) => Partial<import("../../../web/types.d.ts").Job>} patch */
  const job = (patch) => {
    const kin = mine();
    if (kin) desk.set({ family: withKin(desk.state.family, id, { job: { ...kin.work.job, ...patch(kin.work.job) } }) });
  };
  const card = frame({
    letter: (letter) => job(() => ({ letter })),
    title: (title) => job(() => ({ title })),
    notch: (notch) => job(({ sheets }) => ({ sheets: { ...sheets, notch } })),
  });
  const canvas = h("canvas", { role: "img", width: 8, height: 8 });
  card.picture.append(h("figure", null, canvas, sign("print")));
  let coming = false;
  /** It comes to hand: its card is the one at hand then, and has the focus. @param {HTMLElement} from */
  async function takeToHand(from) {
    if (coming) return false;
    const card = from.closest(".members");
    coming = true;
    await desk.takeToHand(id);
    coming = false;
    const came = desk.state.plateId === id;
    if (came) /** @type {HTMLElement | null | undefined} */ (card?.querySelector(".in-hand"))?.focus({ preventScroll: true });
    return came;
  }
  const take = h("button", { type: "button", onclick: () => takeToHand(take) }, "Take to hand");
  const sheets = h("button", { type: "button", class: "plain", onclick: async () => { if (await takeToHand(sheets)) location.hash = "sheets"; } }, "Its sheets");
  const again = h("button", { type: "button", class: "plain", onclick: () => copy(desk, id) }, "Copy");
  const out = h("button", { type: "button", class: "plain", onclick: takeOut }, "Take out");
  card.acts.append(take, sheets, again, out);
  /** @type {unknown} */
  let drawn = null;

  function takeOut() {
    const { family } = desk.state;
    const place = family.findIndex((kin) => kin.id === id);
    const kin = family[place];
    const left = family.filter((each) => each !== kin);
    if (!kin) return;
    // What is done to its metal can't be done again.
    if (kin.work.done.log.length) desk.keeper.point(`before plate ${kin.work.job.letter} was taken out`);
    desk.set({ family: left });
    if (desk.state.family !== left) return;
    desk.notice(`Plate ${kin.work.job.letter}, “${kin.work.job.title}”, is taken out of the family.`, "said", { label: "Put it back", press: () => {
      const now = desk.state.family;
      if (now.some((each) => each.id === id) || desk.state.plateId === id || !room(desk)) return;
      const back = [...now.slice(0, place), kin, ...now.slice(place)];
      desk.set({ family: back });
      if (desk.state.family === back) desk.notice(`Plate ${kin.work.job.letter} is back.`);
    } });
  }

  return {
    root: card.root,
    /** @param {State} state @param {Kin} kin */
    update(state, kin) {
      const { facts, work } = kin;
      const { letter, title } = work.job;
      const old = stale(kin, state.settings);
      const halts = stopped(kin, state.settings);
      card.root.classList.toggle("stale", old);
      card.root.classList.toggle("unplanned", !old && kin.refused !== null);
      const refused = old ? null : kin.refused;
      card.show({
        letter, title, refused, notch: work.job.sheets.notch ?? "top_right", twice: twice(letters(state)).includes(letter.toUpperCase()),
        size: `${sizeWords({ width: work.settings.plate.width_mm, height: work.settings.plate.height_mm }, work.settings.plate.bevel_mm, state.units)}`,
        tones: facts ? facts.tones.map(({ index, share, lightness }) => ({ index, share, colour: cssGrey(lightness) })) : [],
        lines: [...(halts ? ["Not planned anew: that was stopped."] : old ? ["Being planned…"] : []), ...(facts ? linesOf({ ...facts, stopouts: paced(facts.stopouts, work, state.plan) }) : [])],
        notes: facts && !old && !refused ? facts.notes.filter((note) => !state.plan?.notes.includes(note)) : [],
      });
      for (const [button, word] of /** @type {const} */ ([[take, "Take to hand: plate"], [sheets, "Its sheets: plate"], [again, "Copy plate"], [out, "Take out plate"]])) assign(button, { "aria-label": `${word} ${letter}` });
      assign(canvas, { "aria-label": `Tones of plate ${letter}, print view` });
      card.picture.hidden = facts === null;
      if (facts && drawn !== facts.tones) {
        drawn = facts.tones;
        drawMap(canvas, facts).catch(() => { card.picture.hidden = true; });
      }
    },
  };
}
