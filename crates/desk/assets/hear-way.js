// Hears the chosen measure once, as it stands or with another figure tried in it, without changing the page.

import { get, tune as at } from "./ask.js";
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
  const heard = await get(at(id, `/measures/${index}/hear${figure ? `?figure=${encodeURIComponent(figure)}` : ""}`));
  const strings = await samples(context, heard.samples, heard.of);
  hush();
  before = makePlayer(context, { plucks: heard.plucks, beats: [] }, strings, () => {});
  before.play({ from: heard.from, to: heard.to, loop: false, hands: "both", click: false, ratio: 1, countIn: null, counts: 0, measureOf: 1 }, heard.from);
  speak("playing this measure");
}
