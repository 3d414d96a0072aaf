// Where the tune's chords come from, and how many of them there may be in a measure.

import { el, button, field, select } from "./dom.js";
import { chordWords } from "./words.js";

const sources = {
  written: "the chords of the tune", voices: "the chords of its voices", three: "three chords, made for the melody", fuller: "more chords, made for the melody",
};
const numbers = [1, 2, 3, 4];

function told({ report, choices }) {
  const facts = report.chords;
  if (!report.tune.chord_symbols && facts?.from === "nowhere") return "The tune has no chords yet, so the left hand rests.";
  // More to choose from may come to the same.
  const same = facts?.version === "fuller" && facts.made.length <= 3 ? " With more chords to choose from, these suit the melody best all the same." : "";
  if (facts?.from === "melody") return `The tune has no chords of its own: ${facts.made.map(chordWords).join(" ")} were made for its melody. On the page they are in italics.${same}`;
  if (facts?.filled?.length) return "Measures without chords were given some, in italics on the page.";
  if (facts?.from === "voices") return `${facts.found} chords were found in its ${facts.voices} voices; ${facts.stand} are used. On the page they are in italics.`;
  return choices.chords_a_measure && facts ? `${facts.stand} of ${facts.found} chords are used.` : null;
}

/** One touch for each way to its chords, and their number; null where there is nothing to choose. */
export function chordsPart(/** @type {Worktable} */ worktable) {
  const { choices, report } = worktable.tune;
  const facts = report.chords, written = report.tune.chord_symbols > 0;
  const voices = facts?.voices, filled = facts?.filled?.length > 0;
  const melody = !written || facts?.from === "melody" || choices.chords_from === "written";
  if (written && !voices && !filled && !melody) return null;
  const now = facts?.from === "voices" ? "voices" : facts?.from === "melody" ? facts.version : filled ? null : "written";
  const touch = (from, words) => button(words, () => worktable.change((c) => { c.chords_from = from; }, sources[from]), { "data-key": `chords-${from}`, "aria-pressed": String(now === from) });
  const count = choices.chords_a_measure ? String(choices.chords_a_measure) : "";
  const options = [["", now === "voices" || facts?.from === "melody" ? "as many as there is time for" : "all of them"], ...numbers.map((n) => [String(n), n === 1 ? "at most 1" : `at most ${n}`])];
  if (count && !numbers.includes(Number(count))) options.push([count, `at most ${count}`]);
  const set = (to) => worktable.change((c) => { c.chords_a_measure = to ? Number(to) : null; }, to ? `at most ${to} in a measure` : options[0][1]);
  const back = (choices.keep?.length ?? 0) > 0 && button("Let go what was brought back", () => worktable.change((c) => { c.keep = []; }, "thinned again"), { "data-key": "keep-none" });
  return el("fieldset", {}, el("legend", {}, "Chords"), told(worktable.tune) && el("p", { class: "hint" }, told(worktable.tune)),
    el("div", { class: "row" },
      written && (filled || choices.chords_from === "written") && button("Fill in what is missing", () => worktable.change((c) => { c.chords_from = null; }, "missing chords filled in"), { "data-key": "chords-filled", "aria-pressed": String(now === null) }),
      touch("written", written ? "Chords of the tune" : "No chords"), voices && touch("voices", "Chords from its voices"),
      melody && touch("three", "Three chords"), melody && touch("fuller", "More chords")),
    field("Chords in a measure", select(options, count, set, { "data-key": "chords-a-measure" })), back);
}
