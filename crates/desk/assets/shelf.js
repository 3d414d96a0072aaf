// The shelf: her tunes, how each fits her harp, and the ways to bring in more.

import { all, el, button, field, select, refill } from "./dom.js";
import { get, post, remove, tune as at } from "./ask.js";
import { hear } from "./live.js";
import { tell, trying } from "./say.js";
import { binPart, lastInBin, putBack } from "./bin.js";
import { bookPart } from "./book-part.js";
import { bringIn, dropAnywhere } from "./bring.js";
import { endButton } from "./end.js";
import { firstLook } from "./first-look.js";
import { myHarp } from "./my-harp.js";
import { rights } from "./rights.js";
import { setsPart } from "./sets-part.js";
import { when } from "./when.js";
import { keyWords, nameHarps } from "./words.js";

const orders = [["worked_on", "last worked on"], ["title", "title"], ["key", "key"], ["fits", "how it fits"]];
const kept = { order: "undersong.order" };

const number = (time) => (typeof time === "number" ? time : Date.parse(time ?? "") || 0);
const text = (one, other) => String(one ?? "").localeCompare(String(other ?? ""), undefined, { numeric: true, sensitivity: "base" });
const compare = {
  worked_on: (a, b) => number(b.worked_on ?? b.changed) - number(a.worked_on ?? a.changed) || text(a.title, b.title),
  title: (a, b) => text(a.title, b.title),
  key: (a, b) => text(a.key, b.key) || text(a.title, b.title),
  fits: (a, b) => text(a.fits?.sentence, b.fits?.sentence) || text(a.title, b.title),
};

function fitWords(fits) {
  if (!fits || fits.state === "working") return "looking how it fits …";
  return fits.sentence;
}

function row(tune, actions) {
  const code = encodeURIComponent(tune.id);
  const facts = [keyWords(tune.key), tune.meter, tune.measures && `${tune.measures} measures`].filter(Boolean).join(" · ");
  const problems = tune.problems > 0 && el("a", { class: "badge warning", href: `#/text/${code}` },
    `${tune.problems} ${tune.problems === 1 ? "problem" : "problems"} in the text`);
  return el("li", { class: "tune" },
    el("div", { class: "tune-main" },
      el("a", { class: "tune-title", href: `#/worktable/${code}`, "data-key": `title-${tune.id}` }, tune.title || tune.id),
      el("span", { class: "tune-facts" }, facts)),
    el("div", { class: "tune-fit" }, el("span", {}, el("span", { class: "hint" }, "On your harp: "), fitWords(tune.fits)), problems,
      tune.book > 1 && button(`A book of ${tune.book}: take it apart`, () => actions.openBook(tune), { "data-key": `book-${tune.id}`, "aria-label": `${tune.title}: a book of ${tune.book} tunes, take it apart` })),
    el("span", { class: "tune-when" }, tune.worked_on ? `worked on ${when(tune.worked_on)}` : "not worked on yet"),
    el("div", { class: "tune-acts" },
      el("a", { class: "button", href: `#/stand/${code}`, "aria-label": `${tune.title}: to the stand`, "data-key": `stand-${tune.id}` }, "Stand"),
      el("a", { class: "button", href: `#/text/${code}`, "aria-label": `${tune.title}: its text`, "data-key": `text-${tune.id}` }, "Text"),
      button("Into the bin", () => actions.bin(tune), { "aria-label": `${tune.title}: into the bin`, "data-key": `bin-${tune.id}` })));
}

/** Arrow keys go from title to title. */
function walkTitles(list, event) {
  const step = { ArrowDown: 1, ArrowUp: -1 }[event.key];
  if (!step || !event.target.matches(".tune-title")) return;
  const titles = [...list.querySelectorAll(".tune-title")];
  titles[titles.indexOf(event.target) + step]?.focus();
  event.preventDefault();
}

