// The worktable's things in the head of the page: the tune's title and facts, undo and redo, what to take home, the way to the stand.

import { el, button } from "./dom.js";
import { takeHome } from "./take-home.js";
import { harpWords, keyWords, titleWords } from "./words.js";

function facts({ report, choices, version, versions }) {
  return [versions.length > 1 && version, keyWords(report?.key), harpWords(choices.harp)].filter(Boolean).join(" · ");
}

/** Fills `room` in the head of the page; says with every new state what can be undone. */
export function worktableHead(room, worktable) {
  const undo = button("Undo", () => worktable.back("undo"), { title: "Ctrl Z", "aria-keyshortcuts": "Control+Z" });
  const redo = button("Redo", () => worktable.back("redo"), { title: "Ctrl Y", "aria-keyshortcuts": "Control+Y" });
  const title = el("h1", {}), under = el("p", { class: "hint" });
  worktable.on("tune", ({ tune }) => {
    document.title = `${titleWords(tune)} – Worktable – Undersong`;
    title.textContent = title.title = tune.title;
    under.textContent = facts(tune);
    undo.setAttribute("aria-disabled", String(!tune.can_undo));
    redo.setAttribute("aria-disabled", String(!tune.can_redo));
  });
  room.append(el("div", { class: "worktable-title" }, title, under), undo, redo, takeHome(worktable.id),
    el("a", { class: "button to-stand", href: `#/stand/${encodeURIComponent(worktable.id)}` }, "To the stand"));
}
