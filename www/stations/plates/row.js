/** Plates side by side: dragged about in print view, each joint's figures between them, the best orders, what another horizon would win. */
import { byLetter, inOrder } from "../../family.js";
import { assign, h, say, show } from "../../dom.js";
import { radios } from "../../fields.js";
import { grouped, number, sentence, tenths, words } from "../../format.js";
import { sign } from "../../picture.js";
import { columnsOf, members, MOST_SEARCHED, movedTo, ordered, ordersOf, pinsOf, placed, plainly, rowOf, specOf, standing, stands, takenOut, waitWords, withLeftOut, withPlace } from "../../row.js";
import { checkbox, rangedField, rangedLength } from "../proof/fields.js";
import { briefly, looksWords, orderFigures, orderWords, shapeWords, weighWords } from "./joint-words.js";
import { Latest, ofPlan } from "./latest.js";
import { rowPrint } from "./row-print.js";
import { isJoint, seam } from "./seam.js";

/** @typedef {import("../../state.js").State} State */
/** @typedef {import("../../../web/types.d.ts").Row} Row */
/** @typedef {import("../../../web/types.d.ts").RowJoint} RowJoint */
/** @typedef {import("../../row.js").Member} Member */

/** Between two plates on the screen, px: room for the hatch that tells how they meet. */
const GAP = 16;
/** Height of a line of figures under a row, px, and the least distance between two of them. */
const LINE = 62;
const APART = 92;
/** No plate is shown higher than this, px. */
const HIGHEST = 270;
/** So far a pointer moves before a plate is dragged, px. */
const SLACK = 6;
/** So many plates are searched without being asked. */
const AT_ONCE = 6;
/** How many of the best are listed. */
const LISTED = 8;
/** The highest a picture is moved in what is asked about it, mm. */
const MOST_RAISED = 15;

