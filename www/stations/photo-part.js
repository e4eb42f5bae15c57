/** The Drawing station's part for photographs and coloured paper: what the file is, corners, light, paper, mix, and what was found. */
import { h, say } from "../dom.js";
import { number, readNumber } from "../format.js";
import { lengthField, numberField, radios } from "../fields.js";
import { kindOf, NEW_PHOTO, someCorners, takenFor, withPhoto, withSide } from "../placing.js";

const MIXES = /** @type {const} */ ({ red: [1, 0, 0], green: [0, 1, 0], blue: [0, 0, 1] });

/**
 * @param {import("../state.js").Desk} desk
 * @param {{ show(look: "opened" | "sheet"): void, marking: { on: boolean }, addMark(): void }} page
 */
export function photoPart(desk, page) {
  const settings = () => desk.state.settings;
  const kind = radios("Taken for", [["plain", "a scan, as it is"], ["scan", "a scan to clean"], ["photo", "a photo of a sheet"]], (value) => {
    if (value === kindOf(settings())) return;
    if (value === "plain") {
      desk.change("file taken as it is", takenFor(settings(), null));
      page.show("opened");
    } else if (value === "scan") {
      desk.change("scan cleaned", takenFor(settings(), { ...(settings().photo ?? NEW_PHOTO), corners: null }));
      page.show("sheet");
    } else begin();
  });
  const find = h("button", { type: "button", onclick: () => look("corners found") }, "Find the corners");
  const width = lengthField(desk, "Sheet, width", (mm) => sized(0, mm));
  const height = lengthField(desk, "Sheet, height", (mm) => sized(1, mm));
  const even = checkbox("Even the light", (on) => desk.change(on ? "light evened" : "light left as it is", withPhoto(settings(), { even: on })));
  const neutral = checkbox("Take out the paper's colour", (on) => desk.change(on ? "paper's colour taken out" : "paper's colour left", withPhoto(settings(), { neutral: on })));
  const mark = h("button", { type: "button", "aria-pressed": "false", onclick: () => {
    page.marking.on = !page.marking.on;
    page.show("sheet");
  } }, "Mark paper");
  const add = h("button", { type: "button", onclick: () => page.addMark() }, "Add a mark");
  const clear = h("button", { type: "button", onclick: () => desk.change("paper marks removed", withPhoto(settings(), { spots: [] })) }, "Remove the marks");
  const mix = radios("Tones from", [["lightness", "lightness"], ["red", "red"], ["green", "green"], ["blue", "blue"], ["own", "a mix"]], (value) => {
    const channels = MIXES[/** @type {keyof typeof MIXES} */ (value)];
    desk.change(`tones from ${value === "own" ? "a mix" : value}`, withPhoto(settings(), { mix: value === "lightness" ? "lightness" : channels ? [...channels] : [0.5, 0.4, 0.1] }));
  });
  const shares = /** @type {const} */ (["Red", "Green", "Blue"]).map((name, c) => numberField(name, {
    read: readNumber, write: (value) => number(value, 1), unit: "%", refuse: (sentence) => desk.notice(sentence, "refused"),
    take: (value) => {
      const now = settings().photo?.mix;
      const next = /** @type {[number, number, number]} */ (Array.isArray(now) ? [...now] : [0.2126, 0.7152, 0.0722]);
      next[c] = value / 100;
      desk.change(`mix, ${name.toLowerCase()} ${number(value, 1)} %`, withPhoto(settings(), { mix: next }));
    },
  }));
  const own = h("div", { class: "fields" }, ...shares.map((share) => share.root));
  const sheet = h("div", { class: "fields" }, width.root, height.root);
  const told = h("ul", { class: "notes" });
  const hint = h("p", { class: "aside" });
  const more = h("div", { class: "column" }, hint, sheet, h("div", { class: "row" }, even.root, neutral.root), mix.root, own, told);
  const root = h("section", { class: "part", "aria-labelledby": "h-photo" }, h("h3", { id: "h-photo" }, "What it is"), kind.root, more);

  /** @param {0 | 1} side @param {number} mm */
  function sized(side, mm) {
    const known = desk.state.plan?.photo;
    if (known) desk.change(side === 0 ? "sheet width" : "sheet height", withSide(settings(), known, side, mm));
  }

  /** A photograph: its corners are looked for at once; where they can't be told, some are set to be moved. */
  async function begin() {
    page.show("opened");
    await look("photo straightened", true);
  }

  /** @param {string} name @param {boolean} [anyhow] some corners are set even when none are found */
  async function look(name, anyhow = false) {
    const opened = desk.state.drawing;
    find.disabled = true;
    try {
      const found = await desk.busy("looking for the sheet's corners", desk.bridge.call("find_corners", null));
      if (opened !== desk.state.drawing) return;
      const rounded = /** @type {any} */ (found.corners.map((corner) => corner.map((v) => Math.round(v * 100) / 100)));
      desk.change(name, settings().photo?.corners ? withPhoto(settings(), { corners: rounded }) : takenFor(settings(), { ...(settings().photo ?? NEW_PHOTO), corners: rounded }));
      desk.notice("The sheet's corners are found. Look at them on the picture; drag the one that is off.");
    } catch (error) {
      const { info } = desk.state;
      desk.notice(/** @type {Error} */ (error).message, "refused");
      if (anyhow && info && opened === desk.state.drawing) desk.change("photo, corners to be set", takenFor(settings(), { ...(settings().photo ?? NEW_PHOTO), corners: someCorners(info.width, info.height) }));
      else desk.set({});
    } finally {
      find.disabled = false;
    }
  }

  return {
    root,
    /** What is done on the picture itself, to stand beneath it. */
    acts: [find, mark, add, clear],
    /** Which of them are there. @param {boolean} onSheet the straightened sheet is shown */
    acting(onSheet) {
      find.hidden = kindOf(settings()) !== "photo" || onSheet;
      for (const act of [mark, add, clear]) act.hidden = !onSheet;
    },
    /** @param {import("../state.js").State} state */
    update(state) {
      const { photo } = state.settings;
      const is = kindOf(state.settings);
      kind.set(is);
      more.hidden = photo === null;
      if (!photo) return;
      const facts = state.plan?.photo;
      say(hint, is === "photo" ? "Drag the four corners onto the sheet's, the upper left one where the drawing's upper left is; a glass helps. Where its margin is not bare, mark places that are."
        : "Where the scan's edge is not bare paper, mark places that are.");
      if (facts) {
        width.set(photo.sheet_mm?.[0] ?? Math.round(facts.sheet_mm[0] * 10) / 10);
        height.set(photo.sheet_mm?.[1] ?? Math.round(facts.sheet_mm[1] * 10) / 10);
        told.replaceChildren(...facts.notes.map((text) => h("li", null, text)));
      }
      even.input.checked = photo.even;
      neutral.input.checked = photo.neutral;
      mark.setAttribute("aria-pressed", String(page.marking.on));
      say(mark, page.marking.on ? "Marking: press bare paper" : "Mark paper");
      clear.disabled = photo.spots.length === 0;
      const named = Array.isArray(photo.mix) ? Object.entries(MIXES).find(([, value]) => String(value) === String(photo.mix))?.[0] ?? "own" : "lightness";
      mix.set(named);
      own.hidden = named !== "own";
      if (Array.isArray(photo.mix)) photo.mix.forEach((value, c) => shares[c].set(100 * value));
    },
  };
}

/** @param {string} label @param {(on: boolean) => void} take */
function checkbox(label, take) {
  const input = h("input", { type: "checkbox", onchange: () => take(input.checked) });
  return { input, root: h("label", { class: "check" }, input, h("span", null, label)) };
}
