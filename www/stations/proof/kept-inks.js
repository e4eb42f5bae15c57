/**
 * Keeps with each ink what printed its patches, as soon as a plan tells: patches were printed once, and no later plan may move the ink.
 * An ink of an older page or file takes it from the next plan.
 */
import { asBefore, settled } from "../../stale.js";
import { changed } from "./choices.js";

/** @param {import("../../state.js").Desk} desk */
export function keptInks(desk) {
  /** What was last asked for; a refusal is not asked again before something changes. @type {unknown[]} */
  let asked = [];

  /** @param {import("../../state.js").State} state */
  async function update(state) {
    const { proof, plan, dragging, kept } = state;
    if (dragging || kept.looks || !proof.inks.some((ink) => !ink.printed) || !settled(state)) return;
    const now = [plan, proof.inks, proof.grain, proof.paper];
    if (now.every((each, i) => each === asked[i])) return;
    asked = now;
    try {
      const told = await desk.bridge.call("ink_prints", { proof });
      const { state: later } = desk;
      if (later.proof.inks !== proof.inks || later.plan !== plan || later.proof.grain !== proof.grain || later.proof.paper !== proof.paper) return;
      const inks = told.reduce((list, printed, i) => (list[i].printed || !printed ? list : changed(list, i, { printed })), proof.inks);
      if (inks === proof.inks) return;
      asBefore(inks, proof.inks);
      // Nothing the printer did: no step of Undo.
      desk.set({ proof: { ...later.proof, inks } });
    } catch (error) {
      // What can't be is said where it shows; broken off, it is asked for again at the next change.
      if (["stopped", "crashed"].includes(/** @type {import("../../bridge.js").CallError} */ (error).code)) asked = [];
    }
  }

  return { update };
}
