// Puts engraved pages into the document. Each page's signs get names of their own, so that one page's never stand for another's;
// the page has one name for a screen reader, and the measures are told in words beside it.

import { el } from "./dom.js";

const reader = new DOMParser();

function rename(page, number) {
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

/**
 * Reads one page's SVG text into an element, or null when it is not SVG. A page that stands `alone` in the document keeps its names.
 * @param {string} text
 * @param {"alone" | "one of several"} [alone]
 * @returns {SVGSVGElement | null}
 */
export function readPage(text, alone) {
  const page = reader.parseFromString(text, "image/svg+xml").documentElement;
  if (page.localName !== "svg") return null;
  if (alone !== "alone") rename(page, ++made);
  return /** @type {any} */ (document.adoptNode(page));
}

/** Shows the pages in `room`, one below the other, each named for a screen reader. */
export function drawPages(room, svgs, name) {
  const alone = svgs.length === 1 ? "alone" : "one of several";
  const pages = svgs.map((text) => readPage(text, alone)).filter(Boolean);
  pages.forEach((page, index) => namePage(page, pages.length > 1 ? `${name}, page ${index + 1} of ${pages.length}` : name));
  room.replaceChildren(...pages.map((page) => el("div", { class: "sheet" }, page)));
}

/** Shows only as much of each page in `room` as carries music or words: for a short tune that is the top of the sheet. */
export function trimPages(room) {
  for (const page of room.querySelectorAll(".sheet > svg")) {
    const box = page.getBBox(), { width } = page.viewBox.baseVal, edge = width / 60;
    if (!box.height) continue;
    const side = Math.max(0, box.x - edge);
    page.setAttribute("viewBox", [side, box.y - edge, width - 2 * side, box.height + 2 * edge].map(Math.round).join(" "));
    page.removeAttribute("width");
    page.removeAttribute("height");
  }
}

/** One name for the whole page: its words are told beside it. */
export function namePage(page, name) {
  for (const words of page.querySelectorAll("g[aria-label]")) words.removeAttribute("aria-label");
  page.querySelector(":scope > title")?.remove();
  page.setAttribute("role", "img");
  page.setAttribute("aria-label", name);
}
