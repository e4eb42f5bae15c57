/** The real proof speaks back: its photo read tone by tone, what made it differ, its reading as a strip, and the repair. */
import { assign, h, say, show, svg, table } from "../../dom.js";
import { numberField, radios } from "../../fields.js";
import { clock, number, readNumber } from "../../format.js";
import { handle } from "../../handles.js";
import { otherNamed } from "../../kept.js";
import { StripPicture } from "../../strip-picture.js";
import { strips } from "../times/kept.js";
import { repair } from "./repair.js";

/** @typedef {[number, number]} Point */
/** @typedef {[Point, Point, Point, Point]} Corners */
/** @typedef {import("../../../web/types.d.ts").PulledReading} PulledReading */

const TYPES = "image/png,image/jpeg,image/tiff,image/webp,image/bmp,.png,.jpg,.jpeg,.tif,.tiff,.webp,.bmp";
const CORNERS = ["Upper left", "Upper right", "Lower right", "Lower left"];
/** L* the paper field begins with: a white rag paper. Estimate. */
const PAPER = 94;
/** What is said when the worker is started afresh, or was since: then it holds no photo nor reading any more. */
const GONE = ["stopped", "crashed", "no_pulled_photo", "no_reading"];

/** What of a pull a reading leaves out of account. @param {import("../../../web/types.d.ts").ProofSettings} proof */
const minded = ({ printings, inks, zones, laid, paper }) => JSON.stringify([printings.map(({ plate, ink }) => [plate, ink === null ? null : inks[ink]?.name]), zones.length > 0, laid.length > 0, paper !== null]);

