/** A name that bytes have by themselves, so that the same drawing is kept once. */

/** So much is read at once, bytes: a scan of a gigabyte is never in memory whole. */
const PART = 8 << 20;

/** @param {Uint8Array} bytes */
const hex = (bytes) => Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");

/**
 * SHA-256 (FIPS 180-4) of the SHA-256 of each 8 MiB. Where the browser does not offer it (a page over plain http from another machine), a
 * name by chance: then the same drawing opened twice is two.
 * @param {Blob} file @param {Crypto} [crypto] @returns {Promise<string>}
 */
export async function contentId(file, crypto = globalThis.crypto) {
  if (!crypto?.subtle) return `chance-${hex(crypto.getRandomValues(new Uint8Array(16)))}`;
  const digests = [];
  for (let at = 0; at === 0 || at < file.size; at += PART) {
    digests.push(new Uint8Array(await crypto.subtle.digest("SHA-256", await file.slice(at, at + PART).arrayBuffer())));
  }
  return hex(new Uint8Array(await crypto.subtle.digest("SHA-256", await new Blob(digests).arrayBuffer())));
}
