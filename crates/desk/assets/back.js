// Esc goes back, one step at a time: from a panel to the music, from the music to where she came from. Space plays wherever it does nothing else.

import { targetOf } from "./dom.js";
import { typing } from "./keys.js";

const writes = (/** @type {KeyboardEvent} */ event) => targetOf(event).closest?.("input:not([type=checkbox], [type=radio], [type=range]), textarea, select") !== null;
const busy = (/** @type {KeyboardEvent} */ event) => event.defaultPrevented || event.ctrlKey || event.metaKey || event.altKey || document.querySelector("dialog[open]") !== null || document.fullscreenElement !== null;

/**
 * `music` is what has the keys of the music; `to` the address behind it; `play` what Space does. Gives back what ends it.
 * @param {{ to: string, music?: HTMLElement, play?: () => any }} place
 */
export function backAndPlay({ music, to, play }) {
  const pressed = (/** @type {KeyboardEvent} */ event) => {
    if (busy(event)) return;
    if (event.key === " " && play && !typing(event)) { event.preventDefault(); if (!event.repeat) play(); return; }
    if (event.key !== "Escape" || writes(event)) return;
    event.preventDefault();
    if (music && !music.contains(document.activeElement)) music.focus({ preventScroll: true });
    else location.hash = to;
  };
  addEventListener("keydown", pressed);
  return () => removeEventListener("keydown", pressed);
}
