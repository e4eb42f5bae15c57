/** What the core says of inks, zones, papers and register: one question for all the parts that show of it. */
import { Answer } from "../../answer.js";
import { proofOf } from "../papers/pieces.js";

/**
 * @typedef {object} Asker
 * @property {(state: import("../../state.js").State) => boolean} asks whether it shows any of it now
 * @property {(state: import("../../state.js").State) => void} told when an answer has come
 */

/** @param {import("../../state.js").Desk} desk */
export function inkFacts(desk) {
  /** @type {Asker[]} */
  const all = [];
  const answer = new Answer(desk, "ink_facts", (state) => all.some((each) => each.asks(state)) ? { proof: proofOf(state) } : undefined, (state) => {
    for (const each of all) if (each.asks(state)) each.told(state);
  });
  return {
    answer,
    /** @param {Asker} asker */
    join(asker) {
      all.push(asker);
    },
  };
}
