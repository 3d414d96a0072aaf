// The chords of the chosen measure: those that were taken away, grey, each with its way back, and all of them as text.

import { el, button, field } from "./dom.js";
import { chordWords, measureName, placeWords } from "./words.js";

function gone(/** @type {Worktable} */ worktable, chord, name) {
  const back = () => worktable.change((choices) => { choices.keep = [...(choices.keep ?? []), chord.keep]; }, `${chordWords(chord.chord)} brought back`);
  return el("li", { class: "gone-chord" },
    el("span", {}, el("span", { class: "chord" }, chordWords(chord.chord)), ` ${placeWords(chord.at, worktable.meter())}: ${chordWords(chord.why)}`),
    button("Bring back", back, { "data-key": `back-${chord.keep}`, "aria-label": `Bring back ${chordWords(chord.chord)} in ${name}` }));
}

/** What was taken away here, and what she keeps. */
export function goneChords(/** @type {Worktable} */ worktable) {
  const here = worktable.measure.chords;
  if (!here || !(here.dropped.length || here.kept.length)) return null;
  const number = String(worktable.measure.number), name = measureName(worktable.measure.number);
  const others = (choices) => (choices.keep ?? []).filter((keep) => keep.split("@")[0] !== number);
  const all = () => worktable.change((choices) => { choices.keep = [...others(choices), number]; }, `${name}: all its chords are back`);
  const thin = () => worktable.change((choices) => { choices.keep = others(choices); }, `${name}: thinned again`);
  return el("section", { class: "gone-chords", "aria-label": "Chords left out" },
    here.dropped.length > 0 && el("h3", {}, "Chords left out here"),
    here.dropped.length > 0 && el("ul", {}, here.dropped.map((chord) => gone(worktable, chord, name))),
    el("div", { class: "row" },
      here.dropped.length > 1 && button("Bring all back", all, { "data-key": "back-all" }),
      here.kept.length > 0 && el("span", { class: "badge hold" }, "brought back by you"),
      here.kept.length > 0 && button("Thin this measure again", thin, { "data-key": "thin-again" })));
}

/** What is opened to type in is typed in at once. */
export const toField = (part, input) => requestAnimationFrame(() => { if (part.open) { input.focus(); input.select(); } });

/** All chords of the measure as text, to be changed as a whole. */
export function chordsAsText(/** @type {Worktable} */ worktable) {
  const here = worktable.measure.chords;
  if (!here) return null;
  const input = el("input", { type: "text", value: here.text, size: "18", autocomplete: "off", spellcheck: "false", "data-key": `chords-${here.place}` });
  const set = (event) => {
    event.preventDefault();
    delete form.dataset.stays;
    const text = input.value.trim();
    worktable.setChord(here.place, text, `chords ${text}`);
  };
  const back = here.hers && button("Back to the tune's chords", () => worktable.setChord(here.place, null, "the tune's own chords"), { "data-key": "chords-back" });
  const form = el("details", { class: "own-chord", "data-stays": `chords ${here.place}` }, el("summary", { "data-key": `own-chords-${here.place}`, onclick: () => toField(form, input) }, here.hers ? "Your own chords for this measure" : "Other chords for this measure"),
    el("form", { class: "row low", onsubmit: set }, field("Shared over its beats, as C F C Am, or each at its beat, as C@1 F@3", input), el("button", { type: "submit", "data-key": "use-chords" }, "Use these chords"), back));
  return form;
}
