/**
 * The misfit band: how wide the fringe between a plate and what it printed before is, at each of its edges. Print view; fringes are drawn broader than they
 * are, which is said, with their widths in figures.
 */
import { h, say, svg } from "../../dom.js";
import { length } from "../../format.js";
import { sign } from "../../picture.js";

/** @typedef {import("../../../web/types.d.ts").Fringe} Fringe */

/** How broad the broadest fringe is drawn, as a share of the narrowest plate. */
const BROAD = 0.16;
/** What growth is still read off, mm. */
const SEEN = 0.005;
let patterns = 0;

/** How many times broader fringes are drawn than they are: a round number, so that the broadest is still seen. @param {readonly Fringe[]} all */
export function timesOf(all) {
  const most = Math.max(0, ...all.flatMap(({ edges }) => edges.map(Math.abs)));
  const narrow = Math.min(...all.map(({ plate }) => Math.min(plate.width, plate.height)));
  if (most < SEEN) return 1;
  const times = BROAD * narrow / most;
  return [100, 50, 20, 10, 5, 2].find((round) => round <= times) ?? 1;
}

/** "A: 1.20 mm at the left, none at the right". @param {Fringe} of @param {(mm: number) => string} length */
export function fringeWords({ letter, edges }, length) {
  const sides = ["left", "right", "top", "foot"];
  const all = edges.map((mm, k) => Math.abs(mm) < SEEN ? null : `${length(Math.abs(mm))} at the ${sides[k]}`).filter(Boolean);
  return `${letter || "–"}: ${all.length ? all.join(", ") : "none"}`;
}

/** @param {import("../../state.js").Desk} desk */
export function fringes(desk) {
  const picture = h("div", { class: "bed-picture" });
  const words = h("p", { class: "aside" });
  const root = h("figure", { class: "bed-fringe", "data-view": "print", hidden: true }, h("div", { class: "over" }, h("h4", null, "How wide the fringe is"), sign("print")), picture, words);
  const mm = (/** @type {number} */ width) => `${length(width, desk.state.units)} ${desk.state.units}`;

  return {
    root,
    /** @param {readonly Fringe[]} row @param {readonly { fringes: readonly Fringe[] }[]} over plates that lie alone, each on the same sheet */
    show(row, over) {
      const sets = [row, ...over.map((each) => each.fringes)].filter((set) => set.length);
      root.hidden = sets.length === 0;
      if (root.hidden) return;
      const times = timesOf(sets.flat());
      picture.replaceChildren(...sets.map((set) => drawn(set, times)));
      say(words, `${times > 1 ? `Fringes are drawn ${times} times as broad as they are. ` : ""}${sets.flat().map((each) => fringeWords(each, mm)).join(" · ")}.`);
    },
  };

  /** @param {readonly Fringe[]} set @param {number} times */
  function drawn(set, times) {
    const [left, top] = [Math.min(...set.map(({ plate }) => plate.x)), Math.min(...set.map(({ plate }) => plate.y))];
    const right = Math.max(...set.map(({ plate }) => plate.x + plate.width));
    const foot = Math.max(...set.map(({ plate }) => plate.y + plate.height));
    const room = Math.max(6, ...set.flatMap(({ edges }) => edges.map((edge) => Math.abs(edge) * times))) + 4;
    const id = `fringe-hatch-${++patterns}`;
    const unit = (right - left + 2 * room) / 100;
    const label = `Print view. Fringe of a second run beside each plate: ${set.map((each) => fringeWords(each, mm)).join("; ")}.`;
    return /** @type {SVGElement} */ (svg("svg", { viewBox: `${left - room} ${top - room} ${right - left + 2 * room} ${foot - top + 2 * room}`, role: "img", "aria-label": label },
      svg("defs", {}, svg("pattern", { id, width: 1.2 * unit, height: 1.2 * unit, patternUnits: "userSpaceOnUse", patternTransform: "rotate(45)" }, svg("path", { d: `M0 0V${1.2 * unit}`, class: "thin" }))),
      ...set.flatMap(({ letter, plate, edges }) => {
        const [l, r, t, f] = edges.map((edge) => edge * times);
        const before = { x: plate.x + l, y: plate.y + t, width: Math.max(0, plate.width + r - l), height: Math.max(0, plate.height + f - t) };
        const ring = (/** @type {{ x: number, y: number, width: number, height: number }} */ { x, y, width, height }) => `M${x} ${y}h${width}v${height}h${-width}z`;
        const size = Math.min(plate.width * 0.4, plate.height * 0.3);
        return [
          svg("path", { d: ring(plate) + ring(before), "fill-rule": "evenodd", class: "band", fill: `url(#${id})` }),
          svg("path", { d: ring(before), class: "before" }),
          svg("path", { d: ring(plate), class: "plate" }),
          svg("text", { x: plate.x + plate.width / 2, y: plate.y + plate.height / 2 + size * 0.35, "text-anchor": "middle", "font-size": size }, letter || "–"),
        ];
      })));
  }
}
