// Single notes of the chosen measure: one is picked, by mouse or with arrow keys, and moved, made longer, split, taken away or given another finger; a note is
// added; a lever or pedal moves at another moment. Each change is heard at once, and what the check says of it stands below.

import { el, button, field, select, tick } from "./dom.js";
import { capital } from "./say.js";
import { placeWords } from "./words.js";
import * as lines from "./note-lines.js";

/** @type {[string, string][]} */
const hands = [["left", "Left hand"], ["right", "Right hand"]];
const quiet = "undersong.changes-quiet";

/** Whether each change is heard at once; kept from one day to the next. */
export const changesHeard = () => localStorage.getItem(quiet) === null;

/** Every note of the measure in order: { named, at, hand, pitch, finger, beside, length }. */
function notesOf(measure) {
  return hands.flatMap(([hand], side) => (measure.hands ?? []).flatMap((moment) => moment[hand].map((touch) => ({ ...touch, hand, named: moment.named, at: moment.at, length: moment.lengths[side] }))));
}

const same = (a, b) => a && b && a.named === b.named && a.hand === b.hand && a.pitch === b.pitch;
const keyOf = (note) => `note-${note.named}-${note.hand}-${note.pitch}`;

/** The picked note, or the nearest to where it was. */
function picked(/** @type {Worktable} */ worktable, notes) {
  const was = worktable.note;
  return notes.find((note) => same(note, was)) ?? notes.find((note) => note.hand === was?.hand && note.named === was?.named) ?? notes[0];
}

/** Does a change, and picks what became of the note. Changes made quickly wait for each other, and each is about the note as the last one left it: `make` is asked then for the line and for what the
 * note becomes, null where there is nothing to do. */
function change(/** @type {Worktable} */ worktable, make) {
  const onNote = document.activeElement?.classList.contains("one-note"), { chosen } = worktable;
  const act = async () => {
    // She has gone on to another measure.
    if (worktable.chosen !== chosen) return;
    const before = picked(worktable, notesOf(worktable.measure));
    const [line, becomes] = make(before) ?? [];
    if (!line) return;
    worktable.refocusNote = onNote;
    worktable.note = becomes;
    if (!(await worktable.changeByHand(line))) worktable.note = before;
  };
  worktable.noteChanges = (worktable.noteChanges ?? Promise.resolve()).then(act, act);
  return worktable.noteChanges;
}

const moved = (note, to) => (to && to !== note.pitch ? [lines.becomes(note, to), { ...note, pitch: to }] : null);
const stays = (line) => (note) => [line(note), note];
const longer = (by) => (note) => {
  const index = lines.lengths.findIndex(([, quarters]) => quarters >= note.length - 1e-6);
  const length = lines.lengths[index + (by < 0 || lines.lengths[index][1] === note.length ? by : 0)]?.[0];
  return length ? [lines.lasts(note, length), note] : null;
};

/**
 * What can be done to a picked note: its name on a button, its key, and the change.
 * @type {[string, string | null, (note: any) => any][]}
 */
const deeds = [
  ["String up", "↑", (note) => moved(note, note.beside[1])], ["String down", "↓", (note) => moved(note, note.beside[0])],
  ["Half step up", null, (note) => moved(note, lines.halfStep(note.pitch, 1))], ["Half step down", null, (note) => moved(note, lines.halfStep(note.pitch, -1))],
  ["Octave up", "Shift ↑", (note) => moved(note, lines.octave(note.pitch, 1))], ["Octave down", "Shift ↓", (note) => moved(note, lines.octave(note.pitch, -1))],
  ["Split in two", "S", (note) => { const middle = lines.middle(note.length); return middle && [lines.again(note, middle), note]; }],
  ["Take away", "Delete", stays(lines.takeAway)],
];
const deed = (wanted) => deeds.find(([name]) => name === wanted)?.[2];
const finger = (number) => stays((note) => lines.withFinger(note, number));

