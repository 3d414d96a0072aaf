// Help in the head of the page leads to the guide's page of the place she is at. It opens in a tab of its own, so that nothing she does here is left.

import { always } from "./dom.js";

/** The page of the guide for a place, and where on it. */
const pages = {
  shelf: "first-tune", new: "first-tune#a-tune-of-your-own", text: "first-tune#a-tune-of-your-own", worktable: "why", beside: "versions#two-versions-side-by-side",
  stand: "printing#on-the-stand", set: "sets", practice: "practising", diary: "practising#the-diary",
};

function here() {
  always("help").setAttribute("href", `/guide/${pages[document.body.dataset.place ?? ""] ?? ""}`);
}

new MutationObserver(here).observe(document.body, { attributes: true, attributeFilter: ["data-place"] });
here();
