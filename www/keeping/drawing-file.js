/** A drawing's own file: how it is held while it is worked with, and the title its name gives. */

/** Files larger than this, bytes, are not held in memory a second time: they stay the file the browser holds. */
export const LARGE_FILE = 64e6;
/** The longest title that is taken from a file's name, letters: a file system may have more than a sheet has room for. */
const LONGEST_TITLE = 120;

/** A copy in memory, should the file be gone when it is read again, as when the worker is started anew; a large one stays on the disk. @param {Blob} file */
export async function held(file) {
  return file.size > LARGE_FILE ? file : new Blob([await file.arrayBuffer()]);
}

/** The title that a file's name gives, without its ending. @param {string} name */
export function titleOf(name) {
  return [...name.replace(/\.[^.]*$/, "")].slice(0, LONGEST_TITLE).join("").trim() || "Untitled";
}
