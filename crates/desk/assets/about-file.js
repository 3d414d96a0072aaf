// Parts of the whole-tune panel that depend on her folder and on who else makes music: what to know first, the part of the file, the sound, a singer.

import { el, field, select } from "./dom.js";

/** What she should know first, in sentences. */
export function remarksPart(/** @type {Worktable} */ worktable) {
  const remarks = worktable.tune.remarks ?? [];
  return remarks.length > 0 && el("section", { class: "remarks", "aria-label": "To know first" }, el("h2", {}, "To know first"), el("ul", {}, remarks.map((one) => el("li", {}, one))));
}

/** Which part of a file of several is the tune. */
export function partPart(/** @type {Worktable} */ worktable) {
  const { parts = [], part } = worktable.tune;
  if (parts.length < 2) return null;
  return el("fieldset", {}, el("legend", {}, "The part of the file that has the melody"),
    select(parts.map((name) => [name, name]), part ?? parts[0], (to) => worktable.change((c) => { c.part = to; }, `part ${to}`), { "aria-label": "The part of the file that has the melody", "data-key": "part" }));
}

const pitches = ["415", "430", "432", "435", "438", "440", "441", "442", "443", "444", "445"];

/** The program's own strings or a sound file in her folder ("": own strings though the program was opened with another sound), and the concert pitch. */
export function soundPart(/** @type {Worktable} */ worktable) {
  const { sounds = [], usual_sound: usual, choices } = worktable.tune;
  const files = [...new Set([...sounds, choices.sound ?? ""])].filter(Boolean).map((name) => [name, name.replace(/\.sf2$/i, "")]);
  const own = ["own", "Undersong's own strings"];
  const listed = usual ? [["usual", "the sound Undersong was opened with"], own, ...files] : [own, ...files];
  const now = choices.sound || (usual && choices.sound === null ? "usual" : "own");
  const set = (to) => worktable.change((c) => { c.sound = to === "usual" ? null : to !== "own" ? to : usual ? "" : null; }, "sound changed");
  const concert = choices.concert ?? "440";
  const tuned = [...new Set([...pitches, concert])].sort((a, b) => Number(a) - Number(b)).map((hertz) => [hertz, `A = ${hertz} Hz`]);
  return el("fieldset", {}, el("legend", {}, "Sound"),
    listed.length > 1 && field("Strings", select(listed, now, set, { "data-key": "sound" })),
    field("Concert pitch", select(tuned, concert, (to) => worktable.change((c) => { c.concert = to === "440" ? null : to; }, `A at ${to} hertz`), { "data-key": "concert" })),
    el("p", { class: "hint" }, "This changes what you hear, not your harp: before you tune it to another pitch, ask its maker whether the strings bear it."));
}

const notes = [2, 3, 4, 5].flatMap((octave) => [..."CDEFGAB"].map((letter) => `${letter}${octave}`)).concat("C6");

/** A singer's range, so that keys that suit it come first. */
export function singerPart(/** @type {Worktable} */ worktable) {
  const { choices } = worktable.tune;
  if (!("voice" in choices)) return null;
  const [low = "", high = ""] = (choices.voice ?? "").split("-");
  const listed = (own) => [["", "no singer"], ...[...new Set([...notes, own])].filter(Boolean).map((note) => [note, note])];
  const set = (from, to) => worktable.change((c) => { c.voice = from && to ? `${from}-${to}` : null; }, from && to ? `singer from ${from} to ${to}` : "no singer");
  return el("div", { class: "pair" },
    field("A singer's lowest note", select(listed(low), low, (to) => set(to, to && (high && notes.indexOf(high) > notes.indexOf(to) ? high : notes[notes.indexOf(to) + 10] ?? "C6")), { "data-key": "voice-low" })),
    field("and highest", select(listed(high), high, (to) => set(to && (low && notes.indexOf(low) < notes.indexOf(to) ? low : notes[Math.max(0, notes.indexOf(to) - 10)]), to), { "data-key": "voice-high" })));
}