function keysOn(/** @type {Worktable} */ worktable, notes, note) {
  return (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const step = { ArrowLeft: -1, ArrowRight: 1 }[event.key];
    const make = {
      ArrowUp: deed(event.shiftKey ? "Octave up" : "String up"), ArrowDown: deed(event.shiftKey ? "Octave down" : "String down"),
      "+": longer(1), "-": longer(-1), s: deed("Split in two"), Delete: deed("Take away"), Backspace: deed("Take away"),
      1: finger(1), 2: finger(2), 3: finger(3), 4: finger(4),
    }[event.key];
    if (!make && !step) return;
    event.preventDefault();
    event.stopPropagation();
    if (make) change(worktable, make);
    else { const next = notes[notes.indexOf(note) + step]; if (next) pick(worktable, next); }
  };
}

/** Puts the focus on the picked note again, where it was on it before the panel was drawn anew. */
export function focusNote(/** @type {Worktable} */ worktable, room) {
  if (worktable.refocusNote) room.querySelector(".one-note[aria-pressed=true]")?.focus();
  worktable.refocusNote = false;
}

function pick(/** @type {Worktable} */ worktable, note) {
  worktable.note = note;
  worktable.refocusNote = true;
  worktable.drawNotes();
}

/** The notes of one hand, pluck by pluck, each a button; the picked one is pressed and alone among them reached by Tab. */
function handRow(/** @type {Worktable} */ worktable, [hand, name], notes, note) {
  const mine = notes.filter((one) => one.hand === hand);
  const plucks = [...new Set(mine.map(({ named }) => named))].map((named) => mine.filter((one) => one.named === named));
  const one = (here) => el("button", {
    type: "button", class: "one-note", "aria-pressed": String(here === note), tabindex: here === note ? "0" : "-1", "data-key": keyOf(here), "data-finger": here.finger,
    "aria-label": `${here.pitch} ${placeWords(here.at, worktable.meter())}, ${name.toLowerCase()}${here.finger ? `, finger ${here.finger}` : ""}`,
    onclick: () => pick(worktable, here), onkeydown: keysOn(worktable, notes, here),
  }, here.pitch);
  return mine.length > 0 && el("div", { class: "note-row" }, el("span", { class: "lead" }, name),
    el("span", { class: "row" }, plucks.map((pluck) => el("span", { class: "one-pluck", title: placeWords(pluck[0].at, worktable.meter()) }, pluck.map(one)))));
}

function ofTheNote(/** @type {Worktable} */ worktable, note, notes) {
  const doing = deeds.map(([name, key, make]) => button(name, () => change(worktable, make), { "data-key": `note-${name}`, "aria-disabled": make(note) ? null : "true", title: key && `Key: ${key}` }));
  const fits = lines.lengths.some(([, quarters]) => quarters === note.length) ? lines.lengths : [["", note.length, "as it is"], ...lines.lengths];
  const length = select(fits.map(([quarters, , words]) => [quarters, words]), fits.find(([, quarters]) => quarters === note.length)?.[0] ?? "", (to) => change(worktable, stays((now) => lines.lasts(now, to))), { "data-key": "note-length" });
  const fingers = select([...(note.finger ? [] : [["", "none"]]), ["1", "1 (thumb)"], ["2", "2"], ["3", "3"], ["4", "4"]], String(note.finger ?? ""), (to) => to && change(worktable, finger(to)), { "data-key": "note-finger" });
  const several = notes.filter((one) => one.named === note.named && one.hand === note.hand).length > 1;
  /** @type {[string, (note: any) => string][]} */
  const whole = [["All an octave higher", (now) => lines.allByOctaves(now, 1)], ["All an octave lower", (now) => lines.allByOctaves(now, -1)], ["Roll it", lines.roll], ["Let ring instead", lines.letRing]];
  return el("section", { class: "of-the-note", "aria-label": `${note.pitch} ${placeWords(note.at, worktable.meter())}` },
    el("h3", {}, `${note.pitch} ${placeWords(note.at, worktable.meter())}, ${note.hand} hand`),
    el("div", { class: "row" }, doing),
    el("div", { class: "row low" }, field("Length", length), field("Finger", fingers)),
    several && el("p", { class: "lead" }, "All of this pluck"),
    several && el("div", { class: "row" }, whole.map(([name, line]) => button(name, () => change(worktable, stays(line)), { "data-key": `pluck-${name}` }))));
}

