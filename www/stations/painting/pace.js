/** How long painting takes: by estimate first, by what a stop-out really took from then on. */
import { h, say } from "../../dom.js";
import { numberField } from "../../fields.js";
import { minutes, number, readNumber, words } from "../../format.js";
import { tookMinutes, withPainted } from "../../settings.js";

/** @param {import("../../state.js").Desk} desk */
export function pace(desk) {
  const refuse = (/** @type {string} */ text) => desk.notice(text, "refused");
  const took = numberField("It took", {
    read: (text) => text.trim() === "" ? 0 : readNumber(text), write: (value) => value > 0 ? number(value) : "", unit: "min", refuse,
    take: (value) => {
      const { stopout, settings, plan } = desk.state;
      desk.change(value > 0 ? `stop-out ${stopout} took ${number(value)} min` : `time of stop-out ${stopout} taken back`, withPainted(settings, stopout, value, plan));
    },
  });
  const words_ = h("p", { class: "aside" });
  /** @param {string} name @param {string} unit @param {keyof import("../../../web/types.d.ts").HandSpeed} key @param {string} said */
  const speed = (name, unit, key, said) => numberField(name, { read: readNumber, write: (value) => number(value), unit, refuse,
    take: (value) => desk.change(`${said} ${number(value)} ${unit}`, { ...desk.state.settings, hand_speed: { ...desk.state.settings.hand_speed, [key]: value } }) });
  const edge = speed("Edge", "cm a minute", "edge_cm_per_min", "edge at");
  const area = speed("Area", "cm² a minute", "area_cm2_per_min", "area at");
  const island = speed("Each island", "s more", "island_s", "an island at");
  const root = h("section", { class: "pace", "aria-labelledby": "h-pace" }, h("h3", { id: "h-pace" }, "Your pace"), words_,
    h("div", { class: "fields" }, took.root),
    h("details", null, h("summary", null, "Speeds the minutes are worked out from"),
      h("div", { class: "fields" }, edge.root, area.root, island.root)));
  return {
    root,
    /** @param {import("../../state.js").State} state */
    update(state) {
      const { plan, settings, stopout } = state;
      if (!plan) return;
      took.set(tookMinutes(state, stopout) ?? 0);
      const label = took.root.querySelector("label");
      if (label) say(label, `Stop-out ${stopout} really took`);
      edge.set(settings.hand_speed.edge_cm_per_min);
      area.set(settings.hand_speed.area_cm2_per_min);
      island.set(settings.hand_speed.island_s);
      say(words_, `${minutes(plan.paint_min)} of painting in all, ${paceWords(plan)}.${plan.pace ? ` You take ${number(plan.pace.factor, 2)} times as long as the speeds below say.` : " Type what a stop-out really took, and the rest follows your pace."}`);
    },
  };
}

/** Where the minutes come from. @param {import("../../../web/types.d.ts").Plan} plan */
export function paceWords(plan) {
  if (!plan.pace) return "an estimate";
  const from = plan.pace.from;
  const list = from.length === 1 ? `stop-out ${from[0]}` : from.length < 4 ? `stop-outs ${from.slice(0, -1).join(", ")} and ${from.at(-1)}` : `${words(from.length)} stop-outs`;
  return `by your own pace, from ${list}`;
}
