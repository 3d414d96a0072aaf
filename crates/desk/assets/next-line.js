// The first line of the coming page, cut out of it, to be shown below the page being played.

import { readPage } from "./pages.js";

/** A copy of the page's first system as a picture of its own, or null. */
export function firstLine(/** @type {SVGSVGElement} */ page) {
  if (!page) return null;
  const copy = /** @type {SVGSVGElement} */ (readPage(new XMLSerializer().serializeToString(page)));
  const lines = [...copy.querySelectorAll("g.system")];
  lines.slice(1).forEach((line) => line.remove());
  const measure = document.createElement("div");
  measure.className = "measuring";
  document.body.append(measure);
  measure.append(copy);
  const box = (lines[0] ?? copy).getBoundingClientRect(), whole = copy.getBoundingClientRect();
  measure.remove();
  const { width, height } = copy.viewBox.baseVal;
  const units = height / whole.height, room = 0.01 * width;
  copy.setAttribute("viewBox", `0 ${Math.floor((box.top - whole.top) * units - room)} ${width} ${Math.ceil(box.height * units + 2 * room)}`);
  copy.removeAttribute("width");
  copy.removeAttribute("height");
  copy.removeAttribute("aria-label");
  copy.querySelectorAll("[id^=m]").forEach((node) => node.removeAttribute("id"));
  return copy;
}
