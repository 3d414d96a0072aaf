// Which harp, and how its open strings are tuned: two lists, on the worktable for one tune and on the shelf for all tunes in which nothing was chosen.

import { el, field, select } from "./dom.js";
import { harpWords, tuningWords } from "./words.js";

const tunings = ["C", "F", "B-flat", "E-flat", "A-flat", "G", "D"];

/** "lever-34 in C with F C" as its name, its tuning ("" is the harp's usual one) and what follows. */
export function partsOf(harp) {
  const [, name, tuning = "", rest = ""] = /^(\S+)(?: in (\S+))?( with .*)?$/.exec(harp ?? "") ?? [null, harp, "", ""];
  return { name, tuning, rest };
}

/** `label` names the first list, `names` are the harps there are, `now` the chosen one; `choose` is called with the new one. */
export function harpFields(label, names, now, choose) {
  const { name, tuning, rest } = partsOf(now);
  const listed = [...new Set([...names, name])].map((one) => [one, harpWords(one)]);
  const tuned = [...new Set([...tunings, tuning].filter(Boolean))].map((one) => [one, tuningWords(one)]);
  const lever = name.startsWith("lever-");
  const caution = "Strings are under tension: never tune one above the pitch it was made for. When in doubt, ask the maker of your harp.";
  return el("div", { class: "harp-fields" },
    field(label, select(listed, name, (to) => choose(to), { "data-key": "harp" })),
    lever && field("Tuned in", select([["", "its usual tuning"], ...tuned], tuning, (to) => choose(`${name}${to && ` in ${to}`}${rest}`), { "data-key": "tuning" })),
    lever && el("p", { class: "hint tuning-caution" }, caution));
}
