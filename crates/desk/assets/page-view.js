// The engraved page on the worktable: choosing a measure by click, tap or arrow keys, the mark of the chosen one, the moving marker.

import { el, svg, targetOf } from "./dom.js";
import { drawPages } from "./pages.js";
import { measureBoxes, boxIn, marker } from "./page-places.js";
import { changedMeasures } from "./changed-line.js";

/** The measure of another line that stands nearest above (-1) or below (1). */
function otherLine(boxes, chosen, way) {
  const here = boxes.get(chosen);
  if (!here) return chosen;
  const centre = (box) => (box.left + box.right) / 2;
  const lines = [...boxes].filter(([, box]) => (way > 0 ? box.top >= here.bottom - 4 : box.bottom <= here.top + 4));
  if (!lines.length) return chosen;
  const nearest = lines.reduce((best, [, box]) => (way > 0 ? Math.min(best, box.top) : Math.max(best, box.top)), way > 0 ? Infinity : -Infinity);
  const line = lines.filter(([, box]) => Math.abs(box.top - nearest) < (here.bottom - here.top) / 2);
  return line.sort((a, b) => Math.abs(centre(a[1]) - centre(here)) - Math.abs(centre(b[1]) - centre(here)))[0][0];
}

/** The measure under a point, or the nearest within its line. */
function underPoint(boxes, x, y) {
  const near = ([, box]) => Math.max(0, box.left - x, x - box.right) + 3 * Math.max(0, box.top - y, y - box.bottom);
  const found = [...boxes].sort((a, b) => near(a) - near(b))[0];
  return found && near(found) < 120 ? found[0] : null;
}

export function pageView(/** @type {Worktable} */ worktable) {
  const node = el("div", { class: "page-room", tabindex: "0", role: "group", "aria-label": "The page. Arrow keys choose a measure, Enter goes to its other figures, Space plays.", "aria-describedby": "page-hints" });
  const hints = el("p", { class: "hint page-hints", id: "page-hints" }, el("kbd", {}, "← →"), " measure ", el("kbd", {}, "↑ ↓"), " line ",
    el("kbd", {}, "Enter"), " other figures ", el("kbd", {}, "Space"), " play");
  const mark = svg("rect", { class: "chosen-mark", rx: "150" });
  const group = (index) => node.querySelector(`g.measure#${CSS.escape(`m${index}`)}`);

  /** How far down the first line of music begins: the heading above it is told in the head of the page. */
  function toMusic() {
    const line = node.querySelector("g.system");
    return line ? Math.max(0, line.getBoundingClientRect().top - (line.closest(".sheet") ?? line).getBoundingClientRect().top + 3) : 0;
  }
  function showChosen(follow) {
    const measure = group(worktable.chosen);
    mark.remove();
    if (!measure) return;
    boxIn(measure, mark);
    measure.prepend(mark);
    if (follow) measure.scrollIntoView({ block: "nearest", inline: "nearest" });
  }
  /** Frames measures; what was framed so before is free again. */
  function frame(kind, indices) {
    for (const old of node.querySelectorAll(`.${kind}`)) old.remove();
    for (const index of indices) {
      const measure = group(index);
      if (!measure) continue;
      const rect = svg("rect", { class: kind, rx: "150" });
      boxIn(measure, rect);
      measure.prepend(rect);
    }
  }
  const showChanged = () => frame("changed-mark", changedMeasures(worktable));
  worktable.on("marks", showChanged);
  /** Shows before it is done which measures a choice would change: those that are meant, and others. */
  worktable.markWould = (meant, others) => {
    frame("meant-mark", meant ? Array.from({ length: meant.to - meant.from }, (_, step) => meant.from + step) : []);
    frame("would-mark", others);
  };
  worktable.on("page", () => {
    const top = node.scrollTop;
    const first = !node.dataset.revision;
    drawPages(node, worktable.page.svgs, worktable.tune.title);
    if (worktable.page.boxes) node.prepend(el("p", { class: "hint" }, worktable.page.boxes));
    node.scrollTop = first && !worktable.page.boxes ? toMusic() : top;
    showChosen(false);
    showChanged();
    node.dataset.revision = worktable.page.revision;
  });
  worktable.on("chosen", () => showChosen(true));
  node.addEventListener("click", (event) => {
    const hit = targetOf(event).closest("g.measure");
    const index = hit ? Number(hit.id.slice(1)) : underPoint(measureBoxes(node), event.clientX, event.clientY);
    if (index === null) return;
    worktable.choose(index);
    worktable.showMeasure();
  });
  node.addEventListener("keydown", (event) => {
    if (event.target !== node || event.ctrlKey || event.metaKey || event.altKey) return;
    const last = worktable.page.measures.length - 1;
    const act = {
      ArrowRight: () => worktable.choose(worktable.chosen + 1), ArrowLeft: () => worktable.choose(worktable.chosen - 1),
      ArrowDown: () => worktable.choose(otherLine(measureBoxes(node), worktable.chosen, 1)), ArrowUp: () => worktable.choose(otherLine(measureBoxes(node), worktable.chosen, -1)),
      Home: () => worktable.choose(0), End: () => worktable.choose(last), Enter: () => worktable.toWays(), " ": () => worktable.playPause(), t: () => worktable.tap(),
    }[event.key];
    if (act) { event.preventDefault(); act(); }
  });
  worktable.showPlaying = marker(node);
  return { node, hints };
}
