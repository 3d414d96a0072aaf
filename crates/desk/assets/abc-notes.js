// Notes in the text of a tune: which one stands before the cursor and how it sounds under the key and the signs of its measure; and a pitch written as text.
// It reads only as much of ABC 2.1 as that needs; what a tune means is read by the program.

const letters = "CDEFGAB";
const sharps = "FCGDAEB", majors = { C: 0, G: 1, D: 2, A: 3, E: 4, B: 5, "F#": 6, "C#": 7, F: -1, Bb: -2, Eb: -3, Ab: -4, Db: -5, Gb: -6, Cb: -7 };
const modes = { maj: 0, ion: 0, mix: -1, dor: -2, min: -3, m: -3, aeo: -3, phr: -4, loc: -5, lyd: 1 };

/** The signs of a key as its field has it: { F: 1, C: 1 } for "D". */
export function signsOf(key) {
  const [, tonic = "C", mode = ""] = /^\s*([A-G][#b]?)\s*([A-Za-z]*)/.exec(key) ?? [];
  const name = mode.toLowerCase(), step = name === "m" ? -3 : modes[name.slice(0, 3)] ?? 0;
  const fifths = Math.max(-7, Math.min(7, (majors[tonic] ?? 0) + step));
  const signs = {};
  for (let i = 0; i < Math.abs(fifths); i++) signs[fifths > 0 ? sharps[i] : sharps[6 - i]] = Math.sign(fifths);
  return signs;
}

/** The key in force before place `at`: its last field, at the top or within the music. */
function keyBefore(text, at) {
  const found = [...text.slice(0, at).matchAll(/(?:^|\n)K:([^\n%]*)|\[K:([^\]]*)\]/g)].at(-1);
  return found ? found[1] ?? found[2] : "C";
}

/** Whether place `at` is among notes: not in a field, a chord name, a decoration or a comment. */
function isMusic(text, at) {
  const line = text.slice(text.lastIndexOf("\n", at - 1) + 1, at);
  if (/^[A-Za-z+]:|^%/.test(line) || !/(^|\n)K:/.test(text.slice(0, at))) return false;
  const even = (sign) => line.split(sign).length % 2 === 1;
  return even('"') && even("!") && !/\[[A-Za-z]:[^\]]*$/.test(line) && !line.includes("%");
}

const octaveOf = (letter, marks) => (letter === letter.toLowerCase() ? 5 : 4) + marks.split("'").length - marks.split(",").length;
const alterOf = (sign) => [...sign].reduce((sum, one) => sum + ({ "^": 1, _: -1 }[one] ?? 0), 0);
const spelled = (letter, alter, octave) => `${letter}${alter > 0 ? "#".repeat(alter) : "b".repeat(-alter)}${octave}`;

/** The note that ends at place `at`, as "F#4"; null where none does. */
export function noteAt(text, at) {
  if (!isMusic(text, at)) return null;
  const [whole, sign = "", letter, marks = ""] = /((?:\^{1,2}|_{1,2}|=)?)([A-Ga-g])([,']*)$/.exec(text.slice(0, at)) ?? [];
  if (!whole) return null;
  const name = letter.toUpperCase(), octave = octaveOf(letter, marks);
  if (sign) return spelled(name, alterOf(sign), octave);
  return spelled(name, signHere(text, at - whole.length, letter, marks) ?? signsOf(keyBefore(text, at))[name] ?? 0, octave);
}

/** The sign that an earlier note of this pitch has in the same measure; null where it has none. */
function signHere(text, at, letter, marks) {
  const measure = text.slice(Math.max(text.lastIndexOf("|", at - 1), text.lastIndexOf("\nK:", at - 1)) + 1, at).replace(/"[^"]*"/g, "");
  const same = [...measure.matchAll(/(\^{1,2}|_{1,2}|=)([A-Ga-g])([,']*)/g)].filter(([, , l, m]) => l === letter && m === marks).at(-1);
  return same ? alterOf(same[1]) : null;
}

/** A pitch, "F#4", as it is typed at place `at`: a sign only where key and measure do not give it. */
export function typedAt(text, at, pitch) {
  const [, name, sign, number] = /^([A-G])([#b]*)(-?\d+)$/.exec(pitch) ?? [];
  const octave = Number(number), low = octave < 5;
  const letter = low ? name : name.toLowerCase(), marks = low ? ",".repeat(Math.max(0, 4 - octave)) : "'".repeat(octave - 5);
  const alter = sign.startsWith("#") ? sign.length : -sign.length;
  const given = signHere(text, at, letter, marks) ?? signsOf(keyBefore(text, at))[name] ?? 0;
  const written = given === alter ? "" : alter === 0 ? "=" : (alter > 0 ? "^" : "_").repeat(Math.abs(alter));
  return written + letter + marks;
}

const steps = { 0: ["C", 0], 2: ["D", 0], 4: ["E", 0], 5: ["F", 0], 7: ["G", 0], 9: ["A", 0], 11: ["B", 0] };

/** A MIDI number as a pitch, spelled as the key before place `at` has it, with sharps or flats as it has them. */
export function pitchOf(text, at, midi) {
  const signs = signsOf(keyBefore(text, at)), octave = Math.floor(midi / 12) - 1, tone = midi % 12;
  const natural = (name) => Number(Object.entries(steps).find(([, [letter]]) => letter === name)?.[0]);
  for (const name of letters) {
    const own = natural(name) + (signs[name] ?? 0);
    if ((own + 12) % 12 === tone) return spelled(name, signs[name] ?? 0, octave + (own < 0 ? 1 : own > 11 ? -1 : 0));
  }
  if (steps[tone]) return spelled(steps[tone][0], 0, octave);
  const flat = Object.values(signs).some((sign) => sign < 0);
  const [name] = steps[flat ? tone + 1 : tone - 1];
  return spelled(name, flat ? -1 : 1, octave);
}

/** The pitch `by` strings away as the key has it: for a picture of strings. */
export function stringPitch(text, at, name) {
  const [, letter, octave] = /^([A-G])(-?\d+)$/.exec(name) ?? [];
  return spelled(letter, signsOf(keyBefore(text, at))[letter] ?? 0, octave);
}
