// The stand: the page alone, to play from. Sizes, turns, light and dark; the bar goes away and comes back.

import { el, button, field, select, tick } from "./dom.js";
import { get, tune as at } from "./ask.js";
import { hear } from "./live.js";
import { speak, trying } from "./say.js";
import { namePage, readPage } from "./pages.js";
import { marker } from "./page-places.js";
import { soundBar } from "./sound-bar.js";
import { sizes, keepSizes, sizesQuery } from "./sizes.js";
import { turnKeys, turnTaps } from "./turns.js";
import { stayAwake } from "./awake.js";
import { firstLine } from "./next-line.js";

const staffs = [7, 8, 9, 10, 11, 12, 13, 14].map((mm) => [String(mm), `${mm} mm`]);
const percents = [80, 100, 120, 140, 160, 180, 200].map((p) => [String(p), `${p} %`]);

function standState(id) {
  const listeners = { page: [] };
  const stand = { id, tune: null, page: null, chosen: 0, shown: 0, sheets: [], revision: () => stand.tune?.revision };
  stand.on = (what, act) => listeners[what]?.push(act);
  stand.say = (what) => listeners[what].forEach((act) => act(stand));
  return stand;
}

/** The page as wide and high as the screen has room for, in millimetres of paper. */
function paper(sheet, next) {
  const share = sheet.clientWidth / Math.max(1, sheet.clientHeight * (next ? 0.82 : 1));
  const wide = Math.max(150, Math.min(297, (sheet.clientWidth * 25.4) / 96));
  // A page holds its heading and one whole line of both hands; on a low screen it is shown smaller rather than cut.
  const height = Math.max(wide / share, sizes().staff * 14);
  return `width=${Math.round(height * share)}&height=${Math.round(height)}`;
}

function showing(stand, sheet, nextRoom, count) {
  const moving = marker(sheet);
  stand.show = (index, words) => {
    stand.shown = Math.max(0, Math.min(index, stand.sheets.length - 1));
    stand.chosen = stand.shown === 0 ? 0 : firstShown(stand);
    sheet.replaceChildren(...[stand.sheets[stand.shown]].filter(Boolean));
    const last = stand.shown === stand.sheets.length - 1;
    nextRoom.replaceChildren(...(sizes().next && !last ? [el("span", { class: "hint" }, "next"), firstLine(stand.sheets[stand.shown + 1])].filter(Boolean) : []));
    nextRoom.hidden = !nextRoom.childNodes.length;
    count.textContent = `${stand.shown + 1} / ${stand.sheets.length}`;
    count.setAttribute("aria-label", `${count.textContent}: page ${stand.shown + 1} of ${stand.sheets.length}. Show the bar.`);
    if (words) speak(last ? `last page, ${stand.shown + 1}` : `page ${stand.shown + 1} of ${stand.sheets.length}`);
  };
  stand.showPlaying = (place) => {
    const page = place && stand.page.measures.find(({ index }) => index === place.measure)?.page;
    const index = page ? page - stand.firstPage : stand.shown;
    if (place && index !== stand.shown) stand.show(index);
    moving(place);
  };
}

/** The first measure that is shown now, so that the place is kept when the music is laid out anew. */
const firstShown = (stand) => stand.page?.measures.find(({ page }) => page - stand.firstPage === stand.shown)?.index ?? 0;
const pageOf = (stand, measure) => (stand.page.measures[measure]?.page ?? stand.firstPage) - stand.firstPage;

function reading(stand, sheet) {
  let asked = null;
  stand.read = async () => {
    asked?.abort();
    asked = new AbortController();
    const { signal } = asked;
    const [tune, page] = await Promise.all([get(at(stand.id), signal), get(at(stand.id, `/page?for=stand&${paper(sheet, sizes().next)}&${sizesQuery()}`), signal)]);
    const first = firstShown(stand);
    [stand.tune, stand.page] = [tune, page];
    document.title = `${tune.title} – Stand – Undersong`;
    stand.sheets = page.svgs.map((text) => readPage(text, "one of several")).filter(Boolean);
    stand.firstPage = Math.min(...page.measures.map((measure) => measure.page));
    stand.sheets.forEach((one, index) => namePage(one, `${tune.title}, page ${index + 1} of ${stand.sheets.length}`));
    stand.show(pageOf(stand, first));
    stand.say("page");
  };
}

