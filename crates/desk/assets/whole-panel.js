// What holds for the whole tune: harp, player, key, fullness of each verse, beginning and end, figures to use or leave out, another way, written basses.

import { el, button, field, select, tick, refill } from "./dom.js";
import { get, put, tune as at } from "./ask.js";
import { openList, whenClosed } from "./in-hand.js";
import { capital, tell, trying } from "./say.js";
import { figureWords, keyWords } from "./words.js";
import { harpFields } from "./harp-fields.js";
import { playerFields } from "./player-fields.js";
import { partPart, remarksPart, singerPart, soundPart } from "./about-file.js";
import { byHand } from "./by-hand.js";
import { chordsPart } from "./chords-part.js";

/** What of her choices may hold for new tunes too; null where it does already. */
function forNewTunes({ choices, usual }) {
  if (!usual) return null;
  const names = ["harp", "fingers", "sound", "concert", "player"];
  const now = Object.fromEntries(names.map((name) => [name, choices[name] ?? null]));
  return names.some((name) => JSON.stringify(now[name]) !== JSON.stringify(usual[name] ?? null)) ? now : null;
}

function harpPart(/** @type {Worktable} */ worktable) {
  const { choices, harps } = worktable.tune;
  const usual = forNewTunes(worktable.tune);
  const keep = () => trying(async () => {
    await put("/api/usual", { usual });
    tell("This harp, these hands, finger numbers and sound: used from now on for every tune where you have not chosen otherwise.");
    await worktable.read();
  });
  return el("fieldset", {}, el("legend", {}, "Harp and hands"),
    harpFields("Harp", harps, choices.harp, (harp) => worktable.change((c) => { c.harp = harp; }, "harp changed")),
    playerFields(choices.player ?? {}, worktable.tune.lists.fluency, (patch, words) => worktable.change((c) => { c.player = { ...c.player, ...patch }; }, words), (worktable.playerPart ??= {})),
    usual && el("div", { class: "row" }, button("Use these for new tunes too", keep, { "data-key": "usual" })));
}

const hard = "some notes cannot be played";
/** Keys that stand open beside the tune's own: the best, and the chosen one. */
const SHOWN = 2;

function keyChoice(/** @type {Worktable} */ worktable, value, name, sentence, { mark = "", checked = (worktable.tune.choices.key ?? "") === (value ?? "") } = {}) {
  return el("label", { class: "key-choice" }, el("input", { type: "radio", name: "key", checked, "data-key": `key-${value ?? ""}`, onchange: () => worktable.change((c) => { c.key = value; }, `key: ${name}`) }),
    el("span", {}, el("strong", {}, name), mark && el("span", { class: "badge" }, mark), sentence && el("span", { class: "hint" }, sentence)));
}

function keyPart(/** @type {Worktable} */ worktable, keys) {
  const listed = keys.keys ?? [];
  const octave = worktable.tune.choices.octave ?? 0;
  const move = (by, words) => button(words, () => worktable.change((c) => { c.octave = (c.octave ?? 0) + by; }, words), { "data-key": words });
  const choice = (key) => keyChoice(worktable, key.wish, keyWords(key.key), key.sentence, { mark: key.works === false ? hard : "" });
  const chosen = (key) => key.wish === worktable.tune.choices.key;
  /** The tune's own key stands once, as it is written, with how good it is among the others. */
  const home = listed.find(({ semitones }) => semitones === 0), atHome = !worktable.tune.choices.key || worktable.tune.choices.key === home?.wish;
  const own = home ? [keyWords(home.key), home.sentence].filter(Boolean).join(": ") : atHome ? worktable.tune.report?.key : "";
  const ownMark = home?.works === false ? hard : home && home === listed[0] ? "suits your harp best" : "";
  const others = listed.filter((key) => key !== home);
  const works = others.filter((key) => key.works !== false), first = works.slice(0, SHOWN);
  const good = others.filter((key) => first.includes(key) || chosen(key)), more = works.filter((key) => !good.includes(key)), rest = others.filter((key) => !good.includes(key) && !more.includes(key));
  const folded = (name, keys, words) => keys.length > 0 && el("details", { open: worktable[name], ontoggle: (event) => { worktable[name] = event.target.open; } }, el("summary", { "data-key": name }, `${words} (${keys.length})`), keys.map(choice));
  return el("fieldset", { class: "keys-part" }, el("legend", {}, "Key"),
    keyChoice(worktable, null, "As written", own, { mark: ownMark, checked: atHome }),
    el("div", { class: "row" }, move(-1, "Octave down"), move(1, "Octave up"), octave !== 0 && el("span", { class: "hint" }, `now ${Math.abs(octave)} ${octave > 0 ? "up" : "down"}`)),
    singerPart(worktable),
    keys.state === "working" && el("p", { class: "waiting" }, "Trying every key on your harp …"),
    good.map(choice),
    folded("keysOpen", more, "More keys"), folded("badKeysOpen", rest, "Keys in which some notes cannot be played"));
}

