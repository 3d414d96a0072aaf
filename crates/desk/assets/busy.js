// Says that the program is at work when an answer takes longer than a blink, and takes the word back when it has come.

import { always } from "./dom.js";

const blink = 400;
const room = always("busy");
let slow = 0;

const show = (/** @type {number} */ by) => { slow += by; room.textContent = slow > 0 ? "Working …" : ""; };

/** Watches one question to the program; gives its answer back. */
export async function watched(/** @type {Promise<any>} */ asked) {
  let shown = false;
  const timer = setTimeout(() => { shown = true; show(1); }, blink);
  try { return await asked; } finally {
    clearTimeout(timer);
    if (shown) show(-1);
  }
}
