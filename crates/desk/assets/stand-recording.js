// The recording on the stand: it plays, slower and measures of it again and again, and the pages go with it. It is brought and compared with the sheet on the worktable.

import { el, button, select, tick, refill } from "./dom.js";
import { speak, tell, trying } from "./say.js";
import { recordingDeck, stretchOf } from "./recording-deck.js";
import { recordingState } from "./recording-state.js";
import { clock } from "./recording-strip.js";
import { isPickup } from "./words.js";
import { practiceTime } from "./practice-time.js";

const kinds = ".wav,.mp3,.flac,.ogg,.oga,audio/wav,audio/mpeg,audio/flac,audio/ogg";

/** `hushOther()` quiets what else sounds. Gives { node, hush, playing, close }. */
export function standRecording(stand, hushOther) {
  const room = el("div", {}), node = el("details", { class: "recording-panel stand-recording" }, el("summary", {}, "Your recording"), room);
  const wish = { loop: false, first: 0, last: 0 };
  let shown = null;
  const deck = recordingDeck((place) => { shown = place; stand.showPlaying(place); time.textContent = clock(deck.now()); }, () => playing());
  const state = recordingState(stand.id, () => { deck.follow(state.passes()); draw(); }, (blob) => (blob ? deck.load(blob) : deck.close()));
  const time = el("output", { class: "recording-time" }, "0:00.0");
  const place = el("input", { type: "range", min: 0, max: 1, step: 0.1, value: 0, "aria-label": "Place in the recording", "data-key": "stand-recording-place", oninput: () => deck.seek(Number(place.value)) });
  const play = button("Play the recording", () => trying(async () => { if (deck.playing()) { deck.pause(); speak("paused"); } else await from(); }), { class: "main", "data-key": "stand-recording-play" });
  async function from() {
    if (!(await state.ready())) { tell("The recording is not here.", `Bring "${state.which?.name ?? "it"}" again: the browser does not keep it.`); return; }
    hushOther();
    // Where she is on the pages is where it begins, unless it was paused here.
    const here = shown ? null : state.passes().find((pass) => pass.page >= stand.chosen);
    if (here && !wish.loop && stand.shown > stand.lead) deck.seek(here.beats[0][1]);
    await deck.play();
  }
  /** Playing along is practice: the diary has it while the recording plays. A diary that cannot be written is said in the practice room. */
  const sitting = practiceTime({ playing: () => deck.playing(), breakTime: () => {}, failed: () => {} });
  let sits = false;
  function sit() {
    if (deck.playing() === sits) return;
    sits = deck.playing();
    sitting.at(sits ? { tune: stand.id, tune_title: stand.tune?.title ?? "", what: "recording", title: "With the recording" } : null);
    if (sits) sitting.tempo({ beats: null, percent: Number(tempo.value) });
  }
  function playing() {
    sit();
    play.textContent = deck.playing() ? "Pause the recording" : "Play the recording";
    place.max = String(deck.length() || state.kept?.seconds || 1);
    if (document.activeElement !== place || deck.playing()) place.value = String(deck.now());
    time.textContent = clock(deck.now());
    place.setAttribute("aria-valuetext", time.textContent);
  }
  const tempoWords = el("output", { class: "tempo-words" }, "100 %");
  const tempo = el("input", { type: "range", min: 30, max: 120, step: 5, value: 100, "aria-label": "Tempo of the recording in percent", "data-key": "stand-recording-tempo", oninput: () => {
    tempoWords.textContent = `${tempo.value} %`;
    tempo.setAttribute("aria-valuetext", `${tempo.value} percent`);
    deck.slow(Number(tempo.value));
    sitting.tempo({ beats: null, percent: Number(tempo.value) });
  } });
  const bounds = [["first", "Repeat the recording from measure"], ["last", "Repeat the recording to measure"]].map(([which, words]) => select([["0", "1"]], "0", (value) => {
    wish[which] = Number(value);
    if (wish.last < wish.first) wish.last = wish.first = Number(value);
    setRange();
    loop();
  }, { "aria-label": words, "data-key": `stand-recording-${which}` }));
  const setRange = () => { bounds[0].value = String(wish.first); bounds[1].value = String(wish.last); };
  const range = el("span", { class: "row loop-range" }, bounds[0], "to", bounds[1]);
  range.hidden = true;
  const repeat = tick("Repeat measures", false, (on) => {
    wish.loop = on;
    range.hidden = !on;
    if (on) { [wish.first, wish.last] = [stand.chosen, Math.min(stand.chosen + 3, stand.page.measures.length - 1)]; setRange(); }
    loop();
  }, { "data-key": "stand-recording-repeat" });
  function loop() {
    const stretch = wish.loop ? stretchOf(state.passes(), wish.first, wish.last, deck.now()) : null;
    if (wish.loop && !stretch) tell("These measures are not played in the recording.");
    deck.loop(stretch);
  }
  function numbers() {
    const options = () => (stand.page?.measures ?? []).map(({ index, number }) => el("option", { value: String(index) }, isPickup(number) ? "pickup" : String(number)));
    bounds.forEach((list) => list.replaceChildren(...options()));
    setRange();
  }
  const file = el("input", { type: "file", accept: kinds, class: "unseen", tabindex: "-1", "aria-label": "Choose the recording for the stand", onchange: () => { const [one] = file.files; file.value = ""; if (one) trying(() => state.bring(one)); } });
  const toWorktable = (words) => el("a", { class: "button", href: `#/worktable/${encodeURIComponent(stand.id)}` }, words);
  function draw() {
    if (state.working) { refill(room, el("p", { class: "waiting" }, state.working)); return; }
    if (!state.passes().length) {
      refill(room, el("p", {}, state.other ? "This is another recording: where the measures are in it is found on the worktable, under Recording." : "A recording of this tune is brought on the worktable, under Recording. Once its measures are found, the pages follow it here."), toWorktable("To the worktable"));
      return;
    }
    node.open = true;
    const missing = !state.blob && !state.which.in_folder;
    refill(room, el("p", { class: "recording-name" }, state.which.name), missing && el("p", { class: "hint" }, "The browser does not keep it: bring it again to hear it."),
      el("div", { class: "row" }, missing ? button("Bring it again", () => file.click(), { class: "main", "data-key": "stand-recording-bring" }) : play, place, time),
      el("div", { class: "row" }, el("label", { class: "field tempo" }, el("span", {}, "Tempo ", tempoWords), tempo), repeat, range));
    playing();
  }
  stand.on("page", () => { numbers(); trying(state.read); });
  node.append(deck.node, file);
  return { node, hush: () => deck.pause(), playing: () => deck.playing(), playPause: () => play.click(), close: () => { sitting.close(); deck.close(); } };
}
