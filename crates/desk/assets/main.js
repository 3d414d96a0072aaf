// Starts the page and goes from place to place: the address after # says which tune and where.

import { always, el } from "./dom.js";
import { startTheme } from "./theme.js";
import { startTop } from "./top.js";
import { startLive } from "./live.js";
import { startDrafts } from "./draft.js";
import { ENDED, drawEnded } from "./end.js";
import { startKeys } from "./keys.js";
import { backAndPlay } from "./back.js";
import { capital, quiet, speak } from "./say.js";
import { openShelf } from "./shelf.js";
import { openText } from "./text.js";
import { openWorktable } from "./worktable.js";
import { openStand } from "./stand.js";
import { openPractice } from "./practice.js";
import { openDiary } from "./diary.js";
import { openSet } from "./set.js";
import { openSetStand } from "./set-stand.js";
import { isSet } from "./sets-part.js";
import { openBeside } from "./beside.js";

const view = always("view");
const places = always("places");
const head = always("here");
let leave = null;
let going = 0;

/** The place and the tune that the address names; a version stands after the tune and a colon, and beside it may stand another. */
function address() {
  const [, place = "", id = "", other = ""] = location.hash.split("/");
  return { place: place || "shelf", id: id ? decodeURIComponent(id) : null, other: other ? decodeURIComponent(other) : null };
}

function drawPlaces({ place, id }) {
  const link = (to, text, name) => el("a", { href: to, "aria-current": place === name ? "page" : null }, text);
  const code = id && encodeURIComponent(id);
  if (isSet(id)) {
    places.replaceChildren(link("#/", "Shelf", "shelf"), link("#/diary", "Diary", "diary"), link(`#/set/${code}`, "Set", "set"), link(`#/stand/${code}`, "Stand", "stand"));
    return;
  }
  places.replaceChildren(link("#/", "Shelf", "shelf"), link("#/diary", "Diary", "diary"), ...(code && place !== "new"
    ? [link(`#/text/${code}`, "Text", "text"), link(`#/worktable/${code}`, "Worktable", "worktable"), link(`#/stand/${code}`, "Stand", "stand"), link(`#/practice/${code}`, "Practice room", "practice")] : []));
}

const open = { shelf: openShelf, new: openText, text: openText, worktable: openWorktable, stand: (room, id, here) => (isSet(id) ? openSetStand : openStand)(room, id, here), practice: openPractice, set: openSet, diary: openDiary, beside: openBeside };

/** Where Esc goes from places that have no music of their own. */
const behind = { new: () => "#/", text: ({ id }) => `#/worktable/${encodeURIComponent(id)}`, set: () => "#/", diary: () => "#/", beside: ({ id }) => `#/worktable/${encodeURIComponent(id)}` };

/** What stands above a place that cannot be shown. */
const failed = ({ status }, { place, id }) => (status === 0 ? "Undersong does not answer" : isSet(id) ? "This set cannot be shown" : id ? "This tune cannot be shown" : `The ${place} cannot be shown`);

async function go() {
  const here = address();
  const turn = ++going;
  leave?.();
  leave = null;
  quiet();
  document.body.dataset.place = here.place;
  drawPlaces(here);
  const room = el("div", { class: `room ${here.place}` });
  const own = el("div", { class: `here ${here.place}` });
  view.replaceChildren(room);
  head.replaceChildren(own);
  try {
    const away = await (open[here.place] ?? openShelf)(room, here.id, own, here.other);
    const endBack = behind[here.place] ? backAndPlay({ to: behind[here.place](here) }) : null;
    const close = () => { away?.(); endBack?.(); };
    if (turn === going) leave = close; else close();
  } catch (refusal) {
    speak(refusal.message);
    own.replaceChildren();
    room.replaceChildren(el("h1", {}, failed(refusal, here)), el("p", {}, `${capital(refusal.message)}.`), refusal.hint ? el("p", {}, `${capital(refusal.hint)}.`) : "",
      el("p", { class: "row" }, here.id && !isSet(here.id) && here.place !== "text" && refusal.status !== 404 && el("a", { class: "button main", href: `#/text/${encodeURIComponent(here.id)}` }, "Look at its text"), el("a", { class: "button", href: "#/" }, "Back to the shelf")));
    if (!("status" in refusal)) console.error(refusal);
  }
  if (turn === going && !room.contains(document.activeElement)) view.focus({ preventScroll: true });
}

document.querySelector(".skip")?.addEventListener("click", (event) => { event.preventDefault(); view.focus(); });
startTheme();
startTop();
startKeys();
startLive();
startDrafts();
addEventListener(ENDED, (event) => { going++; leave?.(); leave = null; drawEnded(/** @type {CustomEvent} */ (event).detail); });
addEventListener("hashchange", go);
go();
