// A button whose panel lies over what is below it and pushes nothing away. Escape and a press elsewhere close it.

import { el } from "./dom.js";

/** `content` is the panel. A press on the music that closes the panel does nothing else. */
export function drop(/** @type {string} */ name, /** @type {HTMLElement} */ content, kind = "") {
  const summary = el("summary", { class: `button ${kind}` }, name);
  const node = el("details", { class: "drop" }, summary, content);
  content.classList.add("drop-panel");
  const close = () => { node.open = false; };
  node.addEventListener("keydown", (event) => {
    if (event.key !== "Escape" || !node.open) return;
    event.stopPropagation();
    close();
    summary.focus();
  });
  const elsewhere = (event) => {
    if (!node.isConnected) { removeEventListener("click", elsewhere, true); return; }
    if (node.contains(event.target)) return;
    close();
    if (event.target.closest(".stand-sheet")) event.stopPropagation();
  };
  node.addEventListener("toggle", () => {
    removeEventListener("click", elsewhere, true);
    if (node.open) addEventListener("click", elsewhere, true);
  });
  return node;
}
