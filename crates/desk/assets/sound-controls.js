// Controls that every place with sound has: a slider for the tempo, and lists of measures, each measure once.

import { el } from "./dom.js";
import { isPickup } from "./words.js";

/** A slider in percent: { node, now(), set(percent) }. `changed` is called with the new percent. */
export function tempoSlider({ key, name, least, most, at = 100, step = 5, changed }) {
  const words = el("output", { class: "tempo-words" });
  const slider = el("input", { type: "range", min: least, max: most, step, value: at, "aria-label": name, "data-key": key, oninput: () => { say(); changed(Number(slider.value)); } });
  const say = () => { words.textContent = `${slider.value} %`; slider.setAttribute("aria-valuetext", `${slider.value} percent`); };
  say();
  return { node: el("label", { class: "field tempo" }, el("span", {}, "Tempo ", words), slider), now: () => Number(slider.value), set: (percent) => { slider.value = String(percent); say(); } };
}

/** A measure that is printed in two parts, before and after a repeat sign, has one number: where the parts begin and where they end. */
const together = (measures, one, other) => { const [a, b] = [measures[one]?.number, measures[other]?.number]; return a !== undefined && String(a) === String(b) && !isPickup(a); };
export function firstOf(measures, index) { while (together(measures, index - 1, index)) index -= 1; return index; }
export function lastOf(measures, index) { while (together(measures, index, index + 1)) index += 1; return index; }

/** Options for a list to begin at ("first") or end at ("last"): each measure once. */
export function measureOptions(measures, which) {
  const end = which === "first" ? firstOf : lastOf;
  return measures.map(({ index }) => index).filter((index) => end(measures, index) === index)
    .map((index) => el("option", { value: String(index) }, isPickup(measures[index].number) ? "pickup" : String(measures[index].number)));
}
