// What she can take home: the page to print, large print, and files for other programs and for the ear.

import { el } from "./dom.js";
import { tune as at } from "./ask.js";
import { sizesQuery } from "./sizes.js";

const kinds = [["pdf", "The page to print (PDF)"], ["large", "Large print (PDF), in the stand's sizes"], ["musicxml", "The music for other programs (MusicXML)"], ["midi", "The notes as MIDI"], ["wav", "The sound (WAV)"], ["json", "Every decision (JSON)"]];

const address = (id, kind) => (kind === "large" ? at(id, `/take/pdf?${sizesQuery()}`) : at(id, `/take/${kind}`));

/** A menu of downloads. Escape and a press elsewhere close it. */
export function takeHome(id) {
  const list = el("ul", { class: "take-list" }, kinds.map(([kind, words]) => el("li", {}, el("a", { href: address(id, kind), download: "", class: "button" }, words))));
  const menu = el("details", { class: "take" }, el("summary", { class: "button main" }, "Take home"), list);
  menu.addEventListener("keydown", (event) => { if (event.key === "Escape") { menu.open = false; menu.querySelector("summary").focus(); } });
  menu.addEventListener("toggle", () => {
    if (!menu.open) return;
    const away = (event) => { if (!menu.contains(event.target)) { menu.open = false; removeEventListener("pointerdown", away); } };
    addEventListener("pointerdown", away);
    list.querySelectorAll("a").forEach((link, index) => { link.href = address(id, kinds[index][0]); });
  });
  return menu;
}
