// What holds for the whole tune: harp, player, key, fullness of each verse, figures to use or leave out, another way.

import { el, button, field, select, refill } from "./dom.js";
import { get, put, tune as at } from "./ask.js";
import { tell, trying } from "./say.js";
import { figureWords, keyWords } from "./words.js";
import { harpFields } from "./harp-fields.js";
import { playerFields } from "./player-fields.js";
import { partPart, remarksPart, singerPart, soundPart } from "./about-file.js";
import { byHand } from "./by-hand.js";

const fullnessWords = ["the tune alone", "a bass note now and then", "plain", "gentle", "flowing", "full", "very full"];
const fingerWords = [["none", "none"], ["few", "where the hand takes a new shape"], ["all", "all"]];

const kinds = ["air", "carol", "hornpipe", "hymn", "jig", "lament", "lullaby", "march", "old dance", "polka", "reel", "slip jig", "song", "waltz"];

/** What of her choices may hold for new tunes too; null where it does already. */
function forNewTunes({ choices, usual }) {
  if (!usual) return null;
  const names = ["harp", "fingers", "sound", "concert", "player"];
  const now = Object.fromEntries(names.map((name) => [name, choices[name] ?? null]));
  return names.some((name) => JSON.stringify(now[name]) !== JSON.stringify(usual[name] ?? null)) ? now : null;
}

function harpPart(bench) {
  const { choices, harps } = bench.tune;
  const usual = forNewTunes(bench.tune);
  const keep = () => trying(async () => {
    await put("/api/usual", { usual });
    tell("This harp, these hands, finger numbers and sound now hold for every tune in which you have chosen nothing yet.");
    await bench.read();
  });
  return el("fieldset", {}, el("legend", {}, "Harp and hands"),
    harpFields("Harp", harps, choices.harp, (harp) => bench.change((c) => { c.harp = harp; }, "harp changed")),
    playerFields(bench),
    usual && el("div", { class: "row" }, button("Use these for new tunes too", keep, { "data-key": "usual" })));
}

function keyChoice(bench, value, name, sentence, mark) {
  const checked = (bench.tune.choices.key ?? "") === (value ?? "");
  return el("label", { class: "key-choice" }, el("input", { type: "radio", name: "key", checked, "data-key": `key-${value ?? ""}`, onchange: () => bench.change((c) => { c.key = value; }, `key: ${name}`) }),
    el("span", {}, el("strong", {}, name), mark && el("span", { class: "badge" }, mark), sentence && el("span", { class: "hint" }, sentence)));
}

function keyPart(bench, keys) {
  const listed = keys.keys ?? [];
  const octave = bench.tune.choices.octave ?? 0;
  const move = (by, words) => button(words, () => bench.change((c) => { c.octave = octave + by; }, words), { "data-key": words });
  const choice = (key) => keyChoice(bench, key.wish, keyWords(key.key), key.sentence, key.works === false ? "does not work" : null);
  const good = listed.filter((key) => key.works !== false || key.wish === bench.tune.choices.key), rest = listed.filter((key) => !good.includes(key));
  return el("fieldset", { class: "keys-part" }, el("legend", {}, "Key"),
    keyChoice(bench, null, "As written", bench.tune.choices.key ? "" : bench.tune.report?.key),
    el("div", { class: "row" }, move(-1, "Octave down"), move(1, "Octave up"), octave !== 0 && el("span", { class: "hint" }, `now ${Math.abs(octave)} ${octave > 0 ? "up" : "down"}`)),
    singerPart(bench),
    keys.state === "working" && el("p", { class: "waiting" }, "Trying every key on your harp …"),
    good.map(choice),
    rest.length > 0 && el("details", { open: bench.keysOpen, ontoggle: (event) => { bench.keysOpen = event.target.open; } }, el("summary", {}, `Keys that do not work (${rest.length})`), rest.map(choice)));
}

function fullnessPart(bench) {
  const { choices, report } = bench.tune;
  const list = choices.fullness.length ? choices.fullness : report.wishes.fullness;
  const set = (verse, value) => bench.change((c) => { c.fullness = [...list]; c.fullness[verse] = Number(value); }, `verse ${verse + 1}: ${fullnessWords[value]}`);
  const options = fullnessWords.map((words, value) => [String(value), `${value} – ${words}`]);
  return el("fieldset", {}, el("legend", {}, "Fullness of the left hand"),
    list.map((value, verse) => field(list.length > 1 ? `Verse ${verse + 1}` : "All through", select(options, String(value), (to) => set(verse, to), { "data-key": `fullness-${verse}` }))),
    el("div", { class: "row" },
      list.length < 8 && button("Add a verse", () => bench.change((c) => { c.fullness = [...list, Math.min(6, list.at(-1) + 1)]; }, "verse added"), { "data-key": "verse-more" }),
      list.length > 1 && button("One verse less", () => bench.change((c) => { c.fullness = list.slice(0, -1); }, "verse taken away"), { "data-key": "verse-less" })));
}

