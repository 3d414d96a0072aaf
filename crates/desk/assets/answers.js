// Her answer to a call, timed: a key or a tap at the moment she plays what was called, told in beats beside the moment at which it should have begun.

import { el, button, refill } from "./dom.js";
import { speak } from "./say.js";

/** @type {[number, string][]} */
const parts = [[0.125, ""], [0.375, "a quarter of a beat"], [0.625, "half a beat"], [0.875, "three quarters of a beat"]];

/** "on the beat", "half a beat late", "1½ beats early". */
export function lateWords(beats) {
  const far = Math.abs(beats), which = beats > 0 ? "late" : "early";
  const part = parts.find(([until]) => far < until);
  if (part) return part[1] ? `${part[1]} ${which}` : "on the beat";
  const half = Math.round(far * 2) / 2, whole = Math.floor(half);
  return `${whole}${half > whole ? "½" : ""} ${half === 1 ? "beat" : "beats"} ${which}`;
}

/** Beats from second `due` to second `at` of the music, by the beats as they lie there. */
export function beatsBetween(beats, due, at) {
  const place = (t) => {
    const next = beats.findIndex((beat) => beat.t > t + 1e-6);
    const index = next < 0 ? beats.length - 1 : Math.max(1, next);
    const [from, to] = [beats[index - 1].t, beats[index]?.t ?? beats[index - 1].t + 0.6];
    return index - 1 + (t - from) / Math.max(0.05, to - from);
  };
  return beats.length < 2 ? 0 : place(at) - place(due);
}

/** `what` is what she does then: "The new figure begins". Gives { node, called(second), answer: true where there was a call to answer, forget }. */
export function answers(practice, what) {
  let open = null, given = [];
  const said = el("p", { class: "hint answers", role: "status" }, "Press it, or Enter on the music, at the moment you play it.");
  const press = button(what, () => answer(), { "data-key": "answer", "aria-disabled": "true" });
  /** The next answer is due at this second of the music; undefined: it is not played any more. */
  function called(due) {
    open = due === undefined ? null : { due };
    press.setAttribute("aria-disabled", String(!open));
  }
  function answer() {
    const at = practice.musicNow();
    if (!open || at === null || at === undefined) return false;
    const late = beatsBetween(practice.sound.beats, open.due, at);
    given = [...given, late];
    open = null;
    press.setAttribute("aria-disabled", "true");
    const words = lateWords(late), near = given.filter((one) => Math.abs(one) < 0.375).length;
    refill(said, el("strong", {}, `${words}.`), given.length > 1 ? ` ${near} of ${given.length} within a quarter of a beat.` : "");
    speak(words);
    return true;
  }
  return { node: el("div", { class: "row answer-row" }, press, said), called, answer, forget: () => { open = null; press.setAttribute("aria-disabled", "true"); } };
}
