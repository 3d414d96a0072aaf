// A set on the stand: one tune after another. The tap that turns the last page goes on to a card with the next tune's title, key, what is moved and the link, and then to its first page.

import { el } from "./dom.js";
import { get, set as at, tune } from "./ask.js";
import { capital } from "./say.js";
import { namePage, readPage } from "./pages.js";
import { openStand } from "./stand.js";
import { sizes, sizesQuery } from "./sizes.js";

/** The card before a tune. */
function card(name, row, count) {
  const link = el("div", { class: "set-card-link" });
  const step = row.between;
  const node = el("section", { class: "set-card" },
    el("p", { class: "set-card-place" }, `${row.place + 1} of ${count}`),
    el("h2", {}, row.title),
    el("p", { class: "set-card-key" }, row.facts.join(" · ")),
    step ? el("p", { class: `set-card-moves${step.moves ? " moved" : ""}` }, capital(step.words)) : null,
    link, el("p", { class: "set-card-stands" }, row.stands));
  if (step?.link) drawLink(name, row, link).catch(() => {});
  return node;
}

async function drawLink(name, row, room) {
  const wide = Math.round(Math.max(120, Math.min(300, (innerWidth * 25.4) / 96 - 10)));
  const { svgs } = await get(at(name, `/links/${row.at}?for=stand&width=${wide}&height=${Math.round(sizes().staff * 8)}&${sizesQuery()}`));
  const page = readPage(svgs[0], "one of several");
  if (!page) return;
  namePage(page, row.between.link.words);
  room.replaceChildren(page);
  const box = page.getBBox();
  if (!box.height) return;
  page.setAttribute("viewBox", [box.x - 100, box.y - 100, box.width + 200, box.height + 200].map(Math.round).join(" "));
  page.removeAttribute("width");
  page.removeAttribute("height");
}

/** Opens the stand for the set `name`; gives back what closes it. */
export async function openSetStand(room, name, here) {
  const facts = await get(at(name));
  const rows = facts.rows.map((row, index) => ({ ...row, at: index })).filter((row) => !row.problem).map((row, place) => ({ ...row, place }));
  if (!rows.length) {
    room.append(el("h1", {}, facts.title), el("p", {}, "This set has no tune that can be played."), el("p", {}, el("a", { class: "button", href: `#/set/${encodeURIComponent(name)}` }, "Back to the set")));
    return () => {};
  }
  let away = null, going = false, left = false;
  async function open(place, from) {
    if (going || left || !rows[place]) return;
    going = true;
    try {
      away?.("on");
      room.replaceChildren();
      here.replaceChildren();
      const row = rows[place], next = rows[place + 1];
      away = await openStand(room, row.id, here, {
        title: facts.title, from, next: next && `Next: ${next.title}, ${next.key}`, words: `${row.place + 1} of ${rows.length}`,
        back: { href: `#/set/${encodeURIComponent(name)}`, text: "Back to the set" },
        card: () => card(name, row, rows.length),
        beyond: (by) => open(place + by, by < 0 ? "last" : "first"),
      });
      if (left) away();
      // The next tune is arranged while this one is played.
      else if (next) get(tune(next.id)).catch(() => {});
    } finally { going = false; }
  }
  await open(0, "first");
  return () => { left = true; away?.(); };
}
