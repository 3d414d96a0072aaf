// What she can take home: the page to print, large print, and files for other programs and for the ear.

import { el } from "./dom.js";
import { tune as at } from "./ask.js";
import { sizesQuery } from "./sizes.js";
import { drop } from "./drop.js";
import { rights } from "./rights.js";

const kinds = [["pdf", "The page to print (PDF)"], ["large", "Large print (PDF), in the stand's sizes"], ["musicxml", "The music for other programs (MusicXML)"], ["midi", "The notes as MIDI"], ["wav", "The sound (WAV)"], ["json", "Why each measure is as it is (JSON)"]];

const address = (/** @type {string} */ id, /** @type {string} */ kind) => (kind === "large" ? at(id, `/take/pdf?${sizesQuery()}`) : at(id, `/take/${kind}`));

/** A menu of downloads. */
export function takeHome(/** @type {string} */ id) {
  const links = kinds.map(([kind, words]) => el("a", { href: address(id, kind), download: "", class: "button" }, words));
  const menu = drop("Take home", el("div", {}, el("ul", { class: "take-list" }, links.map((link) => el("li", {}, link))), el("p", { class: "hint" }, rights)), "main");
  menu.classList.add("take");
  menu.addEventListener("toggle", () => links.forEach((link, index) => { link.href = address(id, kinds[index][0]); }));
  return menu;
}
