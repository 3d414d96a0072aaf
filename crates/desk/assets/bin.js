// The bin at the foot of the shelf: what lies in it, since when, and the way back. Nothing is ever deleted from here.

import { el, button, refill } from "./dom.js";
import { get, post } from "./ask.js";
import { tell, trying } from "./say.js";
import { when } from "./when.js";
import { keyWords } from "./words.js";

/** Takes a tune out of the bin, with its choices and its history; `done` draws anew. */
export async function putBack(name, title, done) {
  const { id } = await post(`/api/bin/${encodeURIComponent(name)}/back`);
  tell(`“${title}” is back on the shelf.`, null, { text: "Open it", act: () => { location.hash = `#/worktable/${encodeURIComponent(id)}`; } });
  await done();
}

/** The name in the bin of the tune that went there last, by its title; null where it is not found. */
export async function lastInBin(title) {
  const { tunes = [] } = await get("/api/bin");
  return tunes.filter((one) => one.title === title).sort((a, b) => b.binned - a.binned)[0]?.name ?? null;
}

function row(tune, done) {
  const facts = [keyWords(tune.key), tune.meter].filter(Boolean).join(" · ");
  return el("li", { class: "binned" },
    el("span", { class: "binned-title" }, el("strong", {}, tune.title || tune.name), facts && el("span", { class: "hint" }, facts)),
    el("span", { class: "tune-when" }, tune.binned ? `put here ${when(tune.binned)}` : ""),
    button("Put it back", () => trying(() => putBack(tune.name, tune.title || tune.name, done)), { "aria-label": `Put it back: ${tune.title || tune.name}`, "data-key": `back-${tune.name}` }));
}

/** Gives { node, read }; the node is hidden while the bin is empty. `done` is called after a tune went back. */
export function binPart(done) {
  const name = el("summary", {}), list = el("ul", { class: "binned-list", "aria-label": "Tunes in the bin" });
  const node = el("details", { class: "bin", hidden: true }, name,
    el("p", { class: "hint" }, "These files lie in the folder “bin” beside your tunes, with everything you chose for them."), list);
  async function read() {
    let tunes = [];
    try { ({ tunes = [] } = await get("/api/bin")); } catch (refusal) { if (!("status" in refusal)) throw refusal; }
    node.hidden = !tunes.length;
    name.textContent = `In the bin (${tunes.length})`;
    refill(list, tunes.sort((a, b) => b.binned - a.binned).map((tune) => row(tune, done)));
    return tunes.length;
  }
  return { node, read };
}
