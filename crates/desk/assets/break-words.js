// A word for a break: plain, once in a while, and gone when she wishes.

import { el, button, refill } from "./dom.js";

const key = "undersong.breaks";
export const breaksWanted = () => localStorage.getItem(key) !== "no";
export const wishBreaks = (/** @type {boolean} */ wanted) => localStorage.setItem(key, wanted ? "yes" : "no");

/** Gives { node, show(minutes or null) }; `rested()` hears that she took one. */
export function breakWords(/** @type {() => any} */ rested) {
  const node = el("div", { class: "break-words", role: "status" });
  const show = (/** @type {number | null} */ minutes) => {
    if (minutes === null || !breaksWanted()) { refill(node); return; }
    refill(node, el("p", {}, `${minutes} minutes without a break: a good moment to stand up, walk about and come back in a minute or two.`), button("I had one", rested, { "data-key": "had-a-break" }));
  };
  return { node, show };
}
