// The head of the page: the places, then the room that each place fills with its own title and buttons, then what holds everywhere.
// Where there is no room for one row, the place's own things go below; the order of the keyboard follows what is seen.

import { always } from "./dom.js";

const narrow = matchMedia("(max-width: 999px)");
/** Places that have a title and buttons: they are given a row of their own sooner (top.css). */
const titled = ["worktable", "practice", "beside", "set"];
const crowded = matchMedia("(max-width: 1999px)");

function arrange() {
  const settings = always("settings"), here = always("here");
  if (narrow.matches || (crowded.matches && titled.includes(document.body.dataset.place ?? ""))) here.before(settings);
  else here.after(settings);
}

export function startTop() {
  for (const width of [narrow, crowded]) width.addEventListener("change", arrange);
  new MutationObserver(arrange).observe(document.body, { attributes: true, attributeFilter: ["data-place"] });
  arrange();
}
