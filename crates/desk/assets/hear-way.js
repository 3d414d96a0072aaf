// Hears one way for a measure: its left-hand strings under the tune, without changing the page.

import { samples } from "./samples.js";
import { makePlayer } from "./player.js";
import { speak } from "./say.js";

/** "1/2" as a number. */
const fraction = (text) => { const [over, under = "1"] = String(text ?? "0").split("/"); return Number(over) / Number(under) || 0; };

/** How long each pluck of a figure lasts, as shares of the whole; even when the figure does not say. */
function shares(pattern, count) {
  const lengths = [...(pattern ?? "").matchAll(/\((\d+\/\d+)\)/g)].map((match) => fraction(match[1]));
  const even = Array.from({ length: count }, () => 1 / count);
  if (lengths.length !== count) return even;
  const whole = lengths.reduce((sum, length) => sum + length, 0);
  return lengths.map((length) => length / whole);
}

/** The left hand's plucks of `notes` ("G2 D3+G3 ~C3+G3") spread over the seconds from `from` to `to`. */
function plucksOf(notes, pattern, from, to, measure) {
  const groups = notes.split(" ").filter((group) => group && group !== "rest");
  const parts = shares(pattern, groups.length);
  let t = from;
  return groups.flatMap((group, index) => {
    const begin = t;
    t += parts[index] * (to - from);
    const rolled = group.includes("~");
    return group.replaceAll("~", "").split("+").map((sample, string) => ({ t: begin + (rolled ? string * 0.06 : 0), sample, hand: "left", measure, stop: null, gain: 0.8 }));
  });
}

/** Seconds that a decision holds within its measure. */
function place(list, measure, decision, decisions, whole) {
  const pass = list.find((one) => one.measure === measure) ?? list[0];
  const at = decision.at, later = decisions.map((one) => one.at).filter((one) => one > at);
  const scale = (pass.to - pass.from) / whole;
  const from = pass.from + at * scale;
  return { from, to: later.length ? pass.from + Math.min(...later) * scale : pass.to };
}

/** Length of a measure in quarter notes, from the tune's meter. */
const meterOf = (host) => 4 * fraction(/\d+\/\d+/.exec(host.tune?.report?.tune?.meters?.[0] ?? "4/4")[0]);

let before = null;

/** Plays the chosen measure once with `notes` in the left hand; one that still plays is stopped. */
export async function onceThrough(context, host, sound, list, decision, notes, figure) {
  const whole = meterOf(host);
  const pass = list.find((one) => one.measure === host.chosen) ?? list[0];
  const { from, to } = place(list, host.chosen, decision, host.measure.decisions, whole);
  const pattern = host.tune.figures?.find((one) => one.name === figure)?.pattern;
  const others = sound.plucks.filter((pluck) => pluck.t >= pass.from - 1e-6 && pluck.t < pass.to - 1e-6 && (pluck.hand === "right" || pluck.t < from - 1e-6 || pluck.t >= to - 1e-6));
  const plucks = [...others, ...plucksOf(notes, pattern, from, to, host.chosen)].sort((a, b) => a.t - b.t);
  const strings = await samples(context, [...new Set(plucks.map((pluck) => pluck.sample))]);
  before?.close();
  const once = makePlayer(context, { plucks, beats: [] }, strings, () => {});
  before = once;
  once.play({ from: pass.from, to: pass.to, loop: false, hands: "both", click: false, ratio: 1, countIn: null, counts: 0 }, pass.from);
  speak("playing this measure");
}
