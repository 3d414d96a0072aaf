// The stand: the page alone, to play from. Sizes, turns, light and dark; the buttons go away and come back.

import { el, button } from "./dom.js";
import { get, tune as at, unlessStale } from "./ask.js";
import { hear } from "./live.js";
import { speak, trying } from "./say.js";
import { namePage, readPage } from "./pages.js";
import { marker } from "./page-places.js";
import { soundBar } from "./sound-bar.js";
import { standRecording } from "./stand-recording.js";
import { standBar } from "./stand-bar.js";
import { sizes, sizesQuery } from "./sizes.js";
import { turnKeys, turnTaps } from "./turns.js";
import { stayAwake } from "./awake.js";
import { showTheme } from "./theme.js";
import { firstLine } from "./next-line.js";
import { titleWords } from "./words.js";

/** `set` says where in a set the tune stands: { words, card(), next, from, back, beyond(by) }. */
function standState(id, set) {
  const listeners = { page: [] };
  /** @type {any} */
  const stand = { id, set, keepsTempo: true, back: set?.back, lead: set ? 1 : 0, tune: null, page: null, chosen: 0, shown: 0, sheets: [], revision: () => stand.tune?.revision };
  stand.on = (what, act) => listeners[what]?.push(act);
  stand.say = (what) => listeners[what].forEach((act) => act(stand));
  return stand;
}

/** Millimetres at the foot of an engraved page that only its number needs; the strip below the page tells it, so the music has their place. */
const footer = 8;

function withoutFooter(page) {
  const box = page.viewBox.baseVal, units = box.width / page.width.baseVal.valueInSpecifiedUnits;
  for (const words of page.querySelectorAll(":scope > g > g[aria-label]")) {
    const base = Number(/translate\(\S+ (\S+?)\)/.exec(words.firstElementChild?.getAttribute("transform"))?.[1]);
    if (base > box.height - footer * units) words.remove();
  }
  const height = box.height - footer * units;
  page.setAttribute("viewBox", `0 0 ${box.width} ${height}`);
  page.setAttribute("height", `${height / units}mm`);
  return page;
}

/** The page as wide and high as the screen has room for, in millimetres of paper. */
function paper(sheet, next) {
  const all = sheet.parentNode.clientHeight;
  const strip = next && innerHeight > 560 ? 0.18 * all : 28;
  const share = sheet.clientWidth / Math.max(1, all - strip);
  const wide = Math.max(150, Math.min(420, (sheet.clientWidth * 25.4) / 96));
  // A page holds its heading and one whole line of both hands; on a low screen it is shown smaller rather than cut.
  const height = Math.max(wide / share, sizes().staff * 14);
  return `width=${Math.round(height * share)}&height=${Math.round(height) + footer}`;
}

function showing(stand, sheet, foot, nextRoom, count) {
  const moving = marker(sheet);
  stand.show = (index, words) => {
    stand.shown = Math.max(0, Math.min(index, stand.sheets.length - 1));
    stand.chosen = stand.shown <= stand.lead ? 0 : firstShown(stand);
    sheet.replaceChildren(...[stand.sheets[stand.shown]].filter(Boolean));
    const last = stand.shown === stand.sheets.length - 1, page = stand.shown - stand.lead + 1, pages = stand.sheets.length - stand.lead;
    const coming = last ? stand.set?.next && el("p", { class: "set-next" }, stand.set.next) : page > 0 && firstLine(stand.sheets[stand.shown + 1]);
    nextRoom.replaceChildren(...(sizes().next ? [coming].filter(Boolean) : []));
    foot.classList.toggle("next", nextRoom.childNodes.length > 0);
    const place = stand.set ? `${stand.set.words} · ` : "";
    count.textContent = page > 0 ? `${place}${page} / ${pages}` : stand.set.words;
    count.setAttribute("aria-label", `${count.textContent}: ${page > 0 ? `page ${page} of ${pages}` : "the next tune"}. Show the buttons.`);
    if (words) speak(page < 1 ? stand.sheets[0].innerText : last ? `last page, ${page}` : `page ${page} of ${pages}`);
  };
  stand.showPlaying = (place) => {
    const page = place && stand.page.measures.find(({ index }) => index === place.measure)?.page;
    const index = page ? page - stand.firstPage + stand.lead : stand.shown;
    if (place && index !== stand.shown) stand.show(index);
    moving(place);
  };
}

