/** Makes elements. Attributes by name; `on…` adds a listener; children are nodes or text. */

/** @typedef {Record<string, any>} Attributes */

/** @param {Element} element @param {Attributes} attributes */
export function assign(element, attributes) {
  for (const [name, value] of Object.entries(attributes)) {
    if (name.startsWith("on")) element.addEventListener(name.slice(2), value);
    else if (name === "style") Object.assign(/** @type {HTMLElement} */ (element).style, value);
    else if (value === true) element.setAttribute(name, "");
    else if (value === false || value === null || value === undefined) element.removeAttribute(name);
    else if (element.getAttribute(name) !== String(value)) element.setAttribute(name, String(value));
  }
}

/**
 * @template {keyof HTMLElementTagNameMap} K
 * @param {K} tag @param {Attributes | null} [attributes] @param {...(Node | string | null | undefined | false)} children
 * @returns {HTMLElementTagNameMap[K]}
 */
export function h(tag, attributes, ...children) {
  const element = document.createElement(tag);
  if (attributes) assign(element, attributes);
  element.append(.../** @type {(Node | string)[]} */ (children.filter((child) => child !== null && child !== undefined && child !== false)));
  return element;
}

/** @param {string} tag @param {Attributes} attributes @param {...(Node | string)} children */
export function svg(tag, attributes, ...children) {
  const element = document.createElementNS("http://www.w3.org/2000/svg", tag);
  assign(element, attributes);
  element.append(...children);
  return element;
}

/** Sets text only when it differs, so that readers aloud are not disturbed. @param {Element} element @param {string} text */
export function say(element, text) {
  if (element.textContent !== text) element.textContent = text;
}

/**
 * A table from rows of text; the first cell of a row heads it.
 * @param {string} caption @param {string[]} heads @param {(string | Node)[][]} rows @param {Attributes} [attributes]
 */
export function table(caption, heads, rows, attributes = {}) {
  return h("table", attributes,
    h("caption", null, caption),
    h("thead", null, h("tr", null, ...heads.map((text) => h("th", { scope: "col" }, text)))),
    h("tbody", null, ...rows.map((row) => h("tr", null,
      ...row.map((cell, i) => i === 0 ? h("th", { scope: "row" }, cell) : h("td", null, cell))))));
}

/** Puts a picture of the core on a canvas of its own size. @param {HTMLCanvasElement} canvas @param {import("../web/types.d.ts").Picture} picture */
export function show(canvas, picture) {
  // Setting a size clears the canvas and takes its memory anew, also where it is the same.
  if (canvas.width !== picture.width) canvas.width = picture.width;
  if (canvas.height !== picture.height) canvas.height = picture.height;
  canvas.getContext("2d")?.putImageData(pixels(picture), 0, 0);
}

/** Its pixels as a canvas takes them. @param {import("../web/types.d.ts").Picture} picture */
export function pixels({ rgba, width, height }) {
  return new ImageData(/** @type {Uint8ClampedArray<ArrayBuffer>} */ (rgba), width, height);
}
