// The recording on the stand: it plays, slower and measures of it again and again, and the pages go with it. It is brought and compared with the sheet on the worktable.

import { el, button, refill } from "./dom.js";
import { tell, trying } from "./say.js";
import { recordingControls, recordingFile } from "./recording-controls.js";
import { recordingDeck } from "./recording-deck.js";
import { recordingState } from "./recording-state.js";
import { clock } from "./recording-strip.js";
import { practiceTime } from "./practice-time.js";

/** `hushOther()` quiets what else sounds. Gives { node, hush, playing, close }. */
export function standRecording(stand, hushOther) {
  const room = el("div", {}), node = el("details", { class: "recording-panel stand-recording" }, el("summary", {}, "Your recording"), room);
  let shown = null;
  const deck = recordingDeck((place) => { shown = place; stand.showPlaying(place); controls.time.textContent = clock(deck.now()); }, () => playing());
  const state = recordingState(stand.id, () => { deck.follow(state.passes()); draw(); }, (blob) => (blob ? deck.load(blob) : deck.close()));
  const controls = recordingControls({ key: "stand-recording", host: stand, deck, state, begin: () => from(), slowed: (percent) => sitting.tempo({ beats: null, percent }) });
  async function from() {
    if (!(await state.ready())) { tell("The recording is not here.", `Bring "${state.which?.name ?? "it"}" again: the browser does not keep it.`); return; }
    hushOther();
    // Where she is on the pages is where it begins, unless it was paused here.
    const here = shown ? null : state.passes().find((pass) => pass.page >= stand.chosen);
    if (here && !controls.looping() && stand.shown > stand.lead) deck.seek(here.beats[0][1]);
    await deck.play();
  }
  /** Playing along is practice: the diary has it while the recording plays. A diary that cannot be written is said in the practice room. */
  const sitting = practiceTime({ playing: () => deck.playing(), breakTime: () => {}, failed: () => {} });
  let sits = false;
  function sit() {
    if (deck.playing() === sits) return;
    sits = deck.playing();
    sitting.at(sits ? { tune: stand.id, tune_title: stand.tune?.title ?? "", what: "recording", title: "With the recording" } : null);
    if (sits) sitting.tempo({ beats: null, percent: controls.percent() });
  }
  function playing() {
    sit();
    controls.shown();
  }
  const file = recordingFile("Choose the recording for the stand", (one) => state.bring(one));
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
      el("div", { class: "row" }, missing ? button("Bring it again", () => file.click(), { class: "main", "data-key": "stand-recording-bring" }) : controls.play, controls.place, controls.time),
      el("div", { class: "row" }, controls.tempo, controls.repeat, controls.range));
    playing();
  }
  stand.on("page", () => { controls.numbers(); trying(state.read); });
  node.append(deck.node, file);
  return { node, hush: () => deck.pause(), playing: () => deck.playing(), playPause: () => controls.play.click(), close: () => { sitting.close(); deck.close(); } };
}
