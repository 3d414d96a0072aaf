// The end of the program, asked for on the shelf: at once where nothing is unsaved, else she is told what is. Then the page says what happened.

import { always, el, button } from "./dom.js";
import { post } from "./ask.js";
import { unsaved } from "./draft.js";
import { startLive, stopLive } from "./live.js";
import { tell, trying } from "./say.js";

/** What this page is told when the program has ended; `detail` is the folder. */
export const ENDED = "undersong-ended";

async function end() {
  // Before the line is cut: it would be told as a mishap.
  stopLive();
  const { folder } = await post("/api/end").catch((refusal) => { startLive(); throw refusal; });
  dispatchEvent(new CustomEvent(ENDED, { detail: folder }));
}

const named = (/** @type {string} */ id) => (id ? `“${id}”` : "a new tune");

/** The button that ends the program. */
export function endButton() {
  return button("End Undersong", () => trying(async () => {
    const left = await unsaved();
    if (!left.length) return end();
    return tell(`What you typed in ${left.map(named).join(", ")} is not saved yet.`, "Look at its text and save it, or end without it.", { text: "End without it", act: () => trying(end) });
  }), { class: "end", "data-key": "end" });
}

/** Takes the page's place when all is over. */
export function drawEnded(/** @type {string} */ folder) {
  document.title = "Undersong has ended";
  for (const id of ["places", "here"]) always(id).replaceChildren();
  const head = el("h1", { tabindex: "-1" }, "Undersong has ended");
  always("view").replaceChildren(el("div", { class: "ended" }, head,
    el("p", {}, `Everything is kept in ${folder}.`),
    el("p", {}, "You can close this tab. To go on another time, start Undersong again: it opens a tab of its own.")));
  head.focus();
}
