// The worktable: the page large, the chosen measure beside it, and everything that may be changed for the whole tune.
// Holds what is shown now (tune, page, chosen measure) and hands changes to the program; the panels only draw and ask.

import { el, one, targetOf } from "./dom.js";
import { get, put, post, tune as at, Refusal, unlessStale } from "./ask.js";
import { hear } from "./live.js";
import { settled, speak, tell, trying } from "./say.js";
import { pageView } from "./page-view.js";
import { measurePanel } from "./measure-panel.js";
import { wholePanel } from "./whole-panel.js";
import { findingsPanel } from "./findings-panel.js";
import { recordingPanel } from "./recording-panel.js";
import { versionsPanel } from "./versions-panel.js";
import { stringsPicture } from "./strings-picture.js";
import { changesHeard } from "./single-notes.js";
import { soundBar } from "./sound-bar.js";
import { worktableHead } from "./worktable-head.js";
import { backAndPlay } from "./back.js";
import { tabs } from "./tabs.js";
import { isPickup, nameHarps, spokenMeasure } from "./words.js";

/** The places of the recording and the versions among the tabs. */
const RECORDING = 3, VERSIONS = 4;
const millimetres = (pixels) => Math.round((pixels * 25.4) / 96);

/**
 * Everything the worktable knows and does; panels subscribe with `on`.
 * @param {string} id
 * @returns {Worktable}
 */
function worktableState(id) {
  const listeners = { tune: [], page: [], chosen: [], measure: [], moment: [], marks: [] };
  /** @type {any} */
  const worktable = { id, meter: () => worktable.tune?.report.tune.meters[0], revision: () => worktable.tune?.revision, tune: null, page: null, chosen: 0, measure: null, measureAt: null, moment: 0, width: 210 };
  worktable.on = (what, act) => listeners[what].push(act);
  worktable.say = (what) => listeners[what].forEach((act) => act(worktable));
  return worktable;
}

function reading(/** @type {Worktable} */ worktable) {
  let asked = null;
  worktable.readMeasure = async () => {
    asked?.abort();
    asked = new AbortController();
    const { signal } = asked;
    const index = worktable.chosen;
    const measure = await unlessStale(get(at(worktable.id, `/measures/${index}`), signal));
    if (!measure || signal.aborted) return;
    worktable.measure = measure;
    worktable.measureAt = index;
    worktable.moment = Math.max(0, (measure.hands ?? []).findIndex((hand) => hand.left?.length));
    worktable.say("measure");
  };
  worktable.readPage = async () => {
    worktable.page = await get(at(worktable.id, `/page?for=worktable&width=${worktable.width}`));
    const last = worktable.page.measures.length - 1;
    worktable.chosen = Math.max(0, Math.min(worktable.chosen, last));
    worktable.say("page");
  };
  /** Takes a new state over. The page comes first: what is told of the measure asks for more work, which would keep it waiting. */
  worktable.take = async (tune) => {
    worktable.tune = tune;
    nameHarps(tune.harp_names);
    const page = worktable.readPage();
    worktable.say("tune");
    try { await page; } finally { await worktable.readMeasure(); }
  };
  worktable.read = async () => {
    const tune = await get(at(worktable.id));
    // The same state read once more: what the last change changed is still so.
    if (tune.revision === worktable.tune?.revision) tune.changed = worktable.tune.changed;
    await worktable.take(tune);
  };
}

function choosing(/** @type {Worktable} */ worktable) {
  worktable.choose = (index, again) => {
    const last = (worktable.page?.measures.length ?? 1) - 1;
    const wanted = Math.max(0, Math.min(index, last));
    if (wanted === worktable.chosen && wanted === worktable.measureAt && !again) return;
    worktable.chosen = wanted;
    worktable.say("chosen");
    trying(async () => { await worktable.readMeasure(); speak(spokenMeasure(worktable.measure)); });
  };
  const heard = new Map();
  /** The strings under the left hand while the music plays: `place` as the sound gives it, or null when it is over. */
  worktable.playing = async (place) => {
    const name = place && `${worktable.tune.revision} ${place.measure}`;
    if (place && !heard.has(name)) heard.set(name, get(at(worktable.id, `/measures/${place.measure}`)).catch(() => null));
    const measure = place && (await heard.get(name));
    // A recording has no plucks of ours: the left hand's last ones before the moment are shown.
    const under = (hand) => place && hand.left.length && (place.beats === undefined ? hand.at === place.at : hand.at <= place.beats + 0.05);
    worktable.sounding = measure && { measure, hand: measure.hands.findLast(under) };
    worktable.say("moment");
  };
  worktable.chooseMoment = (moment) => { worktable.moment = moment; worktable.say("moment"); };
}

