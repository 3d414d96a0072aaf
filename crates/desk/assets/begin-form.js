// The first lines of a new tune, asked for as they stand on paper: title, meter, key, and how long a letter alone lasts.

import { el, field, select } from "./dom.js";

const meters = ["2/4", "3/4", "4/4", "2/2", "3/8", "6/8", "9/8", "12/8"];
const count = (number, sign) => (number === 0 ? "no sharps or flats" : `${number} ${sign}${number === 1 ? "" : "s"}`);
const majors = [["C", 0, "sharp"], ["G", 1, "sharp"], ["D", 2, "sharp"], ["A", 3, "sharp"], ["E", 4, "sharp"], ["F", 1, "flat"], ["Bb", 2, "flat"], ["Eb", 3, "flat"], ["Ab", 4, "flat"]];
const minors = [["Am", 0, "sharp"], ["Em", 1, "sharp"], ["Bm", 2, "sharp"], ["F#m", 3, "sharp"], ["Dm", 1, "flat"], ["Gm", 2, "flat"], ["Cm", 3, "flat"], ["Fm", 4, "flat"]];
const named = (key) => `${key.charAt(0)}${{ b: "♭", "#": "♯" }[key.charAt(1)] ?? ""} ${key.endsWith("m") ? "minor" : "major"}`;
const keys = [...majors, ...minors].map(([key, number, sign]) => [key, `${named(key)}: ${count(number, sign)}`]);

/** A form that puts a new tune's first lines into the field with `put`. */
export function beginForm(put) {
  const title = el("input", { type: "text", autocomplete: "off", "data-key": "new-title" });
  const unit = select([["1/4", "a quarter note"], ["1/8", "an eighth note"]], "1/4", () => {}, { "data-key": "new-unit" });
  const meter = select(meters.map((one) => [one, one]), "4/4", (to) => { unit.value = to.endsWith("/8") ? "1/8" : "1/4"; }, { "data-key": "new-meter" });
  const key = select(keys, "G", () => {}, { "data-key": "new-key" });
  const begin = (event) => {
    event.preventDefault();
    put(`X:1\nT:${title.value.trim() || "A new tune"}\nM:${meter.value}\nL:${unit.value}\nK:${key.value}\n`, "the first lines are in the field");
  };
  return el("form", { class: "crib-part begin-form", onsubmit: begin }, el("h2", {}, "Begin a tune you have on paper"),
    el("div", { class: "begin-fields" }, field("Title", title), field("Meter", meter), field("Key", key), field("A letter alone is", unit)),
    el("button", { type: "submit" }, "Begin this tune"));
}
