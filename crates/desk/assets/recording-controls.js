// What the recording's panel on the worktable and the stand have in common: the files it takes, play, place and tempo, and measures again and again.

import { el, button, select, tick } from "./dom.js";
import { speak, tell, trying } from "./say.js";
import { clock } from "./recording-strip.js";
import { stretchOf } from "./recording-deck.js";
import { firstOf, lastOf, measureOptions, tempoSlider } from "./sound-controls.js";

const kinds = ".wav,.mp3,.flac,.ogg,.oga,audio/wav,audio/mpeg,audio/flac,audio/ogg";

/** A hidden field for a file with a recording: `name` as it is read aloud, `bring(file)` what is done with it. */
export const recordingFile = (name, bring) => {
  const file = el("input", { type: "file", accept: kinds, class: "unseen", tabindex: "-1", "aria-label": name, onchange: () => { const [one] = file.files ?? []; file.value = ""; if (one) trying(() => bring(one)); } });
  return file;
};

/**
 * `key` begins the names of the controls; `host` has chosen and page; `begin()` plays; `slowed(percent)` hears of another tempo. Gives { play, place, time, tempo, repeat, range, percent, shown, numbers, playPause, loop, looping }.
 * @param {{ key: string, host: any, deck: any, state: any, begin: () => any, slowed?: (percent: number) => void }} of
 */
export function recordingControls({ key, host, deck, state, begin, slowed }) {
  const wish = { loop: false, first: 0, last: 0 };
  const measures = () => host.page?.measures ?? [];
  const time = el("output", { class: "recording-time" }, "0:00.0");
  const place = el("input", { type: "range", min: 0, max: 1, step: 0.1, value: 0, "aria-label": "Place in the recording", "data-key": `${key}-place`, oninput: () => deck.seek(Number(place.value)) });
  const play = button("Play the recording", () => playPause(), { class: "main", "data-key": `${key}-play` });
  const playPause = () => trying(async () => { if (deck.playing()) { deck.pause(); speak("paused"); } else await begin(); });
  /** The deck as it is now. */
  function shown() {
    play.textContent = deck.playing() ? "Pause the recording" : "Play the recording";
    place.max = String(deck.length() || state.kept?.seconds || 1);
    if (document.activeElement !== place || deck.playing()) place.value = String(deck.now());
    time.textContent = clock(deck.now());
    place.setAttribute("aria-valuetext", time.textContent);
  }
  const tempo = tempoSlider({ key: `${key}-tempo`, name: "Tempo of the recording in percent", least: 30, most: 120, changed: (percent) => { deck.slow(percent); slowed?.(percent); } });
  const bound = (which, words) => select([["0", "1"]], "0", (value) => {
    wish[which] = Number(value);
    if (wish.last < wish.first) wish.last = wish.first = Number(value);
    setRange();
    loop();
  }, { "aria-label": words, "data-key": `${key}-${which}` });
  const first = bound("first", "Repeat the recording from measure"), last = bound("last", "Repeat the recording to measure");
  const range = el("span", { class: "row loop-range" }, first, "to", last);
  range.hidden = true;
  const repeat = tick("Repeat measures", false, (on) => {
    wish.loop = on;
    range.hidden = !on;
    if (on) { [wish.first, wish.last] = [host.chosen, Math.min(host.chosen + 3, measures().length - 1)]; setRange(); }
    loop();
  }, { "data-key": `${key}-repeat` });
  function setRange() {
    [wish.first, wish.last] = [firstOf(measures(), wish.first), lastOf(measures(), wish.last)];
    [first.value, last.value] = [String(wish.first), String(wish.last)];
  }
  function loop() {
    const stretch = wish.loop ? stretchOf(state.passes(), wish.first, wish.last, deck.now()) : null;
    if (wish.loop && !stretch) tell("These measures are not played in the recording.");
    deck.loop(stretch);
  }
  /** The measures of the page as it is now. */
  function numbers() {
    first.replaceChildren(...measureOptions(measures(), "first"));
    last.replaceChildren(...measureOptions(measures(), "last"));
    setRange();
  }
  return { play, place, time, tempo: tempo.node, percent: tempo.now, repeat, range, shown, numbers, playPause, loop, looping: () => wish.loop };
}
