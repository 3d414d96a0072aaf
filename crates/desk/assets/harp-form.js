// A harp of her own, filled in: name, strings, tuning, and which of them have levers, by letter and string by string.

import { el, button, field, select, tick, refill } from "./dom.js";
import { get, post } from "./ask.js";
import { trying } from "./say.js";
import { harpWords } from "./words.js";

const letters = ["C", "D", "E", "F", "G", "A", "B"];
const tunings = [["", "C: nothing flat or sharp"], ["Bb", "F: B♭"], ["Bb Eb", "B♭: B♭ E♭"], ["Bb Eb Ab", "E♭: B♭ E♭ A♭"], ["Bb Eb Ab Db", "A♭: B♭ E♭ A♭ D♭"], ["F#", "G: F♯"], ["F# C#", "D: F♯ C♯"], ["Bb Eb Ab Db Gb Cb Fb", "C♭: all flat (pedal harps)"]];
const lowests = ["C1", "D1", "E1", "F1", "G1", "A1", "B1", "C2", "D2", "E2", "F2", "G2", "A2", "B2", "C3", "D3", "E3", "F3", "G3", "A3", "B3", "C4", "D4", "E4", "F4", "G4", "A4", "B4", "C5"];

/** The strings from `lowest` up, as "C3". */
function stringsFrom(lowest, count) {
  const [, letter, octave] = /^([A-G])(\d)$/.exec(lowest) ?? [];
  const first = letters.indexOf(letter) + 7 * Number(octave);
  return Array.from({ length: count }, (_, i) => `${letters[(first + i) % 7]}${Math.floor((first + i) / 7)}`);
}

const ofLetter = (strings, letter) => strings.filter((name) => name[0] === letter);

/** Levers as the file has them, letters where every string has one: from and to a set of strings. */
const spread = (levers, strings) => new Set(levers.flatMap((one) => (one.length === 1 ? ofLetter(strings, one) : strings.filter((name) => name === one))));
const gathered = (on, strings) => letters.flatMap((letter) => { const all = ofLetter(strings, letter), with_ = all.filter((name) => on.has(name)); return with_.length === all.length && all.length ? [letter] : with_; });

/** `harps` are the harps there are, `own` her own by file; `kept(file)` is called when one was kept. */
export function harpForm({ harps, own, now, kept }) {
  const room = el("form", { class: "harp-form", onsubmit: (event) => { event.preventDefault(); keep(); } });
  let form = null, file = null, on = new Set(), openStrings = false;
  const strings = () => stringsFrom(form.lowest, form.strings);
  const keep = () => trying(async () => {
    const answer = await post("/api/harps", { form: { ...form, levers: form.pedals ? [] : gathered(on, strings()) }, file });
    await kept(answer.file);
  });
  const begin = (from) => trying(async () => {
    const answer = await get(`/api/harps/${encodeURIComponent(from)}`);
    form = answer.form;
    file = from in own ? from : null;
    if (!file) form.name = "My harp";
    on = spread(form.levers, strings());
    draw(from);
  });
  function toggle(names, wanted) { for (const name of names) { if (wanted) on.add(name); else on.delete(name); } draw(); }
  let began = null;
  function draw(from = began) {
    began = from;
    const all = strings();
    const known = tunings.some(([value]) => value === form.tuning) ? tunings : [[form.tuning, form.tuning], ...tunings];
    const letterTick = (letter) => {
      const mine = ofLetter(all, letter), with_ = mine.filter((name) => on.has(name));
      const some = with_.length > 0 && with_.length < mine.length;
      return tick(`${letter}${some ? ` (${with_.length} of ${mine.length})` : ""}`, with_.length > 0 && !some, (wanted) => toggle(mine, wanted), { "data-key": `lever-${letter}`, "aria-label": `Levers on ${letter}` });
    };
    const one = (name) => button(name, () => toggle([name], !on.has(name)), { class: "one-string", "aria-pressed": String(on.has(name)), "aria-label": `Lever on ${name}`, "data-key": `lever-${name}` });
    refill(room,
      el("div", { class: "begin-fields" },
        field("Begin from", select(harps.map((harp) => [harp, `${harp in own ? "yours: " : ""}${harpWords(harp)}`]), from, begin, { "data-key": "harp-from" })),
        field("Name of your harp", el("input", { type: "text", value: form.name, maxlength: "60", autocomplete: "off", "data-key": "harp-name", oninput: (event) => { form.name = event.target.value; } })),
        field("Number of strings", el("input", { type: "number", min: "15", max: "47", value: String(form.strings), "data-key": "harp-strings", onchange: (event) => { const was = gathered(on, all); form.strings = Math.max(15, Math.min(47, Number(event.target.value) || form.strings)); on = spread(was, strings()); draw(); } })),
        field("Lowest string", select([...new Set([form.lowest, ...lowests])].map((name) => [name, name]), form.lowest, (to) => { const was = gathered(on, all); form.lowest = to; on = spread(was, strings()); draw(); }, { "data-key": "harp-lowest" })),
        field("Tuned in", select(known, form.tuning, (to) => { form.tuning = to; }, { "data-key": "harp-tuning" })),
        field("It has", select([["levers", "levers, or none"], ["pedals", "pedals"]], form.pedals ? "pedals" : "levers", (to) => { form.pedals = to === "pedals"; draw(); }, { "data-key": "harp-kind" }))),
      el("p", { class: "hint" }, `${all.length} strings, ${all[0]} to ${all.at(-1)}; C4 is middle C. Strings are under tension: never tune one above the pitch it was made for. When in doubt, ask the maker of your harp.`),
      !form.pedals && el("fieldset", {}, el("legend", {}, "Levers"), el("div", { class: "row" }, letters.map(letterTick)),
        el("details", { open: openStrings, ontoggle: (event) => { openStrings = event.target.open; } }, el("summary", { "data-key": "string-by-string" }, "String by string"), el("div", { class: "one-strings" }, all.map(one)))),
      el("button", { type: "submit", class: "main", "data-key": "keep-harp" }, file ? "Keep the changes" : "Keep this harp"));
  }
  begin(harps.includes(now) ? now : harps[0]);
  return room;
}