/** @param {import("../../state.js").Desk} desk @returns {import("../../state.js").Part} */
export function pulled(desk) {
  /** @type {{ width: number, height: number, name: string } | null} */
  let photo = null;
  /** @type {Corners | null} */
  let corners = null;
  let opened = 0;
  /** The photos chosen, one after the other. */
  let taken = Promise.resolve();
  let asked = 0;
  /** @type {PulledReading | null} */
  let found = null;
  /** The plan it was held to. @type {import("../../state.js").Plan | null} */
  let heldTo = null;
  /** Whether it still held when last looked at. */
  let holding = true;
  /** What the pull on the page was, as far as a reading minds. */
  let pulledAs = "";
  /** The plate that the photo is of, by its count, and its letter when it was read. */
  let plate = { number: -1, letter: "" };
  /** The strip kept before that a second press replaces. */
  let replacing = "";
  let known = /** @type {"as_strip" | "typed" | "by_eye"} */ ("as_strip");
  let lightness = PAPER;
  let named = "";

  const pick = (/** @type {string | null} */ capture, /** @type {string} */ label) => h("input", { type: "file", accept: capture ? "image/*" : TYPES, capture, hidden: true, "aria-label": label, onchange: take });
  const file = pick(null, "Choose a photo of the proof");
  const camera = pick("environment", "Photograph the proof");
  const paper = radios("Bare paper", [["as_strip", "as on the strip"], ["typed", "measured"], ["by_eye", "by eye"]], (value) => {
    known = /** @type {any} */ (value);
    set();
    if (photo) read();
  });
  const light = numberField("Its L*", { read: readNumber, write: (value) => number(value, 1), refuse: (sentence) => desk.notice(sentence, "refused"), take: (value) => {
    lightness = value;
    if (photo) read();
  } });
  const said = h("p", { class: "said", role: "status" });
  const old = h("p", { class: "aside old", hidden: true });

  const picture = new StripPicture(desk, () => draw(), (spec) => desk.bridge.call("pulled_picture", { ...spec, show: "photo", view: "print" }));
  picture.root.classList.add("painted-photo");
  const frame = svg("path", { class: "rim" });
  picture.lines.append(frame);
  const held = CORNERS.map((name, i) => handle(picture, {
    look: "corner", label: () => `${name} corner of the printed picture`,
    drag: (at) => outline(at, i),
    drop: (at) => {
      if (!corners) return;
      corners = /** @type {Corners} */ (corners.map((corner, k) => (k === i ? at : corner)));
      outline();
      say(said, "The corners were moved: read it again.");
    },
    by: () => Math.max(1, 0.002 * Math.max(...picture.size())),
  }));
  const again = h("button", { type: "button", class: "first", onclick: () => read() }, "Read it");
  const anew = h("button", { type: "button", onclick: () => {
    corners = null;
    read();
  } }, "Find the corners");
  const turn = h("button", { type: "button", onclick: () => {
    if (!corners) return;
    const [a, b, c, d] = corners;
    corners = [c, d, a, b];
    read();
  } }, "Turn them by half");
  picture.root.querySelector("figcaption")?.append(h("span", null, "The corners go on the printed picture, inside its bevel. They are set finer by the picture itself."), h("div", { class: "bar start" }, again, anew, turn));

  const canvas = h("canvas", { role: "img", width: 8, height: 8 });
  const face = h("figure", { class: "picture pulled-face" }, canvas, h("figcaption", null, h("b", null, "PRINT VIEW"), ", the proof straightened, its light evened"));
  const verdict = h("div", { class: "pulled-verdict", "aria-live": "polite" });
  const apart = h("p", { class: "pulled-apart", "aria-live": "polite", hidden: true });
  const causes = h("tbody", null);
  const shares = h("table", { class: "pulled-table" }, h("caption", null, "What makes the difference"),
    h("thead", null, h("tr", null, ...["Cause", "Changes the tones by", "Share", "At work, probably"].map((text) => h("th", { scope: "col" }, text)))), causes);
  const tones = h("div", { class: "pulled-scroll", tabindex: 0, role: "region", "aria-label": "Tone by tone" });
  const notes = h("ul", { class: "notes" });
  const name = h("input", { type: "text", id: "pulled-name", autocomplete: "off", maxlength: 20, onchange: () => {
    named = name.value.trim();
    replacing = "";
    if (found) read();
  } });
  const refused = h("p", { class: "aside" });
  const wiped = h("p", { class: "aside" });
  const keepIt = h("button", { type: "button", onclick: () => {
    const strip = asStrip();
    if (!strip) return;
    const other = otherNamed(strips.all(), strip);
    if (other && replacing !== strip.id) {
      replacing = strip.id;
      desk.notice(`A strip called ${strip.id} is kept already (${other.kept}), with other readings. Call this one otherwise, or press again to put it in that one's place.`, "refused");
      return;
    }
    replacing = "";
    if (strips.put(strip, new Date())) desk.notice(`Strip ${strip.id} is kept among your strips, at Times: choose it there for the next plate.`);
    else desk.notice("This browser keeps nothing (a private window, or its storage is full): use it for this plan now, and save the project.", "refused");
  } }, "Keep it for the next plate");
  const useIt = h("button", { type: "button", onclick: () => {
    const strip = asStrip();
    if (strip) desk.change(`strip ${strip.id}`, { ...desk.state.settings, strip });
  } }, "Use it for this plan now");
  const stripped = h("section", { class: "pulled-strip", "aria-labelledby": "h-pulled-strip" }, h("h4", { id: "h-pulled-strip" }, "The best strip for the next plate"),
    h("p", { class: "aside" }, "Every tone had a known time in your own bath, on your own grain, and has now printed. That makes a strip."),
    h("div", { class: "row" }, h("div", { class: "number" }, h("label", { for: "pulled-name" }, "Called"), h("span", { class: "typed" }, name)), h("div", { class: "acts" }, keepIt, useIt)), wiped, refused);
  const mending = repair(desk, stripName, lost);
  const result = h("div", { class: "pulled-result" }, h("div", { class: "pulled-two" }, face, h("div", null, apart, verdict, shares)), tones, notes, stripped, mending.root);
  const work = h("div", { class: "pulled-work" }, picture.root, result);
  const root = h("section", { class: "part pulled", "aria-labelledby": "h-pulled" },
    h("h3", { id: "h-pulled" }, "The real proof"),
    h("p", { class: "aside" }, "When a proof is pulled and dry, photograph or scan it with bare paper all round. Each tone is read a millimetre inside its edges and held to the plan; then it is told whether wiping, the bite or the ink made the difference. The photo is sent nowhere, and is gone when the page is closed."),
    h("div", { class: "row" }, paper.root, light.root),
    h("div", { class: "bar start" }, h("button", { type: "button", onclick: () => camera.click() }, "Photograph the proof"), h("button", { type: "button", onclick: () => file.click() }, "Choose a photo")),
    file, camera, said, old, work);

  function stripName() {
    return named || `from plate ${(found ? plate.letter : desk.state.letter) || "1"}`;
  }

  /** Nothing is at hand any more, neither photo nor reading. @param {string} why */
  function away(why) {
    asked++;
    photo = found = corners = heldTo = null;
    replacing = named = "";
    root.classList.remove("reading");
    mending.reading(false);
    see();
    fill();
    say(said, why);
  }

  /** Whether an error says that the worker has lost the photo; then that is said, and what to do. @param {unknown} error */
  function lost(error) {
    const { code } = /** @type {import("../../bridge.js").CallError} */ (error);
    if (!GONE.includes(code)) return false;
    if (code === "crashed") desk.refused(/** @type {Error} */ (error));
    away("The working part of the page was started afresh, and the photo of the proof is gone with it: choose it or take it again.");
    return true;
  }

  /** @returns {import("../../../web/types.d.ts").StripSettings | null} */
  function asStrip() {
    if (!found?.strip) return null;
    return { id: stripName(), readings: found.strip, made: "covered", about: { read: "photo" } };
  }

  /** @param {Event} event */
  function take(event) {
    const input = /** @type {HTMLInputElement} */ (event.target);
    const chosen = input.files?.[0];
    input.value = "";
    // One after the other: a file that is no picture leaves the photo before it, and what is read of it, alone.
    if (chosen) taken = taken.then(() => open(chosen));
  }

  /** @param {File} chosen */
  async function open(chosen) {
    const number = desk.state.plateNumber;
    try {
      const got = await desk.busy("opening the photo", desk.bridge.call("pulled_open", { file: chosen, name: chosen.name }));
      if (number !== desk.state.plateNumber) return;
      photo = { width: got.width, height: got.height, name: chosen.name };
    } catch (error) {
      if (!lost(error)) say(said, /** @type {Error} */ (error).message);
      return;
    }
    plate = { number, letter: desk.state.letter };
    corners = null;
    found = null;
    opened++;
    await read();
  }

  async function read() {
    if (!photo) return;
    const turned = ++asked;
    const { letter, proof } = desk.state;
    root.classList.add("reading");
    say(said, "");
    try {
      const got = await desk.busy("reading the proof", desk.bridge.call("pulled_read", { corners, paper: known === "as_strip" ? { kind: known } : { kind: known, lightness }, strip_name: named || `from plate ${letter || "1"}`, proof }));
      if (turned !== asked) return;
      found = got;
      corners = got.corners;
      // Answers come in the order of asking: a plan that was on its way has come, and it was read by that one.
      heldTo = desk.state.plan;
      holding = true;
      pulledAs = minded(proof);
      plate = { ...plate, letter };
    } catch (error) {
      if (turned !== asked || lost(error)) return;
      found = null;
      say(said, /** @type {Error} */ (error).message);
      // Something to take hold of.
      if (photo) {
        const { width: w, height: t } = photo;
        corners ??= [[0.15 * w, 0.15 * t], [0.85 * w, 0.15 * t], [0.85 * w, 0.85 * t], [0.15 * w, 0.85 * t]];
      }
    }
    replacing = "";
    see();
    fill();
    mending.reading(found !== null && found.blind === null && found.tones.length > 0);
    try {
      await picturesque();
    } catch (error) {
      if (turned === asked && !lost(error)) say(said, /** @type {Error} */ (error).message);
    } finally {
      if (turned === asked) {
        root.classList.remove("reading");
        root.dataset.read = String(turned);
      }
    }
  }

  function set() {
    paper.set(known);
    light.root.hidden = known === "as_strip";
    light.set(lightness);
  }

  function see() {
    work.hidden = !photo;
    if (!photo) return;
    picture.look(opened, [0, 0, photo.width, photo.height], `Photo of the proof, ${photo.name}`);
    draw();
  }

  /** @param {Point} [at] of the corner held @param {number} [index] */
  function outline(at, index) {
    const all = corners?.map((corner, i) => (i === index && at ? at : corner));
    assign(frame, { d: all ? `M${all.map((p) => p.join(" ")).join("L")}Z` : "" });
  }

  function draw() {
    held.forEach((corner, i) => {
      corner.root.hidden = !corners;
      if (corners) corner.set(corners[i]);
    });
    if (!held.some((corner) => corner.grasped)) outline();
  }

  async function picturesque() {
    face.hidden = !found || found.blind !== null;
    if (face.hidden || !found) return;
    const now = asked;
    const wide = Math.max(200, face.clientWidth || 320) * Math.min(window.devicePixelRatio || 1, 2);
    const got = await desk.bridge.call("pulled_picture", { show: "face", view: "print", part: null, width: Math.round(wide), height: Math.round(1.5 * wide) });
    if (now !== asked) return;
    show(canvas, got);
    assign(canvas, { "aria-label": "The proof as it was read, print view" });
  }

  /** Whether what was read holds no more. */
  function aged() {
    const { plan, proof } = desk.state;
    const words = plan !== heldTo ? "The plan was worked out anew since this was read: read it again. Until then nothing is repaired by it."
      : minded(proof) !== pulledAs ? "The pull on this page is another since this was read: read it again." : "";
    say(old, words);
    old.hidden = !found || words === "";
  }

  function fill() {
    result.hidden = !found;
    aged();
    if (!found) return;
    const blind = found.blind !== null;
    const lines = blind ? [found.blind ?? ""] : found.said;
    verdict.replaceChildren(...lines.map((text) => h("p", null, text)));
    verdict.classList.toggle("bad", blind || found.verdict === "unexplained");
    say(apart, found.apart ?? "");
    apart.hidden = found.apart === null;
    say(wiped, found.strip_words);
    for (const part of [shares, tones, stripped, mending.root]) part.hidden = blind;
    shares.hidden ||= found.effects.length === 0;
    notes.replaceChildren(...found.notes.map((text) => h("li", null, text)));
    if (blind) return;
    const percent = (/** @type {number} */ share) => `${number(100 * share, 0)} %`;
    causes.replaceChildren(...found.effects.map((effect) => h("tr", null, h("th", { scope: "row" }, effect.words), h("td", null, `${number(effect.effect_l)} L*`),
      h("td", null, h("span", { class: "pulled-bar", "aria-hidden": "true", style: { width: `${Math.round(70 * effect.share)}px` } }), percent(effect.share)), h("td", null, percent(Math.min(0.99, effect.probability))))));
    const signed = (/** @type {number} */ value) => (Math.abs(value) < 0.05 ? "0" : `${value < 0 ? "−" : "+"}${number(Math.abs(value))}`);
    tones.replaceChildren(table("Tone by tone, L* of the dry print", ["Tone", "Total", "Planned", "Read", "Off", "Left unexplained"], found.tones.map((tone) => [
      String(tone.tone), tone.total_s === null || heldTo !== desk.state.plan ? "–" : clock(tone.total_s), number(tone.planned), tone.read === null ? "can’t tell" : `${number(tone.read)} ± ${number(tone.sigma)}`,
      tone.read === null ? "–" : signed(tone.read - tone.planned), tone.read === null || tone.fitted === null ? "–" : signed(tone.read - tone.fitted)]), { class: "pulled-table" }));
    name.value = stripName();
    // Whoever bit by the example's times may keep what they gave; who did not must not.
    say(refused, found.strip_refused ?? (heldTo?.strip.kind === "example" ? "EXAMPLE, NOT YOUR BATH: the plan’s times are the example strip’s. Keep this only if the plate was bitten by them." : ""));
    refused.hidden = refused.textContent === "";
    keepIt.disabled = useIt.disabled = found.strip === null;
  }

  set();
  return {
    root,
    update(state) {
      const { plan } = state;
      root.hidden = !plan;
      if (photo && state.plateNumber !== plate.number) away("Another plate is open: photograph its own proof.");
      work.hidden = !photo;
      result.hidden = !found;
      // Times of a plan that holds no more are shown no more: it may have become a STOP.
      const holds = plan === heldTo;
      if (found && holds !== holding) fill();
      holding = holds;
      aged();
      mending.update(state, holds);
    },
  };
}
