// Sheets to read at sight: a level, a number, another one. Thirty seconds to look, then without a stop.

import { el, button, field, select, refill } from "./dom.js";
import { get } from "./ask.js";
import { trying } from "./say.js";

export function sightPanel(practice) {
  const node = el("div", { class: "sight-panel" });
  let levels = null, level = "1", number = 1;
  const sheet = () => `/api/sight/${level}/${number}`;
  const lay = () => trying(() => practice.lay({ kind: "sight", name: `sight ${level} ${number}`, title: `Sight reading ${level}, number ${number}`, page: `${sheet()}/page`, sound: `${sheet()}/sound`, hands: "right", unwritten: true,
    words: [el("h2", {}, `Sight reading ${level}, number ${number}`), el("p", {}, "Look for thirty seconds: key, meter, the highest note, the chords. Then play the melody with a left hand of your own, without a stop.")] }));
  const words = el("p", { class: "hint" });
  const numberField = el("input", { type: "number", min: 1, max: 1000000, value: 1, "data-key": "sight-number", onchange: () => { number = Math.max(1, Math.min(1000000, Math.round(Number(numberField.value)) || 1)); numberField.value = String(number); show(); lay(); } });
  function show() {
    words.textContent = levels.find((one) => String(one.number) === level)?.words ?? "";
    refill(node,
      field("Level", select(levels.map((one) => [String(one.number), String(one.number)]), level, (value) => { level = value; show(); lay(); }, { "data-key": "sight-level" })), words,
      field("Number: the same number is the same sheet", numberField),
      el("p", { class: "row" }, button("Lay it on the stand", lay, { class: "main", "data-key": "sight-lay" }),
        button("Another", () => { number = number % 1000000 + 1; numberField.value = String(number); show(); lay(); }, { "data-key": "sight-another" }),
        el("a", { class: "button", href: `${sheet()}/take`, download: "" }, "Print it (PDF)")));
  }
  node.addEventListener("shown", () => { if (!levels) trying(async () => { levels = (await get("/api/sight")).levels; show(); }); });
  return node;
}
