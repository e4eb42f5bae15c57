/**
 * The page kept for use without a network, where it was built for a host: a service worker holds every file. Whether there is a newer page is
 * asked of the page's own host at a start, and never else; it is taken when the printer says so, and never while a bite runs.
 */
import { h, say } from "../dom.js";

/** @typedef {import("../state.js").Desk} Desk */

/** @param {ServiceWorker} worker @param {"which" | "take"} word @returns {Promise<any>} */
function asked(worker, word) {
  return new Promise((resolve) => {
    const { port1, port2 } = new MessageChannel();
    port1.onmessage = ({ data }) => resolve(data);
    worker.postMessage(word, [port2]);
  });
}

/** @param {Desk} desk @returns {{ root: HTMLElement, update(state: import("../state.js").State): void, start(): Promise<void> }} */
export function installed(desk) {
  /** The worker that holds a newer page. @type {ServiceWorker | null} */
  let newer = null;
  let later = false;
  const text = h("p", null);
  const take = h("button", { type: "button", class: "act", onclick: taken }, "Take it now");
  const root = h("div", { class: "newer", role: "status", hidden: true }, text, take,
    h("button", { type: "button", onclick: () => { later = true; show(); } }, "Later"));

  function show() {
    // Not in a tab that only looks either: the run may be on in the other one.
    root.hidden = newer === null || later || desk.state.running || desk.state.kept.looks;
    say(text, root.hidden ? "" : "A newer Stepbite has come from this page’s host. The work stays as it is; the page begins anew once.");
  }

  async function taken() {
    if (!newer || desk.state.running) return;
    take.disabled = true;
    if (!await desk.keeper.written()) {
      take.disabled = false;
      return;
    }
    await asked(newer, "take");
    location.reload();
  }

  /** Whether the page itself is there without a network, which is said under “What is kept”. @param {"held" | "not" | "file"} page */
  const tell = (page) => desk.set({ kept: { ...desk.state.kept, page } });

  /** @param {ServiceWorker | null} worker */
  async function consider(worker) {
    if (!worker) return;
    const { own, used } = await asked(worker, "which");
    if (used !== null) tell("held");
    if (own !== used) newer = worker;
    show();
  }

  return {
    root,
    update: show,
    async start() {
      const workers = navigator.serviceWorker;
      if (document.getElementById("inlined")) return tell("file");
      if (!workers) return tell("not");
      const before = await workers.getRegistration("./");
      if (!document.querySelector("meta[name=stepbite-version]")) {
        // Served to be worked on: what an earlier site left at this address goes.
        if (before?.active?.scriptURL.endsWith("/service.js")) await before.unregister();
        return;
      }
      const registration = await workers.register("service.js", { updateViaCache: "none" }).catch((error) => {
        // Without a network the one that is there goes on.
        if (!before?.active) tell("not");
        throw error;
      });
      /** @param {ServiceWorker | null} worker */
      const watch = (worker) => worker?.addEventListener("statechange", () => {
        if (worker.state === "installed") consider(worker);
        if (worker.state === "redundant" && !registration.active) tell("not");
      });
      registration.addEventListener("updatefound", () => watch(registration.installing));
      watch(registration.installing);
      await consider(registration.waiting ?? registration.active);
    },
  };
}
