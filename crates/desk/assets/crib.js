// How a tune is typed, for someone who has it on paper and has never typed one: an example, drawn, and what each sign of it means.

import { el, button } from "./dom.js";
import { post } from "./ask.js";
import { drawPages, trimPages } from "./pages.js";
import { beginForm } from "./begin-form.js";

const example = `X:1
T:Nets on the Wall
M:3/4
L:1/4
K:G
D | "G"G A B | "C"c2 e | "Am"A B c | "D7"d2 D |
"G"G A B | "A7"e2 ^c | "D7"d/2c/2 A F | "G"G2 |]
`;

const signs = {
  "The notes": [
    ["C D E F G A B", "from middle C up to the B above it"], ["c d e", "small letters: the next octave up; c' is yet another octave up, B, is the B below middle C"],
    ["c2  G3", "twice as long, three times as long"], ["d/2", "half as long; A3/2 is one and a half times as long: a dotted note"],
    ["z", "a rest; z2 twice as long"], ["^c  _B  =F", "c sharp, B flat, F natural"], ["A-A", "tied"], ["(3ABc", "a triplet"]],
  "Bars and chords": [
    ["|", "a bar line; |] ends the tune, |: and :| enclose what is repeated"], ["D |", "notes before the first bar line are the pickup"],
    ['"Am"A', "a chord name in quotes, before the note where the chord begins; D/F# has F♯ in the bass"]],
  "The lines at the top": [
    ["X:1", "begins every tune"], ["T:Nets on the Wall", "the title"], ["M:3/4", "the meter"],
    ["L:1/4", "a letter alone lasts a quarter note; with L:1/8 an eighth"],
    ["Q:1/4=96", "the tempo: 96 quarter notes a minute; it may be left out"], ["K:G", "the key: G major. Em is E minor, Bb is B♭ major, Ador is A dorian. The key's own sharps and flats need no sign at the notes."]],
};

const table = ([name, rows]) => el("section", { class: "crib-part" }, el("h2", {}, name),
  el("dl", {}, rows.map(([sign, meaning]) => el("div", {}, el("dt", {}, el("code", {}, sign)), el("dd", {}, meaning)))));

/** `put(text, name)` puts text into the field. Gives { node, typing, close }: the crib is open at first when `open` is "open". */
export function crib(put, open) {
  const drawn = el("div", { class: "crib-drawn" });
  const form = beginForm(put), meanings = el("div", {}, Object.entries(signs).map(table));
  const shown = el("section", { class: "crib-part" }, el("h2", {}, "An example"), drawn, el("pre", { tabindex: "0", role: "region", "aria-label": "The example as it is typed" }, example.trim()),
    button("Put this example in the field", () => put(example, "the example is in the field")));
  let asked = false;
  const draw = async () => {
    if (asked || !node.open) return;
    asked = true;
    try {
      drawPages(drawn, (await post("/api/try", { text: example })).svgs ?? [], "The example as it is drawn");
      trimPages(drawn);
    } catch { asked = false; }
  };
  const node = el("details", { class: "crib", open: open === "open", ontoggle: draw },
    el("summary", {}, "How a tune is typed"),
    form, shown, meanings);
  draw();
  /** While something stands in the field the meanings of the signs come first. */
  const typing = (on) => { form.hidden = on; if (on) node.append(shown); else node.insertBefore(shown, meanings); };
  return { node, typing, close: () => { node.open = false; } };
}
