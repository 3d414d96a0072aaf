// A chord that was made for the melody: why it stands there, and the others that might, the best first, each heard before it is taken.

import { el, button } from "./dom.js";
import { capital } from "./say.js";
import { chordWords, measureName } from "./words.js";

function other(/** @type {Worktable} */ worktable, decision, made) {
  const place = decision.chord_place, name = chordWords(made.chord);
  const choices = () => {
    const next = structuredClone(worktable.tune.choices);
    next.chords = { ...next.chords, [place]: made.own };
    return next;
  };
  const stretch = { from: worktable.chosen, to: worktable.chosen + 1 };
  const where = measureName(worktable.measure.number);
  return el("li", { class: "way other-chord" },
    el("div", { class: "way-head" }, el("strong", { class: "chord" }, name), el("span", { class: "worse" }, made.worth)),
    el("p", { class: "hint" }, `${capital(chordWords(made.why))}.`),
    el("div", { class: "row" },
      button("Listen", () => worktable.hearTried(choices(), stretch), { "aria-label": `Listen to ${name} with the measure before and after`, "data-key": `hear-chord-${place}-${made.chord}` }),
      button("Take it", () => worktable.setChord(place, made.chord, `${where}: ${name}`), { "aria-label": `Take ${name}`, "data-key": `take-chord-${place}-${made.chord}` })));
}

/** Nothing for a chord of the tune's own or of hers. */
export function otherChords(/** @type {Worktable} */ worktable, decision) {
  const { made } = decision;
  if (!made || !decision.chord_place) return null;
  const node = el("details", { class: "other-chords", open: worktable.chordsOpen, ontoggle: () => { worktable.chordsOpen = node.open; } },
    el("summary", { "data-key": `other-chords-${decision.chord_place}` }, `Other chords instead of ${chordWords(made.chord)}`),
    el("ol", { class: "ways" }, made.others.map((one) => other(worktable, decision, one))));
  return [el("p", { class: "made" }, el("span", { class: "lead" }, `${chordWords(made.chord)} was made for the melody `), `${capital(chordWords(made.why))}.`), made.others.length > 0 && node];
}
