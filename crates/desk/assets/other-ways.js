// Other ways for the phrase of the chosen measure: each as notes on two small staves, heard between its neighbours, with what else would change told and marked
// before it is taken, for all of the phrase or for the one measure.

import { el, svg, button } from "./dom.js";
import { get, post, tune as at, unlessStale } from "./ask.js";
import { capital, trying } from "./say.js";
import { readPage, namePage, trimPages } from "./pages.js";
import { boxIn } from "./page-places.js";
import { measureName } from "./words.js";

/** The page of a way is drawn for less paper than the panel is wide, so that its notes are as large as they can be read. */
const millimetres = (pixels) => Math.round((pixels * 0.72 * 25.4) / 96);

/** Her choices with a way taken: `numbers` says for which measures, null for all that it has. */
function withWay(choices, offer, numbers) {
  const taken = Object.entries(offer.ways).filter(([number]) => !numbers || numbers.includes(number));
  const next = structuredClone(choices);
  next.ways = { ...next.ways, ...Object.fromEntries(taken) };
  for (const [number] of taken) if (next.holds) delete next.holds[number];
  return next;
}

/** The notes of a way; the measure she looks at is tinted. */
function notes(offer, here, name) {
  const page = offer.svg && readPage(offer.svg);
  if (!page) return el("p", { class: "hint" }, "These notes could not be drawn; they can be heard.");
  const measure = page.querySelectorAll("g.measure")[here];
  measure?.classList.add("here");
  for (const node of page.querySelectorAll("g[id]:not(defs g)")) node.removeAttribute("id");
  namePage(page, name);
  return el("div", { class: "sheet" }, page);
}

/** What else would change: "only" and "phrase" as they come, each { words, outside }. */
function besides(offer, several) {
  const line = el("p", { class: "hint besides" }, "What else would change …");
  const found = {};
  const draw = () => {
    const parts = [["phrase", several ? "This phrase" : "This measure"], ["only", "Only this measure"]].filter(([key]) => found[key]?.words);
    const told = parts.map(([key, name]) => `${name}: ${[found[key].words, ...(found[key].remarks ?? [])].join(" ")}`);
    line.replaceChildren(...told.flatMap((text, index) => (index ? [el("br"), text] : [text])));
  };
  return { line, found, add: (key, answer) => { found[key] = answer; draw(); } };
}

function card(/** @type {Worktable} */ worktable, offered, offer, rank) {
  const number = String(offered.number), several = offered.to - offered.from > 1;
  const only = () => withWay(worktable.tune.choices, offer, [number]);
  const all = () => withWay(worktable.tune.choices, offer, null);
  const name = `Way ${rank + 1}`;
  const told = besides(offer, several);
  const span = { from: offered.from, to: offered.to }, one = { from: worktable.chosen, to: worktable.chosen + 1 };
  const take = (choices, words) => worktable.change((now) => Object.assign(now, choices), words);
  const mark = (key) => () => worktable.markWould(key === "only" ? one : span, told.found[key]?.outside ?? []);
  const unmark = () => worktable.markWould(null, []);
  const marking = (key) => ({ onpointerenter: mark(key), onfocus: mark(key), onpointerleave: unmark, onblur: unmark });
  const node = el("li", { class: "offer" },
    el("div", { class: "way-head" }, el("h3", {}, name), el("span", { class: "worse" }, offer.worth)),
    notes(offer, worktable.chosen - offered.from, `${name}: ${offer.words}`),
    el("p", {}, `${capital(offer.words)}.`),
    offer.worth !== "as good" && el("p", { class: "hint" }, `Why it is not the first: ${offer.why_not}.`),
    told.line,
    el("div", { class: "row" },
      button("Listen", () => worktable.hearTried(all(), span), { "aria-label": `Listen to way ${rank + 1} with the measure before and after`, "data-key": `listen-${rank}` }),
      several && offer.here && button("Only this measure", () => take(only(), `${measureName(number)}: way ${rank + 1} taken and held`), { "aria-label": `Only this measure: way ${rank + 1}`, "data-key": `only-${rank}`, ...marking("only") }),
      button(several ? "This phrase" : "This measure", () => take(all(), `${offered.phrase}: way ${rank + 1} taken and held`), { "aria-label": `${several ? "This phrase" : "This measure"}: way ${rank + 1}, ${offered.phrase}`, "data-key": `phrase-${rank}`, ...marking("phrase") })));
  /** Asks what else would change, the phrase first. */
  const ask = async (key, signal) => {
    if (key === "only" && !(several && offer.here)) return;
    const [choices, stretch] = key === "only" ? [only(), one] : [all(), span];
    const answer = await unlessStale(post(at(worktable.id, "/would"), { choices, seen: worktable.tune.revision, ...stretch }, signal));
    // One that is stale is asked again when the panel is drawn anew.
    if (answer && !answer.stale && !signal.aborted) told.add(key, answer);
  };
  return { node, ask };
}

/** The folded list of other ways; it is asked for when it is open. */
export function otherWays(/** @type {Worktable} */ worktable) {
  const list = el("ol", { class: "offers" });
  const status = el("p", { class: "hint", role: "status" });
  const heading = el("span", {}, "Other ways for this phrase");
  let asked = null;
  const read = () => trying(async () => {
    asked?.abort();
    asked = new AbortController();
    const { signal } = asked;
    list.replaceChildren();
    status.textContent = "Looking for other ways …";
    const width = millimetres(list.clientWidth || 400);
    const offered = await unlessStale(get(at(worktable.id, `/measures/${worktable.chosen}/ways?width=${width}`), signal));
    if (!offered || signal.aborted) return;
    heading.textContent = `Other ways for ${offered.phrase}`;
    status.textContent = offered.ways.length ? "" : "Nothing else that is really different can be played here.";
    const cards = offered.ways.map((offer, rank) => card(worktable, offered, offer, rank));
    list.replaceChildren(...cards.map(({ node }) => node));
    for (const measure of list.querySelectorAll("g.here")) {
      const tint = svg("rect", { class: "here-mark", rx: "150" });
      boxIn(measure, tint);
      measure.prepend(tint);
    }
    trimPages(list);
    node.dataset.shown = `${offered.revision} ${worktable.chosen}`;
    for (const key of ["phrase", "only"]) for (const { ask } of cards) {
      if (signal.aborted) return;
      await ask(key, signal);
    }
    node.dataset.told = node.dataset.shown;
  });
  const node = el("details", { class: "other-ways", open: worktable.waysOpen, ontoggle: () => { worktable.waysOpen = node.open; if (node.open) read(); else asked?.abort(); } },
    el("summary", { "data-key": "other-ways" }, heading), status, list);
  return { node, close: () => asked?.abort() };
}
