/** Edges exactly as planned, or as a hand paints them; and where they may come out otherwise. */
import { assign, h } from "../../dom.js";
import { radios } from "../../fields.js";
import { A_HAND, another } from "./choices.js";
import { rangedLength } from "./fields.js";
import { fold } from "./fold.js";
import { edgeWords } from "./words.js";

/** @param {import("../../state.js").Desk} desk */
export function edges(desk) {
  /** As they were before they were switched off. @type {import("../../../web/types.d.ts").EdgeChoice | null} */
  let last = null;
  const now = () => desk.state.proof.edges ?? last ?? { ...A_HAND, wander_mm: Math.min(1.5, desk.state.settings.hand_error_mm) };
  /** @param {Partial<import("../../../web/types.d.ts").EdgeChoice>} part */
  const set = (part) => desk.setProof({ edges: { ...now(), ...part } });
  const way = radios("Edges", [["planned", "exactly as planned"], ["hand", "as a hand paints them"]], (value) => {
    if (value === "hand") return set({});
    last = desk.state.proof.edges;
    desk.setProof({ edges: null });
  });
  const wander = rangedLength(desk, "Wanders by", { what: "A wander", range: [0, 1.5], take: (wander_mm) => set({ wander_mm }) });
  const creep = rangedLength(desk, "Varnish runs in", { what: "A creep", range: [0, 1], take: (creep_mm) => set({ creep_mm }) });
  const lap = rangedLength(desk, "Laps over the old edge", { what: "A lap", range: [0, 3], take: (lap_mm) => set({ lap_mm }) });
  const other = h("button", { type: "button", onclick: () => set({ seed: another(now().seed) }) }, "The same hand again");
  const chance = h("button", { type: "button", class: "toggle", onclick: () => {
    const { proofing } = desk.state;
    desk.set({ proofing: { ...proofing, way: proofing.way === "chance" ? "pull" : "chance", drawing: null } });
  } }, "Show where edges may go");
  const own = h("div", { class: "folded" }, h("div", { class: "fields" }, wander.root, creep.root, lap.root), h("div", { class: "row" }, other, chance),
    h("p", { class: "aside" }, "One hand of many: a pale lip where paint runs over, a dark hairline where two coats of varnish do not meet. How far an edge wanders is a standard deviation, along it in waves of about 7 mm; these figures are usual ones, not measured on yours. The darker rim that a ridge of ink leaves at an edge is not shown."));
  return fold("Edges", (state) => edgeWords(state.proof, state.units), [way.root, own], (state) => {
    const { edges: chosen } = state.proof;
    way.set(chosen ? "hand" : "planned");
    own.hidden = chosen === null;
    if (!chosen) return;
    wander.set(chosen.wander_mm);
    creep.set(chosen.creep_mm);
    lap.set(chosen.lap_mm);
    assign(chance, { "aria-pressed": String(state.proofing.way === "chance") });
  });
}
