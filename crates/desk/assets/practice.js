// The practice room: the tune in steps, drills from its dear places, sheets to read at sight, the cue sheet. What is chosen at the side lies on the stand in the
// middle; the bar below plays the part that she does not.

import { el, button, refill } from "./dom.js";
import { get, put, tune as at, unlessStale } from "./ask.js";
import { hear } from "./live.js";
import { speak, trying } from "./say.js";
import { drawPages, trimPages } from "./pages.js";
import { marker } from "./page-places.js";
import { backAndPlay } from "./back.js";
import { tabs } from "./tabs.js";
import { ladderPanel } from "./ladder-panel.js";
import { drillsPanel } from "./drills-panel.js";
import { sightPanel } from "./sight-panel.js";
import { practiceBar } from "./practice-bar.js";
import { loopOver } from "./loop-over.js";
import { practiceTime } from "./practice-time.js";
import { breakWords } from "./break-words.js";
import { now, dayOf } from "./calendar.js";
import { versionOf } from "./words.js";

const millimetres = (pixels) => Math.round((pixels * 25.4) / 96);

function practiceState(id) {
  const listeners = { facts: [], stand: [], page: [], loop: [], pass: [], tempo: [] };
  /** @type {any} */
  const practice = { id, facts: null, stand: null, page: null, sound: null, loop: null };
  practice.on = (what, act) => listeners[what].push(act);
  practice.say = (what, more) => listeners[what].forEach((act) => act(practice, more));
  return practice;
}

/** What lies on the stand: { kind, name, title, page, sound, words, hands }. `page` and `sound` are addresses. */
function laying(practice, sheet, words) {
  let asked = null;
  practice.lay = async (stand) => {
    asked?.abort();
    asked = new AbortController();
    const { signal } = asked;
    practice.stand = stand;
    practice.setLoop(null);
    practice.say("stand");
    refill(words, stand.words);
    const join = stand.page.includes("?") ? "&" : "?";
    const page = await unlessStale(get(`${stand.page}${join}for=worktable&width=${practice.width}`, signal));
    if (!page || signal.aborted) return;
    practice.page = page;
    drawPages(sheet, page.svgs, stand.title);
    if (stand.trim !== false) trimPages(sheet);
    sheet.scrollTop = 0;
    sheet.dataset.stand = stand.name;
    practice.say("page");
  };
}

function recording(practice) {
  practice.keep = (patch, words) => trying(async () => {
    const practised = structuredClone(practice.facts.practised);
    patch(practised);
    const moment = now();
    practice.facts = await put(at(practice.id, `/practice?at=${moment}&day=${dayOf(moment)}`), practised);
    practice.say("facts");
    if (words) speak(words);
  });
}

/** What she sits at, for the diary. */
const sitting = ({ id, facts, stand }) => ({ tune: stand.kind === "sight" ? "" : id, tune_title: stand.kind === "sight" ? "" : facts.title, what: stand.kind, title: stand.called ?? stand.title });

/** Keeps her time in the diary. A diary that cannot be written is said once, and that is enough. */
function timing(practice) {
  const rest = breakWords(() => time.rested());
  const time = practiceTime({ playing: () => practice.bar?.playing() ?? false, breakTime: (minutes) => rest.show(minutes), failed: (refusal) => practice.unkept(refusal.message) });
  practice.on("stand", () => time.at(sitting(practice)));
  practice.on("tempo", (_, tempo) => time.tempo(tempo));
  return { node: rest.node, close: time.close };
}

/** Opens the practice room for tune `id`; gives back what closes it. */
export async function openPractice(room, id, here) {
  const practice = practiceState(id);
  const code = encodeURIComponent(id);
  const sheet = el("div", { class: "practice-sheet", tabindex: "0", role: "group", "aria-describedby": "practice-hints",
    "aria-label": "The music. Space plays. Drag over it to choose beats that are played again and again; with the keyboard the arrow keys choose a beat, with Shift more beats, Escape none." });
  const hints = el("p", { class: "hint practice-hints", id: "practice-hints" }, el("kbd", {}, "Space"), " play ", el("kbd", {}, "← →"), " a beat ", el("kbd", {}, "Shift ← →"), " more beats, again and again ", el("kbd", {}, "Esc"), " all of it ", el("kbd", {}, "Enter"), " answers a call");
  const words = el("section", { class: "practice-words", "aria-label": "What to do" });
  const moving = marker(sheet);
  practice.showPlaying = (place) => moving(place);
  loopOver(practice, sheet);
  laying(practice, sheet, words);
  recording(practice);
  const unkept = el("p", { class: "badge warning unkept", role: "status" });
  unkept.hidden = true;
  practice.unkept = (why) => { unkept.hidden = !why; unkept.textContent = why ? `What you practise is not written down: ${why}.` : ""; };
  practice.on("facts", ({ facts }) => practice.unkept(facts.trouble));
  const time = timing(practice);
  const bar = practiceBar(practice);
  practice.bar = bar;
  const cues = el("div", { class: "cue-panel" },
    el("p", {}, "One page to improvise from: chords, phrases, a figure for each with the picture of its shape, and the ways out."),
    el("p", { class: "row" }, button("Lay it on the stand", () => trying(() => practice.lay(cueStand(practice))), { class: "main" }),
      el("a", { class: "button", href: at(id, "/take/cue-sheet"), download: "" }, "Take it home (PDF)")));
  const side = tabs("What is practised", [["Ladder", ladderPanel(practice)], ["Drills", drillsPanel(practice)], ["At sight", sightPanel(practice)], ["Cue sheet", cues]]);
  const title = el("h1", {}, "Practice room"), under = el("p", { class: "hint" });
  here.append(el("div", { class: "worktable-title" }, title, under), el("a", { class: "button to-stand", href: `#/worktable/${code}` }, "To the worktable"));
  practice.on("facts", ({ facts }) => {
    document.title = `${facts.title} – Practice room – Undersong`;
    title.textContent = facts.title;
    const passed = facts.steps.filter((step) => step.state === "passed").length;
    under.textContent = [versionOf(id), `${passed} of ${facts.steps.length} steps passed`].filter(Boolean).join(" · ");
  });
  room.append(el("div", { class: "practice-room" }, side.node, words, sheet, el("div", { class: "practice-foot" }, unkept, time.node, bar.node, hints)));
  practice.width = Math.max(120, Math.min(230, millimetres(sheet.clientWidth - 24)));
  const endBack = backAndPlay({ music: sheet, to: `#/worktable/${code}`, play: () => bar.playPause() });
  const deaf = hear((event) => { if (event.tune === id && event.revision !== practice.facts?.revision) trying(read); });
  async function read() {
    practice.facts = await get(at(id, "/practice"));
    practice.say("facts");
  }
  await read();
  const { steps, practised } = practice.facts;
  const first = steps.find((step) => step.name === practised.at) ?? steps.find((step) => step.state !== "passed") ?? steps[0];
  if (first) await practice.layStep(first.name);
  return () => { deaf(); endBack(); time.close(); bar.close(); };
}

/** The cue sheet on the stand: it has no measures to point at, and is played by the tune's own sound. */
export function cueStand(practice) {
  return { kind: "cues", name: "cues", called: "Cue sheet", title: `${practice.facts.title}, cue sheet`, page: at(practice.id, "/practice/cues"), sound: at(practice.id, "/sound"), hands: "right",
    words: [el("h2", {}, "Cue sheet"), el("p", {}, "Your own left hand: the figure named for each phrase, or another. The melody is played for you.")] };
}
