// Hears a few measures once, as they stand or with something tried in them, without changing the page.

import { get, post, tune as at } from "./ask.js";
import { samples } from "./samples.js";
import { makePlayer } from "./player.js";
import { speak } from "./say.js";

let before = null;

/** Stops what still plays of a measure. */
export function hush() {
  before?.close();
  before = null;
}

/** Plays measure `index` of tune `id` once as it would be played with `figure` (null: as it stands); one that still plays is stopped. */
export async function onceThrough(context, id, index, figure) {
  await sounding(context, await get(at(id, `/measures/${index}/hear${figure ? `?figure=${encodeURIComponent(figure)}` : ""}`)), "playing this measure");
}

/** Plays measures `from` up to before `to` once as they would be with these choices, with the measure before and the one after. */
export async function tried(context, id, choices, seen, stretch) {
  await sounding(context, await post(at(id, "/hear"), { choices, seen, ...stretch }), "playing with the measure before and after");
}

async function sounding(context, heard, words) {
  const strings = await samples(context, heard.samples, heard.of);
  hush();
  before = makePlayer(context, { plucks: heard.plucks, beats: [] }, strings, () => {});
  before.play({ from: heard.from, to: heard.to, loop: false, hands: "both", click: false, ratio: 1, countIn: null, counts: 0, measureOf: 1 }, heard.from, "at once");
  speak(words);
}
