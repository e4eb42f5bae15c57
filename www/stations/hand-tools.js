/** Tools of the painting station: what the printer sets by hand on the plate, and the ground that stays on it. */
import { h, say, svg } from "../dom.js";
import { drawn } from "../drawn.js";
import { number, percent } from "../format.js";
import { radios, slider } from "../fields.js";
import { BRUSH_MM, editPlace, editWords, goesRound, hundredths, pathText, withEdit, withoutEdit, withoutShape, withShape } from "../hand-edits.js";

/** @typedef {import("../state.js").State} State */
/** @typedef {import("../state.js").Tool} Tool */
/** @typedef {import("../hand-edits.js").Point} Point */

/** @type {[Tool, string][]} */
const TOOLS = [["look", "only look"], ["brush", "brush"], ["lasso", "lasso"], ["fill", "fill"], ["keep", "keep this"], ["by_hand", "by hand"], ["silhouette", "silhouette"]];

/** How each shape is drawn with the keys. */
const KEYS = {
  line: "By keys: the arrows move a cross, Enter begins and ends the stroke, Escape drops it.",
  round: "By keys: the arrows move a cross, Enter begins and closes the line, Escape drops it.",
  place: "By keys: the arrows move a cross, Enter presses.",
};

/** @type {Record<Tool, string>} */
const SAYS = {
  look: "",
  brush: "Draw on the picture: what the brush goes over takes the tone.",
  lasso: "Draw once round an area: it takes the tone.",
  fill: "Press on a region: all of it takes the tone.",
  keep: "Press on a light or a mark that clean-up took away: it comes back, however small. What is narrower than your brush is counted beneath.",
  by_hand: "Draw once round an area that you will work without stop-out: it leaves every mask, and its edge is dotted on the sheets.",
  silhouette: "Say what of the plate is open. The rest is ground or lifted resist that stays on: covered at every stop-out, painted at none.",
};

/** The shape that a tool draws. @param {State} state @returns {import("../drawn.js").Shape | null} */
function shapeOf({ tools, settings }) {
  if (tools.tool === "look") return null;
  if (tools.tool === "brush") return "line";
  if (tools.tool === "fill" || tools.tool === "keep") return "place";
  if (tools.tool === "silhouette") return openOf({ tools, settings }) === "inside" || openOf({ tools, settings }) === "outside" ? "round" : null;
  return "round";
}

/** What is open, as the words of the choice. @param {Pick<State, "tools" | "settings">} state */
function openOf({ tools, settings: { resist } }) {
  if (resist === null) return tools.open ?? "whole";
  return resist.kind === "outline" ? "outline" : resist.open_inside ? "inside" : "outside";
}

/** What the picture that is drawn on shows. @param {State} state @returns {"stopout" | "drawing" | "lift"} */
export function shown(state) {
  const { show } = state.tools;
  return show === "lift" && !state.plan?.resist_share ? "stopout" : show;
}

/** Swatches and words for what is set aside, and for the lift. @param {State} state @returns {[string, string][]} */
export function asideLegend({ plan }) {
  /** @type {[string, string][]} */
  const all = [];
  if (plan?.resist_share) all.push(["resist", "FIXED RESIST, STAYS ON"]);
  if (plan?.by_hand_share) all.push(["hand", "BY HAND"]);
  return all;
}

/** @type {[string, string][]} */
export const LIFT_LEGEND = [["opens", "PAINTED HERE = OPENS, BITES HERE"], ["resist", "FIXED RESIST, STAYS ON"]];

/**
 * @param {import("../state.js").Desk} desk @param {import("../picture.js").Picture} picture that is drawn on
 * @returns {import("../state.js").Part & { list: HTMLElement }} the tools, and the list of what was done with them
 */
