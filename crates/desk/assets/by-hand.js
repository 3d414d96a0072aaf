// Her changes of single notes, laid over the page by hand: told where they are, each with the way back; and a line of three lists to make another.

import { el, button, field, select } from "./dom.js";
import { measureName, placeWords } from "./words.js";
import { capital } from "./say.js";

function takeBack(/** @type {Worktable} */ worktable, line) {
  return worktable.change((choices) => { choices.changes = (choices.changes ?? []).filter((_, index) => index !== line); }, "change taken back");
}

function row(/** @type {Worktable} */ worktable, change, everywhere) {
  const place = change.found ? placeWords(change.at, worktable.meter()) : "the notes it changes are not on the page now";
  return el("li", {},
    el("div", {}, everywhere && button(measureName(change.number), () => worktable.choose(change.index, true), { class: "plain" }),
      el("span", {}, capital(change.text)), el("span", { class: "hint" }, ` ${place}`)),
    button("Take it back", () => takeBack(worktable, change.line), { "aria-label": `Take it back: ${change.text}`, "data-key": `back-${change.line}` }));
}

/** The changes of measure `index`, or of the whole tune where it is null; null when there are none. */
export function byHand(/** @type {Worktable} */ worktable, index) {
  const all = (worktable.tune?.by_hand ?? []).map((change, line) => ({ ...change, line }));
  const here = all.filter((change) => index === null || change.index === index);
  return here.length > 0 && el("section", { class: "by-hand", "aria-label": "Changed by hand" }, el(index === null ? "h2" : "h3", {}, "Changed by hand"),
    el("ul", {}, here.map((change) => row(worktable, change, index === null))));
}

const ofOne = [["leave out", "leave it out"], ["by octaves 1", "an octave higher"], ["by octaves -1", "an octave lower"]];
const ofAll = [["roll", "roll it from the bottom"], ["let ring", "let ring instead"], ["by octaves 1", "an octave higher"], ["by octaves -1", "an octave lower"]];

/** The line that the program reads: the place, and what is done to one note there, or to all that the left hand plucks. */
function lineOf(place, note, what) {
  if (note === "") return what === "roll" ? `${place} roll` : `${place} lower staff: ${what}`;
  const plain = note.replace("♯", "#").replace("♭", "b").replace("♮", "");
  return what === "leave out" ? `${place} lower staff: leave out ${plain}` : `${place} ${plain} ${what}`;
}

/** Three lists and a button: which pluck, which of its notes, what is done. What may be done follows the chosen note. */
function another(/** @type {Worktable} */ worktable, plucks) {
  const wish = { pluck: plucks[0], note: "", what: "" };
  const doing = el("span", {}), noting = el("span", {});
  const drawDoing = () => {
    const list = wish.note === "" ? ofAll : ofOne;
    wish.what = list[0][0];
    doing.replaceChildren(field("Do", select(list, wish.what, (what) => { wish.what = what; }, { "data-key": "by-hand-what" })));
  };
  const drawNotes = () => {
    wish.note = "";
    const notes = wish.pluck.left.map(({ pitch }) => [pitch, pitch]);
    noting.replaceChildren(field("Note", select([["", "all of it"], ...notes], "", (note) => { wish.note = note; drawDoing(); }, { "data-key": "by-hand-note" })));
    drawDoing();
  };
  drawNotes();
  const places = plucks.map((pluck, index) => [String(index), placeWords(pluck.at, worktable.meter())]);
  const change = (event) => { event.preventDefault(); worktable.changeByHand(lineOf(wish.pluck.named, wish.note, wish.what)); };
  return el("form", { class: "row low", onsubmit: change },
    field("Pluck", select(places, "0", (index) => { wish.pluck = plucks[Number(index)]; drawNotes(); }, { "data-key": "by-hand-pluck" })),
    noting, doing, el("button", { type: "submit", "data-key": "by-hand-do" }, "Change it"));
}

/** Lets her change the left hand's notes in the chosen measure; null where it plucks nothing. */
export function changeNotes(/** @type {Worktable} */ worktable) {
  const plucks = (worktable.measure.hands ?? []).filter(({ left, named }) => left?.length && named);
  return plucks.length > 0 && el("details", { class: "change-notes", open: worktable.changingNotes, ontoggle: (event) => { worktable.changingNotes = event.target.open; } },
    el("summary", {}, "Change single notes"), another(worktable, plucks));
}
