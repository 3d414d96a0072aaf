// The lines that change notes by hand, as the program reads them: a place, a staff, and what is done there. Pitches are those of the page.

const staffs = { left: "lower staff", right: "upper staff" };

/** "F♯4" as it stands in a line: "F#4". */
export const plainPitch = (pitch) => pitch.replace("♯", "#").replace("♭", "b").replace("♮", "");

const at = (note, what) => `${note.named} ${staffs[note.hand]}: ${what}`;
const of = ({ pitch }) => plainPitch(pitch);

export const becomes = (note, to) => at(note, `${of(note)} becomes ${plainPitch(to)}`);
export const lasts = (note, quarters) => at(note, `lasts ${quarters}`);
export const again = (note, quarters) => at(note, `again after ${quarters}`);
export const takeAway = (note) => at(note, `leave out ${of(note)}`);
export const withFinger = (note, finger) => at(note, `finger ${finger} on ${of(note)}`);
export const pluck = (named, hand, pitch) => at({ named, hand }, `pluck ${plainPitch(pitch)}`);
export const allByOctaves = (note, octaves) => at(note, `by octaves ${octaves}`);
export const letRing = (note) => at(note, "let ring");
export const roll = ({ named }) => `${named} roll`;

/** The same letter a half step higher (1) or lower (-1): "C4" becomes "C♯4"; null beyond one sharp or flat. */
export function halfStep(pitch, by) {
  const [, letter, sign, octave] = /^([A-G])([♯♭]?)(-?\d+)$/.exec(pitch) ?? [];
  const alter = { "♭": -1, "": 0, "♯": 1 }[sign] + by;
  return Math.abs(alter) <= 1 ? `${letter}${["♭", "", "♯"][alter + 1]}${octave}` : null;
}

/** An octave higher (1) or lower (-1). */
export const octave = (pitch, by) => pitch.replace(/-?\d+$/, (number) => String(Number(number) + by));

/**
 * Written lengths in quarter notes: as a line has them, in figures, and in words.
 * @type {[string, number, string][]}
 */
export const lengths = [["1/4", 0.25, "sixteenth"], ["1/2", 0.5, "eighth"], ["3/4", 0.75, "dotted eighth"], ["1", 1, "quarter"], ["3/2", 1.5, "dotted quarter"],
  ["2", 2, "half"], ["3", 3, "dotted half"], ["4", 4, "whole"], ["6", 6, "dotted whole"]];

/** Where a note of this length is plucked again when it is split: in the middle, or after two thirds of a dotted one; null where it is too short. */
export function middle(length) {
  const dotted = [0.75, 1.5, 3, 6].includes(length);
  const after = dotted ? (length * 2) / 3 : length / 2;
  return lengths.find(([, quarters]) => quarters === after)?.[0] ?? null;
}

/** A number of quarter notes as a place has it: 1.5 becomes "3/2". */
export function quartersOf(number) {
  for (const below of [1, 2, 3, 4, 6, 8, 12, 16]) {
    const above = Math.round(number * below);
    if (Math.abs(above / below - number) < 1e-6) return below === 1 ? String(above) : `${above}/${below}`;
  }
  return null;
}
