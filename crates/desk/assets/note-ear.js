// One string plucked at once, for a note that is typed or touched; whether typed notes are heard is kept.

import { samples } from "./samples.js";

const silent = "undersong.typing-silent";
/** @type {AudioContext | null} */
let context = null;
/** @type {AudioBufferSourceNode | null} */
let sounding = null;

export const typingHeard = () => localStorage.getItem(silent) === null;
export const hearTyping = (/** @type {boolean} */ on) => { if (on) localStorage.removeItem(silent); else localStorage.setItem(silent, "yes"); };

/** Plucks a string, "F#4"; the one before is let go. A string that has no sound, or a browser that has not been touched yet, is silent. */
export async function pluckOnce(/** @type {string} */ pitch) {
  try {
    context ??= new AudioContext({ latencyHint: "interactive" });
    await context.resume();
    const strings = await samples(context, [pitch]);
    sounding?.stop(context.currentTime + 0.05);
    sounding = context.createBufferSource();
    sounding.buffer = strings.get(pitch) ?? null;
    sounding.connect(new GainNode(context, { gain: 0.8 })).connect(context.destination);
    sounding.start(context.currentTime + 0.01);
  } catch { sounding = null; }
}
