// The bar of the practice room: the other part is played, counted in where she sees it, again and again over the beats she chose, slower or faster after some passes.

import { el, button, field, select, tick } from "./dom.js";
import { get } from "./ask.js";
import { capital, speak, tell, trying } from "./say.js";
import { samples } from "./samples.js";
import { makePlayer } from "./player.js";
import { passes, placeAt } from "./timeline.js";
import { firstOf, lastOf, measureOptions } from "./sound-controls.js";
import { isPickup } from "./words.js";

const handsOf = [["right", "the melody alone"], ["left", "the left hand alone"], ["both", "both hands"]];
let shared = null;
const audio = () => (shared ??= new AudioContext({ latencyHint: "interactive" }));

/** Seconds of the music that are played, and the beats counted before them so that the first bar line falls where it is counted. */
function stretch(practice) {
  const { sound, loop } = practice;
  const { beats } = sound, last = practice.passes.at(-1).to;
  const first = loop ? beats[loop.from] : beats[0];
  const from = loop ? first.t : 0, to = loop ? beats[loop.to + 1]?.t ?? last : last;
  const gap = beats[(loop?.from ?? 0) + 1] ? beats[(loop?.from ?? 0) + 1].t - (first?.t ?? 0) : 0.6;
  const inMeasure = (measure) => { const pass = beats.find((beat) => beat.measure === measure)?.pass; return beats.filter((beat) => beat.measure === measure && beat.pass === pass).length; };
  const measure = first?.measure ?? 0;
  const pickup = isPickup(practice.page?.measures[measure]?.number ?? "1");
  const full = Math.max(inMeasure(measure), inMeasure(measure + 1)) || 4;
  const before = beats.filter((beat) => beat.measure === measure && beat.pass === first?.pass && beat.t < from - 1e-6).length + (pickup ? full - inMeasure(measure) : 0);
  return { from, to, gap, full, before };
}