/** @param {import("../../state.js").Desk} desk */
export function row(desk) {
  /** The row as a plate is being dragged through it. @type {Row | null} */
  let tentative = null;
  /** @type {{ id: string, x: number, y: number, at: [number, number], moved: boolean, pointer: number } | null} */
  let held = null;
  /** The plate that the keyboard was on last. */
  let chosen = "";
  /** The joint looked at: its plates and way. @type {{ ids: [string, string], down: boolean } | null} */
  let looked = null;
  let raise = 4;
  /** What is to be told once the joints of it are known. */
  let tell = "";
  /** More plates than are searched at once are searched when that is asked for. */
  let asked = "";
  /** What was being looked through when it was stopped. */
  let halted = "";
  let scale = 1;

  const family = () => members(desk.state);
  /** All plates of the family, also those that stand in no row. */
  const whole = () => rowOf(desk.state.row, family());
  const kept = () => standing(whole());
  const now = () => tentative ?? kept();
  /** @param {string} name @param {Row} next @param {string | null} [gesture] */
  const change = (name, next, gesture = null) => desk.changeJob(name, { row: withLeftOut(next, whole()) }, gesture);
  const letterOf = (/** @type {string} */ id) => family().find((each) => each.id === id)?.letter || "?";

  const joints = new Latest(desk, "rows_joints", () => { figures(); announce(); });
  // Cancel ends the search for good: it is begun again when that is asked for.
  const found = new Latest(desk, "rows_find", () => lists(), { stage: "looking through the orders", stopped: () => { asked = ""; halted = key(); } });
  const raised = new Latest(desk, "row_raised", () => sayRaised());
  const close = seam(desk);

  const print = rowPrint(desk);
  const lead = h("p", { class: "lead" });
  const waits = h("p", { class: "row-waits", role: "status" });
  const judged = h("p", { class: "aside row-judged" });
  const inRow = h("div", { class: "row-in", role: "group", "aria-label": "Plates that stand in the row" });
  /** @type {Map<string, HTMLInputElement>} */
  const boxes_ = new Map();
  const over = h("p", { class: "aside row-over" });
  const sums = h("p", { class: "row-sums" });
  const scene = h("div", { class: "row-scene", role: "group", "aria-label": "Plates as the print is read" });
  const well = h("div", { class: "row-well" }, scene);
  const heard = h("p", { class: "hidden", "aria-live": "polite" });
  const trouble = h("p", { class: "row-trouble", role: "status" });
  /** @type {Map<string, ReturnType<typeof plateOf>>} */
  const shown = new Map();
  /** @type {Map<string, { root: HTMLButtonElement, strip: HTMLElement }>} */
  const seams = new Map();

  const align = radios("In line", [["horizon", "horizons"], ["top", "tops"], ["foot", "feet"]], (value) => change("plates aligned", { ...kept(), align: /** @type {any} */ (value) }));
  const weigh = radios("Judged by", [["tone", "tones"], ["both", "tones and shapes"]], (value) => change("what joints are judged by", { ...kept(), weigh: /** @type {any} */ (value) }));
  const turns = checkbox("Plates may be turned round", (on) => change("plates may be turned", { ...kept(), turns: on }));
  const columns = rangedField(desk, "Plates in a row", { what: "A row", range: [1, 30], unit: "", places: 0, take: (value) => {
    const count = Math.round(value);
    change("plates in a row", { ...kept(), columns: count >= kept().plates.length ? null : count });
  } });
  const gap = rangedLength(desk, "Gap", { what: "A gap", range: [0, 200], take: (mm) => { change("gap between plates", { ...kept(), gap_mm: mm }); } });
  const gapDown = rangedLength(desk, "Gap between rows", { what: "A gap", range: [0, 200], take: (mm) => { change("gap between rows", { ...kept(), gap_down_mm: mm }); } });
  const bar = h("div", { class: "row-bar fields" }, align.root, weigh.root, columns.root, gap.root, gapDown.root, turns.root);

  const name = h("h4", null);
  const turn = h("button", { type: "button", onclick: () => act("t") }, "Turn it round");
  const left = h("button", { type: "button", onclick: () => act("ArrowLeft") }, "Move it before");
  const right = h("button", { type: "button", onclick: () => act("ArrowRight") }, "Move it after");
  const pinPlace = checkbox("Keeps its place in the search", (on) => { pin({ place_pinned: on }, on ? "kept in its place" : "free to move"); });
  const pinTurn = checkbox("Keeps its turn", (on) => { pin({ turn_pinned: on }, on ? "kept as it is turned" : "free to turn"); });
  const horizon = rangedLength(desk, "Horizon from its top", { what: "A horizon", range: [0, 2000], take: (mm) => {
    const high = family().find(({ id }) => id === chosen)?.plate_mm[1] ?? 0;
    if (mm > high) {
      desk.notice(`A horizon lies on its plate, 0 to ${number(high)} mm from its top; ${number(mm)} mm came.`, "refused");
      return false;
    }
    pin({ horizon_mm: mm }, "given a horizon");
  } });
  const higher = rangedField(desk, "If its picture lay higher by", { what: "A picture moved on its plate", range: [-MOST_RAISED, MOST_RAISED], unit: "mm", places: 1, take: (mm) => { raise = mm; askRaised(); } });
  const wins = h("p", { class: "row-wins" });
  const plateBar = h("div", { class: "row-plate-bar" }, h("div", { class: "row acts-row" }, name, left, right, turn), h("div", { class: "row-pins" }, pinPlace.root, pinTurn.root, horizon.root),
    h("div", { class: "row-raise" }, higher.root, wins));

  const search = h("button", { type: "button", onclick: () => { halted = ""; asked = key(); askFound(); } }, "Look through all orders");
  const counted = h("p", { class: "aside" });
  const best = orders("These run on best");
  const mild = orders("Its worst joint is the mildest");
  const contrast = orders("Most contrast");
  const lists_ = h("div", { class: "row-found" }, counted, search, best.root, mild.root, contrast.root);
  const keys = h("p", { class: "aside" }, "Drag a plate to its place. By keyboard: arrow keys move it, T turns it round, P keeps it in its place. Never mirrored: metal can’t be.");
  const many = h("div", { class: "row-many" }, bar, judged, well, print.root, keys, trouble, heard, plateBar, h("div", { class: "row-two" }, lists_, close.root));
  const root = h("section", { class: "row-part", "aria-labelledby": "h-row" },
    h("div", { class: "over" }, h("h3", { id: "h-row" }, "Side by side"), sums, sign("print")), lead, waits, inRow, over, many);
  close.closes(() => { looked = null; draw(desk.state); });
  new ResizeObserver(() => { if (root.offsetParent !== null) lay(desk.state); }).observe(well);

  /** A list of orders, each to be taken. @param {string} title */
  function orders(title) {
    const list = h("ol", { class: "row-orders" });
    const part = h("div", null, h("h4", null, title), list);
    return {
      root: part,
      /** @param {import("../../../web/types.d.ts").RowOrder[]} all @param {Row} plain */
      set(all, plain) {
        part.hidden = all.length === 0;
        const count = columnsOf(plain);
        const letter = (/** @type {number} */ plate) => letterOf(plain.plates[plate].id);
        list.replaceChildren(...all.map((one) => {
          const here = stands(now(), plain, one.order);
          return h("li", null, h("button", { type: "button", class: "row-order", "aria-pressed": String(here), onclick: () => take(one, plain) },
            h("b", null, orderWords(one.order, letter, count)), h("span", null, orderFigures(one, letter)), here ? h("em", null, "as it stands") : null));
        }));
      },
    };
  }

  /** @param {import("../../../web/types.d.ts").RowOrder} one @param {Row} plain */
  function take(one, plain) {
    const next = ordered(kept(), plain, one.order);
    tell = `They stand ${orderWords(one.order, (plate) => letterOf(plain.plates[plate].id), columnsOf(plain))} now`;
    change("order of the plates", next);
  }

  /** @param {Partial<import("../../../web/types.d.ts").RowPlace>} patch @param {string} what */
  function pin(patch, what) {
    const at = kept().plates.findIndex(({ id }) => id === chosen);
    if (at < 0) return;
    change(`plate ${letterOf(chosen)} ${what}`, withPlace(kept(), at, patch));
  }

  /** What a key does with the chosen plate; false where it means nothing here. @param {string} press */
  function act(press) {
    const of = kept();
    const at = of.plates.findIndex(({ id }) => id === chosen);
    if (at < 0) return false;
    const wide = columnsOf(of);
    const step = { ArrowLeft: -1, ArrowRight: 1, ArrowUp: -wide, ArrowDown: wide }[press];
    const letter = letterOf(chosen);
    if (step !== undefined) {
      const to = at + step;
      if (to < 0 || to >= of.plates.length || (Math.abs(step) > 1 && wide >= of.plates.length)) {
        say(heard, `Plate ${letter} is the ${at === 0 ? "first" : at === of.plates.length - 1 ? "last" : "one it was"}.`);
        return true;
      }
      // From row to row two plates change places; within one the others move up.
      const next = Math.abs(step) === 1 ? movedTo(of, at, to) : { ...of, plates: of.plates.map((plate, k) => k === at ? of.plates[to] : k === to ? of.plates[at] : plate) };
      tell = `Plate ${letter} is number ${to + 1} of ${of.plates.length} now`;
      change(`plate ${letter} moved`, next, `move ${chosen}`);
    } else if (press === "t" || press === "T") {
      const turned = !of.plates[at].turned;
      tell = `Plate ${letter} is ${turned ? "turned round" : "upright again"}`;
      change(`plate ${letter} ${turned ? "turned round" : "turned upright"}`, withPlace(of, at, { turned }));
    } else if (press === "p" || press === "P") {
      const place_pinned = !of.plates[at].place_pinned;
      say(heard, `Plate ${letter} ${place_pinned ? "keeps its place in the search" : "is free to move in the search"}.`);
      change(`plate ${letter} ${place_pinned ? "kept in its place" : "free to move"}`, withPlace(of, at, { place_pinned }));
    } else return false;
    return true;
  }

  /** A plate in the scene. @param {string} id */
  function plateOf(id) {
    const canvas = h("canvas", { width: 8, height: 8, "aria-hidden": "true" });
    const letter = h("b", null);
    const marks = h("span", { class: "row-marks" });
    const face = h("span", { class: "row-face" }, canvas);
    const button = h("button", { type: "button", class: "row-plate" }, face, letter, marks);
    const item = h("div", { class: "row-item" }, button);
    const picture = new Latest(desk, "picture", () => { if (picture.found) show(canvas, picture.found); });
    button.addEventListener("focus", () => { choose(id); });
    button.addEventListener("click", () => { choose(id); });
    button.addEventListener("keydown", (event) => {
      if (event.ctrlKey || event.metaKey || event.altKey) return;
      if (event.key === "Escape" && held) return drop(true);
      choose(id);
      if (!act(event.key)) return;
      event.preventDefault();
      button.focus({ preventScroll: true });
    });
    button.addEventListener("pointerdown", (event) => {
      if (event.button !== 0 || held) return;
      const box = scene.getBoundingClientRect();
      held = { id, x: event.clientX, y: event.clientY, at: [event.clientX - box.left - item.offsetLeft, event.clientY - box.top - item.offsetTop], moved: false, pointer: event.pointerId };
      button.setPointerCapture(event.pointerId);
    });
    button.addEventListener("pointermove", (event) => {
      if (!held || held.id !== id) return;
      if (!held.moved && Math.hypot(event.clientX - held.x, event.clientY - held.y) < SLACK) return;
      if (!held.moved) {
        held.moved = true;
        tentative = kept();
        choose(id);
        item.classList.add("held");
      }
      drag(event, item);
    });
    button.addEventListener("pointerup", () => drop(false));
    button.addEventListener("pointercancel", () => drop(true));
    return {
      root: item, button,
      /** @param {State} state @param {Member} member @param {import("../../../web/types.d.ts").RowPlace} place @param {number} at @param {number} count */
      update(state, member, place, at, count) {
        say(letter, member.letter || "–");
        const said = [place.turned ? "turned" : "", place.place_pinned ? "keeps place" : "", place.turn_pinned ? "keeps turn" : ""].filter(Boolean);
        if (marks.textContent !== said.join("")) marks.replaceChildren(...said.map((word) => h("i", null, word)));
        button.dataset.turned = String(place.turned);
        button.dataset.chosen = String(id === chosen);
        const pins = [place.place_pinned ? ", keeps its place" : "", place.turn_pinned ? ", keeps its turn" : ""].join("");
        assign(button, { "aria-label": `Plate ${member.letter}, ${member.title}, number ${at + 1} of ${count}, ${place.turned ? "turned round" : "upright"}${pins}`, "aria-description": "Arrow keys move it, T turns it round, P keeps it in its place" });
        const bevel = scale * (member.plate_mm[0] - member.face_mm[0]) / 2;
        face.style.inset = `${bevel}px`;
        if (!member.ready) return;
        const px = Math.min(2, globalThis.devicePixelRatio || 1);
        const size = member.face_mm.map((mm) => Math.max(1, Math.round(mm * scale * px)));
        if (!held) picture.ask({ kind: "member", plate: member.plate, view: "print", width: size[0], height: size[1] }, member.plate === null ? ofPlan(state) : "");
      },
    };
  }

  /** @param {PointerEvent} event @param {HTMLElement} item */
  function drag(event, item) {
    if (!held || !tentative) return;
    const box = scene.getBoundingClientRect();
    const [x, y] = [event.clientX - box.left - held.at[0], event.clientY - box.top - held.at[1]];
    const middle = [x + item.offsetWidth / 2, y + item.offsetHeight / 2];
    const { boxes, rows } = layout(tentative);
    const wide = columnsOf(tentative);
    // The row it is over, and in it as many plates before it as have their middle at its left.
    const line = Math.max(0, rows.findLastIndex(({ top }) => middle[1] >= top * scale - LINE / 2));
    const from = tentative.plates.findIndex(({ id }) => id === held?.id);
    const others = tentative.plates.map((_, k) => k).filter((k) => k !== from && Math.floor(k / wide) === line);
    const before = others.filter((k) => (boxes[k].x + boxes[k].width / 2) * scale < middle[0]).length;
    const to = Math.min(line * wide + before, line * wide + wide - 1, tentative.plates.length - 1);
    if (to !== from) tentative = movedTo(tentative, from, to);
    draw(desk.state);
    Object.assign(item.style, { left: `${x}px`, top: `${y}px` });
  }

  /** @param {boolean} back */
  function drop(back) {
    const was = held;
    const next = tentative;
    held = null;
    tentative = null;
    if (!was?.moved) return;
    shown.get(was.id)?.root.classList.remove("held");
    const same = next && next.plates.every(({ id }, k) => id === kept().plates[k].id);
    if (back || !next || same || !change(`plate ${letterOf(was.id)} moved`, next)) draw(desk.state);
    else tell = `Plate ${letterOf(was.id)} is number ${next.plates.findIndex(({ id }) => id === was.id) + 1} of ${next.plates.length} now`;
  }

  /** @param {string} id */
  function choose(id) {
    if (chosen === id) return;
    chosen = id;
    draw(desk.state);
  }

  /** @param {Row} of */
  function layout(of) {
    const lines = of.plates.length > columnsOf(of) ? 2 : 1;
    return placed(of, family(), { gap: GAP / scale, band: lines * LINE / scale });
  }

  /** Plates and seams where they lie. @param {State} state */
  function lay(state) {
    const of = now();
    const all = family();
    const wide = columnsOf(of);
    const plain = placed(of, all, { gap: 0, band: 0 });
    const room = well.clientWidth - 2;
    const highest = Math.max(...plain.rows.map(({ top, foot }) => foot - top));
    const narrowest = Math.min(...of.plates.slice(0, -1).map(({ id }) => all.find((each) => each.id === id)?.plate_mm[0] ?? 1), Infinity);
    const fits = Math.min((room - (wide - 1) * GAP) / plain.width, HIGHEST / highest);
    // Figures of neighbouring joints stand clear of one another; where that takes more room the scene is scrolled.
    scale = Math.max(fits, wide > 2 ? (APART - GAP) / narrowest : 0, 0.05);
    const { boxes, rows, width, height } = layout(of);
    Object.assign(scene.style, { width: `${width * scale}px`, height: `${height * scale}px` });
    for (const [k, place] of of.plates.entries()) {
      const plate = shown.get(place.id);
      const member = all.find(({ id }) => id === place.id);
      if (!plate || !member) continue;
      Object.assign(plate.root.style, { width: `${boxes[k].width * scale}px`, height: `${boxes[k].height * scale}px` });
      if (held?.id !== place.id || !held.moved) Object.assign(plate.root.style, { left: `${boxes[k].x * scale}px`, top: `${boxes[k].y * scale}px` });
      plate.update(state, member, place, k, of.plates.length);
    }
    for (const [id, { root: button, strip }] of seams) {
      const [first, second, down] = id.split(" ").map(Number);
      const [a, b] = [boxes[first], boxes[second]];
      if (!a || !b) continue;
      const foot = rows[Math.floor(first / wide)].foot;
      if (down) {
        const [from, to] = [Math.max(a.x, b.x), Math.min(a.x + a.width, b.x + b.width)];
        Object.assign(strip.style, { left: `${from * scale}px`, width: `${(to - from) * scale}px`, top: `${(foot * scale) + LINE * 2 - 13}px`, height: "9px" });
        Object.assign(button.style, { left: `${(from + to) / 2 * scale}px`, top: `${foot * scale + LINE - 8}px` });
      } else {
        const [top, end] = [Math.max(a.y, b.y), Math.min(a.y + a.height, b.y + b.height)];
        Object.assign(strip.style, { left: `${(a.x + a.width) * scale + 2.5}px`, width: `${(b.x - a.x - a.width) * scale - 5}px`, top: `${top * scale}px`, height: `${Math.max(0, end - top) * scale}px` });
        Object.assign(button.style, { left: `${(a.x + a.width + b.x) / 2 * scale}px`, top: `${foot * scale + 4}px` });
      }
    }
  }

  /** The figures of each joint, as they are known. */
  function figures() {
    const of = now();
    const answer = joints.found;
    say(trouble, joints.trouble);
    const { units } = desk.state;
    const spec = specOf(of, family());
    const old = family().some((each) => each.old && of.plates.some(({ id }) => id === each.id));
    const stale = old || !joints.current;
    /** Whether what was answered of two places is of the plates that stand there now. @param {number} place */
    const same = (place) => spec !== null && JSON.stringify(joints.foundOf?.plates[place]) === JSON.stringify(spec.plates[place]);
    for (const [id, { root: button, strip }] of seams) {
      const [first, second, down] = id.split(" ").map(Number);
      const joint = same(first) && same(second) ? answer?.joints.find(({ between, down: below }) => between[0] === first && between[1] === second && below === Boolean(down)) : undefined;
      const pair = `${letterOf(of.plates[first]?.id)} ${down ? "over" : "|"} ${letterOf(of.plates[second]?.id)}`;
      button.classList.toggle("stale", stale);
      strip.classList.toggle("stale", stale);
      strip.dataset.looks = joint?.looks ?? "";
      button.dataset.looks = joint?.looks ?? "";
      const [tone, shape, looks] = /** @type {HTMLElement[]} */ ([...button.children]);
      const brief = joint ? briefly(joint, units, joints.foundOf?.weigh) : { tone: "…", shape: "" };
      say(tone, brief.tone);
      say(shape, brief.shape);
      say(looks, joint ? looksWords(joint.looks).toLowerCase() : "");
      assign(button, {
        // What is read stands first, as it is read.
        "aria-label": joint ? `${brief.tone} ${brief.shape} ${looksWords(joint.looks).toLowerCase()}: joint ${pair}, ${joint.tone === null ? "no height in common" : shapeWords(joint.shape_mm, units)}. Press to see it at true size` : `… joint ${pair}`,
        "aria-pressed": String(looked !== null && looked.ids[0] === of.plates[first]?.id && looked.ids[1] === of.plates[second]?.id && looked.down === Boolean(down)),
      });
    }
    say(sums, answer && answer.joints.length && spec ? `worst joint ${tenths(answer.worst)}, sum ${tenths(answer.sum)} L*` : "");
    sums.classList.toggle("stale", stale);
    say(judged, weighWords(of.weigh, units, answer && !stale ? answer.joints.filter(({ tone }) => tone === null).length : 0));
    const joint = looked && answer && joints.current ? answer.joints.find((each) => looked && each.down === looked.down && of.plates[each.between[0]]?.id === looked.ids[0] && of.plates[each.between[1]]?.id === looked.ids[1]) ?? null : null;
    if (joint || !looked || joints.current) close.update(desk.state, of, family(), joint && isJoint(of, joint.between, joint.down) ? spec : null, joint);
  }

  /** Says what was done, with the joints that it makes. */
  function announce() {
    if (!tell || !joints.current || !joints.found) return;
    const { worst, sum } = joints.found;
    say(heard, `${tell}: worst joint ${tenths(worst)}, sum ${tenths(sum)} L*.`);
    tell = "";
  }

  /** What the search depends on. */
  function key() {
    const of = kept();
    const plain = plainly(of, family());
    return JSON.stringify([specOf(plain, family()), pinsOf(of, plain), of.turns, ofPlan(desk.state)]);
  }

  function askFound() {
    const of = kept();
    const plain = plainly(of, family());
    const spec = specOf({ ...plain, plates: plain.plates.map((plate) => ({ ...plate, turned: false })) }, family());
    const count = of.plates.length;
    const grid = columnsOf(of) < count;
    const quick = (count <= AT_ONCE || (!grid && count <= AT_ONCE + 2)) && halted !== key();
    const due = spec !== null && count > 1 && count <= MOST_SEARCHED && (quick || asked === key());
    search.hidden = quick || count > MOST_SEARCHED || asked === key();
    found.ask(due ? { row: /** @type {NonNullable<typeof spec>} */ (spec), turns: of.turns, pins: pinsOf(of, plain), most: LISTED } : null, ofPlan(desk.state));
    lists();
  }

  function lists() {
    const of = kept();
    const count = of.plates.length;
    const plain = plainly(of, family());
    const all = grouped(ordersOf(of, family()));
    const pinned = of.plates.some(({ place_pinned, turn_pinned }) => place_pinned || turn_pinned);
    const answer = found.found;
    lists_.classList.toggle("stale", !found.current || family().some((each) => each.old && of.plates.some(({ id }) => id === each.id)));
    if (count > MOST_SEARCHED) say(counted, `${sentence(words(count))} plates are more than can be looked through: ${MOST_SEARCHED} at the most. Their joints show as they stand; for the best order take some out of the family.`);
    else if (found.trouble) say(counted, found.trouble);
    else if (!search.hidden) say(counted, `${all} orders of these ${count} plates.`);
    else if (found.busy && !found.current) say(counted, `${all} orders are being looked through…`);
    else if (answer) say(counted, answer.exact ? `The best of ${grouped(answer.orders)} orders${pinned ? ", those that keep what is to be kept" : ""}: proven, every one is weighed.${of.turns ? " A whole print turned round is the same order and counts once." : ""}` : `Of ${grouped(answer.orders)} orders these are the best that were found in a limited search; none can come to less than ${tenths(answer.bound)} L* in all.`);
    else say(counted, "");
    const usable = answer && found.current && !found.trouble && answer.run_on[0]?.order.length === count;
    best.set(usable ? answer.run_on : [], plain);
    mild.set(usable ? [answer.mildest] : [], plain);
    contrast.set(usable ? answer.contrast : [], plain);
  }

  function askRaised() {
    const of = now();
    const place = of.plates.findIndex(({ id }) => id === chosen);
    const spec = specOf(of, family());
    raised.ask(spec && place >= 0 && of.plates.length > 1 && !held ? { row: spec, place, by_mm: raise } : null, ofPlan(desk.state));
    sayRaised();
  }

  function sayRaised() {
    higher.set(raise);
    say(wins, raised.trouble || (raised.current && raised.found ? raised.found.sentence : ""));
  }

  /** @param {State} state */
  function draw(state) {
    const of = now();
    const all = family();
    const count = of.plates.length;
    if (!of.plates.some(({ id }) => id === chosen)) chosen = of.plates[0]?.id ?? "";
    for (const { id } of of.plates) if (!shown.has(id)) shown.set(id, plateOf(id));
    for (const id of [...shown.keys()]) if (!of.plates.some((each) => each.id === id)) shown.delete(id);
    const wanted = new Set();
    for (let k = 0; k < count; k++) {
      for (const down of [false, true]) {
        const other = down ? k + columnsOf(of) : k + 1;
        if (isJoint(of, [k, other], down)) wanted.add(`${k} ${other} ${Number(down)}`);
      }
    }
    for (const id of wanted) if (!seams.has(id)) seams.set(id, jointOf(id));
    for (const id of [...seams.keys()]) if (!wanted.has(id)) seams.delete(id);
    // The plates first, in the order of the print, so that the keyboard goes along it; what is there already stays where it is in the page.
    const parts = [...of.plates.map(({ id }) => /** @type {HTMLElement} */ (shown.get(id)?.root)), ...[...seams.values()].flatMap(({ root: button, strip }) => [strip, button])];
    if (!held && (parts.length !== scene.children.length || parts.some((part, k) => scene.children[k] !== part))) {
      const focus = document.activeElement;
      scene.replaceChildren(...parts);
      if (focus instanceof HTMLElement && scene.contains(focus)) focus.focus({ preventScroll: true });
    }
    lay(state);
    joints.ask(specOf(of, all), ofPlan(state));
    figures();
    const at = of.plates.findIndex(({ id }) => id === chosen);
    const place = of.plates[at];
    if (place) {
      say(name, `Plate ${letterOf(chosen)}`);
      left.disabled = at === 0;
      right.disabled = at === count - 1;
      say(turn, place.turned ? "Turn it upright" : "Turn it round");
      pinPlace.set(place.place_pinned);
      pinTurn.set(place.turn_pinned);
      horizon.set(place.horizon_mm ?? (all.find(({ id }) => id === chosen)?.plate_mm[1] ?? 0) / 2);
      horizon.root.hidden = of.align !== "horizon";
    }
    askRaised();
  }

  /** A box for each plate: whether it stands in the row. @param {Member[]} all */
  function stand(all) {
    inRow.hidden = all.length < 2;
    const sorted = [...all].sort(byLetter);
    for (const id of [...boxes_.keys()]) if (!all.some((each) => each.id === id)) boxes_.delete(id);
    for (const { id } of sorted) {
      if (!boxes_.has(id)) boxes_.set(id, h("input", { type: "checkbox", onchange: () => {
        const box = /** @type {HTMLInputElement} */ (boxes_.get(id));
        const out = !box.checked;
        if (!desk.changeJob(`plate ${letterOf(id)} ${out ? "taken out of" : "taken into"} the row`, { row: takenOut(whole(), id, out) })) box.checked = out;
      } }));
    }
    const key_ = sorted.map(({ id, letter }) => `${id} ${letter}`).join();
    if (inRow.dataset.key !== key_) {
      inRow.dataset.key = key_;
      inRow.replaceChildren(h("span", null, "Stand in this row:"), ...sorted.map(({ id, letter }) => h("label", { class: "check" }, /** @type {HTMLElement} */ (boxes_.get(id)), h("span", null, letter || "–"))));
    }
    const { plates } = whole();
    for (const { id, letter } of all) {
      const box = /** @type {HTMLInputElement} */ (boxes_.get(id));
      box.checked = !plates.some((each) => each.id === id && each.out);
      assign(box, { "aria-label": `Plate ${letter} stands in this row` });
    }
  }

  /** The button of a joint and the hatch at its seam. @param {string} id */
  function jointOf(id) {
    const strip = h("i", { class: "row-seam", "aria-hidden": "true" });
    const button = h("button", { type: "button", class: "row-joint", onclick: () => {
      const [first, second, down] = id.split(" ").map(Number);
      const { plates } = now();
      const same = looked && looked.ids[0] === plates[first].id && looked.ids[1] === plates[second].id && looked.down === Boolean(down);
      looked = same ? null : { ids: [plates[first].id, plates[second].id], down: Boolean(down) };
      figures();
    } }, h("b", null), " ", h("span", null), " ", h("em", null));
    return { root: button, strip };
  }

  return {
    root,
    /** @param {State} state */
    update(state) {
      const of = kept();
      const all = family();
      const count = of.plates.length;
      const left = inOrder(whole().plates.filter(({ out }) => out).map(({ id }) => letterOf(id)));
      many.hidden = count < 2;
      say(lead, all.length < 2 ? "Only one plate so far. Add another above: side by side in the print they are laid here, in every order, and their facing edges compared."
        : count < 2 ? "A row begins with two plates: take one into it." : "As the print is read. At each joint the two facing edges are compared by height, 3 to 5 mm inside the faces: how far their tones lie apart, and their main edges.");
      say(waits, all.length < 2 ? "" : waitWords(all.filter(({ id }) => of.plates.some((each) => each.id === id))));
      stand(all);
      say(over, left.length ? `${left.length > 1 ? `Plates ${left.join(", ")} stand` : `Plate ${left[0]} stands`} in no row: printed over others or alone, each lies by itself on the bed, and has a registration template of its own among the sheets.` : "");
      align.set(of.align);
      weigh.set(of.weigh);
      turns.set(of.turns);
      columns.set(columnsOf(of));
      gap.set(of.gap_mm);
      gapDown.set(of.gap_down_mm);
      gapDown.root.hidden = columnsOf(of) >= count;
      if (count < 2) {
        say(sums, "");
        found.ask(null);
        joints.ask(null);
        print.update(state, null);
        return;
      }
      draw(state);
      askFound();
      print.update(state, specOf(of, all));
    },
  };
}
