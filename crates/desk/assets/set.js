// A set: its tunes in order, what is moved between them, links, how long it is, and its page to print.

import { el, button, field, refill, select, tick } from "./dom.js";
import { get, post, put, set as at, unlessStale } from "./ask.js";
import { hear } from "./live.js";
import { capital, speak, trying } from "./say.js";
import { drawPages } from "./pages.js";
import { reordering } from "./set-order.js";

const links = [["0", "no link"], ["1", "link of 1 measure"], ["2", "link of 2 measures"], ["3", "link of 3 measures"], ["4", "link of 4 measures"]];
const times = Array.from({ length: 9 }, (_, i) => [String(i + 1), i ? `${i + 1} times` : "once"]);

function between(one, before, state) {
  const step = one.between;
  if (!step) return null;
  const to = `from ${before.title} to ${one.title}`;
  return el("div", { class: `set-step${step.moves ? " moved" : ""}` },
    el("p", {}, el("strong", {}, capital(step.words)), step.reasons.length ? `; ${step.reasons.join("; ")}` : ""),
    select(links, String(before.link), (value) => state.change((set) => { set.tunes[before.at].link = Number(value); }, `${to}: ${links[value][1]}`), { "aria-label": `Link ${to}`, "data-key": `link-${one.at}` }),
    step.link && el("p", { class: "hint" }, `${capital(step.link.words)}; ${step.link.why.slice(1).join("; ")}.`),
    step.no_link && el("p", { class: "badge warning" }, `${capital(step.no_link)}.`));
}

function tuneRow(one, state, count) {
  const code = encodeURIComponent(one.id);
  const out = button("Out", () => state.change((set) => { set.tunes.splice(one.at, 1); }, `${one.title} is out of the set`), { "aria-label": `${one.title}: out of the set`, "data-key": `out-${one.key}` });
  return el("div", { class: "set-tune" },
    state.handle(one, count), el("span", { class: "set-number" }, String(one.at + 1)),
    el("div", { class: "set-main" },
      el("a", { class: "tune-title", href: `#/worktable/${code}` }, one.title),
      one.problem ? el("p", { class: "badge warning" }, capital(one.problem)) : [
        el("span", { class: "tune-facts" }, one.facts.join(" · ")),
        el("span", { class: "tune-facts" }, one.stands),
        one.again && el("span", { class: "tune-facts" }, `Before it is played again: ${one.again}`),
        one.ways_out && el("span", { class: "tune-facts" }, `Out: ${one.ways_out}`),
        one.lacks && el("span", { class: "badge warning" }, capital(one.lacks))]),
    el("div", { class: "tune-acts" },
      !one.problem && select(times, String(one.times), (value) => state.change((set) => { set.tunes[one.at].times = Number(value); }), { "aria-label": `${one.title}: how often`, "data-key": `times-${one.key}` }), out));
}

/** The rows with their places; tunes that come twice have keys of their own. */
function rowsOf(facts) {
  const seen = new Map();
  return facts.rows.map((row, at) => {
    const nth = seen.get(row.id) ?? 0;
    seen.set(row.id, nth + 1);
    return { ...row, ...facts.set.tunes[at], at, key: `${row.id}-${nth}` };
  });
}

function drawList(list, facts, state) {
  const rows = rowsOf(facts);
  refill(list, rows.map((one, i) => el("li", { class: "set-row", "data-at": String(one.at) }, i > 0 && between(one, rows[i - 1], state), tuneRow(one, state, rows.length))));
  if (!rows.length) list.append(el("li", { class: "waiting" }, "No tunes yet: add one."));
}

