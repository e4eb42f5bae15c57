/**
 * Where the worker and the demo come from: beside the page on a host, or from inside the page when it is one file.
 */

/** The smallest module that needs simd128: one function giving i8x16.splat(0). (WebAssembly core specification, binary format) */
const SIMD = new Uint8Array([0, 97, 115, 109, 1, 0, 0, 0, 1, 5, 1, 96, 0, 1, 123, 3, 2, 1, 0, 10, 8, 1, 6, 0, 65, 0, 253, 15, 11]);

/** Why this browser can't run the page, in a sentence, or null when it can. */
export function lacking() {
  if (typeof Worker !== "function") return "This browser has no workers, which Stepbite needs. Open the page in a current Firefox, Chrome, Edge or Safari.";
  if (typeof WebAssembly !== "object" || !WebAssembly.validate(SIMD)) {
    return "This browser can't run WebAssembly with simd128, which Stepbite needs. Open the page in a current Firefox, Chrome, Edge or Safari.";
  }
  return null;
}

/** @typedef {{ worker: string, wasm: string, files: Record<string, string> }} Inlined */

/** @returns {Inlined | null} */
function inlined() {
  const text = document.getElementById("inlined")?.textContent;
  return text ? JSON.parse(text) : null;
}

/** @param {string} base64 */
function bytes(base64) {
  return Uint8Array.from(atob(base64), (letter) => letter.charCodeAt(0));
}

/** What the bridge and the page need to begin with. */
export function source() {
  const inside = inlined();
  if (!inside) {
    return {
      make: () => new Worker("worker.js"),
      start: () => ({}),
      /** @param {string} path */
      file: async (path) => {
        const answer = await fetch(path);
        if (!answer.ok) throw new Error(`The demo drawing is missing (${path}). Open a drawing of your own.`);
        return answer.blob();
      },
    };
  }
  const worker = URL.createObjectURL(new Blob([bytes(inside.worker)], { type: "text/javascript" }));
  return {
    make: () => new Worker(worker),
    start: () => ({ wasm: bytes(inside.wasm).buffer }),
    /** @param {string} path */
    file: async (path) => new Blob([bytes(inside.files[path])]),
  };
}
