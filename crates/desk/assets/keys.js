// The list of keys, opened by its button; each place's keys work where they are said to, and are shown there too.

import { always, el, button, targetOf } from "./dom.js";

const lists = {
  "Everywhere": [["Tab", "to the next thing"], ["Enter or Space", "press what you have come to"], ["Esc", "back, one step at a time"], ["Space", "on the worktable and in the practice room: play, pause, unless you type or are on a button"]],
  "Shelf": [["↑ ↓", "from tune to tune"], ["Enter", "open the tune"]],
  "Worktable, when you are on the page": [["← →", "measure before, measure after"], ["↑ ↓", "line above, line below"],
    ["Home, End", "first measure, last measure"], ["Enter", "to the other figures for this measure"], ["Space", "play, pause"], ["T", "under Recording: the chosen measure begins now"],
    ["Ctrl Z, Ctrl Y", "undo, redo (anywhere on the worktable)"]],
  "Worktable, when you are on a note under Change single notes": [["← →", "note before, note after"], ["↑ ↓", "a string up, a string down"], ["Shift ↑ ↓", "an octave up, an octave down"],
    ["+ −", "longer, shorter"], ["1 2 3 4", "this finger"], ["S", "split in two"], ["Delete", "take away"]],
  "Stand": [["→ ↓ Page Down Space", "next page (a foot pedal sends these)"], ["← ↑ Page Up", "page before"],
    ["Home, End", "first page, last page"], ["Esc", "show the buttons; from the buttons back"]],
  "Set, when you are on the ↕ of a tune": [["↑ ↓", "the tune earlier, later"]],
  "Practice room, when you are on the music": [["Space", "play, pause"], ["← →", "beat before, beat after"], ["Shift ← →", "fewer or more beats, played again and again"],
    ["Esc", "all of it again"], ["Enter", "in a drill with calls: what was called begins now"]],
};

const rows = (/** @type {string[]} */ [keys, what]) => el("tr", {}, el("th", { scope: "row" }, keys), el("td", {}, what));

export function startKeys() {
  const dialog = el("dialog", { "aria-labelledby": "keys-title" },
    el("h2", { id: "keys-title", tabindex: "-1" }, "Keyboard"),
    el("div", { class: "keys-lists" }, Object.entries(lists).map(([name, list]) => el("section", {}, el("h3", {}, name), el("table", {}, el("tbody", {}, list.map(rows)))))),
    button("Close", () => dialog.close(), { class: "main" }));
  document.body.append(dialog);
  always("keys").addEventListener("click", () => { dialog.showModal(); dialog.querySelector("h2")?.focus(); });
}

/** True when a key belongs to the control that has the focus, and not to the place. */
export const typing = (/** @type {KeyboardEvent} */ event) => targetOf(event).closest?.("input, textarea, select, button, a, summary, dialog") !== null;