function fullnessPart(/** @type {Worktable} */ worktable) {
  const { choices, report, lists } = worktable.tune;
  const list = choices.fullness.length ? choices.fullness : report.wishes.fullness;
  const set = (verse, value) => worktable.change((c) => { c.fullness = [...(c.fullness.length ? c.fullness : list)]; c.fullness[verse] = Number(value); }, `verse ${verse + 1}: ${lists.fullness[value]}`);
  const options = lists.fullness.map((words, value) => [String(value), `${value} – ${words}`]);
  return el("fieldset", {}, el("legend", {}, "Fullness of the left hand"),
    list.map((value, verse) => field(list.length > 1 ? `Verse ${verse + 1}` : "All through", select(options, String(value), (to) => set(verse, to), { "data-key": `fullness-${verse}` }))),
    list.map((_, verse) => highPart(worktable, verse, list.length > 1)),
    el("div", { class: "row" },
      list.length < 8 && button("Add a verse", () => worktable.change((c) => { c.fullness = [...list, Math.min(6, list.at(-1) + 1)]; }, "verse added"), { "data-key": "verse-more" }),
      list.length > 1 && button("One verse less", () => worktable.change((c) => { c.fullness = list.slice(0, -1); }, "verse taken away"), { "data-key": "verse-less" })));
}

function figureRow(/** @type {Worktable} */ worktable, figure) {
  const { use = [], without = [] } = worktable.tune.choices;
  const now = use.includes(figure.name) ? "use" : without.includes(figure.name) ? "without" : "";
  const set = (to) => worktable.change((c) => {
    c.use = (c.use ?? []).filter((name) => name !== figure.name);
    c.without = (c.without ?? []).filter((name) => name !== figure.name);
    if (to) c[to].push(figure.name);
  }, `${figureWords(figure.name)}: ${to || "as it fits"}`);
  const words = figureWords(figure.name);
  return el("li", {}, el("span", {}, el("strong", {}, words), el("span", { class: "hint" }, ` level ${figure.level}`)),
    select([["", "as it fits"], ["without", "leave out"], ["use", "use"]], now, set, { "aria-label": words, "data-key": `figure-${figure.name}` }));
}

function figuresPart(/** @type {Worktable} */ worktable, open) {
  const chosen = (worktable.tune.choices.use ?? []).length + (worktable.tune.choices.without ?? []).length;
  return el("details", { class: "figures-part", open, ontoggle: (event) => { worktable.figuresOpen = event.target.open; } },
    el("summary", {}, chosen ? `Figures (${chosen} chosen by you)` : "Figures to use or leave out"),
    el("p", { class: "hint" }, "If you say “use” for any, only those are used. Level 1 is for the first weeks, 7 for advanced players."),
    el("ul", { class: "figures" }, (worktable.tune.figures ?? []).map((figure) => figureRow(worktable, figure))));
}

function tempoPart(/** @type {Worktable} */ worktable) {
  const { choices, report, lists } = worktable.tune;
  const input = el("input", { type: "text", size: "8", value: choices.tempo ?? "", placeholder: report.tempo.per_minute, "data-key": "tempo" });
  const set = (event) => { event.preventDefault(); worktable.change((c) => { c.tempo = input.value.trim() || null; }, "tempo changed"); };
  const kind = select([["", `as the tune says (${report.kind.name})`], ...lists.kinds.map((name) => [name, name])], choices.kind ?? "", (to) => worktable.change((c) => { c.kind = to || null; }, to || "as the tune says"), { "data-key": "kind" });
  return el("fieldset", {}, el("legend", {}, "Kind of tune and tempo"), field("Kind", kind), el("form", { class: "row low", onsubmit: set }, field("Beats a minute, or 3/8=100", input), el("button", { type: "submit" }, "Set")));
}

function printPart(/** @type {Worktable} */ worktable) {
  return el("fieldset", {}, el("legend", {}, "Finger numbers"),
    select(worktable.tune.lists.fingers, worktable.tune.choices.fingers ?? "few", (to) => worktable.change((c) => { c.fingers = to; }, "finger numbers changed"), { "aria-label": "Finger numbers", "data-key": "fingers" }));
}

/** Another left hand for the whole tune: counted, told, and the way back. */
function anotherPart(/** @type {Worktable} */ worktable) {
  const way = worktable.tune.choices.variant ?? 1;
  const told = (worktable.wayWords ??= new Map());
  const go = (to) => worktable.change((c) => { c.variant = to; }, `way ${to} for the whole tune`);
  if (worktable.tune.changed && worktable.wayNow !== undefined && worktable.wayNow !== way) told.set(way, worktable.tune.changed.words);
  worktable.wayNow = way;
  const words = way === 1 ? "Way 1, the one that was found best." : `Way ${way}. `;
  return el("fieldset", {}, el("legend", {}, "Another way for the whole tune"),
    el("p", { class: "way-words" }, words, way > 1 || told.has(way) ? ` ${told.get(way) ?? worktable.tune.way_words ?? "Step back and forth to hear what is different."}` : ""),
    el("p", { class: "hint" }, "As full as you wish it; what you hold stays."),
    el("div", { class: "row" }, button("Another way", () => go(way + 1), { "data-key": "variant-more", "aria-disabled": way >= 20 ? "true" : null }),
      way > 1 && button("The way before", () => go(way - 1), { "data-key": "variant-less" }),
      way > 2 && button("Way 1", () => go(1), { "data-key": "variant-first" })));
}

