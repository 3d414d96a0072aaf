// A recording of hers, played by the browser: slower without another pitch, measures again and again, and where on the page it is now.

import { el } from "./dom.js";

/** Where on the page second `t` of a recording is; null before the tune and after it. `passes` as the program gives them. */
export function placeIn(passes, t) {
  const pass = passes.find((one) => t >= one.beats[0][1] - 1e-3 && t < one.end);
  if (!pass) return null;
  const marks = [...pass.beats, [pass.length, pass.end]];
  const next = marks.findIndex(([, time]) => time > t);
  const [[at, from], [then, to]] = [marks[Math.max(0, next - 1)], marks[next < 1 ? 1 : next]];
  const beats = at + (then - at) * Math.min(1, Math.max(0, (t - from) / Math.max(1e-3, to - from)));
  return { measure: pass.page, share: Math.min(1, beats / pass.length), moments: [], at: Math.round(beats * 8) / 8, beats };
}

const start = (pass) => pass.beats[0][1];

/** The pass of a measure of the page that lies nearest to a second. */
export const nearestPass = (passes, page, t) => passes.filter((one) => one.page === page).sort((a, b) => Math.abs(start(a) - t) - Math.abs(start(b) - t))[0];

/** Seconds { from, to } of measures `first` through `last` of the page, near second `t`; null where they are not played. */
export function stretchOf(passes, first, last, t) {
  const begins = nearestPass(passes, first, t);
  if (!begins) return null;
  const ends = passes.slice(passes.indexOf(begins)).find((one) => one.page === last) ?? begins;
  return { from: start(begins), to: ends.end };
}

/** `moved(place or null)` hears where it is on the page, `changed()` that it began, paused or ended. */
export function recordingDeck(moved, changed) {
  const audio = el("audio", { preload: "auto" });
  audio.preservesPitch = true;
  let passes = [], loop = null, frame = 0, address = null;
  function look() {
    if (loop && (audio.currentTime >= loop.to || audio.currentTime < loop.from - 0.5)) audio.currentTime = loop.from;
    moved(placeIn(passes, audio.currentTime));
  }
  const follow = () => { look(); frame = audio.paused ? 0 : requestAnimationFrame(follow); };
  audio.addEventListener("play", () => { cancelAnimationFrame(frame); follow(); changed(); });
  audio.addEventListener("pause", () => { cancelAnimationFrame(frame); changed(); });
  audio.addEventListener("ended", () => { if (loop) { audio.currentTime = loop.from; audio.play(); } else { moved(null); changed(); } });
  // A tab in the background has no frames.
  audio.addEventListener("timeupdate", () => { if (document.hidden) look(); changed(); });
  for (const what of ["loadedmetadata", "seeked"]) audio.addEventListener(what, () => { if (!audio.paused || what === "seeked") moved(placeIn(passes, audio.currentTime)); changed(); });
  return {
    node: audio,
    load: (blob) => { if (address) URL.revokeObjectURL(address); address = URL.createObjectURL(blob); audio.src = address; },
    follow: (list) => { passes = list; },
    loaded: () => address !== null,
    playing: () => !audio.paused,
    now: () => audio.currentTime,
    length: () => (Number.isFinite(audio.duration) ? audio.duration : 0),
    play: () => audio.play(),
    pause: () => audio.pause(),
    seek: (t) => { audio.currentTime = Math.max(0, t); },
    slow: (percent) => { audio.playbackRate = percent / 100; audio.defaultPlaybackRate = percent / 100; },
    loop: (stretch) => { loop = stretch; if (loop && !(audio.currentTime >= loop.from && audio.currentTime < loop.to)) audio.currentTime = loop.from; },
    close: () => { audio.pause(); cancelAnimationFrame(frame); audio.removeAttribute("src"); if (address) URL.revokeObjectURL(address); address = null; },
  };
}
