// What changes elsewhere (another tab, the folder, work in the background) arrives here and is handed on.

import { settled, tell } from "./say.js";

const listeners = new Set();

/** Hears every event until the returned function is called. */
export function hear(/** @type {(event: any) => any} */ listener) {
  listeners.add(listener);
  return () => listeners.delete(listener);
}

function arrived(/** @type {MessageEvent} */ message) {
  let event;
  try { event = JSON.parse(message.data); } catch { return; }
  for (const listener of listeners) listener(event);
}

/** @type {EventSource | null} */
let source = null;

/** Hears nothing more: the program ends by her wish. */
export const stopLive = () => source?.close();

export function startLive() {
  const heard = source = new EventSource("/api/events");
  heard.onmessage = arrived;
  for (const name of ["shelf", "tune", "working"]) heard.addEventListener(name, arrived);
  let lost = false;
  heard.onerror = () => {
    if (heard.readyState === EventSource.CLOSED) {
      tell("Undersong was started again.", "Go on in the tab that it opened then.");
    } else if (!lost) {
      tell("Undersong does not answer.", "If you closed it, start it again: it opens a tab of its own.");
    }
    lost = true;
  };
  heard.onopen = () => { if (lost) { lost = false; settled(); for (const listener of listeners) listener({ shelf: true, again: true }); } };
}
