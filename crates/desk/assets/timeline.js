// The music in time: plucks and beats of the sound, where measures begin and end, and what is played between two of them.

/** Measures in playing order as { measure, from, to } in seconds of the music as written. */
export const passes = (sound) => sound.passes.map(({ measure, start, end }) => ({ measure, from: start, to: end }));

/** True when a pluck is heard with these hands chosen. "tune" is the top of the right hand; "melody" the hand that has the tune in a measure, "chords" the other one. */
function heard(pluck, hands, tops, below) {
  if (hands === "both") return true;
  if (hands === "melody" || hands === "chords") return ((pluck.hand === "left") === below.has(pluck.measure)) === (hands === "melody");
  if (hands === "tune") return pluck.hand === "right" && tops.get(pluck.t) === pluck;
  return pluck.hand === hands;
}

const height = (name) => { const [, l, a, o] = /^([A-G])([#b]*)(-?\d+)/.exec(name) ?? [0, "C", "", "4"]; return Number(o) * 12 + [9, 11, 0, 2, 4, 5, 7]["ABCDEFG".indexOf(l)] + [...a].reduce((s, c) => s + (c === "#" ? 1 : -1), 0); };

/** What sounds from second `from` to second `to`, in order: plucks and, with `click`, beats. A roll that begins early belongs to its measure. */
export function items(sound, { from, to, hands, click }) {
  const tops = new Map(), below = new Set(sound.below);
  for (const pluck of sound.plucks) {
    if (pluck.hand === "right" && (!tops.has(pluck.t) || height(pluck.sample) > height(tops.get(pluck.t).sample))) tops.set(pluck.t, pluck);
  }
  const inside = ({ t }) => t >= from - 1e-6 && t < to - 1e-6;
  const starts = sound.passes?.map(({ start }) => start);
  const belongs = (pluck) => inside(starts ? { t: Math.max(pluck.t, starts[pluck.pass] ?? pluck.t) } : pluck);
  const plucks = sound.plucks.filter((pluck) => belongs(pluck) && heard(pluck, hands, tops, below)).map((pluck) => ({ t: pluck.t, pluck }));
  const beats = click ? sound.beats.filter(inside).map((beat, index, all) => ({ t: beat.t, beat: all[index - 1]?.measure !== beat.measure })) : [];
  return [...plucks, ...beats].sort((a, b) => a.t - b.t);
}

/** The shares (0 to 1) of a pass at which something is plucked. */
export function momentsOf(sound, { from, to }) {
  const share = (time) => Math.round(((time - from) / (to - from)) * 1000) / 1000;
  return [...new Set(sound.plucks.filter((p) => p.t >= from - 1e-6 && p.t < to - 1e-6).map((p) => share(p.t)))].sort((a, b) => a - b);
}

/** The measure at second `t`, how far through it (0 to 1), the shares at which something is plucked in it,
 * and the place of the left hand's last pluck in it (null before the first). */
export function placeAt(sound, list, t) {
  const index = list.findLastIndex((pass) => pass.from <= t + 1e-6);
  if (index < 0) return null;
  const { measure, from, to } = list[index];
  const share = (time) => (time - from) / (to - from);
  const moments = momentsOf(sound, { from, to });
  const struck = sound.plucks.filter((p) => p.hand === "left" && p.measure === measure && p.t <= t + 1e-3 && p.t >= from - 0.3);
  return { measure, share: Math.min(1, share(t)), moments, at: struck.at(-1)?.at ?? null };
}
