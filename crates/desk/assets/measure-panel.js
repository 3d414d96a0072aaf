// The chosen measure: its chord, what the tune does, the figure and why, what came second, and the other ways with their cost.

import { el, button, field, refill } from "./dom.js";
import { figureWords, measureName, placeWords, costWords, stringWords, chordWords, signed } from "./words.js";
import { byHand, changeNotes } from "./by-hand.js";

const notesWords = (notes) => (notes ?? "").split(" ").map((pluck) => pluck.split("+").map((one) => one.replace("~", "")).map(stringWords).join("+")).join(" ");

function way(bench, decision, other, rank) {
  const words = figureWords(other.figure);
  return el("li", { class: "way" },
    el("div", { class: "way-head" }, el("strong", {}, rank === 0 ? `Second: ${words}` : words), el("span", { class: "cost" }, `${costWords(other.extra)} (+${other.extra})`)),
    el("p", { class: "strings-line" }, notesWords(other.notes)),
    other.why_not && el("p", { class: "hint" }, signed(other.why_not)),
    el("div", { class: "row" },
      button("Hear", () => bench.hearWay(other.figure), { "aria-label": `Hear ${words}`, "data-key": `hear-${decision.at}-${other.figure}` }),
      button("Take it", () => bench.pin(other.figure), { "aria-label": `Take it: ${words}`, "data-key": `take-${decision.at}-${other.figure}` })));
}

function chordForm(bench, decision) {
  const key = decision.chord_place;
  const own = bench.tune.choices.chords?.[key];
  const input = el("input", { type: "text", value: decision.chord ?? "", size: "8", autocomplete: "off", spellcheck: "false", "data-key": `chord-${key}` });
  const set = (event) => {
    event.preventDefault();
    const chord = input.value.trim();
    bench.setChord(key, chord, `chord ${chord}`);
  };
  const back = own && button("Back to the tune's chord", () => bench.setChord(key, null, "the tune's own chord"));
  return el("details", { class: "own-chord" }, el("summary", {}, own ? "Your own chord" : "Another chord here"),
    el("form", { class: "row low", onsubmit: set }, field("Chord, as Am7 or D/F♯", input), el("button", { type: "submit" }, "Use this chord"), back));
}

/** Figures that cannot be had here, those with one reason together. */
function leftOut(decision) {
  if (!decision.left_out?.length) return null;
  const reasons = new Map();
  for (const { figure, why } of decision.left_out) reasons.set(why, [...(reasons.get(why) ?? []), figureWords(figure)]);
  return el("details", {}, el("summary", {}, `Not possible here (${decision.left_out.length})`),
    el("ul", { class: "left-out" }, [...reasons].map(([why, names]) => el("li", {}, el("strong", {}, names.join(", ")), `: ${signed(why)}`))));
}

function drawDecision(bench, decision, several) {
  const chosen = el("div", { class: "chosen-way" },
    el("p", { class: "chord-line" }, el("span", { class: "chord" }, chordWords(decision.chord) || "no chord"), several && el("span", { class: "hint" }, placeWords(decision.at, bench.meter()))),
    decision.tune && el("p", {}, el("span", { class: "lead" }, "Tune "), decision.tune),
    el("p", {}, el("span", { class: "lead" }, "Left hand "), el("strong", {}, figureWords(decision.figure)), " ", decision.pinned && el("span", { class: "badge pin" }, "pinned by you")),
    decision.notes !== "rest" && el("p", { class: "strings-line" }, notesWords(decision.notes)),
    decision.why && el("p", {}, el("span", { class: "lead" }, "Why "), signed(decision.why)));
  const unpin = decision.pinned && button("Take the pin out", () => bench.unpin(), { "data-key": "unpin" });
  const hear = decision.notes !== "rest" && button("Hear this", () => bench.hearWay(null), { "data-key": `hear-chosen-${decision.at}` });
  const keep = !decision.pinned && decision.notes !== "rest" && button("Pin this", () => bench.pin(decision.figure), { "data-key": "pin" });
  const ways = decision.alternatives ?? [];
  return el("section", { class: "decision", "aria-label": `${chordWords(decision.chord) || "no chord"}, ${placeWords(decision.at, bench.meter())}` }, chosen, el("div", { class: "row" }, hear, keep, unpin),
    chordForm(bench, decision),
    ways.length > 0 && el("h3", {}, "Other ways"), ways.length > 0 && el("ol", { class: "ways" }, ways.map((other, rank) => way(bench, decision, other, rank))), leftOut(decision));
}

function inWords(measure) {
  return measure.in_words && el("details", { class: "in-words" }, el("summary", {}, "This measure in words"), el("p", {}, measure.in_words));
}

/** Draws the panel of the chosen measure and gives the bench its ways to pin. */
export function measurePanel(bench) {
  const node = el("div", { class: "measure-panel" });
  const number = () => String(bench.measure.number);
  bench.pin = (figure) => bench.change((choices) => { choices.pins = { ...choices.pins, [number()]: figure }; }, `${figureWords(figure)} taken and pinned`);
  bench.unpin = () => bench.change((choices) => { delete choices.pins[number()]; }, "pin taken out");
  const draw = () => {
    const { measure } = bench;
    const decisions = measure.decisions ?? [];
    refill(node,
      el("div", { class: "measure-step" },
        button("‹", () => bench.choose(bench.chosen - 1), { "aria-label": "Measure before", "data-key": "before" }),
        el("h2", {}, measureName(measure.number)),
        button("›", () => bench.choose(bench.chosen + 1), { "aria-label": "Next measure", "data-key": "next" })),
      decisions.map((decision) => drawDecision(bench, decision, decisions.length > 1)),
      byHand(bench, bench.chosen),
      decisions.length > 0 && changeNotes(bench),
      !decisions.length && el("p", {}, "The left hand does nothing new here."), inWords(measure));
  };
  bench.on("measure", draw);
  return node;
}
