/** The printed strip read from a photograph or a scan: chosen, found or marked, its bands looked at and set right, then handed to the form. */
import { assign, h, say, svg } from "../../dom.js";
import { numberField, radios } from "../../fields.js";
import { number, percent, readNumber } from "../../format.js";
import { handle } from "../../handles.js";
import { dropped, edges, edgeTo, merged, placeOf, reversed, shareOf, split, turned } from "../../strip-bands.js";
import { StripPicture } from "../../strip-picture.js";

/** @typedef {import("../../strip-bands.js").Point} Point */
/** @typedef {import("../../strip-bands.js").Corners} Corners */
/** @typedef {import("../../strip-bands.js").Band} Band */
/** @typedef {import("../../../web/types.d.ts").StripPhoto} StripPhoto */
/** @typedef {import("../../../web/types.d.ts").StripPlace} StripPlace */

const TYPES = "image/png,image/jpeg,image/tiff,image/webp,image/bmp,.png,.jpg,.jpeg,.tif,.tiff,.webp,.bmp";
const CORNERS = ["Paper end, first", "Dark end, first", "Dark end, second", "Paper end, second"];
/** What is shown round the strip, in its widths. */
const ROUND = 0.9;
/** Edges nearer than this on the screen are shown for the chosen band alone. */
const LEAST_APART = 48;