function figureRow(bench, figure) {
  const { use = [], without = [] } = bench.tune.choices;
  const now = use.includes(figure.name) ? "use" : without.includes(figure.name) ? "without" : "";
  const set = (to) => bench.change((c) => {
    c.use = (c.use ?? []).filter((name) => name !== figure.name);
    c.without = (c.without ?? []).filter((name) => name !== figure.name);
    if (to) c[to].push(figure.name);
  }, `${figureWords(figure.name)}: ${to || "as it fits"}`);
  const words = figureWords(figure.name);
  return el("li", {}, el("span", {}, el("strong", {}, words), el("span", { class: "hint" }, ` level ${figure.level}`)),
    select([["", "as it fits"], ["use", "use"], ["without", "leave out"]], now, set, { "aria-label": words, "data-key": `figure-${figure.name}` }));
}

function figuresPart(bench, open) {
  const chosen = (bench.tune.choices.use ?? []).length + (bench.tune.choices.without ?? []).length;
  return el("details", { class: "figures-part", open, ontoggle: (event) => { bench.figuresOpen = event.target.open; } },
    el("summary", {}, chosen ? `Figures (${chosen} chosen by you)` : "Figures to use or leave out"),
    el("p", { class: "hint" }, "When you say “use” anywhere, only those are used."),
    el("ul", { class: "figures" }, (bench.tune.figures ?? []).map((figure) => figureRow(bench, figure))));
}

function tempoPart(bench) {
  const { choices, report } = bench.tune;
  const input = el("input", { type: "text", size: "8", value: choices.tempo ?? "", placeholder: report.tempo.per_minute, "data-key": "tempo" });
  const set = (event) => { event.preventDefault(); bench.change((c) => { c.tempo = input.value.trim() || null; }, "tempo changed"); };
  const kind = select([["", `as the tune says (${report.kind.name})`], ...kinds.map((name) => [name, name])], choices.kind ?? "", (to) => bench.change((c) => { c.kind = to || null; }, to || "as the tune says"), { "data-key": "kind" });
  return el("fieldset", {}, el("legend", {}, "Kind of tune and tempo"), field("Kind", kind), el("form", { class: "row low", onsubmit: set }, field("Beats a minute, or 3/8=100", input), el("button", { type: "submit" }, "Set")));
}

function printPart(bench) {
  return el("fieldset", {}, el("legend", {}, "Finger numbers"),
    select(fingerWords, bench.tune.choices.fingers ?? "few", (to) => bench.change((c) => { c.fingers = to; }, "finger numbers changed"), { "aria-label": "Finger numbers", "data-key": "fingers" }));
}

function anotherPart(bench) {
  const variant = bench.tune.choices.variant ?? 1;
  return el("fieldset", {}, el("legend", {}, "Another way"), el("p", { class: "hint" }, variant > 1 ? `This is way ${variant}.` : "There are several good ways through a tune."),
    el("div", { class: "row" }, button("Show another way", () => bench.change((c) => { c.variant = variant + 1; }, "another way"), { "data-key": "variant-more" }),
      variant > 1 && button("Back to the first", () => bench.change((c) => { c.variant = 1; }, "the first way"), { "data-key": "variant-first" })));
}

/** Draws the panel for the whole tune. The ranked keys are asked for when it is looked at, and again while they are worked out. */
export function wholePanel(bench) {
  const node = el("div", { class: "whole-panel" });
  let keys = { state: "working", keys: [] };
  let askedFor = null;
  const keyRoom = el("div", {});
  const drawKeys = () => refill(keyRoom, keyPart(bench, keys));
  const draw = () => refill(node, remarksPart(bench), byHand(bench, null), partPart(bench), harpPart(bench), keyRoom, fullnessPart(bench), figuresPart(bench, bench.figuresOpen), anotherPart(bench), tempoPart(bench), soundPart(bench), printPart(bench));
  async function readKeys() {
    const about = JSON.stringify([bench.tune.choices.harp, bench.tune.choices.player, bench.tune.choices.voice, bench.tune.choices.tempo, bench.tune.part]);
    if (askedFor === about) return;
    askedFor = about;
    const answer = await trying(() => get(at(bench.id, "/keys")));
    if (!answer) { askedFor = null; return; }
    keys = answer;
    drawKeys();
    if (answer.state === "working") { askedFor = null; setTimeout(() => node.isConnected && readKeys(), 700); }
  }
  const show = () => {
    if (!bench.tune || node.parentNode?.hidden) return;
    drawKeys();
    draw();
    readKeys();
  };
  node.addEventListener("shown", show);
  bench.on("tune", ({ tune }) => {
    node.dispatchEvent(new CustomEvent("counted", { detail: tune.remarks?.length ?? 0 }));
    show();
  });
  return node;
}
