// A tune's text: typed or pasted, with the melody drawn as she types and every problem shown at its place.

import { el, button } from "./dom.js";
import { get, post, put, tune as at, Refusal } from "./ask.js";
import { speak, tell, tellRefusal, trying } from "./say.js";
import { textField } from "./text-field.js";
import { drawPages, trimPages } from "./pages.js";
import { problemsList } from "./problems.js";
import { crib } from "./crib.js";
import { noteInput } from "./note-input.js";
import { draftOf } from "./draft.js";
import { rights } from "./rights.js";

/** Draws the melody a moment after the last key, giving up what became stale. */
function trier(field, drawn, problems, help) {
  let timer, asking;
  return (wait = 180) => {
    clearTimeout(timer);
    asking?.abort();
    timer = setTimeout(async () => {
      asking = new AbortController();
      drawn.hidden = !field.text().trim();
      help.typing(!drawn.hidden);
      if (drawn.hidden) { drawn.replaceChildren(); problems.show([]); return; }
      try {
        const answer = await post("/api/try", { text: field.text() }, asking.signal);
        if (answer.svgs?.length) { drawPages(drawn, answer.svgs, "The melody"); trimPages(drawn); }
        field.mark(answer.problems ?? []);
        problems.show(answer.problems ?? []);
      } catch (refusal) { if (refusal.name !== "AbortError") tellRefusal(refusal); }
    }, wait);
  };
}

async function keepNew(field, draft) {
  const { id, ids = [id], problems = [] } = await post("/api/shelf", { text: field.text() });
  draft.drop();
  if (ids.length > 1) {
    tell(`A book: ${ids.length} tunes came in.`);
    location.hash = "#/";
    return;
  }
  if (problems.some((problem) => problem.severity === "error")) {
    tell("The tune is kept; some of its text cannot be read yet.", "The places are marked: mend them here, or later from the shelf.");
    location.hash = `#/text/${encodeURIComponent(id)}`;
  } else location.hash = `#/worktable/${encodeURIComponent(id)}`;
}

async function keepChanged(id, field, seen, draft) {
  try {
    const answer = await put(at(id, "/text"), { text: field.text(), seen: seen.hash });
    seen.hash = answer.seen;
    seen.text = field.text();
    draft.drop();
    tell("The text is saved.", null, { text: "To the worktable", act: () => { location.hash = `#/worktable/${encodeURIComponent(id)}`; } });
  } catch (refusal) {
    if (!(refusal instanceof Refusal) || refusal.status !== 409) throw refusal;
    tell("The file was changed elsewhere in the meantime; nothing was written over.", "Copy what you typed, then load the newer text.", { text: "Load the newer text", act: () => { draft.drop(); dispatchEvent(new HashChangeEvent("hashchange")); } });
  }
}

/** The title as the text says it, or the file's name. */
const titleIn = (text, id) => /^T:\s*(\S.*)$/m.exec(text ?? "")?.[1].trim() || /<(?:work|movement)-title>([^<]+)</.exec(text ?? "")?.[1] || id;

const above = (id, packed) => {
  if (packed) return "A packed file: its text cannot be changed here.";
  return id ? "The tune's text as it stands in your folder." : `Paste ABC or MusicXML here, or type a tune from paper: how that is done stands beside the field. ${rights}`;
};

function layOut(room, id, known, { field, keep, problems, drawn, help, notes }) {
  const packed = known.kind === "packed";
  const away = id && el("a", { class: "button", href: `#/worktable/${encodeURIComponent(id)}` }, "To the worktable");
  room.append(
    el("h1", {}, id ? titleIn(known.text, id) : "Paste or type a tune"),
    el("p", { class: "hint" }, above(id, packed)),
    el("div", { class: "text-room" },
      el("section", { class: "typed", "aria-label": "Text" }, field.node, el("div", { class: "row" }, !packed && keep, away), notes?.node, problems.node),
      el("section", { class: "seen", "aria-label": "Melody" }, drawn, known.kind === "abc" && help.node)));
}

/** Opens the text of tune `id`, or an empty one. */
export async function openText(room, id) {
  const known = id ? await get(at(id, "/text")) : { text: "", kind: "abc", problems: [] };
  const draft = draftOf(id), left = draft.read();
  const seen = { hash: left?.hash ?? known.seen, text: known.text }, begun = left?.text ?? known.text ?? "";
  document.title = `${id ? titleIn(known.text, id) : "A new tune"} – Undersong`;
  const drawn = el("div", { class: "drawn", tabindex: "0", role: "region", "aria-label": "The melody as it will be read", hidden: !begun });
  const packed = known.kind === "packed";
  /** @type {(wait?: number) => void} */
  let drawAgain = () => {};
  const note = () => { if (field.text() === (seen.text ?? "")) draft.drop(); else draft.keep(field.text(), seen.hash); };
  const changed = () => { note(); drawAgain(); };
  const problems = problemsList(() => field);
  const fill = (text) => { field.set(text); note(); drawAgain(0); };
  const help = crib((text, words) => {
    const mine = field.text();
    fill(text);
    speak(words);
    if (mine.trim() && mine !== text) tell("What stood in the field was replaced.", null, { text: "Put it back", act: () => fill(mine) });
  }, id || left ? "closed" : "open");
  const notes = known.kind === "abc" ? noteInput({ text: () => field.text(), caret: () => field.caret(), insert: (words) => field.insert(words) }) : null;
  const field = textField({ text: begun, readonly: packed, changed, pasted: () => help.close(), typed: (event) => notes?.typed(event) });
  drawAgain = trier(field, drawn, problems, help);
  const keep = button(id ? "Save the text" : "Keep and arrange", () => trying(() => (id ? keepChanged(id, field, seen, draft) : keepNew(field, draft))), { class: "main", "data-key": "keep" });
  layOut(room, id, known, { field, keep, problems, drawn, help, notes });
  field.mark(known.problems ?? []);
  problems.show(known.problems ?? []);
  if (begun && !packed) drawAgain(0);
  if (left) tell("What you typed here before is still in the field.", null, { text: id ? "The saved text instead" : "Begin with an empty field", act: () => { seen.hash = known.seen; fill(known.text ?? ""); } });
  const worst = known.problems?.find(({ severity }) => severity === "error");
  field.goTo(worst ?? { line: 1, column: 1, length: 0 });
  const unsaved = (event) => { if (id && field.text() !== seen.text) event.preventDefault(); };
  addEventListener("beforeunload", unsaved);
  return () => { notes?.close(); removeEventListener("beforeunload", unsaved); };
}
