// Puts engraved pages into the document. Each page's signs get names of their own, so that one page's never stand for another's;
// the page has one name for a screen reader, and the measures are told in words beside it.

import { el } from "./dom.js";

const reader = new DOMParser();

function rename(page, number) {
  for (const words of page.querySelectorAll("g[aria-label]")) words.removeAttribute("aria-label");
  const mine = new Set();
  for (const sign of page.querySelectorAll("defs [id]")) {
    mine.add(sign.id);
    sign.id = `p${number}-${sign.id}`;
  }
  for (const use of page.querySelectorAll("use")) {
    const name = (use.getAttribute("href") ?? use.getAttribute("xlink:href") ?? "").slice(1);
    if (mine.has(name)) use.setAttribute("href", `#p${number}-${name}`);
  }
}

let made = 0;

/** Reads one page's SVG text into an element, or null when it is not SVG. */
export function readPage(text) {
  const page = reader.parseFromString(text, "image/svg+xml").documentElement;
  if (page.localName !== "svg") return null;
  rename(page, ++made);
  return document.importNode(page, true);
}

/** Shows the pages in `room`, one below the other, each named for a screen reader. */
export function drawPages(room, svgs, name) {
  const sheets = svgs.map(readPage).filter(Boolean).map((page, index) => {
    const label = svgs.length > 1 ? `${name}, page ${index + 1} of ${svgs.length}` : name;
    page.setAttribute("role", "img");
    page.setAttribute("aria-label", label);
    page.querySelector(":scope > title")?.remove();
    return el("div", { class: "sheet" }, page);
  });
  room.replaceChildren(...sheets);
  return sheets;
}
