// The recording on the worktable: bringing one, finding the places, playing with it slower or again and again, giving first beats, what is not sure.

import { el, button, focused, refill, targetOf } from "./dom.js";
import { speak, tell, trying } from "./say.js";
import { keyWords, measureName } from "./words.js";
import { recordingControls, recordingFile } from "./recording-controls.js";
import { nearestPass, recordingDeck } from "./recording-deck.js";
import { clock, recordingStrip } from "./recording-strip.js";
import { recordingState } from "./recording-state.js";

/** Draws the panel; gives { node, playPause: true where it took the wish, hush, close }. */
export function recordingPanel(/** @type {Worktable} */ worktable) {
  const room = el("div", {}), node = el("div", { class: "recording-panel" }, room);
  let asked = false, tapping = false;
  const shown = () => !node.parentElement?.hidden;
  const deck = recordingDeck((place) => { worktable.showPlaying(place); controls.time.textContent = clock(deck.now()); strip.show(deck.now()); }, () => playing());
  const state = recordingState(worktable.id, () => { deck.follow(state.passes()); draw(); }, (blob) => (blob ? deck.load(blob) : deck.close()));

  const controls = recordingControls({ key: "recording", host: worktable, deck, state, begin: () => from() });
  const file = recordingFile("Choose a recording", (one) => state.bring(one));
  const bring = (words, kind) => button(words, () => file.click(), { class: kind, "data-key": "bring-recording" });

  const strip = recordingStrip({
    play: (pass) => trying(async () => { quietly(() => worktable.choose(pass.page)); await from(pass.beats[0][1]); }),
    give: (pass, seconds) => trying(async () => { state.give(pass.source, pass.number, seconds, pass.beats[0][1]); await state.find(); speak(`${measureName(pass.number)} begins at ${clock(seconds)}`); }),
  });
  function playing() {
    controls.shown();
    strip.show(deck.now());
  }
  async function from(second) {
    if (!(await state.ready())) { tell("The recording is not here.", `Bring "${state.which?.name ?? "it"}" again: the browser does not keep it.`); return; }
    worktable.hushSound?.();
    if (second !== undefined) deck.seek(second);
    await deck.play();
  }
  const chosenNumber = () => worktable.page?.measures[worktable.chosen]?.number;
  const tap = button("", () => {
    const measure = state.sources[worktable.chosen];
    if (measure === null || measure === undefined) { tell("This measure is not in the tune itself.", "Choose one of the tune's measures on the page."); return; }
    state.give(measure, chosenNumber(), deck.now());
    speak(`${measureName(chosenNumber())} at ${clock(deck.now())}`);
    quietly(() => worktable.choose(worktable.chosen + 1));
  }, { "data-key": "recording-tap" });
  /** Chooses a measure without playing from it. */
  function quietly(act) { tapping = true; act(); tapping = false; }

  function beginning() {
    return [el("p", {}, "Play your left hand against a recording you have of this tune: WAV, MP3, FLAC or Ogg. It stays where it lies; only where the measures are in it is kept, beside the tune."),
      bring("Bring a recording", "main"),
      state.folder.length > 0 && el("section", {}, el("h3", {}, "In your folder"), el("ul", { class: "plain-list" }, state.folder.map((name) => el("li", {}, button(name, () => trying(() => state.fromFolder(name)), { "data-key": `folder-${name}` })))))];
  }
  function said() {
    if (state.working) return el("p", { class: "waiting" }, state.working);
    if (state.other || !state.kept) return el("p", {}, "Not yet compared with the sheet. Choose the tempo of the tune under Whole tune if it is far from the recording's.");
    return el("ul", { class: "said" }, state.kept.said.map((sentence) => el("li", {}, sentence)));
  }
  function given() {
    if (!state.given.length) return null;
    return el("section", { class: "given" }, el("h3", {}, "First beats you gave"), el("ul", { class: "plain-list" }, state.given.map((one) => el("li", {},
      el("span", {}, `${measureName(one.number ?? one.measure + 1)} at ${clock(one.seconds)}`), button("Take away", () => state.takeBack(one), { "aria-label": `Take away the first beat of ${measureName(one.number).toLowerCase()}`, "data-key": `back-${one.seconds}` })))));
  }
  function keyOffer() {
    const { key_there: key, above } = state.kept ?? {};
    return !state.other && above && key ? button(`Put the page in ${keyWords(key)}`, () => worktable.change((choices) => { choices.key = key; }, `key: ${keyWords(key)}`), { "data-key": "recording-key" }) : null;
  }
  function draw() {
    if (!state.which) { refill(room, el("h2", {}, "Recording"), ...beginning(), state.working && el("p", { class: "waiting" }, state.working)); return; }
    const missing = !state.blob && !state.which.in_folder;
    const passes = state.passes();
    const words = passes.length ? (state.unused ? "Find the places anew" : "Find the places again") : "Find the places";
    const wanted = !passes.length || state.unused;
    tap.textContent = `${measureName(chosenNumber() ?? 1)} begins now`;
    tap.setAttribute("aria-keyshortcuts", "t");
    strip.node.hidden = !passes.length;
    const grip = focused()?.dataset?.grip;
    refill(room, el("h2", {}, "Recording"), el("p", { class: "recording-name" }, state.which.name),
      missing && el("p", { class: "hint" }, "The browser does not keep it: bring it again to hear it."), missing && bring("Bring it again", "main"),
      el("div", { class: "row" }, controls.play, button(words, () => trying(async () => { await state.find(); speak(state.kept.said.join(" ")); controls.loop(); }), { class: wanted ? "main" : "", "data-key": "find-places", "aria-disabled": state.working ? "true" : null })),
      el("div", { class: "recording-where" }, controls.place, controls.time),
      strip.node,
      el("div", { class: "row" }, controls.tempo, controls.repeat, controls.range),
      el("div", { role: "status", class: "recording-said" }, said()), el("div", { class: "row" }, keyOffer()),
      el("div", { class: "row" }, tap), el("p", { class: "hint" }, "Where a place is wrong, choose the measure on the page and press this, or ", el("kbd", {}, "T"), ", at its first beat; or drag the measure's line above."),
      given(), el("div", { class: "row" }, bring("Another recording", ""), button("Forget this recording", () => trying(async () => { deck.pause(); await state.forget(); speak("forgotten; the recording itself stays where it lies"); }), { class: "plain", "data-key": "forget-recording" })));
    strip.draw(passes, state.kept?.seconds ?? 0, grip);
    playing();
  }
  node.addEventListener("shown", () => { if (!asked && worktable.tune) { asked = true; trying(state.read); } });
  node.addEventListener("keydown", (event) => { if (event.key.toLowerCase() === "t" && !event.ctrlKey && !event.metaKey && !event.altKey && state.which && !targetOf(event).matches("input[type=text]")) { event.preventDefault(); tap.click(); } });
  worktable.on("page", () => { controls.numbers(); if (asked) trying(state.read); });
  worktable.on("chosen", () => {
    if (!state.which || !shown()) return;
    tap.textContent = `${measureName(chosenNumber() ?? 1)} begins now`;
    const pass = tapping ? null : nearestPass(state.passes(), worktable.chosen, deck.now());
    if (pass && deck.loaded() && !controls.looping()) deck.seek(pass.beats[0][1]);
  });
  node.append(deck.node, file);
  draw();
  return {
    node,
    playPause: () => { if (!shown() || !state.which) return false; controls.playPause(); return true; },
    brought: () => Boolean(state.which),
    tap: () => { if (shown() && state.which) tap.click(); },
    hush: () => deck.pause(),
    close: () => deck.close(),
  };
}
