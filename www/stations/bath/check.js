/** The painted plate, looked over in a photo: chosen or taken, its corners found or dragged, what is missed or run over marked by hatch, number and words. */
import { assign, h, say, show, svg } from "../../dom.js";
import { lengthField, radios } from "../../fields.js";
import { count, length, number, sentence } from "../../format.js";
import { handle } from "../../handles.js";
import { StripPicture } from "../../strip-picture.js";

/** @typedef {[number, number]} Point */
/** @typedef {[Point, Point, Point, Point]} Corners */
/** @typedef {import("../../../web/types.d.ts").PaintedCheck} PaintedCheck */

const TYPES = "image/png,image/jpeg,image/tiff,image/webp,image/bmp,.png,.jpg,.jpeg,.tif,.tiff,.webp,.bmp";
const CORNERS = ["Upper left", "Upper right", "Lower right", "Lower left"];
/** How far varnish may creep, mm, until somebody says otherwise. Estimate. */
const CREEP = 0.25;
/** What is listed at most of each kind; the rest is counted. */
const LISTED = 40;

/** @param {import("../../state.js").Desk} desk @returns {import("../../state.js").Part} */
export function check(desk) {
  /** @type {{ width: number, height: number, name: string, corners: Corners | null }[]} */
  let photos = [];
  let shown = 0;
  let opened = 0;
  let stopOut = 1;
  let chosen = false;
  let creep = CREEP;
  let asked = 0;
  /** @type {PaintedCheck | null} */
  let found = null;

  const pick = (/** @type {string | null} */ capture, /** @type {boolean} */ second, /** @type {string} */ label) =>
    h("input", { type: "file", accept: capture ? "image/*" : TYPES, capture, hidden: true, "aria-label": label, onchange: (/** @type {Event} */ event) => take(/** @type {HTMLInputElement} */ (event.target), second) });
  const file = pick(null, false, "Choose a photo of the plate");
  const camera = pick("environment", false, "Photograph the plate");
  const other = pick(null, true, "Choose a second photo");
  const number_ = h("select", { onchange: () => {
    stopOut = Number(number_.value);
    chosen = true;
    if (photos.length) look();
  } });
  const which = h("label", { class: "held-to" }, h("span", null, "Held to"), number_);
  const crept = lengthField(desk, "Creep allowed", (mm) => {
    creep = Math.min(2, Math.max(0, mm));
    if (photos.length) look();
  });
  const said = h("p", { class: "said", role: "status" });
  const picture = new StripPicture(desk, () => draw(), (spec) => desk.bridge.call("painted_picture", { ...spec, photo: shown, face: false }));
  picture.root.classList.add("painted-photo");
  const frame = svg("path", { class: "rim" });
  picture.lines.append(frame);
  const corners = CORNERS.map((name, i) => handle(picture, {
    look: "corner", label: () => `${name} corner of the plate`,
    drag: (at) => outline(at, i),
    drop: (at) => {
      const photo = photos[shown];
      if (!photo?.corners) return;
      photo.corners = /** @type {Corners} */ (photo.corners.map((corner, k) => (k === i ? at : corner)));
      found = null;
      draw();
      fill();
      say(said, "The corners were moved: look it over again.");
    },
    by: () => Math.max(1, 0.002 * Math.max(...picture.size())),
  }));
  const between = radios("Photo", [["0", "first"], ["1", "second"]], (value) => {
    shown = Number(value);
    see();
  });
  const again = h("button", { type: "button", class: "first", onclick: () => look() }, "Look it over");
  const anew = h("button", { type: "button", onclick: () => {
    for (const photo of photos) photo.corners = null;
    look();
  } }, "Find the corners");
  const turn = h("button", { type: "button", onclick: () => {
    const photo = photos[shown];
    if (!photo?.corners) return;
    const [a, b, c, d] = photo.corners;
    photo.corners = [c, d, a, b];
    look();
  } }, "Turn it by half");
  picture.root.querySelector("figcaption")?.append(between.root, h("div", { class: "bar start" }, again, anew, turn));

  const canvas = h("canvas", { role: "img", width: 8, height: 8 });
  const marks = svg("g", {});
  const over = svg("svg", { class: "marks", "aria-hidden": "true", preserveAspectRatio: "none" }, marks);
  const sheet = h("div", { class: "painted-face" }, canvas, over);
  const legend = h("ul", { class: "painted-key" },
    h("li", null, h("i", { class: "missed", "aria-hidden": "true" }), "hatched one way: missed"), h("li", null, h("i", { class: "over-run", "aria-hidden": "true" }), "hatched both ways: run over"),
    h("li", null, h("i", { class: "untold", "aria-hidden": "true" }), "dotted: can't tell"));
  const face = h("figure", { class: "picture" }, sheet, h("figcaption", null, h("b", null, "PLATE VIEW"), ", the face straightened", legend));
  const verdict = h("p", { class: "painted-verdict", "aria-live": "polite" });
  const rows = h("tbody", null);
  const list = h("table", { class: "painted-list" }, h("caption", null, "To look at on the plate"),
    h("thead", null, h("tr", null, ...["No", "What", "Where", "From left, from top", "Area"].map((text) => h("th", { scope: "col" }, text)))), rows);
  const more = h("p", { class: "aside" });
  const notes = h("ul", { class: "notes" });
  const result = h("div", { class: "painted-result" }, face, h("div", null, verdict, list, more, notes));
  const work = h("div", { class: "painted-work" }, picture.root, result);
  const second = h("button", { type: "button", onclick: () => other.click() }, "Add a second photo");
  const root = h("section", { class: "part painted-check", "aria-labelledby": "h-painted" },
    h("h3", { id: "h-painted" }, "Look over the painted plate"),
    h("p", { class: "aside" }, "A photo of the dry plate, face up and the whole of it in sight, from straight above, with no lamp mirrored in it. It finds gaps of a millimetre and a half and more, and varnish that ran over. ",
      h("strong", null, "It never replaces looking"), ": pinholes, thin varnish and what lies close to an edge are finer than it sees. The photo stays in this browser."),
    h("div", { class: "row" }, which, crept.root),
    h("div", { class: "bar start" }, h("button", { type: "button", onclick: () => camera.click() }, "Photograph the plate"), h("button", { type: "button", onclick: () => file.click() }, "Choose a photo"), second),
    file, camera, other, said, work);

  /** @param {HTMLInputElement} input @param {boolean} more */
  async function take(input, more) {
    const chosenFile = input.files?.[0];
    input.value = "";
    if (!chosenFile) return;
    const turned = ++asked;
    try {
      const got = await desk.busy("opening the photo", desk.bridge.call("painted_open", { file: chosenFile, name: chosenFile.name, second: more }));
      if (turned !== asked) return;
      photos = [...(more ? photos.slice(0, 1) : []), { width: got.width, height: got.height, name: chosenFile.name, corners: null }];
    } catch (error) {
      say(said, /** @type {Error} */ (error).message);
      return;
    }
    shown = photos.length - 1;
    opened++;
    found = null;
    await look();
  }

  async function look() {
    if (photos.length === 0) return;
    const turned = ++asked;
    root.classList.add("reading");
    say(said, "");
    try {
      const got = await desk.busy("looking the plate over", desk.bridge.call("painted_check", { stop_out: stopOut, corners: photos.map((photo) => photo.corners), creep_mm: creep }));
      if (turned !== asked) return;
      found = got;
      photos.forEach((photo, i) => { photo.corners = /** @type {Corners} */ (got.corners[i] ?? photo.corners); });
    } catch (error) {
      if (turned !== asked) return;
      found = null;
      say(said, /** @type {Error} */ (error).message);
      if (/** @type {any} */ (error).code === "no_painted_photo") photos = [];
      // Something to take hold of.
      for (const photo of photos) {
        const { width: w, height: t } = photo;
        photo.corners ??= [[0.1 * w, 0.1 * t], [0.9 * w, 0.1 * t], [0.9 * w, 0.9 * t], [0.1 * w, 0.9 * t]];
      }
    }
    see();
    fill();
    try {
      await picturesque();
    } finally {
      // A look that was overtaken leaves the later one its sign.
      if (turned === asked) {
        root.classList.remove("reading");
        root.dataset.looked = String(turned);
      }
    }
  }

  function see() {
    const photo = photos[shown];
    work.hidden = !photo;
    if (!photo) return;
    between.root.hidden = photos.length < 2;
    between.set(String(shown));
    picture.look(2 * opened + shown, [0, 0, photo.width, photo.height], `Photo of the plate, ${photo.name}`);
    draw();
  }

  /** @param {Point} [at] of the corner held @param {number} [index] */
  function outline(at, index) {
    const all = photos[shown]?.corners?.map((corner, i) => (i === index && at ? at : corner));
    assign(frame, { d: all ? `M${all.map((p) => p.join(" ")).join("L")}Z` : "" });
  }

  function draw() {
    const photo = photos[shown];
    corners.forEach((corner, i) => {
      corner.root.hidden = !photo?.corners;
      if (photo?.corners) corner.set(photo.corners[i]);
    });
    if (!corners.some((corner) => corner.grasped)) outline();
  }

  /** The straightened face with its hatch, and numbers over it. */
  async function picturesque() {
    face.hidden = !found || found.blind !== null;
    if (!found || found.blind !== null) return;
    const now = asked;
    const [w, high] = found.face_mm;
    const ratio = Math.min(window.devicePixelRatio || 1, 2);
    const wide = Math.max(200, sheet.clientWidth || 320);
    const got = await desk.bridge.call("painted_picture", { photo: Math.min(shown, found.corners.length - 1), face: true, part: null, width: Math.round(wide * ratio), height: Math.round(1.5 * wide * ratio) });
    if (now !== asked || !found) return;
    show(canvas, got);
    assign(canvas, { "aria-label": `The painted face, plate view, held to stop-out ${found.stop_out}: ${count(found.pieces.length, "piece")} marked, ${count(found.untold.length, "place")} that can't be told` });
    assign(over, { viewBox: `0 0 ${w} ${high}` });
    over.style.setProperty("--mm", String((sheet.clientWidth || wide) / w));
    const per = w / (canvas.clientWidth || wide);
    marks.replaceChildren(...found.pieces.slice(0, LISTED).map((piece, i) => {
      const [l, t, r] = piece.extent_mm;
      const [x, y] = [Math.min(w - 8 * per, Math.max(8 * per, (l + r) / 2)), t - 11 * per < 0 ? piece.extent_mm[3] + 11 * per : t - 11 * per];
      return svg("g", { class: "painted-no", "font-size": 12 * per }, svg("circle", { cx: x, cy: y, r: 9 * per }), svg("text", { x, y, dy: "0.36em" }, String(i + 1)));
    }));
  }

  function fill() {
    result.hidden = !found;
    if (!found) return;
    const { units } = desk.state;
    const { pieces, untold, blind } = found;
    const missed = pieces.filter((piece) => piece.wrong === "missed").length;
    const ran = pieces.length - missed;
    const doubts = untold.length ? ` In ${count(untold.length, "place")} it can't tell.` : "";
    say(verdict, blind ?? (pieces.length ? `${sentence([missed ? `${count(missed, "piece")} missed` : "", ran ? `${ran} run over` : ""].filter(Boolean).join(", "))}.${doubts} Look at each on the plate.`
      : `No piece found missed or run over where it can tell.${doubts} That is no promise: look at the plate too.`));
    verdict.classList.toggle("bad", blind !== null || pieces.length > 0);
    const unit = units === "in" ? "in" : "mm";
    const cells = (/** @type {import("../../../web/types.d.ts").PaintedPlace} */ at, /** @type {string} */ no, /** @type {string} */ what) => {
      const [left, top] = at.at_mm.map((mm) => length(mm, units));
      return h("tr", null, h("th", { scope: "row" }, no), h("td", null, what),
        h("td", null, at.place, h("span", { class: "at" }, `${left} ${unit} from the left, ${top} ${unit} from the top`)),
        h("td", null, `${left}, ${top} ${unit}`), h("td", null, `${number(at.area_mm2, at.area_mm2 < 10 ? 1 : 0)} mm²`));
    };
    rows.replaceChildren(...pieces.slice(0, LISTED).map((piece, i) => cells(piece, String(i + 1), piece.words)), ...untold.slice(0, LISTED).map((place) => cells(place, "?", `can't tell: ${place.words}`)));
    list.hidden = pieces.length + untold.length === 0;
    const rest = Math.max(0, pieces.length - LISTED) + Math.max(0, untold.length - LISTED);
    say(more, rest ? `And ${rest} more, smaller ones.` : "");
    more.hidden = rest === 0;
    notes.replaceChildren(...found.notes.map((text) => h("li", null, text)));
  }

  return {
    root,
    update(state) {
      const { plan } = state;
      root.hidden = !plan || plan.bath.pair.verdict === "stop";
      if (!plan) return;
      crept.set(creep);
      const last = plan.stopouts.length;
      if (number_.options.length !== last) number_.replaceChildren(...plan.stopouts.map((stop) => h("option", { value: String(stop.number) }, `stop-out ${stop.number}`)));
      // The one painted last, or about to be, until another is chosen.
      if (!chosen || stopOut > last) {
        const { next, painted } = plan.standing;
        stopOut = Math.min(last, Math.max(1, next.kind === "paint" ? next.stop_out : painted));
      }
      number_.value = String(stopOut);
      second.hidden = photos.length === 0;
      work.hidden = photos.length === 0;
      if (found) fill();
    },
  };
}