/** What a bass that is written apart from its chord means; null where the tune has none. */
function bassPart(/** @type {Worktable} */ worktable) {
  const { choices, lists, written_basses: some } = worktable.tune;
  if (!some && !choices.bass) return null;
  return el("fieldset", {}, el("legend", {}, "Written basses"),
    field("A bass such as the E in C/E is", select(lists.bass, choices.bass ?? "", (to) => worktable.change((c) => { c.bass = to || null; }, to ? "written basses kept" : "written basses a suggestion"), { "data-key": "bass" })),
    el("p", { class: "hint" }, "Where a suggestion is left, the measure says why."));
}

/** What the left hand of a verse does: it lies an octave higher, or it has the melody. */
function highPart(/** @type {Worktable} */ worktable, verse, several) {
  const form = worktable.tune.choices.form ?? {}, said = several ? `Verse ${verse + 1}: ` : "";
  const ways = [["high", "left hand an octave higher", "left hand an octave higher", "left hand at its own height"], ["melody_below", "melody in the left hand, chords above", "melody in the left hand", "melody in the right hand"]];
  const set = (/** @type {string[]} */ [name, , on, off]) => (wanted) => worktable.change((c) => {
    const without = (other) => (c.form?.[other] ?? []).filter((v) => v !== verse + 1);
    // It does one of the two.
    c.form = { ...c.form, ...Object.fromEntries(ways.map(([other]) => [other, without(other)])), [name]: wanted ? [...without(name), verse + 1].sort((a, b) => a - b) : without(name) };
  }, wanted ? on : off);
  return ways.map((way) => {
    const words = said + way[1];
    return tick(capital(words), (form[way[0]] ?? []).includes(verse + 1), set(way), { "data-key": `${way[0].replace("_", "-")}-${verse}` });
  });
}

/** What is put before, between and after the verses: one touch each. */
function formPart(/** @type {Worktable} */ worktable) {
  const { choices, report, lists } = worktable.tune;
  const now = choices.form ?? {};
  const set = (name, to) => worktable.change((c) => { c.form = { ...c.form, [name]: to || null }; }, `${name}: ${to || "none"}`);
  const row = (name, words, options) => field(words, select(options, now[name] ?? "", (to) => set(name, to), { "data-key": `form-${name}` }));
  const several = (report.wishes.fullness?.length ?? 1) > 1;
  return el("fieldset", {}, el("legend", {}, "Beginning and end"),
    row("introduction", "Introduction", lists.measures),
    row("vamp", "Vamp, round until ready", lists.measures),
    several && row("interlude", "Interlude between verses", lists.measures),
    row("ending", "Ending", lists.ending),
    row("ways_out", "Ways out", lists.ways_out),
    row("repeats", "Repeats", lists.repeats),
    (report.form ?? []).map((part) => el("p", { class: "hint" }, `${capital(part.part)}: ${part.why.join("; ")}.`)));
}

/** Draws the panel for the whole tune. The ranked keys are asked for when it is looked at, and again while they are worked out. */
export function wholePanel(/** @type {Worktable} */ worktable) {
  const node = el("div", { class: "whole-panel" });
  let keys = { state: "working", keys: [] };
  let askedFor = null;
  const keyRoom = el("div", {});
  /** The other lists of the panel would be pushed from under her hand. */
  const drawKeys = () => {
    const list = openList(node);
    if (list) whenClosed(list, drawKeys);
    else refill(keyRoom, keyPart(worktable, keys));
  };
  const draw = () => refill(node, remarksPart(worktable), byHand(worktable, null), partPart(worktable), fullnessPart(worktable), keyRoom, harpPart(worktable), chordsPart(worktable), formPart(worktable), figuresPart(worktable, worktable.figuresOpen), anotherPart(worktable), bassPart(worktable), tempoPart(worktable), soundPart(worktable), printPart(worktable));
  async function readKeys() {
    const about = JSON.stringify([worktable.tune.choices.harp, worktable.tune.choices.player, worktable.tune.choices.voice, worktable.tune.choices.tempo, worktable.tune.part]);
    if (askedFor === about) return;
    askedFor = about;
    const answer = await trying(() => get(at(worktable.id, "/keys")));
    if (!answer) { askedFor = null; return; }
    const same = JSON.stringify(keys) === JSON.stringify(answer);
    keys = answer;
    if (!same) drawKeys();
    if (answer.state === "working") { askedFor = null; setTimeout(() => node.isConnected && readKeys(), 700); }
  }
  const show = () => {
    if (!worktable.tune || node.parentElement?.hidden) return;
    drawKeys();
    draw();
    readKeys();
  };
  node.addEventListener("shown", show);
  worktable.on("tune", ({ tune }) => {
    node.dispatchEvent(new CustomEvent("counted", { detail: tune.remarks?.length ?? 0 }));
    show();
  });
  return node;
}
