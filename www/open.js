/** Opening a drawing or a project file: by the button, dropped anywhere, or pasted. */
import { h } from "./dom.js";

const TYPES = "image/png,image/jpeg,image/tiff,image/webp,image/bmp,application/zip,.zip,.png,.jpg,.jpeg,.tif,.tiff,.webp,.bmp";

/** @param {(file: Blob, name: string) => void} open @returns {() => void} asks for a file */
export function openers(open) {
  const input = h("input", { type: "file", accept: TYPES, hidden: true, "aria-label": "Open a drawing or saved work", id: "file" });
  document.body.append(input);
  input.addEventListener("change", () => {
    const file = input.files?.[0];
    input.value = "";
    if (file) open(file, file.name);
  });

  let depth = 0;
  /** @param {DragEvent} event */
  const hasFile = (event) => event.dataTransfer?.types.includes("Files") ?? false;
  /** @param {boolean} over */
  const show = (over) => document.body.classList.toggle("dropping", over);
  addEventListener("dragenter", (event) => {
    if (hasFile(event)) show(++depth > 0);
  });
  addEventListener("dragleave", (event) => {
    if (hasFile(event)) show((depth = Math.max(0, depth - 1)) > 0);
  });
  addEventListener("dragover", (event) => {
    if (hasFile(event)) event.preventDefault();
  });
  addEventListener("drop", (event) => {
    depth = 0;
    show(false);
    const file = event.dataTransfer?.files[0];
    if (!file) return;
    event.preventDefault();
    open(file, file.name);
  });
  addEventListener("paste", (event) => {
    const file = event.clipboardData?.files[0];
    if (!file) return;
    event.preventDefault();
    open(file, file.name || "pasted picture");
  });
  return () => input.click();
}
