// A tune's text: typed or pasted, with the melody drawn as she types and every problem shown at its place.

import { el, button, refill } from "./dom.js";
import { get, post, put, tune as at, Refusal } from "./ask.js";
import { tell, tellRefusal, trying } from "./say.js";
import { textField } from "./text-field.js";
import { drawPages } from "./pages.js";

const start = "X:1\nT:\nM:4/4\nL:1/4\nK:G\n";
const gravity = { error: "cannot be read", warning: "worth mending", note: "to know" };

function problemRow(problem, field) {
  const place = problem.line ? `Line ${problem.line}` : "Text";
  return el("li", {},
    problem.line ? button(place, () => field.goTo(problem), { class: "plain" }) : el("span", {}, place),
    el("span", { class: `badge ${problem.severity}` }, gravity[problem.severity] ?? problem.severity),
    el("span", { class: "problem-words" }, problem.message, problem.hint && el("span", { class: "hint" }, ` ${problem.hint}`)));
}

function drawProblems(list, problems, field) {
  refill(list, problems.map((problem) => problemRow(problem, field)));
  if (!problems.length) list.append(el("li", { class: "hint" }, "Nothing to mend."));
}

/** Draws the melody a moment after the last key, giving up what became stale. */
function trier(field, drawn, list) {
  let timer, asking;
  const quiet = el("p", { class: "waiting" }, "The melody is drawn here as you type.");
  drawn.replaceChildren(quiet);
  return (wait = 180) => {
    clearTimeout(timer);
    asking?.abort();
    timer = setTimeout(async () => {
      asking = new AbortController();
      if (!field.text().trim()) { drawn.replaceChildren(quiet); drawProblems(list, [], field); return; }
      try {
        const { svgs = [], problems = [] } = await post("/api/try", { text: field.text() }, asking.signal);
        if (svgs.length) drawPages(drawn, svgs, "The melody");
        field.mark(problems);
        drawProblems(list, problems, field);
      } catch (refusal) { if (refusal.name !== "AbortError") tellRefusal(refusal); }
    }, wait);
  };
}

async function keepNew(field) {
  const { id, problems = [] } = await post("/api/shelf", { text: field.text() });
  if (problems.some((problem) => problem.severity === "error")) {
    tell("The tune is kept; some of its text cannot be read yet.", "The places are marked: mend them here, or later from the shelf.");
    location.hash = `#/text/${encodeURIComponent(id)}`;
  } else location.hash = `#/bench/${encodeURIComponent(id)}`;
}

async function keepChanged(id, field, seen) {
  try {
    const answer = await put(at(id, "/text"), { text: field.text(), seen: seen.hash });
    seen.hash = answer.seen;
    seen.text = field.text();
    tell("The text is saved.", null, { text: "To the bench", act: () => { location.hash = `#/bench/${encodeURIComponent(id)}`; } });
  } catch (refusal) {
    if (!(refusal instanceof Refusal) || refusal.status !== 409) throw refusal;
    tell("The file was changed outside meanwhile; nothing was overwritten.", "Copy what you typed, then load the newer text.", { text: "Load the newer text", act: () => dispatchEvent(new HashChangeEvent("hashchange")) });
  }
}

/** The title as the text says it, or the file's name. */
const titleIn = (text, id) => /^T:\s*(\S.*)$/m.exec(text ?? "")?.[1].trim() || /<(?:work|movement)-title>([^<]+)</.exec(text ?? "")?.[1] || id;

/** Opens the text of tune `id`, or an empty one. */
export async function openText(room, id) {
  const known = id ? await get(at(id, "/text")) : { text: "", kind: "abc", problems: [] };
  const seen = { hash: known.seen, text: known.text };
  document.title = `${id ? titleIn(known.text, id) : "A new tune"} – Undersong`;
  const list = el("ol", { class: "problems", "aria-label": "Problems in the text" });
  const drawn = el("div", { class: "drawn", tabindex: "0", role: "region", "aria-label": "The melody as it will be read" });
  const packed = known.kind === "packed";
  let drawAgain = () => {};
  const field = textField({ text: known.text ?? "", readonly: packed, changed: () => drawAgain() });
  drawAgain = trier(field, drawn, list);
  const keep = button(id ? "Save the text" : "Keep and arrange", () => trying(() => (id ? keepChanged(id, field, seen) : keepNew(field))), { class: "main", "data-key": "keep" });
  const begin = !id && button("Begin a new one", () => { field.set(start); drawAgain(); });
  const away = id && el("a", { class: "button", href: `#/bench/${encodeURIComponent(id)}` }, "To the bench");
  room.append(
    el("h1", {}, id ? titleIn(known.text, id) : "Paste or type a tune"),
    el("p", { class: "hint" }, packed ? "A packed file: its text cannot be changed here." : "ABC, with chord names in quotes before the notes: \"G\"GBd. MusicXML can be pasted too."),
    el("div", { class: "text-room" },
      el("section", { class: "typed", "aria-label": "Text" }, field.node, el("div", { class: "row" }, !packed && keep, begin, away), el("h2", {}, "To mend"), list),
      el("section", { class: "seen", "aria-label": "Melody" }, drawn)));
  field.mark(known.problems ?? []);
  drawProblems(list, known.problems ?? [], field);
  if (known.text && !packed) drawAgain(0);
  const worst = known.problems?.find(({ severity }) => severity === "error");
  field.goTo(worst ?? { line: 1, column: 1, length: 0 });
  const unsaved = (event) => { if (id && field.text() !== seen.text) event.preventDefault(); };
  addEventListener("beforeunload", unsaved);
  return () => removeEventListener("beforeunload", unsaved);
}