/** @param {import("../../state.js").Desk} desk @param {(readings: { lightness: number | null }[], how: "photo" | "scan") => void} give takes the L* of each band, the paper first; null where it can't be told @returns {import("../../state.js").Part} */
export function photo(desk, give) {
  /** @type {{ width: number, height: number, name: string } | null} */
  let opened = null;
  let count = 0;
  /** @type {StripPhoto | null} */
  let found = null;
  /** Where the strip is, as found or set. @type {Corners | null} */
  let corners = null;
  /** Its bands as edited; null: as found. @type {Band[] | null} */
  let edited = null;
  /** Points pressed while its ends are being marked; null: they are not. @type {Point[] | null} */
  let ends = null;
  let chosen = 0;
  let whole = true;
  let unbitten = true;
  let setting = false;
  let how = /** @type {"photo" | "scan"} */ ("photo");
  let by = /** @type {"typed" | "by_eye" | "card"} */ ("typed");
  /** @type {Record<typeof by, number | null>} */
  const lightness = { typed: null, by_eye: null, card: null };
  /** Where the mark for the grey card stands, and whether it was put there by hand. @type {Point | null} */
  let card = null;
  let pointed = false;
  /** Whether what is shown is what was asked for last: a refusal leaves the bands before on the picture, not to be used. */
  let failed = false;
  /** Only the last asked counts. */
  let asked = 0;

  const pick = (/** @type {string | null} */ capture, /** @type {string} */ label) => h("input", { type: "file", accept: capture ? "image/*" : TYPES, capture, hidden: true, "aria-label": label, onchange: take });
  const [file, camera] = [pick(null, "Choose a picture of the strip"), pick("environment", "Photograph the strip")];
  const said = h("p", { class: "said", role: "status" });
  const picture = new StripPicture(desk, () => draw());
  const ground = picture;

  // Bands and marks over the picture.
  const bandMarks = svg("g", { class: "bands" });
  const frame = svg("path", { class: "outline" });
  const pressed = svg("g", { class: "pressed" });
  picture.lines.append(bandMarks, frame, pressed);
  const cornerHandles = CORNERS.map((name, i) => handle(ground, {
    look: "strip-corner", label: () => `${name} corner of the strip`,
    drag: (at) => outline(at, i),
    drop: (at) => {
      if (!corners) return;
      corners = /** @type {Corners} */ (corners.map((corner, k) => (k === i ? inside(picture.whole(at)) : corner)));
      setting = false;
      read({ kind: "corners", corners, directed: true });
    },
    by: () => Math.max(1, 0.002 * Math.max(...picture.size())),
  }));
  const cardHandle = handle(ground, {
    look: "card", label: () => "Point on the grey card",
    drop: (at) => {
      card = inside(picture.whole(at));
      pointed = true;
      again();
    },
  });
  /** @type {ReturnType<typeof handle>[]} */
  let edgeHandles = [];

  const crowd = h("p", { class: "aside" });
  const marking = h("button", { type: "button", "aria-pressed": "false", onclick: () => {
    ends = ends ? null : [];
    if (ends) {
      whole = true;
      look();
    }
    draw();
  } }, "Mark its ends");
  const look4 = h("button", { type: "button", onclick: () => { edited = null; read({ kind: "found" }); } }, "Find it again");
  const turn = h("button", { type: "button", onclick: () => {
    if (!corners || !found) return;
    edited = edited ? reversed(edited) : null;
    corners = turned(corners);
    read({ kind: "corners", corners, directed: true });
  } }, "Turn it round");
  const zoom = h("button", { type: "button", onclick: () => { whole = !whole; look(); draw(); } }, "Show the whole picture");
  picture.root.querySelector("figcaption")?.append(h("div", { class: "bar start" }, marking, look4, turn, zoom), crowd);
  picture.canvas.addEventListener("pointerdown", press);

  const kind = radios("This is", [["photo", "a photo"], ["scan", "a scan"]], (value) => { how = /** @type {any} */ (value); });
  const paperBy = radios("The paper's L*", [["typed", "measured"], ["by_eye", "by eye"], ["card", "by a grey card"]], (value) => {
    by = /** @type {any} */ (value);
    if (by === "card" && opened) {
      card ??= cardCorner();
      whole = true;
      look();
    }
    draw();
    again();
    if (by === "card") cardHandle.root.focus();
  });
  const paper = numberField("Paper", {
    read: readNumber, write: (value) => (value > 0 ? number(value, 2) : ""), unit: "L*", refuse: (sentence) => desk.notice(sentence, "refused"),
    take: (value) => {
      lightness[by] = value;
      again();
    },
  });
  const hint = h("p", { class: "aside" });
  const rows = h("tbody", null);
  const list = h("table", { class: "photo-bands" }, h("caption", null, "Bands as read"),
    h("thead", null, h("tr", null, ...["Band", "L*", "Spread", "Left out"].map((text) => h("th", { scope: "col" }, text)))), rows);
  const act = (/** @type {string} */ text, /** @type {(bands: Band[], i: number) => Band[]} */ edit) => h("button", { type: "button", onclick: () => {
    const now = bands();
    const next = edit(now, chosen);
    if (next === now || next.length === 0) return;
    chosen = Math.min(chosen, next.length - 1);
    change(next);
  } }, text);
  const acts = [act("Split it", split), act("Merge with the next", merged), act("Drop it", dropped)];
  const asFound = h("button", { type: "button", onclick: () => {
    edited = null;
    if (corners) read({ kind: "corners", corners, directed: true });
  } }, "Bands as found");
  const first = h("input", { type: "checkbox", onchange: () => { unbitten = first.checked; fill(); } });
  const notes = h("ul", { class: "notes" });
  const use = h("button", { type: "button", class: "first", onclick: hand }, "Use these readings");
  const why = h("p", { class: "aside" });
  const result = h("div", { class: "column" },
    h("div", { class: "row" }, paperBy.root, paper.root), hint, h("div", { class: "scroll", tabindex: 0, role: "region", "aria-label": "Table of the bands" }, list),
    h("div", { class: "acts" }, ...acts, asFound),
    h("label", { class: "check" }, first, h("span", null, "The first band is the strip's unbitten end")),
    notes, kind.root, why, h("div", { class: "acts" }, use));
  const work = h("div", { class: "photo-work", hidden: true }, picture.root, result);
  const root = h("section", { class: "part strip-photo-part", "aria-labelledby": "h-strip-photo" },
    h("h3", { id: "h-strip-photo" }, "Read it off a photograph or a scan"),
    h("p", { class: "aside" }, "Lay the dry print flat in even light, no flash, bare paper along both long sides, the phone straight above it. A flatbed scan without automatic correction is truer: a phone may bend its tones. Each band is compared with the paper beside it; you type the times."),
    h("div", { class: "acts" }, h("button", { type: "button", onclick: () => file.click() }, "Choose a picture of the strip"),
      h("button", { type: "button", onclick: () => camera.click() }, "Photograph it"), file, camera),
    said, work);
  kind.set(how);
  paperBy.set(by);

  // A file dropped here is the strip's, never the drawing's.
  for (const name of ["dragenter", "dragover", "dragleave", "drop"]) {
    root.addEventListener(name, (event) => {
      const data = /** @type {DragEvent} */ (event).dataTransfer;
      if (!data?.types.includes("Files")) return;
      event.preventDefault();
      event.stopPropagation();
      root.classList.toggle("over", name === "dragenter" || name === "dragover");
      const dropped = name === "drop" ? data.files[0] : null;
      if (dropped) open(dropped, dropped.name);
    });
  }

  /** @param {Event} event */
  function take(event) {
    const input = /** @type {HTMLInputElement} */ (event.target);
    const one = input.files?.[0];
    input.value = "";
    if (one) open(one, one.name);
  }

  /** @param {Blob} blob @param {string} name */
  async function open(blob, name) {
    try {
      const facts = await desk.busy(`opening ${name}`, desk.bridge.call("strip_photo_open", { file: blob, name }));
      opened = { width: facts.width, height: facts.height, name };
      count++;
      [found, corners, edited, ends, card, chosen, whole, setting] = [null, null, null, null, null, 0, true, false];
      [pointed, failed] = [false, false];
      if (by === "card") card = cardCorner();
      work.hidden = false;
      tell("");
      look();
      draw();
      await read({ kind: "found" });
    } catch (error) {
      tell(/** @type {Error} */ (error).message);
    }
  }

  /** @param {string} sentence */
  function tell(sentence) {
    say(said, sentence);
  }

  /** @param {Point} at @returns {Point} */
  function inside([x, y]) {
    return opened ? [Math.round(Math.min(opened.width, Math.max(0, x)) * 10) / 10, Math.round(Math.min(opened.height, Math.max(0, y)) * 10) / 10] : [x, y];
  }

  /** @returns {import("../../../web/types.d.ts").StripPaper} */
  function wanted() {
    const l = lightness[by];
    if (by === "card") return l !== null && card && pointed ? { kind: "card", at: card, lightness: l } : { kind: "typed", lightness: 100 };
    // Without it readings are relative for now: the paper counts as 100, and can't be used.
    return { kind: by, lightness: l ?? 100 };
  }

  /** A quarter of the picture where the mark for the card is in nobody's way. @returns {Point} */
  function cardCorner() {
    return opened ? [0.86 * opened.width, 0.86 * opened.height] : [0, 0];
  }

  function again() {
    if (corners) read({ kind: "corners", corners, directed: true });
  }

  /** @param {StripPlace} place */
  async function read(place) {
    if (!opened) return;
    const turn = ++asked;
    const picked = count;
    // Bands are shares of a strip whose place is known; where it is looked for, they are found anew.
    const keep = place.kind === "corners" ? edited : null;
    root.classList.add("reading");
    try {
      const got = await desk.busy("reading the strip", desk.bridge.call("strip_photo_read", { place, bands: keep, paper: wanted() }));
      if (turn !== asked || picked !== count) return;
      const before = found?.bands.length;
      const news = !corners || place.kind !== "corners";
      found = got;
      corners = /** @type {Corners} */ (got.corners);
      if (news || before !== got.bands.length) unbitten = got.unbitten;
      if (place.kind !== "corners") {
        edited = null;
        whole = by === "card";
        chosen = 0;
      }
      ends = null;
      setting = false;
      failed = false;
      const read = got.bands.filter((band) => band.lightness !== null).length;
      tell(`${got.bands.length} bands are found, ${read === got.bands.length ? "all" : read} of them read. Look at their edges on the picture; drag one that is off.`);
      look();
    } catch (error) {
      if (turn !== asked || picked !== count) return;
      tell(/** @type {Error} */ (error).message);
      if (/** @type {any} */ (error).code === "no_strip_photo") work.hidden = true;
      failed = true;
      // The bands before stay in sight where the strip was not moved; they are not to be used.
      if (place.kind !== "corners") found = null;
      // Something to take hold of, whatever could not be told.
      if (!corners && opened) {
        const { width: w, height: high } = opened;
        corners = w > high ? [[0.15 * w, 0.4 * high], [0.85 * w, 0.4 * high], [0.85 * w, 0.6 * high], [0.15 * w, 0.6 * high]]
          : [[0.6 * w, 0.15 * high], [0.6 * w, 0.85 * high], [0.4 * w, 0.85 * high], [0.4 * w, 0.15 * high]];
        setting = true;
      }
    } finally {
      // A later one may be on its way still.
      if (turn === asked) root.classList.remove("reading");
    }
    draw();
    fill();
    root.dataset.read = String(asked);
  }

  /** @param {Band[]} next */
  function change(next) {
    edited = next;
    again();
  }

  /** @returns {Band[]} */
  function bands() {
    return edited ?? found?.bands.map((band) => /** @type {Band} */ ([band.from, band.to])) ?? [];
  }

  /** Two presses mark the strip's ends. @param {PointerEvent} event */
  function press(event) {
    const at = ends && picture.at(event);
    if (!ends || !at || event.button !== 0) return;
    event.preventDefault();
    ends.push(inside(picture.whole(at)));
    draw();
    if (ends.length < 2) return;
    edited = null;
    read({ kind: "ends", ends: /** @type {[Point, Point]} */ (ends) });
    ends = null;
    draw();
  }

  /** The part of the picture that is shown. */
  function look() {
    if (!opened) return;
    let part = /** @type {import("../../strip-picture.js").Part} */ ([0, 0, opened.width, opened.height]);
    if (!whole && corners) {
      const room = ROUND * Math.hypot(corners[3][0] - corners[0][0], corners[3][1] - corners[0][1]);
      const [xs, ys] = [corners.map((p) => p[0]), corners.map((p) => p[1])];
      part = [Math.max(0, Math.min(...xs) - room), Math.max(0, Math.min(...ys) - room), Math.min(opened.width, Math.max(...xs) + room), Math.min(opened.height, Math.max(...ys) + room)];
    }
    picture.look(count, part, `The strip's picture ${opened.name}${whole ? "" : ", its part with the strip"}`);
  }

  /** @param {Point} [at] of a corner held, within the part @param {number} [index] */
  function outline(at, index) {
    const all = corners?.map((corner, i) => (i === index && at ? picture.whole(at) : corner));
    assign(frame, { d: all ? `M${all.map((p) => p.join(" ")).join("L")}Z` : "" });
  }

  /** Everything over the picture. */
  function draw() {
    const scale = picture.scale || 1;
    say(zoom, whole ? "Show the strip alone" : "Show the whole picture");
    zoom.hidden = !corners || setting;
    turn.disabled = !found;
    say(marking, ends ? (ends.length === 0 ? "Press one end of the strip" : "Press its other end") : "Mark its ends");
    marking.setAttribute("aria-pressed", String(ends !== null));
    picture.root.classList.toggle("marking", ends !== null);
    pressed.replaceChildren(...(ends ?? []).map(([x, y]) => svg("circle", { cx: x, cy: y, r: 9 / scale })));
    cornerHandles.forEach((corner, i) => {
      corner.root.hidden = !corners || ends !== null || (!setting && seen().across < 30);
      if (corners) corner.set(picture.within(corners[i]));
    });
    cardHandle.root.hidden = by !== "card" || !card || ends !== null;
    if (card) {
      const [x, y] = picture.within(card);
      const [w, high] = picture.size();
      cardHandle.root.hidden ||= x < 0 || y < 0 || x > w || y > high;
      cardHandle.set([x, y]);
    }
    if (!cornerHandles.some((corner) => corner.grasped)) outline();
    drawBands(bands());
    keepEdges();
  }

  /** @param {Band[]} all */
  function drawBands(all) {
    const c = corners;
    const scale = picture.scale || 1;
    bandMarks.replaceChildren(...(!c || !found ? [] : all.flatMap(([from, to], i) => {
      const told = found?.bands[i]?.lightness ?? null;
      const path = svg("path", { class: i === chosen ? "band chosen" : "band", d: `M${[[from, 0], [to, 0], [to, 1], [from, 1]].map((p) => placeOf(c, /** @type {Point} */ (p)).join(" ")).join("L")}Z` });
      const [a, b] = [placeOf(c, [from, 0.5]), placeOf(c, [to, 0.5])];
      const wide = Math.hypot(b[0] - a[0], b[1] - a[1]) * scale;
      const across = Math.hypot(c[3][0] - c[0][0], c[3][1] - c[0][1]) * scale;
      if (Math.min(wide, across) < 17 || (edited && found?.bands.length !== all.length)) return [path];
      return [path, svg("text", { x: (a[0] + b[0]) / 2, y: (a[1] + b[1]) / 2, "font-size": 13 / scale, "stroke-width": 3 / scale, dy: "0.35em" }, told === null ? "?" : number(told, 0))];
    })));
  }

  /** A handle for every edge, by turns above and beneath the strip so that they can be grasped. */
  function keepEdges() {
    const all = found && corners && !ends ? edges(bands()) : [];
    while (edgeHandles.length > all.length) edgeHandles.pop()?.root.remove();
    while (edgeHandles.length < all.length) {
      const i = edgeHandles.length;
      edgeHandles.push(handle(ground, {
        look: "band-edge", label: () => edgeLabel(i),
        drag: (at) => drawBands(moved(i, at)),
        drop: (at) => change(moved(i, at)),
        by: () => Math.max(0.6, 0.002 * Math.max(...picture.size())),
      }));
    }
    const { along, across } = seen();
    const crowded = along < LEAST_APART * all.length;
    all.forEach((edge, i) => {
      if (!corners) return;
      edgeHandles[i].set(picture.within(placeOf(corners, [edge.at, beside(i)])));
      // The strip's own ends are moved by its corners; where edges are too near to be grasped apart, those of the chosen band are there.
      const own = edge.ends === chosen || edge.begins === chosen;
      edgeHandles[i].root.hidden = across < 30 || edge.at < 1e-4 || edge.at > 1 - 1e-4 || (crowded && !own);
    });
    say(crowd, across < 30 && all.length > 0 && whole ? "Show the strip alone to move its edges." : crowded && all.length > 0 ? "Choose a band to move its edges." : "");
  }

  /** How long and wide the strip is on the screen, pixels. */
  function seen() {
    if (!corners) return { along: 0, across: 0 };
    const apart = (/** @type {Point} */ a, /** @type {Point} */ b) => Math.hypot(b[0] - a[0], b[1] - a[1]) * (picture.scale || 1);
    return { along: apart(corners[0], corners[1]), across: apart(corners[0], corners[3]) };
  }
  const beside = (/** @type {number} */ i) => (i % 2 ? 1.28 : -0.28);

  /** @param {number} i @param {Point} at @returns {Band[]} */
  function moved(i, at) {
    return corners ? edgeTo(bands(), i, shareOf(corners, picture.whole(at))[0]) : bands();
  }

  /** @param {number} i */
  function edgeLabel(i) {
    const edge = edges(bands())[i];
    if (!edge) return "";
    const of = [edge.ends !== null ? `end of band ${edge.ends + 1}` : "", edge.begins !== null ? `beginning of band ${edge.begins + 1}` : ""].filter(Boolean).join(" and ");
    return `${of}, ${number(100 * edge.at, 1)} % along the strip`.replace(/^./, (letter) => letter.toUpperCase());
  }

  /** The table and the words. */
  function fill() {
    const known = !failed && (by === "card" ? lightness.card !== null && pointed : lightness[by] !== null);
    paper.set(lightness[by] ?? 0, "L*");
    say(/** @type {HTMLElement} */ (paper.root.querySelector("label")), by === "card" ? "The card's" : "Paper");
    say(hint, by === "typed" ? "L* of the bare paper beside the strip, by a meter or a scan of known tones."
      : by === "by_eye" ? "Hold the bare paper beside a printed grey scale of known L*. The eye is off by 3 L* easily, and so is every band then."
      : "Drag the mark onto a grey card that lies beside the strip in the same light, and type the L* printed on it.");
    const all = found?.bands ?? [];
    const beside = found && !unbitten ? [h("tr", null, h("th", { scope: "row" }, "paper"), h("td", null, number(found.paper, 1)), h("td", null, "—"), h("td", null, "beside the strip"))] : [];
    rows.replaceChildren(...beside, ...all.map((band, i) => {
      const input = h("input", { type: "radio", name: "photo-band", value: String(i), "aria-label": `Band ${i + 1}`, onchange: () => {
        chosen = i;
        draw();
        for (const row of rows.rows) row.classList.toggle("chosen", row.contains(input));
      } });
      input.checked = i === chosen;
      const name = i === 0 && unbitten ? "paper" : String(unbitten ? i : i + 1);
      return h("tr", { class: i === chosen ? "chosen" : null }, h("th", { scope: "row" }, h("label", null, input, h("span", null, name))),
        h("td", null, band.lightness === null ? h("strong", null, "can't tell") : number(band.lightness, 1)),
        h("td", null, `± ${number(band.spread, 1)}`), h("td", null, band.excluded > 0 ? percent(band.excluded) : "none"));
    }));
    first.checked = unbitten;
    notes.replaceChildren(...(found?.notes ?? []).filter((_, i) => known || i > 0).map((text) => h("li", null, text)));
    for (const [i, button] of acts.entries()) button.disabled = !found || (i === 1 && chosen + 1 >= all.length);
    asFound.disabled = !edited;
    const told = all.filter((band) => band.lightness !== null).length;
    use.disabled = !found || !known || told < 3;
    say(why, !found || failed ? "" : !known ? `The readings are relative for now, the paper counted as 100: ${by === "card" ? "put the mark on the card and type its L*" : "type the paper's L*"} to use them.`
      : told < all.length ? "Bands that can't be told go into the form empty, for you to read by hand." : "");
    list.caption?.replaceChildren(known ? "Bands as read, absolute L*" : "Bands as read, relative: paper = 100");
    list.hidden = !found;
  }

  function hand() {
    if (!found) return;
    const all = found.bands.map((band) => ({ lightness: band.lightness }));
    give(unbitten ? all : [{ lightness: found.paper }, ...all], how);
  }

  fill();
  return {
    root,
    update() {
      if (!work.hidden) picture.fit();
    },
  };
}
