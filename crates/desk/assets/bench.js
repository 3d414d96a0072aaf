// The bench: the page large, the chosen measure beside it, and everything that may be changed for the whole tune.
// Holds what is shown now (tune, page, chosen measure) and hands changes to the program; the panels only draw and ask.

import { el } from "./dom.js";
import { get, put, post, tune as at, Refusal, unlessStale } from "./ask.js";
import { hear } from "./live.js";
import { speak, tell, trying } from "./say.js";
import { pageView } from "./page-view.js";
import { measurePanel } from "./measure-panel.js";
import { wholePanel } from "./whole-panel.js";
import { findingsPanel } from "./findings-panel.js";
import { stringsPicture } from "./strings-picture.js";
import { soundBar } from "./sound-bar.js";
import { benchHead } from "./bench-head.js";
import { tabs } from "./tabs.js";
import { spokenMeasure } from "./words.js";

const millimetres = (pixels) => Math.round((pixels * 25.4) / 96);

/** Everything the bench knows and does; panels subscribe with `on`. */
function benchState(id) {
  const listeners = { tune: [], page: [], chosen: [], measure: [], moment: [] };
  const bench = { id, meter: () => bench.tune?.report.tune.meters[0], revision: () => bench.tune?.revision, tune: null, page: null, chosen: 0, measure: null, moment: 0, width: 210 };
  bench.on = (what, act) => listeners[what].push(act);
  bench.say = (what) => listeners[what].forEach((act) => act(bench));
  return bench;
}

function reading(bench) {
  let asked = null;
  bench.readMeasure = async () => {
    asked?.abort();
    asked = new AbortController();
    const { signal } = asked;
    const measure = await unlessStale(get(at(bench.id, `/measures/${bench.chosen}`), signal));
    if (!measure || signal.aborted) return;
    bench.measure = measure;
    bench.moment = Math.max(0, (measure.hands ?? []).findIndex((hand) => hand.left?.length));
    bench.say("measure");
  };
  bench.readPage = async () => {
    bench.page = await get(at(bench.id, `/page?for=bench&width=${bench.width}`));
    const last = bench.page.measures.length - 1;
    bench.chosen = Math.max(0, Math.min(bench.chosen, last));
    bench.say("page");
  };
  /** Takes a new state over; the panels are drawn while the page is on its way. */
  bench.take = async (tune) => {
    bench.tune = tune;
    const coming = [bench.readPage(), bench.readMeasure()];
    bench.say("tune");
    await Promise.all(coming);
  };
  bench.read = async () => bench.take(await get(at(bench.id)));
}

function choosing(bench) {
  bench.choose = (index, words) => {
    const last = (bench.page?.measures.length ?? 1) - 1;
    const wanted = Math.max(0, Math.min(index, last));
    if (wanted === bench.chosen && bench.measure && !words) return;
    bench.chosen = wanted;
    bench.say("chosen");
    trying(async () => { await bench.readMeasure(); speak(spokenMeasure(bench.measure)); });
  };
  const heard = new Map();
  /** The strings under the left hand while the music plays: `place` as the sound gives it, or null when it is over. */
  bench.playing = async (place) => {
    const name = place && `${bench.tune.revision} ${place.measure}`;
    if (place && !heard.has(name)) heard.set(name, get(at(bench.id, `/measures/${place.measure}`)).catch(() => null));
    const measure = place && (await heard.get(name));
    bench.sounding = measure && { measure, hand: measure.hands.find((hand) => hand.at === place.at && hand.left.length) };
    bench.say("moment");
  };
  bench.chooseMoment = (moment) => { bench.moment = moment; bench.say("moment"); };
}

function changing(bench) {
  let line = Promise.resolve();
  const inLine = (act) => { line = line.then(act, act); return line; };
  /** Sends her choices as `patch` changes them. Changes made while one is under way wait for it. */
  bench.change = (patch, words) => sent(() => {
    const choices = structuredClone(bench.tune.choices);
    patch(choices);
    return put(at(bench.id, "/choices"), { choices, seen: bench.tune.revision });
  }, words);
  /** Puts a chord of her own at a place, or the tune's own back. */
  bench.setChord = (place, chord, words) => sent(() => post(at(bench.id, "/chord"), { place, chord, seen: bench.tune.revision }), words);
  /** Changes notes of hers: `line` as by-hand.js writes it, in the key of the page. */
  bench.changeByHand = (line) => sent(() => post(at(bench.id, "/by-hand"), { change: line, seen: bench.tune.revision }), "changed by hand");
  const sent = (ask, words) => inLine(() => trying(async () => {
    try {
      await bench.take(await ask());
      if (words) speak(words);
    } catch (refusal) {
      if (!(refusal instanceof Refusal) || refusal.status !== 409) throw refusal;
      await bench.read();
      tell("The tune was changed in another tab; here is the newer state.", "Make your change again if you still want it.");
    }
  }));
  /** News of another state: looked at when her own changes are done, which make news too. */
  bench.noticed = (revision) => inLine(() => (revision === bench.tune?.revision ? undefined : trying(bench.read)));
  bench.back = (way) => inLine(() => trying(async () => {
    if (!bench.tune[way === "undo" ? "can_undo" : "can_redo"]) return;
    await bench.take(await post(at(bench.id, `/${way}`)));
    speak(way === "undo" ? "undone" : "done again");
  }));
}

function keysOf(bench) {
  return (event) => {
    if (!(event.ctrlKey || event.metaKey) || event.target.matches("input[type=text], input[type=search], textarea")) return;
    const key = event.key.toLowerCase();
    if (key === "z" && !event.shiftKey) { event.preventDefault(); bench.back("undo"); }
    else if (key === "y" || (key === "z" && event.shiftKey)) { event.preventDefault(); bench.back("redo"); }
  };
}

/** Opens the bench for tune `id`; gives back what closes it. */
export async function openBench(room, id, here) {
  const bench = benchState(id);
  reading(bench);
  choosing(bench);
  changing(bench);
  const view = pageView(bench);
  const mark = bench.showPlaying;
  let last = "";
  bench.showPlaying = (place) => {
    mark(place);
    const now = place ? `${place.measure} ${place.at}` : "";
    if (now !== last) { last = now; bench.playing(place); }
  };
  const side = tabs("About the tune", [["This measure", measurePanel(bench)], ["Whole tune", wholePanel(bench)], ["Findings", findingsPanel(bench)]]);
  bench.toWays = () => { side.show(0); (side.node.querySelector(".ways button") ?? side.node.querySelector(".measure-step button"))?.focus(); };
  const sound = soundBar(bench);
  bench.playPause = sound.playPause;
  bench.hearWay = sound.hearWay;
  benchHead(here, bench);
  room.append(el("div", { class: "bench-room" }, view.node, stringsPicture(bench), side.node, el("div", { class: "bench-foot" }, sound.node, view.hints)));
  bench.width = Math.max(120, Math.min(230, millimetres(view.node.clientWidth - 24)));
  const keys = keysOf(bench);
  addEventListener("keydown", keys);
  const deaf = hear((event) => { if (event.tune === id) bench.noticed(event.revision); });
  await bench.read();
  // A pickup has nothing to choose: the first whole measure is looked at first.
  if (Number(bench.page.measures[0]?.number) === 0 && bench.page.measures.length > 1) bench.choose(1);
  view.node.focus({ preventScroll: true });
  return () => { deaf(); sound.close(); removeEventListener("keydown", keys); };
}
