// What changes elsewhere (another tab, the folder, work in the background) arrives here and is handed on.

import { settled, tell } from "./say.js";

const listeners = new Set();

/** Hears every event until the returned function is called. */
export function hear(listener) {
  listeners.add(listener);
  return () => listeners.delete(listener);
}

function arrived(message) {
  let event;
  try { event = JSON.parse(message.data); } catch { return; }
  for (const listener of listeners) listener(event);
}

let source = null;

/** Hears nothing more: the program ends by her wish. */
export const stopLive = () => source?.close();

export function startLive() {
  source = new EventSource("/api/events");
  source.onmessage = arrived;
  for (const name of ["shelf", "tune", "working"]) source.addEventListener(name, arrived);
  let lost = false;
  source.onerror = () => {
    if (source.readyState === EventSource.CLOSED) {
      tell("Undersong was started again.", "Go on in the tab that it opened then.");
    } else if (!lost) {
      tell("Undersong does not answer.", "If you closed it, start it again: it opens a tab of its own.");
    }
    lost = true;
  };
  source.onopen = () => { if (lost) { lost = false; settled(); for (const listener of listeners) listener({ shelf: true, again: true }); } };
}