function head(state, draw) {
  const chooser = el("input", { type: "file", multiple: true, class: "unseen", accept: ".abc,.musicxml,.xml,.mxl,.txt", tabindex: "-1", "aria-label": "Files to bring in", id: "files",
    onchange: () => { bringIn([...(chooser.files ?? [])]); chooser.value = ""; } });
  const find = el("input", { type: "search", value: state.find, oninput: () => { state.find = find.value; draw(); } });
  return el("div", { class: "shelf-head" },
    el("div", { class: "shelf-title" }, el("h1", {}, "Shelf"), el("p", { class: "hint folder" }), state.harp.list),
    state.harp.node, state.look,
    el("div", { class: "row bring" },
      el("a", { class: "button main", href: "#/new" }, "Paste or type a tune"),
      button("Choose files", () => chooser.click()), chooser,
      el("span", { class: "hint" }, `or drop files anywhere here: ABC, MusicXML. ${rights}`)),
    el("div", { class: "row low find-row" }, field("Find", find),
      field("Sort by", select(orders, state.order, (order) => { state.order = order; localStorage.setItem(kept.order, order); draw(); }))));
}

function shown(state) {
  const wanted = state.find.trim().toLowerCase();
  return state.tunes
    .filter((tune) => [tune.title, tune.key, keyWords(tune.key), tune.meter, tune.fits?.sentence, tune.id].join(" ").toLowerCase().includes(wanted))
    .sort(compare[state.order] ?? compare.title);
}

/** Opens the shelf in `room`, with its button in the head of the page; gives back what closes it. */
export async function openShelf(room, id, here) {
  document.title = "Shelf – Undersong";
  const state = { tunes: [], harp: myHarp(), look: el("div", {}), find: "", order: localStorage.getItem(kept.order) ?? "worked_on" };
  const list = el("ul", { class: "tunes", "aria-label": "Tunes", onkeydown: (event) => walkTitles(list, event) });
  const working = el("p", { class: "hint", role: "status" });
  /** The row with the focus has gone: the focus goes to the tune that took its place. */
  const refocus = (place) => { if (document.activeElement === document.body) all(list, ".tune-title").slice(0, place + 1).at(-1)?.focus(); };
  const actions = { openBook: (tune) => trying(async () => {
    const { ids } = await post(at(tune.id, "/open-book"));
    tell(`${ids.length} tunes came out of the book; the book itself is in the bin.`);
    await load();
  }), bin: (tune) => trying(async () => {
    const place = shown(state).indexOf(tune);
    await remove(at(tune.id));
    const name = await lastInBin(tune.title).catch(() => null);
    tell(`“${tune.title}” is in the bin.`, null, name && { text: "Put it back", act: () => trying(() => putBack(name, tune.title, async () => { await load(); refocus(place); })) });
    await load();
    refocus(place);
  }) };
  let drawn = null;
  const draw = () => {
    const tunes = shown(state);
    const now = JSON.stringify(tunes);
    if (now === drawn) return;
    drawn = now;
    refill(list, tunes.map((tune) => row(tune, actions)));
    if (!tunes.length) list.append(el("li", { class: "waiting" }, state.tunes.length ? "No tune has that in its title, key or meter." : "No tunes yet: paste one, type one or drop a file here."));
  };
  async function load() {
    const shelf = await get("/api/shelf");
    state.tunes = shelf.tunes;
    room.querySelector(".folder").textContent = shelf.folder;
    nameHarps(shelf.harp_names);
    if (shelf.usual) state.harp.draw(shelf);
    if (state.tunes.length) state.look.replaceChildren();
    draw();
    await sets.read();
    book.node.hidden = !state.tunes.length;
    await book.read();
    const binned = await bin.read();
    // A folder whose tunes are in the bin is not new.
    if (!state.tunes.length && !binned && !state.look.firstChild) state.look.append(firstLook(async () => { await load(); refocus(0); }));
  }
  const sets = setsPart(() => state.tunes), book = bookPart();
  const bin = binPart(async () => { await load(); refocus(0); });
  room.append(head(state, draw), sets.node, book.node, working, list, bin.node);
  here.append(endButton());
  const still = dropAnywhere(room);
  const deaf = hear((event) => {
    if ("shelf" in event || "tune" in event) load().catch(() => {});
    if (book.hear(event)) return;
    if ("working" in event) working.textContent = event.done < event.of ? `${event.working}: ${event.done} of ${event.of}` : "";
  });
  await load();
  return () => { deaf(); still(); };
}
