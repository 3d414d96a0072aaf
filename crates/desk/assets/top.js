// The head of the page: the places, then the room that each place fills with its own title and buttons, then what holds everywhere.
// Where there is no room for one row, the place's own things go below; the order of the keyboard follows what is seen.

import { always } from "./dom.js";

const narrow = matchMedia("(max-width: 999px)");

function arrange() {
  const settings = always("settings"), here = always("here");
  if (narrow.matches) here.before(settings);
  else here.after(settings);
}

export function startTop() {
  narrow.addEventListener("change", arrange);
  arrange();
}
