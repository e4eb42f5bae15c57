/** The whole job at a glance: drawing, tones, stop-outs and proof on one page. */
import { h, say } from "../dom.js";
import { byStrip, clock, count, minutes, percent, sentence, words } from "../format.js";
import { Picture, proofWish } from "../picture.js";
import { MOST_TONES, whenCovered } from "../settings.js";
import { remarks } from "../ticket.js";
import { asideLegend } from "./hand-tools.js";

/** @typedef {import("../state.js").State} State */

/** @param {import("../state.js").Desk} desk @returns {import("../state.js").Part} */
export function whole(desk) {
  const drawing = new Picture(desk, {
    wish: () => ({ kind: "drawing", view: "print" }),
    title: () => "The drawing",
    label: (s) => `The drawing ${s.info?.name ?? ""} placed on the plate's face`,
  });
  const tones = new Picture(desk, {
    wish: (s) => s.tone === null ? { kind: "tones", view: "print" } : { kind: "tone", tone: s.tone, view: "print" },
    title: (s) => s.tone === null ? `${sentence(words(s.settings.tones))} tones` : `Where tone ${s.tone} lies`,
    label: (s) => s.tone === null ? `The drawing in ${words(s.settings.tones)} flat tones` : `Tone ${s.tone} picked out: ${s.plan ? whenCovered(s.plan.tones[s.tone], s.settings.tones) : ""}`,
  });
  const proof = new Picture(desk, {
    wish: (s) => proofWish(s), title: () => "The proof",
    label: (s) => `The expected print, ${byStrip(s.plan)}`,
  });
  const small = Array.from({ length: MOST_TONES - 1 }, (_, i) => i + 1).map((number) => {
    const picture = new Picture(desk, {
      wish: (s) => s.plan && number <= s.plan.stopouts.length ? { kind: "stopout", number, view: "plate" } : null,
      title: () => `Stop-out ${number}`, small: true, level: "h4",
      label: (s) => `Stop-out ${number}: ${s.plan ? percent(s.plan.stopouts[number - 1]?.new_share ?? 0) : ""} of the face to paint`,
    });
    const link = h("a", { href: "#painting", onclick: () => desk.set({ stopout: number, tone: null }) });
    picture.heading.replaceWith(link);
    link.append(picture.heading);
    return picture;
  });
  const lead = h("span", null);
  const example = h("span", { class: "example" }, "EXAMPLE, NOT YOUR BATH");
  const said = h("p", { class: "lead" }, lead, " ", example);
  const row = h("div", { class: "contact" }, ...small.map((picture) => picture.root));
  const heading = h("h3", null);
  const aside = h("span", { class: "legend" });
  const legend = h("p", { class: "legend" }, ...legendItems(), aside);
  const notes = h("ul", { class: "notes" });
  const root = h("section", { class: "station whole", "aria-labelledby": "h-whole" },
    h("div", { class: "top" }, h("h2", { id: "h-whole" }, "The whole job"), said),
    h("div", { class: "three" }, drawing.root, tones.root, proof.root),
    h("div", { class: "over" }, heading, legend), row, notes);
  return {
    root,
    update(state) {
      for (const picture of [drawing, tones, proof, ...small]) picture.update(state);
      const { plan } = state;
      if (!plan) return;
      const n = plan.tones.length;
      example.hidden = plan.strip.kind !== "example";
      say(lead, `${sentence(words(n))} tones from ${count(n - 1, "bite")}: cover what is light enough, bite, cover more, bite again. About ${minutes(plan.paint_min)} of painting and ${plan.strip.kind === "missing" ? "no times in the bath yet: there is no strip" : plan.standing.due ? "a time in the bath that is still to be decided" : `${clock(plan.tones[n - 1].shown_total_s)} in the bath`}.`);
      say(heading, `${sentence(count(n - 1, "stop-out"))}, in the order of painting`);
      aside.replaceChildren(...legendItems(asideLegend(state)));
      row.style.setProperty("--n", String(n - 1));
      notes.replaceChildren(...remarks(state).map((text) => h("li", null, text)));
    },
  };
}

/** Swatches, and the words beside them. @param {[string, string][]} [items] */
export function legendItems(items = [["now", "PAINT NOW"], ["before", "COVERED BEFORE"], ["bare", "LEAVE BARE"]]) {
  return items.map(([kind, word]) => h("span", null, h("i", { class: `swatch ${kind}`, "aria-hidden": "true" }), word));
}
