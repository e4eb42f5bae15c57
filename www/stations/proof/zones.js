/** Several inks on one plate: zones drawn on the pull, with soft borders where the dabbers meet. */
import { assign, h, say } from "../../dom.js";
import { count, minutes, sentence } from "../../format.js";
import { changed, freshName, inserted, MOST_ZONES, moved, without } from "./choices.js";
import { inkChoices, inkOf, inkValue, listField, nameField, rangedField, rangedLength, rows } from "./fields.js";
import { fold } from "./fold.js";
import { placeFields, viewField } from "./outlines.js";
import { inkName, zonesWords } from "./words.js";

/** @typedef {import("../../../web/types.d.ts").InkZone} InkZone */

/** @param {import("../../state.js").Desk} desk @param {ReturnType<typeof import("./outlines.js").outlines>} drawing @param {ReturnType<typeof import("./ink-facts.js").inkFacts>} asked */
export function zones(desk, drawing, asked) {
  const { answer: facts } = asked;
  const list = h("ol", { class: "cards" });
  const draw = h("button", { type: "button", class: "toggle", onclick: () => {
    if (desk.state.proofing.drawing?.of === "zone") drawing.end();
    else drawing.begin({ of: "zone", index: null });
  } });
  const add = h("button", { type: "button", onclick: () => desk.setProof(withZone(desk.state.proof, drawing.middle())) }, "A rectangle");
  const view = viewField(desk);
  const border = rangedLength(desk, "Borders run over", { what: "A soft border", range: [5, 10], take: (zone_border_mm) => desk.setProof({ zone_border_mm }) });
  const pace = rangedField(desk, "Minutes for an ink", { what: "A time", range: [0, 600], unit: "min", places: 1, take: (zone_minutes) => desk.setProof({ zone_minutes }) });
  const order = h("p", { class: "aside" });
  const remarks = h("ul", { class: "notes" });
  const hint = h("p", { class: "aside" }, "Draw round a part of the plate: it is inked by its own dabber. Around the zones lies the ink of this plate; a later zone goes over an earlier one.");
  const cards = rows(list, (index) => card(desk, index, drawing));
  const part = fold("Zones of ink", (state) => zonesWords(state.proof, state.units), [hint, h("div", { class: "row" }, draw, add), view.root, list,
    h("div", { class: "fields" }, border.root, pace.root), order, remarks], update);

  /** @param {import("../../state.js").State} state */
  function update(state) {
    const { proof, proofing } = state;
    draw.disabled = add.disabled = proof.zones.length >= MOST_ZONES;
    const drawn = proofing.drawing?.of === "zone";
    assign(draw, { "aria-pressed": String(drawn) });
    say(draw, drawn ? "Drawing: go once round" : "Draw a zone");
    view.set(proofing.view);
    border.set(proof.zone_border_mm);
    pace.set(proof.zone_minutes);
    border.root.hidden = pace.root.hidden = proof.zones.length === 0;
    facts.update(state);
    cards.update(proof.zones, state);
    told(state);
  }

  /** @param {import("../../state.js").State} state */
  function told({ proof }) {
    const found = facts.current ? facts.found?.zones : null;
    const zone = (/** @type {number} */ i) => (i < 0 ? "the ground ink" : proof.zones[i]?.name ?? `zone ${i + 1}`);
    const ink = (/** @type {number[]} */ places) => places.map(zone).join(" with ");
    say(order, proof.zones.length === 0 ? "" : facts.trouble || (found ? `${sentence(found.order.map(ink).join(", then "))}: light to dark, so that no dabber fouls the next. About ${minutes(found.minutes)} for ${count(found.order.length, "ink")}, by your own pace.` : "Being worked out."));
    remarks.replaceChildren(...(found?.remarks ?? []).map((text) => h("li", null, text)));
  }

  asked.join({ asks: (state) => part.root.open && state.proof.zones.length > 0, told });
  return part;
}

/** @param {import("../../../web/types.d.ts").ProofSettings} proof @param {import("./choices.js").Point[]} outline @returns {Partial<import("../../../web/types.d.ts").ProofSettings>} */
export function withZone({ zones: all, inks }, outline) {
  return { zones: [...all, { name: freshName(all, "zone"), ink: inks.length ? inks.length - 1 : null, outline }] };
}

/** A zone whose ink is gone prints in the strip's own. @param {import("../../../web/types.d.ts").ProofSettings} proof @param {InkZone} zone */
function inked({ inks }, zone) {
  return zone.ink !== null && zone.ink >= inks.length ? { ...zone, ink: null } : zone;
}

/** @param {import("../../state.js").Desk} desk @param {number} index @param {ReturnType<typeof import("./outlines.js").outlines>} drawing */
function card(desk, index, drawing) {
  const all = () => desk.state.proof.zones;
  /** @param {Partial<InkZone>} patch */
  const set = (patch) => desk.setProof({ zones: changed(all(), index, patch) });
  const head = h("span", { class: "line" });
  const name = nameField("Name", (text) => set({ name: text }));
  const ink = listField("Ink", (value) => set({ ink: inkOf(value) }));
  const place = placeFields(desk, () => all()[index].outline, (outline) => set({ outline }));
  const anew = h("button", { type: "button", class: "plain", onclick: () => drawing.begin({ of: "zone", index }) }, "Draw it anew");
  const up = h("button", { type: "button", class: "plain", onclick: () => desk.setProof({ zones: moved(all(), index, 1) }) }, "Lay it over the next");
  const remove = h("button", { type: "button", class: "plain", onclick: () => {
    const gone = all()[index];
    if (!desk.setProof({ zones: without(all(), index) })) return;
    desk.notice(`${gone.name} is taken away.`, "said", { label: "Put it back", press: () => {
      if (all().length >= MOST_ZONES) return desk.notice(`There are ${MOST_ZONES} zones again: take one away first.`, "refused");
      desk.setProof({ zones: inserted(all(), index, inked(desk.state.proof, gone)) });
      desk.notice(`${gone.name} is back.`);
    } });
  } }, "Take it away");
  const root = h("li", { class: "card" }, h("div", { class: "head" }, h("b", { class: "numbered" }, String(index + 1)), name.root, ink.root, head),
    h("details", null, h("summary", null, "Place and size"), place.root), h("div", { class: "row acts-row" }, anew, up, remove));
  drawing.points(root, index);
  return {
    root,
    /** @param {InkZone} zone @param {import("../../state.js").State} state */
    update(zone, state) {
      name.set(zone.name);
      ink.set(inkValue(zone.ink), inkChoices(state.proof));
      place.update();
      up.hidden = index === state.proof.zones.length - 1;
      say(head, state.proof.inks.length === 0 ? "Add an ink of yours first, above: until then it prints as the rest." : zone.ink === null ? `in ${inkName(state.proof, null)}` : "");
      head.hidden = head.textContent === "";
    },
  };
}
