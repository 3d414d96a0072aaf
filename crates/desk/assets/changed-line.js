// What the last change changed on the page, in words beside the marks: for readers who do not see the marks, and for everybody.

import { el, button } from "./dom.js";

/** A line with the way to take the marks off; null where nothing was changed just now. */
export function changedLine(/** @type {Worktable} */ worktable) {
  const { changed } = worktable.tune ?? {};
  if (!changed?.measures?.length || worktable.marksOff === worktable.tune.revision) return null;
  const off = () => { worktable.marksOff = worktable.tune.revision; line.remove(); worktable.say("marks"); };
  const line = el("div", { class: "changed-line" }, el("p", {}, el("strong", {}, "Changed just now: "), changed.words), button("Take the marks off", off, { class: "plain", "data-key": "marks-off" }));
  return line;
}

/** The measures that are marked. */
export const changedMeasures = (/** @type {{ tune: Tune | null, marksOff?: string }} */ { tune, marksOff }) => (tune?.changed && marksOff !== tune.revision ? tune.changed.measures : []);