function tools(facts, state, shelf) {
  const { set } = facts;
  const title = el("input", { type: "text", maxlength: 200, value: set.title, "data-key": "set-title", onchange: () => state.change((one) => { one.title = title.value.trim(); }) });
  const add = select([["", "choose a tune"], ...shelf.map((tune) => [tune.id, tune.title || tune.id])], "", (id) => {
    if (id) state.change((one) => { one.tunes.push({ tune: id, times: 1, link: 0 }); }, "added at the end");
  }, { "data-key": "add-tune" });
  const all = select([["", "each as below"], ...links], "", (value) => {
    if (value) state.change((one) => one.tunes.forEach((entry, i) => { entry.link = i + 1 < one.tunes.length ? Number(value) : 0; }), `all: ${links[value][1]}`);
  }, { "data-key": "all-links" });
  return [
    el("p", { class: "set-order" }, facts.order, " ", facts.better && button("Put them in that order", () => state.order(), { class: "main", "data-key": "best-order" })),
    el("div", { class: "row low" }, field("Title", title), field("Add a tune", add), field("Links", all)),
    el("div", { class: "row" },
      tick("The first tune stays the first", set.hold_first, (on) => state.change((one) => { one.hold_first = on; }), { "data-key": "hold-first" }),
      tick("The last stays the last", set.hold_last, (on) => state.change((one) => { one.hold_last = on; }), { "data-key": "hold-last" }))];
}

/** Opens the set `name`; gives back what closes it. */
export async function openSet(room, name, here) {
  /** @type {any} */
  const state = { facts: null, shelf: [] };
  const title = el("h1", {}), under = el("p", { class: "hint" });
  const take = el("a", { class: "button", href: at(name, "/take/page"), download: "" }, "Print its page (PDF)");
  const takeLinks = el("a", { class: "button", href: at(name, "/take/links"), download: "" }, "Print the links (PDF)");
  const list = el("ol", { class: "set-rows", "aria-label": "Tunes in their order" });
  const top = el("div", { class: "set-tools" }), before = el("p", { class: "set-before" });
  const page = el("div", { class: "set-page", role: "group", "aria-label": "The set's page" });
  here.append(el("div", { class: "worktable-title" }, title, under), el("a", { class: "button main", href: `#/stand/${encodeURIComponent(name)}` }, "To the stand"), take, takeLinks);
  room.append(el("div", { class: "set-room" }, el("div", { class: "set-side" }, top, before, list), page));
  let asked = null;
  async function drawPage() {
    asked?.abort();
    asked = new AbortController();
    const drawn = await unlessStale(get(at(name, "/page"), asked.signal));
    if (drawn) drawPages(page, drawn.svgs, `${state.facts.title}, set page`);
  }
  function draw(facts) {
    state.facts = facts;
    document.title = `${facts.title} – Set – Undersong`;
    title.textContent = facts.title;
    under.textContent = `${facts.rows.length} ${facts.rows.length === 1 ? "tune" : "tunes"}, ${facts.length}`;
    takeLinks.hidden = !facts.rows.some((row) => row.between?.link);
    before.replaceChildren(...(facts.before ? ["Before the first note: ", el("strong", {}, facts.before)] : []));
    refill(top, tools(facts, state, state.shelf));
    drawList(list, facts, state);
    return drawPage();
  }
  const saved = async (asking) => {
    try { await draw(await asking); } catch (refusal) {
      if (refusal.status === 409 && refusal.body?.rows) await draw(refusal.body);
      throw refusal;
    }
  };
  state.change = (patch, words) => trying(async () => {
    const set = structuredClone(state.facts.set);
    patch(set);
    await saved(put(at(name), { set, seen: state.facts.seen }));
    if (words) speak(words);
  });
  state.order = () => trying(async () => { await saved(post(at(name, "/order"), { seen: state.facts.seen })); speak("put in order"); });
  reordering(state, list);
  const deaf = hear((event) => {
    if (!("shelf" in event) && !("tune" in event)) return;
    trying(async () => { const now = await get(at(name)); if (JSON.stringify(now) !== JSON.stringify(state.facts)) await draw(now); });
  });
  state.shelf = (await get("/api/shelf")).tunes;
  await draw(await get(at(name)));
  return () => { deaf(); asked?.abort(); };
}
