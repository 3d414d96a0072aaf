// Sets on the shelf: those there are, and making one, of tunes that she ticks or of as many as fill a time.

import { el, button, field, refill, select, tick } from "./dom.js";
import { get, post, remove, set as at } from "./ask.js";
import { speak, tell, trying } from "./say.js";

const moods = [["any", "any"], ["quiet", "quiet: airs, songs, hymns, waltzes"], ["lively", "lively: dances"]];

/** Whether a name in an address is a set's and not a tune's. */
export const isSet = (id) => (id ?? "").endsWith(".undersong-set.toml");

function row(one, done) {
  const code = encodeURIComponent(one.name);
  return el("li", { class: "set-of-shelf" },
    el("a", { class: "set-title", href: `#/set/${code}`, "data-key": `set-${one.name}` }, one.title),
    one.mistake ? el("span", { class: "badge warning" }, one.mistake) : el("span", { class: "tune-facts" }, `${one.tunes} ${one.tunes === 1 ? "tune" : "tunes"}`),
    el("a", { class: "button", href: `#/stand/${code}`, "aria-label": `${one.title}: to the stand` }, "Stand"),
    button("Take away", () => trying(async () => {
      const kept = one.mistake ? null : (await get(at(one.name))).set;
      await remove(at(one.name));
      tell(`The set “${one.title}” is taken away; its tunes stay.`, null, kept && { text: "Put it back", act: () => trying(async () => { await post("/api/sets", { set: kept, order: "given" }); await done(); }) });
      await done();
    }), { "aria-label": `Take away the set ${one.title}`, "data-key": `away-${one.name}` }));
}

/** `tunes()` gives the tunes of the shelf. Gives { node, read, draw }. */
export function setsPart(tunes) {
  const list = el("ul", { class: "set-list", "aria-label": "Sets" });
  const chosen = new Map();
  let shown = "", listed = null, state = () => "";
  const title = el("input", { type: "text", maxlength: 200, "data-key": "new-set-title" });
  const minutes = el("input", { type: "number", min: 1, max: 240, value: 20, "data-key": "new-set-minutes" });
  const mood = select(moods, "any", () => {}, { "data-key": "new-set-mood" });
  const said = el("p", { class: "hint", role: "status" });
  const ticks = el("div", { class: "set-ticks", role: "group", "aria-label": "Tunes of the new set" });
  const make = button("Make the set", () => trying(made), { class: "main", "data-key": "make-set" });
  const maker = el("details", { class: "set-maker" }, el("summary", {}, "Make a set"),
    el("p", { class: "hint" }, "Tick tunes, or let as many be chosen as fill a time. Then they are put in an order in which keys vary and few levers or pedals are moved between them; you may change it."),
    el("div", { class: "row low" }, field("Minutes", minutes), field("Of music that is", mood), button("Choose for me", () => trying(fill), { "data-key": "fill-set" })), said, ticks,
    el("div", { class: "row low" }, field("Its title", title), make));
  const node = el("section", { class: "sets", "aria-label": "Sets of tunes" }, list, maker);
  const count = () => { const n = chosen.size; make.disabled = n === 0; make.textContent = n ? `Make the set of ${n} ${n === 1 ? "tune" : "tunes"}` : "Make the set"; };

  async function fill() {
    said.textContent = "Looking how long each tune is …";
    try {
      const found = await post("/api/sets/fill", { minutes: Number(minutes.value) || 0, mood: mood.value });
      chosen.clear();
      found.tunes.forEach((entry) => chosen.set(entry.tune, entry.times));
      said.textContent = found.words;
    } catch (refusal) { said.textContent = ""; throw refusal; }
    draw();
  }
  async function made() {
    const entries = [...chosen].map(([tune, times]) => ({ tune, times, link: 0 }));
    const { name, title: called } = await post("/api/sets", { set: { title: title.value.trim() || "Set", tunes: entries }, order: "best" });
    chosen.clear();
    title.value = "";
    speak(`The set ${called} is made`);
    location.hash = `#/set/${encodeURIComponent(name)}`;
  }
  /** Draws the boxes of the tunes there are. */
  function draw() {
    const all = [...tunes()].sort((a, b) => String(a.title).localeCompare(String(b.title), undefined, { numeric: true }));
    const there = new Set(all.map((tune) => tune.id));
    for (const id of chosen.keys()) if (!there.has(id)) chosen.delete(id);
    node.hidden = !all.length && !list.childElementCount;
    // What is as it was stays under her hand.
    state = () => JSON.stringify(all.map((tune) => [tune.id, tune.title, chosen.get(tune.id) ?? 0]));
    if (state() === shown) { count(); return; }
    shown = state();
    refill(ticks, all.map((tune) => {
      const times = chosen.get(tune.id) ?? 0;
      return tick(`${tune.title || tune.id}${times > 1 ? ` (${times} times)` : ""}`, times > 0, (on) => { if (on) chosen.set(tune.id, 1); else chosen.delete(tune.id); if (times > 1) draw(); else { shown = state(); count(); } }, { "data-key": `of-set-${tune.id}` });
    }));
    count();
  }
  async function read() {
    const { sets = [] } = await get("/api/sets");
    const now = JSON.stringify(sets);
    if (now !== listed) refill(list, sets.map((one) => row(one, read)));
    listed = now;
    draw();
  }
  return { node, read, draw };
}