/** The first measure that is shown now, so that the place is kept when the music is laid out anew. */
const firstShown = (stand) => stand.page?.measures.find(({ page }) => page - stand.firstPage + stand.lead === stand.shown)?.index ?? 0;
const pageOf = (stand, measure) => (stand.page.measures[measure]?.page ?? stand.firstPage) - stand.firstPage + stand.lead;

function reading(stand, sheet) {
  let asked = null;
  stand.read = async () => {
    asked?.abort();
    asked = new AbortController();
    const { signal } = asked;
    const both = await unlessStale(Promise.all([get(at(stand.id), signal), get(at(stand.id, `/page?for=stand&${paper(sheet, sizes().next)}&${sizesQuery()}`), signal)]));
    if (!both) return;
    const [tune, page] = both;
    const first = firstShown(stand), begins = !stand.page, atCard = stand.shown < stand.lead;
    [stand.tune, stand.page] = [tune, page];
    document.title = `${stand.set?.title ?? titleWords(tune)} – Stand – Undersong`;
    const pages = page.svgs.map((text) => readPage(text, "one of several")).filter(Boolean).map(withoutFooter);
    stand.sheets = stand.set ? [stand.set.card(), ...pages] : pages;
    stand.firstPage = Math.min(...page.measures.map((measure) => measure.page));
    pages.forEach((one, index) => namePage(one, `${titleWords(tune)}, page ${index + 1} of ${pages.length}`));
    if (begins && stand.set) stand.show(stand.set.from === "last" ? stand.sheets.length - 1 : 0, true);
    else stand.show(atCard ? 0 : pageOf(stand, first));
    stand.say("page");
  };
}

/** Light and dark of the stand, apart from the other pages' when she says so. */
function lighting(stand, room) {
  stand.setDark = (dark) => {
    stand.dark = dark;
    document.documentElement.dataset.theme = dark ? "dark" : "light";
    room.classList.toggle("dark", dark);
    room.classList.toggle("light", !dark);
    stand.lookButton.textContent = dark ? "Light page" : "Dark page";
  };
  const kept = sizes().dark;
  stand.setDark(kept ?? document.documentElement.dataset.theme === "dark");
}

/** Opens the stand for tune `id`, alone or in a set; gives back what closes it. In a set it is closed with "on" where another tune follows: the screen stays as it is. */
export async function openStand(room, id, here, set) {
  const stand = standState(id, set);
  const count = button("", () => stand.showBar(), { class: "page-count" });
  const sheet = el("div", { class: "stand-sheet", tabindex: "0", role: "group", "aria-label": "The page. Arrow keys or a pedal turn it, Escape shows the buttons." });
  const nextRoom = el("div", { class: "stand-next", "aria-hidden": "true" });
  const foot = el("div", { class: "stand-foot" }, count, nextRoom);
  showing(stand, sheet, foot, nextRoom, count);
  reading(stand, sheet);
  stand.turn = (by, byHand) => { if (by < 0 && sizes().forward && !byHand) return; const to = stand.shown + by; if (stand.set && (to < 0 || to >= stand.sheets.length)) stand.set.beyond(by); else stand.show(to, true); };
  const sound = soundBar(stand);
  const recording = standRecording(stand, () => sound.halt());
  stand.hushRecording = () => recording.hush();
  const first = standBar(here, stand, sound, recording);
  stand.hideBar = () => { room.classList.add("alone"); document.body.classList.add("alone"); sheet.focus(); trying(stand.read); };
  stand.showBar = () => { room.classList.remove("alone"); document.body.classList.remove("alone"); first.focus(); trying(stand.read); };
  document.body.classList.toggle("forward-only", sizes().forward);
  lighting(stand, room);
  room.append(el("h1", { class: "unseen" }, "Stand"), sheet, foot);
  if (set && set.from !== "last") sheet.append(set.card());
  const endKeys = turnKeys(stand), endTaps = turnTaps(stand, sheet), sleep = stayAwake();
  const deaf = hear((event) => { if (event.tune === id && event.revision !== stand.tune?.revision) trying(stand.read); });
  let settled;
  const resized = () => { clearTimeout(settled); settled = setTimeout(() => trying(stand.read), 200); };
  addEventListener("resize", resized);
  await stand.read();
  sheet.focus({ preventScroll: true });
  return (going) => {
    deaf(); endKeys(); endTaps(); sleep(); sound.close(); recording.close();
    clearTimeout(settled);
    removeEventListener("resize", resized);
    if (going === "on") return;
    showTheme();
    document.body.classList.remove("alone", "forward-only");
    if (document.fullscreenElement) document.exitFullscreen();
  };
}
