// A field for text whose problems are underlined where they stand: a copy of the text lies behind it and carries the marks.

import { el, focused } from "./dom.js";

/** Places of the problems as [from, to, severity], in order and without overlap. */
function places(text, problems) {
  const starts = [0];
  for (let i = 0; i < text.length; i++) if (text[i] === "\n") starts.push(i + 1);
  const found = problems.filter(({ line }) => line >= 1 && line <= starts.length).map((problem) => {
    const end = (starts[problem.line] ?? text.length + 1) - 1;
    const from = Math.min(starts[problem.line - 1] + Math.max(0, (problem.column ?? 1) - 1), Math.max(end - 1, starts[problem.line - 1]));
    return [from, Math.max(from + 1, Math.min(from + Math.max(1, problem.length ?? 1), end)), problem.severity];
  }).sort((a, b) => a[0] - b[0]);
  let last = 0;
  return found.filter(([from, to]) => { const free = from >= last; if (free) last = to; return free; });
}

function behind(text, marks) {
  const parts = [];
  let at = 0;
  for (const [from, to, severity] of marks) {
    parts.push(text.slice(at, from), el("mark", { class: severity }, text.slice(from, to) || " "));
    at = to;
  }
  return [...parts, `${text.slice(at)}\n `];
}

/** Makes the field; `changed` is called after every change, `pasted` after a piece of more than a line came at once. Gives { node, text, caret, insert, set, mark, goTo }. */
export function textField({ text, readonly, changed, pasted, typed }) {
  const copy = el("div", { class: "text-copy", "aria-hidden": "true" });
  const area = el("textarea", { class: "text-area", spellcheck: "false", autocapitalize: "off", autocomplete: "off", wrap: "off", "aria-label": "The tune's text", readonly });
  let problems = [];
  const draw = () => { copy.replaceChildren(...behind(area.value, places(area.value, problems))); follow(); };
  const follow = () => { copy.scrollTop = area.scrollTop; copy.scrollLeft = area.scrollLeft; };
  area.value = text;
  let before = area.value.split("\n").length;
  area.addEventListener("input", (event) => {
    const lines = area.value.split("\n").length;
    if (lines > before + 2) pasted?.();
    before = lines;
    problems = [];
    draw();
    changed();
    typed?.(event);
  });
  area.addEventListener("scroll", follow);
  draw();
  return {
    node: el("div", { class: "text-field" }, copy, area),
    text: () => area.value,
    caret: () => area.selectionStart,
    /** Puts words in where the cursor stands; they can be undone as if they were typed. */
    insert: (words) => {
      const here = focused();
      area.focus({ preventScroll: true });
      document.execCommand("insertText", false, words);
      if (here && here !== area) here.focus({ preventScroll: true });
    },
    set: (words) => { area.value = words; before = words.split("\n").length; draw(); area.focus(); area.setSelectionRange(words.length, words.length); },
    mark: (list) => { problems = list; draw(); },
    goTo: (problem) => {
      const [[from, to] = [0, 0]] = places(area.value, [problem]);
      area.focus();
      area.setSelectionRange(from, problem.length === 0 ? from : to);
      area.scrollTop = Math.max(0, (problem.line - 4) * parseFloat(getComputedStyle(area).lineHeight));
    },
  };
}
