// The seven pedals as harp parts write them: D C B | E F G A along a line, each stroke above it for flat, on it for natural, below it for sharp.

import { el, svg } from "./dom.js";
import { stringSpoken } from "./words.js";

const order = ["D", "C", "B", "E", "F", "G", "A"];
const step = 16, middle = 30, height = 62;
const offsets = { "♭": -11, "♮": 0, "♯": 11 };

/** `names` are the pedals as the measure has them ("F♯"); a letter that is not named stands in the middle. */
export function pedalPicture(names) {
  const signs = new Map(names.map((name) => [name.charAt(0), name.slice(1)]));
  const x = (index) => 11 + index * step + (index > 2 ? 8 : 0);
  const width = x(6) + 11;
  const strokes = order.flatMap((letter, index) => {
    const y = middle + (offsets[signs.get(letter)] ?? 0);
    return [svg("line", { class: "pedal-stroke", x1: x(index), x2: x(index), y1: y - 8, y2: y + 8 }),
      svg("text", { class: "pedal-letter", x: x(index), y: height - 2, "text-anchor": "middle" }, letter)];
  });
  const between = (x(2) + x(3)) / 2;
  const said = `Pedals: ${order.map((letter) => stringSpoken(`${letter}${signs.get(letter) ?? "♮"}`).trim()).join(", ")}`;
  return el("span", { class: "pedals" }, svg("svg", { viewBox: `0 0 ${width} ${height}`, role: "img", "aria-label": said },
    svg("line", { class: "pedal-line", x1: 4, x2: width - 4, y1: middle, y2: middle }),
    svg("line", { class: "pedal-line", x1: between, x2: between, y1: middle - 20, y2: middle + 20 }), strokes));
}