/** Gives { node, playPause, close }. */
export function practiceBar(practice) {
  const wish = { hands: "right", tempo: 100, countIn: true, click: false, rest: false, step: 0, every: 1 };
  let player = null, strings = null, frame = 0, resume = null, called = null;
  const play = button("Play", () => playPause(), { class: "main play", "data-key": "play" });
  const count = el("span", { class: "count", "aria-hidden": "true" });
  const coming = el("span", { class: "hint coming", role: "status" });
  const loopWords = el("span", { class: "loop-words", role: "status" });

  const stop = () => { cancelAnimationFrame(frame); play.textContent = "Play"; count.textContent = ""; practice.showPlaying(null); };
  function ended() { stop(); resume = null; }
  function quiet() { player?.close(); player = null; strings = null; resume = null; stop(); }
  function follow() {
    const now = player?.now();
    if (now === null || now === undefined) return;
    const counted = player.counting();
    count.textContent = counted ? String(counted) : "";
    const place = placeAt(practice.sound, practice.passes, now);
    if (place) {
      if (!counted) practice.showPlaying(place);
      if (!counted && place.measure !== called) { called = place.measure; (practice.calls ?? []).filter((call) => call.measure === called).forEach((call) => call.act()); }
    }
    frame = requestAnimationFrame(follow);
  }
  async function ready() {
    if (player) return;
    const context = audio(), sound = practice.sound;
    if (!sound) throw Object.assign(new Error("the sound is still being prepared"), { status: 0, hint: "press Play once more" });
    if (sound.instead) tell(`${capital(sound.instead)}.`, "Undersong's own strings are heard instead.");
    strings = await samples(context, sound.samples, sound.of, (done, of) => { coming.textContent = done < of ? `Preparing the sound: ${done} of ${of}` : ""; });
    coming.textContent = "";
    player = makePlayer(context, sound, strings, ended);
  }
  practice.musicNow = () => (player?.playing() && !player.counting() ? player.now() : null);
  /** Seconds of the music: where a measure begins that is played after now, and where the one that is played now ends. */
  practice.startOf = (measure) => practice.passes.find((pass) => pass.measure === measure && pass.to > (practice.musicNow() ?? 0))?.from;
  practice.endOf = (measure) => practice.passes.find((pass) => pass.measure === measure && pass.to > (practice.musicNow() ?? 0))?.to;
  /** The tempo after so many passes: up or down by steps, between a quarter and half as much again. */
  function ratioAfter(passed) {
    if (wish.step && passed % wish.every === 0) setTempo(wish.tempo + wish.step);
    practice.say("pass", passed);
    sayTempo();
    return wish.tempo / 100;
  }
  /** The tempo as it is printed: in the note value that is counted there, as it is played where the loop begins. */
  function sayTempo() {
    const { beats, counted } = practice.sound;
    const first = beats.findIndex((beat, index) => index >= (practice.loop?.from ?? 0) && beats[index + 1]?.pass === beat.pass);
    const [one, next] = first < 0 ? [{ t: 0, at: 0 }, { t: stretch(practice).gap, at: counted }] : [beats[first], beats[first + 1]];
    const minute = (60 * (next.at - one.at)) / Math.max(0.01, next.t - one.t) / counted;
    practice.say("tempo", { beats: Math.max(1, Math.round(minute * (wish.tempo / 100))), percent: wish.tempo });
  }
  function begin(from, countIn) {
    const { from: start, to, gap, full, before } = stretch(practice);
    const at = Math.max(start, Math.min(from ?? start, to - 0.05));
    const rest = practice.loop && wish.rest ? { length: gap * full, beats: Array.from({ length: full }, (_, i) => ({ t: gap * i, strong: i === 0 })) } : undefined;
    called = null;
    sayTempo();
    player.play({ from: start, to, loop: practice.loop !== null, hands: { right: "melody", left: "chords" }[wish.hands] ?? wish.hands, click: wish.click, ratio: wish.tempo / 100, rest, ratioAfter,
      countIn: countIn ? gap : null, counts: full + before, measureOf: full }, at);
    play.textContent = "Pause";
    cancelAnimationFrame(frame);
    frame = requestAnimationFrame(follow);
  }
  function playPause() {
    return trying(async () => {
      await audio().resume();
      if (player?.playing()) { resume = player.now(); player.halt(); stop(); speak("paused"); return; }
      await ready();
      begin(resume ?? undefined, wish.countIn);
      resume = null;
    });
  }
  /** A wish changed while it plays: on from the same place; a new loop begins at its start, counted in. */
  function again(fresh) {
    if (fresh) resume = null;
    if (player?.playing()) begin(fresh ? undefined : player.now(), fresh && wish.countIn);
  }

  const tempoWords = el("output", { class: "tempo-words" }, "100 %");
  const tempo = el("input", { type: "range", min: 25, max: 150, step: 1, value: 100, "aria-label": "Tempo in percent", "data-key": "practice-tempo", oninput: () => { setTempo(Number(tempo.value)); again(false); } });
  function setTempo(percent) {
    wish.tempo = Math.max(25, Math.min(150, percent));
    tempo.value = String(wish.tempo);
    tempoWords.textContent = `${wish.tempo} %`;
    tempo.setAttribute("aria-valuetext", `${wish.tempo} percent`);
  }
  const hands = select(handsOf, "right", (value) => { wish.hands = value; again(false); }, { "data-key": "practice-hands" });
  const first = select([], "", () => fromFields(), { "aria-label": "Again and again from measure", "data-key": "loop-first" });
  const last = select([], "", () => fromFields(), { "aria-label": "Again and again to measure", "data-key": "loop-last" });
  function fromFields() {
    if (first.value === "") { practice.setLoop(null); return; }
    if (last.value === "" || Number(last.value) < Number(first.value)) last.value = first.value;
    practice.loopMeasures(Number(first.value), Number(last.value));
  }
  const steps = select([["0", "stays"], ["2", "2 % faster"], ["5", "5 % faster"], ["10", "10 % faster"], ["-2", "2 % slower"], ["-5", "5 % slower"], ["-10", "10 % slower"]], "0", (value) => { wish.step = Number(value); }, { "data-key": "tempo-step" });
  const every = select([["1", "each pass"], ["2", "2 passes"], ["3", "3 passes"], ["4", "4 passes"]], "1", (value) => { wish.every = Number(value); }, { "data-key": "tempo-every" });
  const clear = button("Once through", () => practice.setLoop(null, "said"), { "data-key": "loop-clear" });
  const node = el("section", { class: "practice-bar", "aria-label": "The other part" },
    play, count, field("You hear", hands),
    el("span", { class: "tempo-field" }, field(el("span", {}, "Tempo ", tempoWords), tempo)),
    el("span", { class: "row loop-row" }, field("Again and again", el("span", { class: "row loop-range" }, first, "to", last)), clear),
    el("details", { class: "more-practice" }, el("summary", {}, "More"),
      el("div", { class: "row" }, tick("Count-in", true, (on) => { wish.countIn = on; }, { "data-key": "count-in" }), tick("Click", false, (on) => { wish.click = on; again(false); }, { "data-key": "click" }),
        tick("A measure of click after the loop", false, (on) => { wish.rest = on; again(false); }, { "data-key": "rest" }), field("Tempo of the loop", steps), field("after", every))),
    loopWords, coming);

  practice.on("stand", ({ stand }) => {
    quiet();
    practice.sound = null;
    practice.calls = stand.kind === "drill" ? practice.calls : [];
    wish.hands = stand.hands;
    hands.value = stand.hands;
    // Where no left hand is written there is none to be heard.
    for (const option of hands.options) option.disabled = Boolean(stand.unwritten || stand.kind === "cues") && option.value !== "right";
  });
  practice.on("page", ({ stand }) => trying(async () => {
    const sound = await get(stand.sound);
    if (practice.stand !== stand) return;
    [practice.sound, practice.passes] = [sound, passes(sound)];
    hands.options[1].textContent = sound.below.length ? "the chords alone" : handsOf[1][1];
    const measures = practice.page.measures.length ? practice.page.measures : practice.facts.measures.map((number, index) => ({ number, index }));
    const options = (which) => [el("option", { value: "" }, "–"), ...measureOptions(measures, which)];
    first.replaceChildren(...options("first"));
    last.replaceChildren(...options("last"));
    practice.listed = measures;
    practice.heard();
    node.dataset.heard = stand.name;
  }));
  practice.on("loop", () => {
    const { loop, sound } = practice;
    loopWords.textContent = loop ? practice.loopWords() : "";
    clear.setAttribute("aria-disabled", String(!loop));
    first.value = loop ? String(firstOf(practice.listed, sound.beats[loop.from].measure)) : "";
    last.value = loop ? String(lastOf(practice.listed, sound.beats[loop.to].measure)) : "";
    again("fresh");
  });
  return { node, playPause, playing: () => player?.playing() ?? false, close: quiet };
}
