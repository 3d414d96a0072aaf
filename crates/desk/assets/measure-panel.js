// The chosen measure: its chord, what the melody does, the figure and why, what came second, and the other figures with how much worse each would be.

import { el, button, field, one, refill, targetOf } from "./dom.js";
import { figureWords, measureName, placeWords, stringWords, chordWords } from "./words.js";
import { byHand } from "./by-hand.js";
import { focusNote, singleNotes } from "./single-notes.js";
import { changedLine } from "./changed-line.js";
import { otherWays } from "./other-ways.js";
import { chordsAsText, goneChords, toField } from "./measure-chords.js";
import { otherChords } from "./other-chords.js";

const notesWords = (notes) => (notes ?? "").split(" ").map((pluck) => pluck.split("+").map((one) => one.replace("~", "")).map(stringWords).join("+")).join(" ");

function way(/** @type {Worktable} */ worktable, decision, other, rank) {
  const words = figureWords(other.figure);
  return el("li", { class: "way" },
    el("div", { class: "way-head" }, el("strong", {}, rank === 0 ? `Second: ${words}` : words), el("span", { class: "worse" }, other.worth)),
    el("p", { class: "strings-line" }, notesWords(other.notes)),
    other.why_not && el("p", { class: "hint" }, other.why_not),
    el("div", { class: "row" },
      button("Hear", () => worktable.hearWay(other.figure), { "aria-label": `Hear ${words}`, "data-key": `hear-${decision.at}-${other.figure}` }),
      button("Take it", () => worktable.hold(other.figure), { "aria-label": `Take it: ${words}`, "data-key": `take-${decision.at}-${other.figure}` })));
}

function chordForm(/** @type {Worktable} */ worktable, decision) {
  const key = decision.chord_place;
  if (!key) return null;
  const own = worktable.tune.choices.chords?.[key];
  const input = el("input", { type: "text", value: decision.chord ?? "", size: "8", autocomplete: "off", spellcheck: "false", "data-key": `chord-${key}` });
  const set = (event) => {
    event.preventDefault();
    // When it is taken the form has done its work.
    delete form.dataset.stays;
    const chord = input.value.trim();
    worktable.setChord(key, chord, `chord ${chord}`);
  };
  const verses = severalVerses(worktable) && el("p", { class: "hint" }, "A chord of yours holds in every verse.");
  const back = own && button("Back to the tune's chord", () => worktable.setChord(key, null, "the tune's own chord"));
  const form = el("details", { class: "own-chord", "data-stays": `chord ${key}` }, el("summary", { "data-key": `own-chord-${key}`, onclick: () => toField(form, input) }, own ? "Your own chord" : "Another chord here"),
    el("form", { class: "row low", onsubmit: set }, field("Chord, as Am7 or D/F♯", input), el("button", { type: "submit", "data-key": `use-chord-${key}` }, "Use this chord"), back), verses);
  return form;
}

const severalVerses = ({ tune }) => (tune.report?.wishes?.fullness?.length ?? 1) > 1;

/** Figures that cannot be played here, those with one reason together. */
function leftOut(decision) {
  if (!decision.left_out?.length) return null;
  const reasons = new Map();
  for (const { figure, why } of decision.left_out) reasons.set(why, [...(reasons.get(why) ?? []), figureWords(figure)]);
  return el("details", { "data-stays": "left out" }, el("summary", { "data-key": "left-out" }, `Figures that do not fit here (${decision.left_out.length})`),
    el("ul", { class: "left-out" }, [...reasons].map(([why, names]) => el("li", {}, el("strong", {}, names.join(", ")), `: ${why}`))));
}

function drawDecision(/** @type {Worktable} */ worktable, decision, several) {
  const chosen = el("div", { class: "chosen-way" },
    el("p", { class: "chord-line" }, el("span", { class: "chord" }, chordWords(decision.chord) || "no chord"), decision.chord && decision.ours && el("span", { class: "badge" }, "Undersong's"), several && el("span", { class: "hint" }, placeWords(decision.at, worktable.meter()))),
    decision.tune && el("p", {}, el("span", { class: "lead" }, "Melody "), decision.tune),
    el("p", {}, el("span", { class: "lead" }, decision.hand === "right" ? "Right hand " : "Left hand "), el("strong", {}, figureWords(decision.figure)), " ", decision.held && el("span", { class: "badge hold" }, "held by you")),
    decision.notes !== "rest" && el("p", { class: "strings-line" }, notesWords(decision.notes)),
    decision.why && el("p", {}, el("span", { class: "lead" }, "Why "), decision.why));
  const letGo = decision.held && button("Let it go", () => worktable.letGo(), { "data-key": "letGo" });
  const hear = decision.notes !== "rest" && button("Hear this", () => worktable.hearWay(null), { "data-key": `hear-chosen-${decision.at}` });
  const keep = !decision.held && decision.notes !== "rest" && button("Hold this", () => worktable.hold(decision.figure), { "data-key": "hold" });
  return el("section", { class: "decision", "aria-label": `${chordWords(decision.chord) || "no chord"}, ${placeWords(decision.at, worktable.meter())}` }, chosen, el("div", { class: "row" }, hear, keep, letGo),
    otherChords(worktable, decision), chordForm(worktable, decision));
}

