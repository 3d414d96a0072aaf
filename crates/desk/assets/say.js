// What the page says: a notice that is seen (and read aloud), and words for a screen reader only.

import { always, el, button } from "./dom.js";

const notice = always("notice");
const said = always("said");
/** @type {ReturnType<typeof setTimeout> | undefined} */
let leaving;
let shown = 0;

/**
 * Shows a notice; it leaves by itself unless it is about something that went wrong. `offer` is { text, act }.
 * @param {string} text
 * @param {string | null} [hint]
 * @param {{ text: string, act: () => any } | null | false | ""} [offer]
 */
export function tell(text, hint, offer) {
  clearTimeout(leaving);
  shown = performance.now();
  const close = button("Close", () => notice.replaceChildren());
  const act = offer && button(offer.text, () => { notice.replaceChildren(); offer.act(); }, { class: "offer-act" });
  notice.replaceChildren(el("div", {}, el("p", {}, text, hint && el("span", { class: "next" }, hint)), act, close));
  if (!hint) leaving = setTimeout(() => notice.replaceChildren(), offer ? 9000 : 5000);
}

/** Takes away a notice of something that went wrong, or that offers a way back: what it was about is settled. */
export function settled() {
  if (notice.querySelector(".next, .offer-act")) notice.replaceChildren();
}

/** Takes away a notice about a place she has left; one that came with the going stays. */
export function quiet() {
  if (performance.now() - shown > 800) notice.replaceChildren();
}

export const capital = (/** @type {string} */ text) => text.charAt(0).toUpperCase() + text.slice(1);

/** Shows what was refused, with what to do. */
export function tellRefusal(refusal) {
  if (refusal.name === "AbortError") return;
  tell(`${capital(refusal.message)}.`, refusal.hint ? `${capital(refusal.hint)}.` : "Nothing was lost.");
}

/** Words that only a screen reader speaks. */
export function speak(/** @type {string} */ text) {
  said.textContent = "";
  requestAnimationFrame(() => { said.textContent = text; });
}

/** Runs something that asks the program, and tells what was refused. */
export async function trying(/** @type {() => any} */ act) {
  try { return await act(); } catch (refusal) {
    tellRefusal(refusal);
    if (!("status" in refusal) && refusal.name !== "AbortError") console.error(refusal);
    return undefined;
  }
}
