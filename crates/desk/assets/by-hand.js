// Her changes of single notes, laid over the page by hand: told where they are, each with the way back.

import { el, button } from "./dom.js";
import { measureName, placeWords } from "./words.js";
import { capital } from "./say.js";

function takeBack(/** @type {Worktable} */ worktable, /** @type {number} */ line) {
  return worktable.change((choices) => { choices.changes = (choices.changes ?? []).filter((_, index) => index !== line); }, "change taken back");
}

function row(/** @type {Worktable} */ worktable, /** @type {Tune['by_hand'][number] & { line: number }} */ change, /** @type {boolean} */ everywhere) {
  const place = change.found ? placeWords(change.at, worktable.meter()) : "the notes it changes are not on the page now, so it does nothing; it is kept";
  return el("li", {},
    el("div", {}, everywhere && button(measureName(change.number), () => worktable.choose(change.index, true), { class: "plain" }),
      el("span", {}, capital(change.text)), el("span", { class: "hint" }, ` ${place}`)),
    button("Take it back", () => takeBack(worktable, change.line), { "aria-label": `Take it back: ${change.text}`, "data-key": `back-${change.line}` }));
}

/** The changes of measure `index`, or of the whole tune where it is null; null when there are none. */
export function byHand(/** @type {Worktable} */ worktable, /** @type {number | null} */ index) {
  const all = (worktable.tune?.by_hand ?? []).map((change, line) => ({ ...change, line }));
  const here = all.filter((change) => index === null || change.index === index);
  return here.length > 0 && el("section", { class: "by-hand", "aria-label": "Changed by hand" }, el(index === null ? "h2" : "h3", {}, "Changed by hand"),
    el("ul", {}, here.map((change) => row(worktable, change, index === null))));
}
