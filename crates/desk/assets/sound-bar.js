// The sound of the worktable and the stand: play and pause, which hands, how fast, which measures again and again, count-in and click.

import { el, button, select, tick } from "./dom.js";
import { get, tune as at } from "./ask.js";
import { capital, speak, tell, trying } from "./say.js";
import { samples } from "./samples.js";
import { makePlayer } from "./player.js";
import { passes, placeAt } from "./timeline.js";
import { hush, onceThrough, tried } from "./hear-way.js";
import { isPickup } from "./words.js";
import { firstOf, lastOf, measureOptions, tempoSlider } from "./sound-controls.js";

const handsOf = [["both", "both hands"], ["left", "left hand"], ["right", "right hand: melody and added notes"], ["tune", "melody without added notes"]];
let shared = null;
const audio = () => (shared ??= new AudioContext({ latencyHint: "interactive" }));

function wishes() {
  return { hands: "both", tempo: 100, loop: false, first: 0, last: 0, countIn: false, click: false };
}

/** Seconds of the music from measure `first` through `last` (their places from 0). */
function stretch(list, wish) {
  if (!wish.loop) return { from: 0, to: list.at(-1).to };
  const begins = list.filter((pass) => pass.measure === wish.first), ends = list.filter((pass) => pass.measure === wish.last);
  const from = begins[0]?.from ?? 0;
  return { from, to: (ends.find((pass) => pass.to > from) ?? list.at(-1)).to };
}

/** The beats that are counted before the music: { countIn: seconds between them, counts, measureOf: beats in a measure }. */
function counting(sound, from, measures) {
  const later = sound.beats.filter((beat) => beat.t >= from - 1e-6);
  const gap = later.length > 1 ? later[1].t - later[0].t : 0.6;
  const beatsOf = (measure) => sound.beats.filter((beat) => beat.measure === measure && beat.pass === sound.beats.find((one) => one.measure === measure)?.pass).length;
  const first = later[0]?.measure ?? 0;
  const full = Math.max(beatsOf(first), beatsOf(first + 1)) || 4;
  // Before a pickup a whole measure is counted and then the beats that it leaves out, so that the tune's first bar line falls where it is counted.
  const pickup = isPickup(measures[first]?.number) ? full - beatsOf(first) : 0;
  return { countIn: gap, counts: full + pickup, measureOf: full };
}

/** The stand keeps the tempo of each tune from one day to the next. */
const tempoName = ({ id }) => `undersong.tempo.${id}`;
const keptTempo = (host) => (host.keepsTempo && Number(localStorage.getItem(tempoName(host)))) || 100;
function keepTempo(host, percent) {
  if (!host.keepsTempo) return;
  if (percent === 100) localStorage.removeItem(tempoName(host)); else localStorage.setItem(tempoName(host), String(percent));
}

