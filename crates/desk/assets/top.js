// The head of the page: the places, then the room that each place fills with its own title and buttons, then what holds everywhere, with the guide's page for the place.
// Where there is no room for one row, the place's own things go below; the order of the keyboard follows what is seen.

import { always } from "./dom.js";

const narrow = matchMedia("(max-width: 999px)");

function arrange() {
  const settings = always("settings"), here = always("here");
  if (narrow.matches) here.before(settings);
  else here.after(settings);
}

/** The page of the guide that belongs to a place. It opens in a tab of its own, so that nothing she does here is left. */
const guide = {
  shelf: "first-tune", new: "first-tune#a-tune-of-your-own", text: "first-tune#a-tune-of-your-own", worktable: "why", beside: "versions#two-versions-side-by-side",
  stand: "printing#on-the-stand", set: "sets", practice: "practising", diary: "practising#the-diary",
};

function helpHere() {
  always("help").setAttribute("href", `/guide/${guide[document.body.dataset.place ?? ""] ?? ""}`);
}

export function startTop() {
  new MutationObserver(helpHere).observe(document.body, { attributes: true, attributeFilter: ["data-place"] });
  narrow.addEventListener("change", arrange);
  arrange();
}
