// The first line of the coming page, cut out of it, to be shown below the page being played.

import { readPage } from "./pages.js";

/** A copy of the page's first system as a picture of its own, or null. */
export function firstLine(page) {
  if (!page) return null;
  const copy = readPage(new XMLSerializer().serializeToString(page));
  const measure = document.createElement("div");
  measure.className = "measuring";
  document.body.append(measure);
  measure.append(copy);
  const box = (copy.querySelector("g.system") ?? copy).getBoundingClientRect(), whole = copy.getBoundingClientRect();
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