export function handTools(desk, picture) {
  /** @param {Partial<State["tools"]>} patch */
  const set = (patch) => desk.set({ tools: { ...desk.state.tools, ...patch } });
  const tool = radios("Set by", TOOLS, (value) => {
    // What was pointed at would lie over what is drawn now.
    desk.set({ looking: { ...desk.state.looking, at: null },
      tools: { ...desk.state.tools, tool: /** @type {Tool} */ (value), show: value === "keep" ? "drawing" : desk.state.tools.show === "drawing" ? "stopout" : desk.state.tools.show } });
  });
  const show = radios("Show", [["stopout", "the stop-out"], ["drawing", "the drawing"], ["lift", "the lift drawing"]], (value) => set({ show: /** @type {any} */ (value) }));
  const lift = /** @type {HTMLElement} */ (show.root.querySelector("[value=lift]")?.parentElement);
  const what = h("span", null);
  const keys = h("span", { class: "keys" });
  const words = h("p", { class: "aside" }, what, " ", keys);
  const heard = h("p", { class: "hidden", role: "status" });

  const tones = h("div", { class: "words" });
  const toneRoot = h("fieldset", { class: "choice tones" }, h("legend", null, "Tone"), tones);
  /** @type {HTMLInputElement[]} */
  let toneInputs = [];
  let toneKey = "";
  const width = slider(desk, "Brush", { min: 0.3, max: 20, step: 0.1, unit: "mm", words: (value) => `${number(value, 1)} mm wide`,
    take: (value) => set({ width_mm: hundredths(value) }), typed: (value) => {
      if (value >= BRUSH_MM.least && value <= BRUSH_MM.most) return set({ width_mm: hundredths(value) });
      desk.notice(`A brush is ${BRUSH_MM.least} to ${BRUSH_MM.most} mm wide, ${number(value, 2)} came: 2 mm is a usual one.`, "refused");
      return false;
    } });

  const open = radios("Open is", [["whole", "the whole face"], ["inside", "what I draw round"], ["outside", "all but what I draw round"], ["outline", "the drawing's own outline"]], choose);
  const darker = slider(desk, "Outline of what is darker than L*", { min: 1, max: 100, step: 1, unit: "",
    words: (value) => value === 100 ? "all that is not paper" : `L* ${number(value)}`,
    take: (value, gesture) => outline(value, gesture), typed: (value) => outline(value, null) });
  const silhouette = h("div", { class: "fields" }, open.root, darker.root);

  const list = h("ol", { class: "edits" });
  const heading = h("h3", null);
  const listRoot = h("div", { class: "listed", role: "region", tabindex: 0, "aria-labelledby": "h-edits" }, list);
  heading.id = "h-edits";
  const pointed = svg("g", { class: "pointed" });
  picture.marks.append(pointed);
  /** What the list was made from. @type {unknown[]} */
  let listed = [];

  const draws = drawn(picture, {
    shape: () => shapeOf(desk.state),
    width: () => desk.state.tools.width_mm,
    face: () => desk.state.plan?.face_mm ?? null,
    said: (text) => say(heard, text),
    done,
  });
  const root = h("section", { class: "tools", "aria-label": "Set by hand" },
    h("div", { class: "row" }, tool.root, show.root),
    h("div", { class: "fields settled" }, toneRoot, width.root, silhouette), words, heard);
  const made = h("div", { class: "set" }, heading, listRoot);

  /** What was drawn becomes part of the settings. @param {Point[]} points */
  function done(points) {
    const { settings, tools } = desk.state;
    const tone = toneOf(desk.state);
    const at = /** @type {Point} */ (points[0].map(hundredths));
    const closed = tools.tool === "lasso" || tools.tool === "by_hand" || tools.tool === "silhouette";
    if (closed && !goesRound(points)) {
      return desk.notice("That line goes round nothing: draw once round the area, and let go where you began.", "refused");
    }
    if (tools.tool === "silhouette") {
      const inside = openOf(desk.state) !== "outside";
      const count = settings.resist?.kind === "drawn" ? settings.resist.shapes.length + 1 : 1;
      return desk.change(`silhouette: shape ${count}`, withShape(settings, pathText(points), inside));
    }
    /** @type {Partial<Record<Tool, import("../../web/types.d.ts").Edit>>} */
    const edits = {
      brush: { kind: "stroke", path: pathText(points), width_mm: tools.width_mm, tone },
      lasso: { kind: "lasso", path: pathText(points), tone },
      fill: { kind: "fill", at, tone },
      keep: { kind: "keep", at },
      by_hand: { kind: "by_hand", path: pathText(points) },
    };
    const edit = edits[tools.tool];
    if (edit) desk.change(editWords(edit), withEdit(settings, edit));
  }

  /** @param {string} value */
  function choose(value) {
    const { settings } = desk.state;
    const inside = value === "inside";
    if (value === "inside" || value === "outside") {
      set({ open: value });
      const drawn = settings.resist?.kind === "drawn" ? settings.resist : null;
      if (drawn) desk.change(inside ? "open inside the shapes" : "covered inside the shapes", { ...settings, resist: { ...drawn, open_inside: inside } });
      else if (settings.resist) desk.change("no silhouette", { ...settings, resist: null });
      return;
    }
    set({ open: null });
    if (value === "outline") desk.change("silhouette: the drawing's outline", { ...settings, resist: { kind: "outline", darker_than: null } });
    else if (settings.resist) desk.change("no silhouette", { ...settings, resist: null });
  }

  /** @param {number} value @param {string | null} gesture */
  function outline(value, gesture) {
    desk.change(value === 100 ? "outline of all that is not paper" : `outline darker than L* ${number(value)}`,
      { ...desk.state.settings, resist: { kind: "outline", darker_than: value === 100 ? null : value } }, gesture);
  }

  /** @param {State} state */
  function drawTones(state) {
    const all = state.plan?.tones ?? [];
    const key = all.map((tone) => tone.colour).join();
    if (key !== toneKey) {
      toneKey = key;
      toneInputs = all.map((tone) => h("input", { type: "radio", name: "hand-tone", value: tone.index, onchange: () => set({ tone: tone.index }) }));
      tones.replaceChildren(...all.map((tone, i) => h("label", { class: "block-tone" }, toneInputs[i],
        h("i", { "aria-hidden": "true", style: { background: tone.colour } }), h("span", null, `${tone.index}`))));
    }
    toneInputs.forEach((input, i) => { input.checked = i === toneOf(state); });
  }

  /** @param {State} state */
  function drawList(state) {
    const { hand, resist, tones: count } = state.settings;
    const now = [hand, resist, count];
    if (now.every((value, i) => value === listed[i])) return;
    listed = now;
    const shapes = resist?.kind === "drawn" ? resist.shapes : [];
    const items = [
      ...hand.map((edit, i) => ({ edit, name: editWords(edit, count), back: () => desk.change(`took back ${editWords(edit)}`, withoutEdit(desk.state.settings, i)) })),
      ...shapes.map((path, i) => ({ edit: /** @type {const} */ ({ kind: "by_hand", path }), name: `silhouette: shape ${i + 1}`, back: () => desk.change(`took back shape ${i + 1} of the silhouette`, withoutShape(desk.state.settings, i)) })),
    ];
    made.hidden = items.length === 0;
    say(heading, items.length === 1 ? "One thing set by hand" : `${items.length} things set by hand`);
    // The newest first: it is what one looks for.
    list.replaceChildren(...items.map(({ edit, name, back }, i) => {
      const [x, y] = editPlace(edit);
      const point = () => pointed.replaceChildren(...outlined(edit));
      const item = h("li", { onpointerenter: point, onfocusin: point, onpointerleave: () => pointed.replaceChildren(), onfocusout: () => pointed.replaceChildren() },
        h("span", null, `${i + 1}. ${name}`), h("span", { class: "place" }, `at ${number(x, 0)}, ${number(y, 0)} mm`),
        h("button", { type: "button", "aria-label": `take this one back: ${i + 1}, ${name}`, onclick: () => {
          pointed.replaceChildren();
          back();
        } }, "take this one back"));
      return item;
    }).reverse());
  }

  return {
    root,
    list: made,
    update(state) {
      const { tools, plan } = state;
      root.classList.toggle("held", tools.tool !== "look");
      tool.set(tools.tool);
      show.set(shown(state));
      lift.hidden = !plan?.resist_share;
      const shape = shapeOf(state);
      say(what, SAYS[tools.tool]);
      say(keys, shape ? KEYS[shape] : "");
      words.hidden = tools.tool === "look";
      const needsTone = tools.tool === "brush" || tools.tool === "lasso" || tools.tool === "fill";
      toneRoot.hidden = !needsTone;
      width.root.hidden = tools.tool !== "brush";
      silhouette.hidden = tools.tool !== "silhouette";
      width.set(tools.width_mm);
      open.set(openOf(state));
      const outlines = state.settings.resist?.kind === "outline" ? state.settings.resist : null;
      darker.root.hidden = outlines === null;
      darker.set(outlines?.darker_than ?? 100);
      drawTones(state);
      drawList(state);
      draws.update(`${shown(state) === "drawing" ? "The drawing" : "The stop-out"}, to draw on. ${shape ? KEYS[shape] : ""}`);
    },
  };
}

/** The tone that tools set: one the plate has. @param {State} state */
export function toneOf({ tools, settings }) {
  return Math.min(tools.tone, settings.tones - 1);
}

/** An edit drawn as a line over the picture. @param {import("../../web/types.d.ts").Edit} edit */
function outlined(edit) {
  if ("at" in edit) return [svg("circle", { cx: edit.at[0], cy: edit.at[1], r: 1.6 })];
  const line = edit.kind === "stroke"
    ? svg("polyline", { class: "brush", points: edit.path.includes(" ") ? edit.path : `${edit.path} ${edit.path}`, "stroke-width": edit.width_mm })
    : svg("polygon", { points: edit.path });
  return [line];
}

/** What the counts add about edits. @param {import("../../web/types.d.ts").Plan} plan */
export function narrowWords(plan) {
  return plan.narrow_share > 0 ? ` Of that, ${percent(plan.narrow_share)} of the face is where you set the tone by hand.` : "";
}
