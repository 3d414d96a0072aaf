// Two versions of a tune side by side: what was chosen otherwise, in words; both pages, with the measures that differ framed; a measure chosen in one is shown in the other.

import { el, svg, button, select, refill, targetOf } from "./dom.js";
import { get, tune as at } from "./ask.js";
import { hear } from "./live.js";
import { speak, trying } from "./say.js";
import { namePage, readPage } from "./pages.js";
import { boxIn } from "./page-places.js";
import { capital } from "./say.js";
import { measureName } from "./words.js";
import { worktableOf } from "./versions-panel.js";

const millimetres = (pixels) => Math.round((pixels * 25.4) / 96);
const besideOf = (id, name) => `#/beside/${encodeURIComponent(id)}/${encodeURIComponent(name)}`;

/** One page with its version's name above it. */
function column(beside, which) {
  const pick = el("div", { class: "beside-pick" }), sheet = el("div", { class: "page-room beside-sheet", tabindex: "0", role: "group" });
  const node = el("section", { class: "beside-column" }, pick, sheet);
  const frame = (kind, indices) => {
    for (const old of sheet.querySelectorAll(`.${kind}`)) old.remove();
    for (const index of indices) {
      const measure = sheet.querySelector(`g.measure[data-index="${index}"]`);
      if (!measure) continue;
      const rect = svg("rect", { class: kind, rx: "150" });
      boxIn(measure, rect);
      measure.prepend(rect);
    }
  };
  sheet.addEventListener("click", (event) => {
    const hit = /** @type {SVGElement | null} */ (targetOf(event).closest("g.measure"));
    if (hit) beside.choose(Number(hit.dataset.index));
  });
  sheet.addEventListener("keydown", (event) => {
    const step = { ArrowRight: 1, ArrowLeft: -1 }[event.key];
    if (!step || event.target !== sheet) return;
    event.preventDefault();
    beside.next(step);
  });
  return {
    node, frame,
    async read({ ids, names, versions, title }, other) {
      const list = select(versions.map(({ name }) => [name, name]), names[which], (name) => {
        const id = versions.find((version) => version.name === name).id;
        location.hash = which ? besideOf(ids[0], name) : besideOf(id, names[1]);
      }, { "aria-label": which ? "The version on the right" : "The version on the left", "data-key": `beside-${which}` });
      refill(pick, list, el("a", { class: "button", href: worktableOf(ids[which]), "aria-label": `${names[which]}: to its worktable` }, "To its worktable"));
      sheet.setAttribute("aria-label", `The page of ${names[which]}. Arrow keys go from one measure that differs to the next.`);
      const width = Math.max(80, Math.min(230, millimetres(sheet.clientWidth - 16)));
      const page = await get(at(ids[which], `/page?for=worktable&width=${width}`));
      const pages = page.svgs.map((text) => readPage(text, "one of several")).filter(Boolean);
      pages.forEach((one, index) => {
        namePage(one, `${title}, ${names[which]}${pages.length > 1 ? `, page ${index + 1} of ${pages.length}` : ""}`);
        // Both pages stand in one document: their measures are told apart by the column.
        for (const measure of one.querySelectorAll("g.measure[id]")) { measure.dataset.index = measure.id.slice(1); measure.removeAttribute("id"); }
      });
      sheet.replaceChildren(...pages.map((one) => el("div", { class: "sheet" }, one)));
      sheet.dataset.drawn = page.revision;
      return other;
    },
    toMusic() { const line = sheet.querySelector("g.system"); if (line) sheet.scrollTop = Math.max(0, line.getBoundingClientRect().top - sheet.getBoundingClientRect().top - 8); },
    show(index) { sheet.querySelector(`g.measure[data-index="${index}"]`)?.scrollIntoView({ block: "nearest", inline: "nearest" }); },
  };
}

function told(beside, { words, chosen, measures, names }) {
  const chosenRow = ({ about, each }) => el("tr", {}, el("th", { scope: "row" }, capital(about)), el("td", {}, each[0]), el("td", {}, each[1]));
  const measure = ({ index, number, left }) => el("li", { class: "beside-measure" },
    button(measureName(number), () => beside.choose(index), { class: "plain", "data-key": `beside ${index}`, "aria-pressed": String(index === beside.chosen) }),
    el("p", {}, el("strong", {}, `${names[0]}: `), left[0]), el("p", {}, el("strong", {}, `${names[1]}: `), left[1]));
  return [el("p", { class: "beside-said" }, words),
    chosen.length > 0 && el("div", { class: "beside-chosen", tabindex: "0", role: "group", "aria-label": "What was chosen" }, el("table", {}, el("thead", {}, el("tr", {}, el("th", { scope: "col" }, "Chosen"), el("th", { scope: "col" }, names[0]), el("th", { scope: "col" }, names[1]))), el("tbody", {}, chosen.map(chosenRow)))),
    measures.length > 0 && el("h2", {}, "Left hand where it differs"),
    el("ol", { class: "beside-measures" }, measures.map(measure))];
}

/** Opens version `id` beside the version called `other`; gives back what closes it. */
export async function openBeside(room, id, here, other) {
  const beside = { chosen: null };
  const left = column(beside, 0), right = column(beside, 1);
  const words = el("section", { class: "beside-words", "aria-label": "What differs" });
  const title = el("h1", {}), under = el("p", { class: "hint" });
  here.append(el("div", { class: "worktable-title" }, title, under), el("a", { class: "button", href: worktableOf(id) }, "Back to the worktable"));
  room.append(el("div", { class: "beside-room" }, words, left.node, right.node));
  let facts = null;
  beside.choose = (index) => {
    beside.chosen = index;
    refill(words, told(beside, facts));
    for (const one of [left, right]) { one.frame("chosen-mark", [index]); one.show(index); }
    const found = facts.measures.find((measure) => measure.index === index);
    if (found) speak(`${measureName(found.number)}. ${facts.names[0]}: ${found.left[0]}. ${facts.names[1]}: ${found.left[1]}`);
  };
  beside.next = (step) => {
    const indices = facts.measures.map(({ index }) => index);
    const wanted = step > 0 ? indices.find((index) => beside.chosen === null || index > beside.chosen) : indices.findLast((index) => beside.chosen !== null && index < beside.chosen);
    if (wanted !== undefined) beside.choose(wanted);
  };
  async function read() {
    const wanted = other ?? (await get(at(id))).versions.find((version) => version.id !== id)?.name ?? "";
    facts = await get(at(id, `/beside/${encodeURIComponent(wanted)}`));
    document.title = `${facts.title} – Two versions – Undersong`;
    title.textContent = facts.title;
    under.textContent = `${facts.names[0]} beside ${facts.names[1]}`;
    refill(words, told(beside, facts));
    await Promise.all([left.read(facts), right.read(facts)]);
    const differ = facts.measures.map(({ index }) => index);
    for (const one of [left, right]) { one.frame("changed-mark", differ); one.toMusic(); }
    if (beside.chosen !== null) beside.choose(beside.chosen);
    room.dataset.compared = facts.ids.join(" ");
  }
  const deaf = hear((event) => { if (facts?.ids.includes(event.tune)) trying(read); });
  await read();
  return deaf;
}
