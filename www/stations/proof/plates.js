/** Plates over one another: brought in from their own saved work, in their order, each with its ink, its place and its misfit. */
import { assign, h, say } from "../../dom.js";
import { byLetter, known as knownNow } from "../../family.js";
import { sentence, size, words } from "../../format.js";
import { changed, MOST_PLATES, moved, withPlate, withPlateAgain, without } from "./choices.js";
import { inkChoices, inkOf, inkValue, listField, rangedField, rangedLength, rows } from "./fields.js";
import { fold } from "./fold.js";
import { pairs } from "./pairs.js";
import { platesWords } from "./words.js";

/** @typedef {import("../../../web/types.d.ts").PrintingChoice} PrintingChoice */
/** @typedef {import("../../../web/types.d.ts").BroughtPlate} BroughtPlate */

/** @param {import("../../state.js").Desk} desk @param {ReturnType<typeof import("./ink-facts.js").inkFacts>} asked */
export function plates(desk, asked) {
  const { answer: facts } = asked;
  const list = h("ol", { class: "cards" });
  const file = h("input", { type: "file", accept: "application/zip,.zip", hidden: true, "aria-label": "Saved work of another plate", class: "plate-file", onchange: () => {
    const chosen = file.files?.[0];
    file.value = "";
    if (chosen) bring(chosen);
  } });
  const add = h("button", { type: "button", onclick: () => file.click() }, "Bring in a plate");
  const both = h("button", { type: "button", class: "toggle", onclick: () => {
    const { proofing } = desk.state;
    desk.set({ proofing: { ...proofing, way: proofing.way === "orders" ? "pull" : "orders" } });
  } }, "Both orders side by side");
  const turn = h("button", { type: "button", onclick: () => desk.setProof({ printings: [...desk.state.proof.printings].reverse() }) }, "Turn the order round");
  const hint = h("p", { class: "aside" }, `Open another plate’s saved work and it prints with this one, up to ${words(MOST_PLATES)} in all. They stand in the order of printing. Grains of two plates fall by chance on one another; within one plate tones never do.`);
  const ours = h("ul", { class: "of-family" });
  const ofFamily = h("div", { class: "family-prints", hidden: true }, h("span", { class: "aside" }, "Of this family:"), ours);
  const cards = rows(list, (index) => card(desk, index));
  const remarks = h("ul", { class: "notes" });
  const table = pairs(desk, () => part.root.open);
  const part = fold("Plates over one another", (state) => platesWords(state.proof, state.plates, state.letter), [hint, list, h("div", { class: "row" }, add, file, turn, both), ofFamily, remarks, table.root], (state) => {
    const many = state.proof.printings.length > 1;
    add.disabled = state.proof.printings.length >= MOST_PLATES;
    turn.hidden = both.hidden = !many;
    assign(both, { "aria-pressed": String(state.proofing.way === "orders") });
    cards.update(state.proof.printings, state);
    facts.update(state);
    showFamily(state);
    remark();
    table.update(state);
  });

  /** The family's other plates, each to print with this one as it is planned now. @param {import("../../state.js").State} state */
  function showFamily(state) {
    const { family, proof, plates: there, settings } = state;
    ofFamily.hidden = family.length === 0;
    const full = proof.printings.length >= MOST_PLATES;
    const beside = family.map((kin) => ({ id: kin.id, letter: kin.work.job.letter, title: kin.work.job.title, has: knownNow(kin, settings) !== null,
      prints: there.some((plate) => plate.of === kin.id && proof.printings.some((each) => each.plate === plate.id)) })).sort(byLetter);
    const key = JSON.stringify([beside, full]);
    if (ours.dataset.key === key) return;
    ours.dataset.key = key;
    const focus = document.activeElement;
    const held = focus instanceof HTMLElement && ours.contains(focus) ? focus.dataset.plate : undefined;
    ours.replaceChildren(...beside.map(({ id, letter, title, has, prints }) => h("li", null, prints ? h("span", { class: "aside" }, `${letter} prints`)
      : h("button", { type: "button", class: "plain", "data-plate": id, disabled: !has || full, "aria-label": has ? `Print plate ${letter}, ${title}, with this one` : null, onclick: () => fromFamily(id) }, has ? letter : `${letter}, not planned now`))));
    if (held !== undefined) /** @type {HTMLElement} */ (ours.querySelector(`[data-plate="${held}"]`) ?? add).focus({ preventScroll: true });
  }

  /** @param {string} id */
  function fromFamily(id) {
    const { proof, plates: there, family, settings } = desk.state;
    const kin = family.find((each) => each.id === id);
    const facts = kin && knownNow(kin, settings);
    if (!facts || proof.printings.length >= MOST_PLATES) return;
    const { plate } = facts;
    if (desk.setProof(withPlate(proof, plate.id), [...there.filter((each) => each.id !== plate.id && each.of !== id), plate])) desk.notice(`Plate ${plate.letter}, ${plate.title}, prints last now, and follows its own plan.`);
  }

  /** What the misfit does to fine detail. */
  function remark() {
    const many = desk.state.proof.printings.length > 1;
    const said = many && facts.trouble ? [facts.trouble] : many && facts.current ? facts.found?.remarks ?? [] : [];
    if (remarks.textContent !== said.join("")) remarks.replaceChildren(...said.map((text) => h("li", null, text)));
  }

  /** @param {Blob} chosen */
  async function bring(chosen) {
    const { plateNumber } = desk.state;
    try {
      const plate = await desk.busy("reading the other plate", desk.bridge.call("plate_read", { file: chosen }));
      const { proof, plates: known } = desk.state;
      const drop = async () => { if (!desk.state.plates.some((each) => each.id === plate.id)) await desk.bridge.call("plate_drop", { id: plate.id }); };
      // It waited while other work was opened: it was not chosen for that.
      if (desk.state.plateNumber !== plateNumber) return await drop();
      if (proof.printings.some((each) => each.plate === plate.id)) return desk.notice(`Plate ${plate.letter}, ${plate.title}, prints already: a plate prints once.`, "refused");
      if (proof.printings.length >= MOST_PLATES) {
        await drop();
        return desk.notice(`${sentence(words(MOST_PLATES))} plates print already, and no more do: take one away first.`, "refused");
      }
      if (desk.setProof(withPlate(proof, plate.id), [...known.filter((each) => each.id !== plate.id), plate])) desk.notice(`Plate ${plate.letter}, ${plate.title}, prints last now.`);
      else await drop();
    } catch (error) {
      desk.refused(/** @type {Error} */ (error));
    }
  }

  asked.join({ asks: (state) => part.root.open && state.proof.printings.length > 1, told: remark });
  return part;
}

