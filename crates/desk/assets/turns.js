// Turning pages by key, pedal and tap. A pedal is a keyboard to the browser; a foot that hits twice turns once.

import { typing } from "./keys.js";
import { sizes } from "./sizes.js";

const settle = 350;
const ways = { ArrowRight: 1, ArrowDown: 1, PageDown: 1, " ": 1, Enter: 1, ArrowLeft: -1, ArrowUp: -1, PageUp: -1 };

let last = -Infinity;

/** Lets one turn through in `settle` milliseconds, from one tune of a set to the next too. */
function once() {
  return (act) => {
    const now = performance.now();
    if (now - last < settle) return;
    last = now;
    act();
  };
}

/** Keys and pedals turn the pages; gives back what ends it. */
export function turnKeys(stand) {
  const gate = once();
  const pressed = (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    // One step at a time: the buttons first, and from them to where she came from.
    if (event.key === "Escape") { if (event.target.closest?.("#top")) location.hash = stand.back?.href ?? `#/worktable/${encodeURIComponent(stand.id)}`; else stand.showBar(); return; }
    const paging = event.key === "PageDown" || event.key === "PageUp";
    if (typing(event) && !paging) return;
    if (event.key === "Home" || event.key === "End") { stand.show(event.key === "Home" ? 0 : stand.sheets.length - 1, true); event.preventDefault(); return; }
    const way = ways[event.key];
    if (!way) return;
    event.preventDefault();
    if (!event.repeat) gate(() => stand.turn(way));
  };
  addEventListener("keydown", pressed);
  return () => removeEventListener("keydown", pressed);
}

/** A tap turns forward; on the left third of the page it turns back, unless she wished that it never does. */
export function turnTaps(stand, sheet) {
  const gate = once();
  const tapped = (event) => {
    const box = sheet.getBoundingClientRect();
    const back = !sizes().forward && event.clientX < box.left + box.width / 3;
    gate(() => stand.turn(back ? -1 : 1));
  };
  sheet.addEventListener("click", tapped);
  return () => sheet.removeEventListener("click", tapped);
}