/** A note more, where something is plucked or on any half beat: which hand, where, which string. */
function addition(/** @type {Worktable} */ worktable, note) {
  const { measure } = worktable, [index] = (measure.hands?.[0]?.named ?? `${measure.index}@0`).split("@");
  const places = new Map((measure.hands ?? []).map(({ at, named }) => [named, at]));
  for (let at = 0; at < measure.length - 1e-6; at += 0.5) { const named = `${index}@${lines.quartersOf(at)}`; if (!places.has(named)) places.set(named, at); }
  const sorted = [...places].sort((a, b) => a[1] - b[1]);
  const third = measure.scale.indexOf(note?.pitch ?? "") + 2;
  const wish = (worktable.addition ??= { hand: "", named: "", pitch: "" });
  wish.hand ||= note?.hand ?? "left";
  wish.named = places.has(wish.named) ? wish.named : note?.named ?? sorted[0][0];
  wish.pitch = measure.scale.includes(wish.pitch) ? wish.pitch : measure.scale[Math.max(0, Math.min(third, measure.scale.length - 1))];
  const add = (event) => { event.preventDefault(); change(worktable, () => [lines.pluck(wish.named, wish.hand, wish.pitch), { named: wish.named, hand: wish.hand, pitch: wish.pitch }]); };
  return el("form", { class: "row low", onsubmit: add },
    field("Hand", select([["left", "left"], ["right", "right"]], wish.hand, (to) => { wish.hand = to; }, { "data-key": "add-hand" })),
    field("Where", select(sorted.map(([named, at]) => [named, placeWords(at, worktable.meter())]), wish.named, (to) => { wish.named = to; }, { "data-key": "add-where" })),
    field("String", select(measure.scale.map((pitch) => [pitch, pitch]), wish.pitch, (to) => { wish.pitch = to; }, { "data-key": "add-pitch" })),
    el("button", { type: "submit", "data-key": "add-note" }, "Add the note"));
}

function settings(/** @type {Worktable} */ worktable) {
  const { moves = [] } = worktable.measure;
  const go = (line) => line && (() => worktable.changeByHand(line));
  const one = (move, index) => el("li", {},
    el("div", {}, el("strong", {}, move.name), el("span", { class: "hint" }, ` ${placeWords(move.at, worktable.meter())}`), move.hurried && el("p", { class: "hint" }, `${capital(move.hurried)}.`)),
    el("span", { class: "row" }, [["Earlier", move.earlier], ["Later", move.later]].map(([name, line]) => button(name, go(line), { "aria-disabled": line ? null : "true", "aria-label": `${name}: ${move.name}`, "data-key": `move-${index}-${name}` }))));
  return moves.length > 0 && el("section", { class: "setting-moves" }, el("h3", {}, "Levers and pedals moved here"), el("ul", {}, moves.map(one)));
}

function checked(/** @type {Measure} */ { checked: said }) {
  if (!said) return null;
  return el("div", { class: "note-check", role: "status" }, said.length ? [el("p", { class: "lead" }, "The check says here"), el("ul", {}, said.map((one) => el("li", {}, capital(one))))] : el("p", {}, "Checked: nothing is said against this measure."));
}

/** Lets her change the notes of the chosen measure. */
export function singleNotes(/** @type {Worktable} */ worktable) {
  const room = el("div", {});
  const draw = () => {
    const notes = notesOf(worktable.measure), note = picked(worktable, notes);
    worktable.note = note;
    room.replaceChildren(...[
      note && el("p", { class: "hint" }, "Pick a note. With the keys: ← → another note, ↑ ↓ string by string, + − longer or shorter, 1 to 4 its finger, S splits it, Delete takes it away."),
      ...hands.map((hand) => handRow(worktable, hand, notes, note)),
      note && ofTheNote(worktable, note, notes),
      el("h3", {}, "One note more"), addition(worktable, note), settings(worktable), checked(worktable.measure),
      tick("Hear each change at once", changesHeard(), (on) => { if (on) localStorage.removeItem(quiet); else localStorage.setItem(quiet, "yes"); }, { "data-key": "changes-heard" }),
    ].filter(Boolean));
  };
  worktable.drawNotes = () => { draw(); focusNote(worktable, room); };
  draw();
  return el("details", { class: "change-notes", open: worktable.changingNotes, ontoggle: (event) => { worktable.changingNotes = event.target.open; } },
    el("summary", { "data-key": "change-notes" }, "Change single notes"), room);
}