function bar(stand, room, sound) {
  const wish = sizes();
  const size = (name, words, options) => field(words, select(options, String(wish[name]), (value) => { keepSizes({ [name]: Number(value) }); trying(stand.read); }, { "data-key": name }));
  const whole = button("Full screen", () => trying(async () => {
    if (document.fullscreenElement) await document.exitFullscreen();
    else { await document.documentElement.requestFullscreen?.(); stand.hideBar(); }
  }));
  const look = button("", () => { stand.setDark(!stand.dark); keepSizes({ dark: stand.dark }); }, { "data-key": "stand-theme" });
  stand.lookButton = look;
  return el("section", { class: "stand-bar", "aria-label": "Stand" },
    el("div", { class: "row low" },
      el("a", { class: "button", href: `#/bench/${encodeURIComponent(stand.id)}` }, "Back to the bench"),
      button("Page before", () => stand.turn(-1, true), { class: "turn-back" }), button("Next page", () => stand.turn(1, true)), whole,
      button("Hide the bar", () => stand.hideBar())),
    el("details", {}, el("summary", {}, "Sizes and turns"),
      el("div", { class: "row low" }, size("staff", "Staff", staffs), size("text", "Words and chords", percents), size("fingers", "Finger numbers", percents), look,
        tick("Show the next line", wish.next, (next) => { keepSizes({ next }); trying(stand.read); }),
        tick("Only forwards", wish.forward, (forward) => { keepSizes({ forward }); room.classList.toggle("forward-only", forward); }),
        el("a", { class: "button", href: at(stand.id, `/take/pdf?${sizesQuery()}`), download: "", onclick: (event) => { event.currentTarget.href = at(stand.id, `/take/pdf?${sizesQuery()}`); } }, "Large print to take home (PDF)"))),
    el("details", {}, el("summary", {}, "Sound"), sound.node));
}

/** Light and dark of the stand, apart from the other pages' when she says so. */
function lighting(stand, room) {
  stand.setDark = (dark) => {
    stand.dark = dark;
    room.classList.toggle("dark", dark);
    room.classList.toggle("light", !dark);
    stand.lookButton.textContent = dark ? "Light page" : "Dark page";
  };
  const kept = sizes().dark;
  stand.setDark(kept ?? document.documentElement.dataset.theme === "dark");
}

/** Opens the stand for tune `id`; gives back what closes it. */
export async function openStand(room, id) {
  const stand = standState(id);
  const count = button("", () => stand.showBar(), { class: "page-count" });
  const sheet = el("div", { class: "stand-sheet", tabindex: "0", role: "group", "aria-label": "The page. Arrow keys or a pedal turn it, Escape shows the bar." });
  const nextRoom = el("div", { class: "stand-next", "aria-hidden": "true" });
  showing(stand, sheet, nextRoom, count);
  reading(stand, sheet);
  stand.turn = (by, byHand) => { if (by < 0 && sizes().forward && !byHand) return; stand.show(stand.shown + by, true); };
  const sound = soundBar(stand);
  const top = bar(stand, room, sound);
  stand.hideBar = () => { room.classList.add("alone"); document.body.classList.add("alone"); sheet.focus(); trying(stand.read); };
  stand.showBar = () => { room.classList.remove("alone"); document.body.classList.remove("alone"); top.querySelector("a, button").focus(); trying(stand.read); };
  room.classList.toggle("forward-only", sizes().forward);
  lighting(stand, room);
  room.append(el("h1", { class: "unseen" }, "Stand"), top, sheet, nextRoom, count);
  const endKeys = turnKeys(stand), endTaps = turnTaps(stand, sheet), sleep = stayAwake();
  const deaf = hear((event) => { if (event.tune === id && event.revision !== stand.tune?.revision) trying(stand.read); });
  let settled;
  const resized = () => { clearTimeout(settled); settled = setTimeout(() => trying(stand.read), 200); };
  addEventListener("resize", resized);
  await stand.read();
  sheet.focus({ preventScroll: true });
  return () => {
    deaf(); endKeys(); endTaps(); sleep(); sound.close();
    removeEventListener("resize", resized);
    document.body.classList.remove("alone");
    if (document.fullscreenElement) document.exitFullscreen();
  };
}