/** The other figures of a decision; which chord they are for is said where there are several. */
function otherFigures(/** @type {Worktable} */ worktable, decision, several) {
  const ways = decision.alternatives ?? [];
  if (!ways.length) return leftOut(decision);
  const where = several ? `, ${chordWords(decision.chord)} ${placeWords(decision.at, worktable.meter())}` : "";
  return el("section", { class: "other-figures" }, el("h3", {}, `Other figures for this measure${where}`),
    el("ol", { class: "ways" }, ways.map((other, rank) => way(worktable, decision, other, rank))), leftOut(decision), prices(decision));
}

/** The numbers that the words stand for, folded away. */
function prices(decision) {
  return el("details", { class: "prices", "data-stays": `prices ${decision.at}` }, el("summary", { "data-key": `prices-${decision.at}` }, "In numbers"),
    el("p", { class: "hint" }, "A thousand is a fault that anybody would notice, a hundred a matter of taste."),
    el("ul", { class: "left-out" }, decision.alternatives.map(({ figure, extra }) => el("li", {}, `${figureWords(figure)}: ${extra} more`))));
}

/** How the phrases go here, and the other way in one touch. */
function phraseLine(/** @type {Worktable} */ worktable) {
  const { phrase, number } = worktable.measure;
  if (!phrase) return null;
  const name = measureName(number);
  const say = (here, what) => worktable.change((choices) => { choices.phrases = { ...choices.phrases, [String(number)]: here }; }, what);
  const back = () => worktable.change((choices) => { delete choices.phrases?.[String(number)]; }, `${name}: phrases as the tune tells`);
  const told = phrase.begins ? "A phrase begins here." : "The phrase goes on here.";
  const why = phrase.always ? "The tune or a section begins." : phrase.why.length ? `For it speaks: ${phrase.why.join("; ")}.` : "";
  return el("section", { class: "phrase-line", "aria-label": "Phrase" },
    el("p", {}, el("span", { class: "lead" }, "Phrase "), told, " ", phrase.hers ? el("span", { class: "badge hold" }, "said by you") : why && el("span", { class: "hint" }, why)),
    el("div", { class: "row" },
      phrase.hers ? button("As the tune tells", back, { "data-key": "phrase-back" })
        : phrase.begins ? !phrase.always && button("Let the phrase go on", () => say("goes on", `${name}: the phrase goes on`), { "data-key": "phrase-on" })
          : button("Begin a phrase here", () => say("begins", `${name}: a phrase begins`), { "data-key": "phrase-begin" })));
}

function inWords(measure) {
  return measure.in_words && el("details", { class: "in-words", "data-stays": "in words" }, el("summary", { "data-key": "in-words" }, "This measure in words"), el("p", {}, measure.in_words));
}

/** Draws the panel of the chosen measure and gives the worktable its ways to hold. */
export function measurePanel(/** @type {Worktable} */ worktable) {
  const node = el("div", { class: "measure-panel" });
  const number = () => String(worktable.measure.number);
  worktable.hold = (figure) => worktable.change((choices) => { choices.holds = { ...choices.holds, [number()]: figure }; delete choices.ways?.[number()]; }, `${figureWords(figure)} taken and held`);
  worktable.letGo = () => worktable.change((choices) => { delete choices.holds?.[number()]; delete choices.ways?.[number()]; }, "let go");
  let ways = null;
  // While the measure she went to is still read, what stands here is of the one before: only the steps to other measures can be pressed.
  const coming = () => worktable.measureAt !== worktable.chosen;
  worktable.on("chosen", () => node.setAttribute("aria-busy", String(coming())));
  node.addEventListener("click", (event) => {
    if (!coming() || targetOf(event).closest(".measure-step")) return;
    event.preventDefault();
    event.stopPropagation();
  }, true);
  const draw = () => {
    node.setAttribute("aria-busy", String(coming()));
    const { measure } = worktable;
    const decisions = measure.decisions ?? [];
    const had = node.contains(document.activeElement) || node.ownerDocument.activeElement === null;
    ways?.close();
    ways = decisions.some(({ chord }) => chord) ? otherWays(worktable) : null;
    refill(node,
      el("div", { class: "measure-step" },
        button("‹", () => worktable.choose(worktable.chosen - 1), { "aria-label": "Measure before", "data-key": "before" }),
        el("h2", {}, measureName(measure.number)),
        button("›", () => worktable.choose(worktable.chosen + 1), { "aria-label": "Next measure", "data-key": "next" })),
      changedLine(worktable),
      decisions.map((decision) => drawDecision(worktable, decision, decisions.length > 1)),
      decisions.length > 0 && severalVerses(worktable) && el("p", { class: "hint for-this-verse" }, "What you hold, take or change by hand here is for this verse alone."),
      goneChords(worktable), chordsAsText(worktable),
      byHand(worktable, worktable.chosen),
      singleNotes(worktable),
      ways?.node,
      decisions.map((decision) => otherFigures(worktable, decision, decisions.length > 1)),
      phraseLine(worktable),
      !decisions.length && el("p", {}, "The left hand does nothing new here."), inWords(measure));
    focusNote(worktable, node);
    // What was pressed is gone, because it was taken: it is the chosen one now.
    if (had && document.activeElement === document.body) (one(node, '[data-key^="hear-chosen-"]') ?? one(node, ".measure-step button"))?.focus();
  };
  worktable.on("measure", draw);
  return node;
}