/** @param {BroughtPlate} plate @param {{ width: number, height: number }} face of the plate at hand @param {import("../../format.js").Units} units */
export function plateFacts({ tones, face_mm, example }, face, units) {
  const more = [face_mm.width - face.width, face_mm.height - face.height];
  const other = more.some((mm) => Math.abs(mm) > 0.05) ? ` Another size than this plate’s: it lies middle on middle${more.some((mm) => mm > 0.05) ? ", and what reaches beyond this plate’s face is not shown" : ""}.` : "";
  return `${tones} tones, face ${size(face_mm.width, face_mm.height, units)}.${other}${example ? " EXAMPLE, NOT ITS BATH: by the example strip." : ""}`;
}

/** @param {import("../../state.js").Desk} desk @param {number} index */
function card(desk, index) {
  const all = () => desk.state.proof.printings;
  const mine = () => all()[index];
  /** @param {Partial<PrintingChoice>} patch */
  const set = (patch) => desk.setProof({ printings: changed(all(), index, patch) });
  const letter = h("b", { class: "plate-letter" });
  const title = h("span", null);
  const facts = h("span", { class: "line" });
  const ink = listField("Ink", (value) => set({ ink: inkOf(value) }));
  const trap = rangedField(desk, "Trap", { what: "A trap", range: [0, 1], take: (value) => set({ trap: value }) });
  const across = rangedLength(desk, "Shifted right", { what: "A shift", range: [-20, 20], take: (mm) => set({ shift_mm: [mm, mine().shift_mm[1]] }) });
  const down = rangedLength(desk, "Shifted down", { what: "A shift", range: [-20, 20], take: (mm) => set({ shift_mm: [mine().shift_mm[0], mm] }) });
  const wider = rangedField(desk, "Grown across", { what: "A growth", range: [-5, 5], unit: "%", take: (value) => set({ growth: [value / 100, mine().growth[1]] }) });
  const higher = rangedField(desk, "Grown down", { what: "A growth", range: [-5, 5], unit: "%", take: (value) => set({ growth: [mine().growth[0], value / 100] }) });
  const turned = rangedField(desk, "Turned clockwise", { what: "A turn", range: [-5, 5], unit: "°", take: (value) => set({ turn: value }) });
  const misfit = h("details", null, h("summary", null), h("div", { class: "fields" }, across.root, down.root, wider.root, higher.root, turned.root));
  const said = /** @type {HTMLElement} */ (misfit.firstElementChild);
  const earlier = h("button", { type: "button", class: "plain", onclick: () => desk.setProof({ printings: moved(all(), index, -1) }) }, "Print it before");
  const remove = h("button", { type: "button", class: "plain", onclick: takeAway }, "Take it away");
  const root = h("li", { class: "card" }, h("div", { class: "head" }, letter, h("div", { class: "plate-of" }, title, facts)),
    h("div", { class: "fields" }, ink.root, trap.root), misfit, h("div", { class: "row acts-row" }, earlier, remove));

  function takeAway() {
    const { plates: known } = desk.state;
    const before = all();
    const plate = known.find((each) => each.id === mine().plate);
    const left = without(all(), index);
    // A plate alone is where it is: nobody could see or take back its misfit.
    const printings = left.length === 1 ? [{ ...left[0], shift_mm: /** @type {[number, number]} */ ([0, 0]), growth: /** @type {[number, number]} */ ([0, 0]), turn: 0 }] : left;
    if (!desk.setProof({ printings }, known.filter((each) => each !== plate)) || !plate) return;
    desk.notice(`Plate ${plate.letter}, ${plate.title}, is taken away.`, "said", { label: "Put it back", press: () => putBack(plate, before) });
  }

  /** @param {BroughtPlate} plate @param {PrintingChoice[]} before it was taken */
  function putBack(plate, before) {
    const { proof, plates: known } = desk.state;
    if (proof.printings.some((each) => each.plate === plate.id)) return desk.notice(`Plate ${plate.letter}, ${plate.title}, prints already: a plate prints once.`, "refused");
    if (proof.printings.length >= MOST_PLATES) return desk.notice(`${sentence(words(MOST_PLATES))} plates print already, and no more do: take one away first.`, "refused");
    desk.setProof(withPlateAgain(proof, before, index), [...known.filter((each) => each.id !== plate.id), plate]);
    desk.notice(`Plate ${plate.letter}, ${plate.title}, is back.`);
  }

  return {
    root,
    /** @param {PrintingChoice} printing @param {import("../../state.js").State} state */
    update(printing, state) {
      const { plates: known, units } = state;
      const plate = known.find((each) => each.id === printing.plate);
      say(letter, (printing.plate === null ? state.letter : plate?.letter) || "–");
      say(title, printing.plate === null ? `${state.title}, this plate` : plate?.title ?? "a plate that is not here any more");
      const kin = plate?.of ? state.family.find(({ id }) => id === plate.of) : undefined;
      const follows = !plate?.of ? "" : !kin ? " It is of the family no more, and prints as it was." : knownNow(kin, state.settings) ? " It follows its own plan." : " It prints as it was: it has no plan now.";
      say(facts, plate ? `${plateFacts(plate, state.plan?.face_mm ?? plate.face_mm, units)}${follows}` : "");
      facts.hidden = facts.textContent === "";
      ink.set(inkValue(printing.ink), inkChoices(state.proof));
      trap.root.hidden = index === 0;
      trap.set(printing.trap);
      across.set(printing.shift_mm[0]);
      down.set(printing.shift_mm[1]);
      wider.set(100 * printing.growth[0]);
      higher.set(100 * printing.growth[1]);
      turned.set(printing.turn);
      misfit.hidden = state.proof.printings.length < 2;
      const exact = printing.shift_mm.every((mm) => mm === 0) && printing.growth.every((share) => share === 0) && printing.turn === 0;
      say(said, exact ? "Misfit: none, it lies exactly" : "Misfit: as typed");
      earlier.hidden = index === 0;
      remove.hidden = printing.plate === null;
    },
  };
}
