// What she can take home: the page to print, in large print and in words, files for other programs and for the ear.

import { el } from "./dom.js";
import { tune as at } from "./ask.js";
import { sizesQuery } from "./sizes.js";
import { drop } from "./drop.js";
import { rights } from "./rights.js";

/** @type {[string, [string, string][]][]} Each kind with its words, by what it is for. */
const groups = [
  ["On paper", [["pdf", "The page to print (PDF)"], ["stand", "The page in the stand's sizes (PDF)"], ["large", "Large print (PDF)"]]],
  ["For the ear", [["wav", "The sound (WAV)"], ["lesson", "An audio lesson (WAV)"], ["lesson-parts", "What comes when in the lesson (TXT)"]]],
  ["In words, for a voice that reads or for braille", [["text", "Measure by measure (TXT)"], ["text-phrase", "Phrase by phrase (TXT)"], ["text-hand", "One hand, then the other (TXT)"]]],
  ["For other programs", [["musicxml", "The music for other programs (MusicXML)"], ["midi", "The notes as MIDI"], ["json", "Why each measure is as it is (JSON)"]]],
];

const address = (/** @type {string} */ id, /** @type {string} */ kind) => {
  if (kind === "stand") return at(id, `/take/pdf?${sizesQuery()}`);
  const [text, order] = kind.split("-");
  return text === "text" && order ? at(id, `/take/text?order=${order}`) : at(id, `/take/${kind}`);
};

/** A menu of downloads. */
export function takeHome(/** @type {string} */ id) {
  const link = (/** @type {[string, string]} */ [kind, words]) => el("a", { href: address(id, kind), download: "", class: "button", "data-kind": kind }, words);
  const parts = groups.map(([what, kinds]) => el("li", {}, el("span", { class: "take-what" }, what), el("ul", { "aria-label": what }, kinds.map((kind) => el("li", {}, link(kind))))));
  const menu = drop("Take home", el("div", {}, el("ul", { class: "take-list" }, parts), el("p", { class: "hint" }, rights)), "main");
  menu.classList.add("take");
  menu.addEventListener("toggle", () => menu.querySelectorAll("a").forEach((one) => { one.href = address(id, one.dataset.kind ?? "pdf"); }));
  return menu;
}