/** `host` has id, chosen, page, showPlaying(place or null), on(what, act). Gives { node, playPause, hearWay, hearTried, halt, close }. */
export function soundBar(host) {
  const wish = wishes();
  let sound = null, list = [], player = null, revision = null, frame = 0, resume = null;
  const play = button("Play", () => playPause(), { class: "main play", "data-key": "play" });
  const count = el("span", { class: "count", "aria-hidden": "true" });
  const coming = el("span", { class: "hint coming", role: "status" });

  async function ready() {
    if (sound && revision === host.revision()) return;
    coming.textContent = "Preparing the sound …";
    const [context, now] = [audio(), host.revision()];
    const fresh = await get(at(host.id, "/sound"));
    if (fresh.instead) tell(`${capital(fresh.instead)}.`, "Undersong's own strings are heard instead.");
    const strings = await samples(context, fresh.samples, fresh.of, (done, of) => { coming.textContent = done < of ? `Preparing the sound: ${done} of ${of}` : ""; });
    coming.textContent = "";
    player?.close();
    [sound, list, revision] = [fresh, passes(fresh), now];
    player = makePlayer(context, sound, strings, ended);
    numberFields();
  }
  function ended() { cancelAnimationFrame(frame); count.textContent = ""; play.textContent = "Play"; host.showPlaying(null); resume = null; }
  function stopped() { cancelAnimationFrame(frame); play.textContent = "Play"; count.textContent = ""; }
  function follow() {
    const now = player?.now();
    if (now === null || now === undefined) { count.textContent = ""; return; }
    const counted = player.counting();
    count.textContent = counted ? String(counted) : "";
    const place = placeAt(sound, list, now);
    if (place) host.showPlaying(place);
    frame = requestAnimationFrame(follow);
  }
  function begin(from, how) {
    const bounds = stretch(list, wish);
    const start = Math.max(bounds.from, Math.min(from ?? bounds.from, bounds.to - 0.05));
    const count = wish.countIn ? counting(sound, start, host.page?.measures ?? []) : { countIn: null, counts: 0, measureOf: 1 };
    hush();
    host.hushRecording?.();
    player.play({ ...wish, ...bounds, ...count, ratio: wish.tempo / 100 }, start, how);
    play.textContent = "Pause";
    cancelAnimationFrame(frame);
    frame = requestAnimationFrame(follow);
  }
  const chosenStart = () => (host.chosen > 0 ? list.find((pass) => pass.measure === host.chosen)?.from : undefined);
  function playPause() {
    return trying(async () => {
      await audio().resume();
      if (player?.playing()) { resume = player.now(); player.halt(); stopped(); speak("paused"); return; }
      await ready();
      begin(resume ?? (wish.loop ? undefined : chosenStart()));
      resume = null;
    });
  }
  /** A wish changed while it plays: go on from the same place. */
  function again(atStart) {
    if (!player?.playing()) { if (atStart) resume = null; return; }
    const now = atStart ? undefined : player.now();
    const kept = wish.countIn;
    wish.countIn = false;
    begin(now);
    wish.countIn = kept;
  }

  const tempo = tempoSlider({ key: "sound-tempo", name: "Tempo in percent", least: 25, most: 150, at: keptTempo(host), changed: (percent) => { wish.tempo = percent; keepTempo(host, percent); again(false); } });
  wish.tempo = tempo.now();
  const first = select([["0", "1"]], "0", (value) => { wish.first = Number(value); if (wish.last < wish.first) { wish.last = wish.first; last.value = value; } again(true); }, { "aria-label": "Repeat from measure", "data-key": "loop-first" });
  const last = select([["0", "1"]], "0", (value) => { wish.last = Number(value); if (wish.first > wish.last) { wish.first = wish.last; first.value = value; } again(true); }, { "aria-label": "Repeat to measure", "data-key": "loop-last" });
  const range = el("span", { class: "row loop-range" }, first, "to", last);
  range.hidden = true;
  const loop = tick("Repeat", false, (on) => {
    wish.loop = on;
    range.hidden = !on;
    if (on) setRange(host.chosen, Math.min(host.chosen + 1, (host.page?.measures.length ?? 1) - 1));
    again(true);
  }, { "data-key": "repeat" });
  function setRange(from, to) {
    const measures = host.page?.measures ?? [];
    [wish.first, wish.last] = [firstOf(measures, from), lastOf(measures, to)];
    [first.value, last.value] = [String(wish.first), String(wish.last)];
  }
  function numberFields() {
    const measures = host.page?.measures ?? [];
    first.replaceChildren(...measureOptions(measures, "first"));
    last.replaceChildren(...measureOptions(measures, "last"));
    setRange(Math.min(wish.first, measures.length - 1), Math.min(wish.last, measures.length - 1));
  }
  host.on("page", () => { numberFields(); if (player?.playing()) { const now = player.now(); trying(async () => { await ready(); begin(now, "at once"); }); } });

  const more = button("More", () => more.setAttribute("aria-expanded", String(more.getAttribute("aria-expanded") === "false")), { class: "more-sound", "aria-expanded": "false", "aria-label": "More of the sound" });
  const node = el("section", { class: "sound", "aria-label": "Sound" },
    play, count, button("From start", () => trying(async () => { await audio().resume(); await ready(); begin(); }), { class: "from-start" }), more,
    el("div", { class: "sound-more" },
      select(handsOf, "both", (hands) => { wish.hands = hands; again(false); }, { "aria-label": "Hands", "data-key": "hands" }),
      el("span", { class: "tempo" }, tempo.node),
      el("span", { class: "row" }, loop, range),
      tick("Count-in", false, (on) => { wish.countIn = on; }), tick("Click", false, (on) => { wish.click = on; again(false); })), coming);
  return {
    node, playPause,
    halt: () => { if (!player?.playing()) return; resume = player.now(); player.halt(); stopped(); },
    hearWay: (figure) => trying(async () => {
      await audio().resume();
      player?.halt();
      ended();
      await onceThrough(audio(), host.id, host.chosen, figure);
    }),
    hearTried: (choices, stretch) => trying(async () => {
      await audio().resume();
      player?.halt();
      ended();
      await tried(audio(), host.id, choices, host.revision(), stretch);
    }),
    close: () => { cancelAnimationFrame(frame); player?.close(); hush(); },
  };
}
