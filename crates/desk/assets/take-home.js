// What she can take home: the page to print, in large print and in words, files for other programs and for the ear.

import { el } from "./dom.js";
import { tune as at } from "./ask.js";
import { sizesQuery } from "./sizes.js";
import { drop } from "./drop.js";
import { rights } from "./rights.js";

const kinds = [["pdf", "The page to print (PDF)"], ["stand", "The page in the stand's sizes (PDF)"], ["large", "Large print (PDF)"], ["text", "In words, measure by measure: for a voice that reads or a braille display (TXT)"], ["text-phrase", "In words, phrase by phrase, one hand after the other (TXT)"], ["text-hand", "In words, each hand through the whole piece (TXT)"], ["lesson", "An audio lesson: the tune, then each phrase slowly, at tempo and with both hands (WAV)"], ["lesson-parts", "What comes when in the audio lesson (TXT)"], ["musicxml", "The music for other programs (MusicXML)"], ["midi", "The notes as MIDI"], ["wav", "The sound (WAV)"], ["json", "Why each measure is as it is (JSON)"]];

const address = (id, kind) => {
  if (kind === "stand") return at(id, `/take/pdf?${sizesQuery()}`);
  const [text, order] = kind.split("-");
  return text === "text" && order ? at(id, `/take/text?order=${order}`) : at(id, `/take/${kind}`);
};

/** A menu of downloads. */
export function takeHome(id) {
  const links = kinds.map(([kind, words]) => el("a", { href: address(id, kind), download: "", class: "button" }, words));
  const menu = drop("Take home", el("div", {}, el("ul", { class: "take-list" }, links.map((link) => el("li", {}, link))), el("p", { class: "hint" }, rights)), "main");
  menu.classList.add("take");
  menu.addEventListener("toggle", () => links.forEach((link, index) => { link.href = address(id, kinds[index][0]); }));
  return menu;
}