function changing(/** @type {Worktable} */ worktable) {
  let line = Promise.resolve();
  const inLine = (act) => { line = line.then(act, act); return line; };
  /** Sends her choices as `patch` changes them. Changes made while one is under way wait for it. */
  worktable.change = (patch, words) => sent(() => {
    const choices = structuredClone(worktable.tune.choices);
    patch(choices);
    return put(at(worktable.id, "/choices"), { choices, seen: worktable.tune.revision });
  }, words);
  /** Puts a chord of her own at a place, or the tune's own back. */
  worktable.setChord = (place, chord, words) => sent(() => post(at(worktable.id, "/chord"), { place, chord, seen: worktable.tune.revision }), words);
  /** Changes notes of hers: `line` as by-hand.js writes it, in the key of the page. */
  worktable.changeByHand = async (line) => {
    const before = worktable.tune.revision;
    await sent(() => post(at(worktable.id, "/by-hand"), { change: line, seen: worktable.tune.revision }), "changed by hand");
    const done = worktable.tune.revision !== before;
    if (done && changesHeard()) worktable.hearWay(null);
    return done;
  };
  const sent = (ask, words) => inLine(() => trying(async () => {
    try {
      const answer = await ask();
      settled();
      await worktable.take(answer);
      const changed = worktable.tune.changed?.words;
      if (words || changed) speak([words, changed].filter(Boolean).join(". "));
    } catch (refusal) {
      if (!(refusal instanceof Refusal) || refusal.status !== 409) throw refusal;
      await worktable.read();
      tell("The tune was changed in another tab; here it is as it is now.", "Make your change again if you still want it.");
    }
  }));
  /** News of another state: looked at when her own changes are done, which make news too. */
  worktable.noticed = (revision) => inLine(() => (revision === worktable.tune?.revision ? undefined : trying(worktable.read)));
  worktable.back = (way) => inLine(() => trying(async () => {
    if (!worktable.tune[way === "undo" ? "can_undo" : "can_redo"]) return;
    await worktable.take(await post(at(worktable.id, `/${way}`)));
    const { changed } = worktable.tune;
    speak([way === "undo" ? "undone" : "done again", changed?.words].filter(Boolean).join(". "));
    // A version that came back changes no measure: it is told.
    if (changed?.of === 0) tell(changed.words);
  }));
}

function keysOf(/** @type {Worktable} */ worktable) {
  return (event) => {
    if (!(event.ctrlKey || event.metaKey) || targetOf(event).matches("input[type=text], input[type=search], textarea")) return;
    const key = event.key.toLowerCase();
    if (key === "z" && !event.shiftKey) { event.preventDefault(); worktable.back("undo"); }
    else if (key === "y" || (key === "z" && event.shiftKey)) { event.preventDefault(); worktable.back("redo"); }
  };
}

/** Everything stands one below the other (worktable.css). */
const oneColumn = matchMedia("(max-width: 699px)");

/** Where she was on the worktable of a tune: from one version to another she stays there. */
let left = null;
const tuneOf = (id) => id.split(":")[0];

/** Opens the worktable for tune `id`; gives back what closes it. */
export async function openWorktable(room, id, here) {
  const worktable = worktableState(id);
  reading(worktable);
  choosing(worktable);
  changing(worktable);
  const view = pageView(worktable);
  const mark = worktable.showPlaying;
  let last = "";
  worktable.showPlaying = (place) => {
    mark(place);
    const now = place ? `${place.measure} ${place.at}` : "";
    if (now !== last) { last = now; worktable.playing(place); }
  };
  const recording = recordingPanel(worktable);
  const side = tabs("About the tune", [["This measure", measurePanel(worktable)], ["Whole tune", wholePanel(worktable)], ["Findings", findingsPanel(worktable)], ["Recording", recording.node], ["Versions", versionsPanel(worktable)]]);
  const before = left && left.id !== id && tuneOf(left.id) === tuneOf(id) ? left : null;
  if (before) side.show(before.side);
  // Under Recording a measure is pointed at to be heard there.
  worktable.showMeasure = () => {
    if (side.shown() !== RECORDING || !recording.brought()) side.show(0);
    // On a telephone the panel lies below: the page goes to the top, so that the music that was touched and what is told of it are seen together.
    if (oneColumn.matches) view.node.scrollIntoView({ block: "start" });
  };
  worktable.toWays = () => { side.show(0); (one(side.node, ".ways button") ?? one(side.node, ".measure-step button"))?.focus(); };
  const sound = soundBar(worktable);
  worktable.playPause = () => { if (!recording.playPause()) sound.playPause(); };
  worktable.hushSound = sound.halt;
  worktable.tap = recording.tap;
  worktable.hushRecording = recording.hush;
  worktable.hearWay = sound.hearWay;
  worktable.hearTried = sound.hearTried;
  worktableHead(here, worktable);
  room.append(el("div", { class: "worktable-room" }, view.node, side.node, stringsPicture(worktable), el("div", { class: "worktable-foot" }, sound.node, view.hints)));
  worktable.width = Math.max(120, Math.min(230, millimetres(view.node.clientWidth - 24)));
  const keys = keysOf(worktable);
  addEventListener("keydown", keys);
  const endBack = backAndPlay({ music: view.node, to: "#/", play: () => worktable.playPause() });
  const deaf = hear((event) => { if (event.tune === id) worktable.noticed(event.revision); });
  await worktable.read();
  // A pickup has nothing to choose: the first whole measure is looked at first.
  if (before) worktable.choose(before.chosen);
  else if (isPickup(worktable.page.measures[0]?.number) && worktable.page.measures.length > 1) worktable.choose(1);
  ((before?.side === VERSIONS && one(side.node, ".version-link[aria-current]")) || view.node).focus({ preventScroll: true });
  return () => {
    left = { id, side: side.shown(), chosen: worktable.chosen };
    deaf(); sound.close(); recording.close(); removeEventListener("keydown", keys); endBack();
  };
}
