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
  const box = (copy.querySelector("g.system") ?? copy).getBBox();
  measure.remove();
  const room = 150;
  const { width } = copy.viewBox.baseVal;
  copy.setAttribute("viewBox", `0 ${Math.floor(box.y - room)} ${width} ${Math.ceil(box.height + 2 * room)}`);
  copy.removeAttribute("width");
  copy.removeAttribute("height");
  copy.removeAttribute("aria-label");
  copy.querySelectorAll("[id^=m]").forEach((node) => node.removeAttribute("id"));
  return copy;
}
