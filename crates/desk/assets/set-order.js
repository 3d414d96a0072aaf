// Moving a tune of a set: by dragging its handle, or with the arrow keys on it.

import { button } from "./dom.js";

/** Gives `state` its handles; `list` has the rows. */
export function reordering(state, list) {
  const move = (from, to, one) => {
    const last = state.facts.set.tunes.length - 1;
    const place = Math.max(0, Math.min(to, last));
    if (place === from) return;
    state.change((set) => {
      const [entry] = set.tunes.splice(from, 1);
      // A link leads to a neighbour: what is moved leads nowhere any more, nor does what stood before it.
      entry.link = 0;
      if (from > 0) set.tunes[from - 1].link = 0;
      if (place > 0 && set.tunes[place - 1]) set.tunes[place - 1].link = 0;
      set.tunes.splice(place, 0, entry);
    }, `${one.title} is number ${place + 1} of ${last + 1}`);
  };
  const rowAt = (y) => {
    const rows = [...list.querySelectorAll(".set-row")];
    const found = rows.find((row) => y < row.getBoundingClientRect().bottom) ?? rows.at(-1);
    return found ? Number(found.dataset.at) : 0;
  };
  const mark = (at) => list.querySelectorAll(".set-row").forEach((row) => row.classList.toggle("drop-here", Number(row.dataset.at) === at));

  state.handle = (one, count) => {
    const handle = button("↕", () => {}, { class: "set-handle", title: "Drag it, or use the arrow keys", "aria-label": `${one.title}, ${one.at + 1} of ${count}: drag it or use the arrow keys to move it`, "data-key": `move-${one.key}` });
    let held = null;
    handle.addEventListener("keydown", (event) => {
      const step = { ArrowUp: -1, ArrowDown: 1 }[event.key];
      if (!step) return;
      event.preventDefault();
      move(one.at, one.at + step, one);
    });
    handle.addEventListener("pointerdown", (event) => { held = event.pointerId; handle.setPointerCapture(held); });
    handle.addEventListener("pointermove", (event) => { if (held !== null) mark(rowAt(event.clientY)); });
    handle.addEventListener("pointerup", (event) => {
      if (held === null) return;
      held = null;
      mark(-1);
      move(one.at, rowAt(event.clientY), one);
    });
    handle.addEventListener("pointercancel", () => { held = null; mark(-1); });
    return handle;
  };
}
