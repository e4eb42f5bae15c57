// Keeps the built page in the browser, whole, for use without a network. The site builder fills in the version and every file with its
// SHA-256. A newer version is fetched beside the one in use, and used only once the printer says so.
"use strict";

(() => {
  /** Empty where the page is served as it stands, to be worked on. */
  const VERSION = "";
  /** Names relative to the page, with the SHA-256 of each. @type {Record<string, string>} */
  const FILES = {};

  const scope = /** @type {any} */ (self);
  const PAGE = "index.html";
  /** Caches are shared by all pages of a host, and there may be a second Stepbite in another folder. */
  const CACHES = `stepbite ${scope.registration.scope} `;
  /** Which version is in use: a cache of one short text. */
  const IN_USE = `${CACHES}in use`;
  const MARK = "in-use";

  /** @param {string} name */
  const address = (name) => new URL(name === PAGE ? "./" : name, scope.registration.scope).href;

  /** The version in use, null before the first. @returns {Promise<string | null>} */
  async function inUse() {
    const said = await (await caches.open(IN_USE)).match(address(MARK));
    return said ? said.text() : null;
  }

  /** Takes this version into use; every other one goes. */
  async function take() {
    await (await caches.open(IN_USE)).put(address(MARK), new Response(VERSION));
    for (const name of await caches.keys()) {
      if (name.startsWith(CACHES) && name !== IN_USE && name !== CACHES + VERSION) await caches.delete(name);
    }
  }

  /** @param {string} name @param {string} hash */
  async function fetched(name, hash) {
    const answer = await fetch(new Request(address(name), { cache: "reload", credentials: "same-origin" }));
    if (!answer.ok) throw new Error(`${name} could not be fetched (${answer.status}).`);
    const body = await answer.arrayBuffer();
    const digest = new Uint8Array(await crypto.subtle.digest("SHA-256", body));
    // A host in the middle of being brought up to date gives files of two versions.
    if (Array.from(digest, (byte) => byte.toString(16).padStart(2, "0")).join("") !== hash) throw new Error(`${name} is of another version.`);
    const type = answer.headers.get("content-type");
    const cache = await caches.open(CACHES + VERSION);
    await cache.put(address(name), new Response(body, { headers: type ? { "content-type": type } : {} }));
  }

  /** Whether every file of this version is there. */
  async function whole() {
    const cache = await caches.open(CACHES + VERSION);
    const there = new Set((await cache.keys()).map((request) => request.url));
    return Object.keys(FILES).every((name) => there.has(address(name)));
  }

  /** Everything or nothing. */
  async function install() {
    const used = await inUse();
    // The host went back to the version that is in use: it is all there.
    if (used === VERSION && await whole()) return;
    try {
      for (const [name, hash] of Object.entries(FILES)) await fetched(name, hash);
    } catch (error) {
      if (used !== VERSION) await caches.delete(CACHES + VERSION);
      throw error;
    }
    if (used === null) await take();
  }

  /** A page that is worked on must not come from a cache: what an earlier site left here goes. */
  async function leave() {
    for (const name of await caches.keys()) if (name.startsWith(CACHES)) await caches.delete(name);
    await scope.registration.unregister();
    for (const page of await scope.clients.matchAll({ type: "window" })) page.navigate(page.url);
  }

  scope.addEventListener("install", (/** @type {any} */ event) => {
    if (VERSION) event.waitUntil(install());
    else scope.skipWaiting();
  });

  scope.addEventListener("activate", (/** @type {any} */ event) => {
    event.waitUntil(VERSION ? scope.clients.claim() : leave());
  });

  /** @param {Request} request */
  async function answer(request) {
    const url = new URL(request.url);
    url.search = "";
    url.hash = "";
    if (url.href === new URL(PAGE, scope.registration.scope).href) url.href = address(PAGE);
    const version = await inUse() ?? VERSION;
    const kept = await (await caches.open(CACHES + version)).match(url.href);
    return kept ?? fetch(request);
  }

  scope.addEventListener("fetch", (/** @type {any} */ event) => {
    const { request } = event;
    if (VERSION && request.method === "GET" && request.url.startsWith(scope.registration.scope)) event.respondWith(answer(request));
  });

  scope.addEventListener("message", (/** @type {MessageEvent} */ event) => {
    const port = event.ports[0];
    if (event.data === "which") inUse().then((used) => port?.postMessage({ own: VERSION, used }));
    if (event.data === "take") take().then(() => scope.skipWaiting()).then(() => port?.postMessage("taken"));
  });
})();
