// Panels that share one place: one is shown, the others are a press or an arrow key away.

import { el } from "./dom.js";

/** `panels` are [name, node]; a panel says with "counted" how many things in it want to be looked at. Gives { node, show, shown }. */
export function tabs(name, panels) {
  const heads = panels.map(([text], index) => el("button", {
    type: "button", role: "tab", id: `tab-${index}`, "aria-controls": `panel-${index}`, onclick: () => show(index),
  }, text));
  const rooms = panels.map(([, node], index) => el("div", { role: "tabpanel", id: `panel-${index}`, "aria-labelledby": `tab-${index}`, tabindex: "-1" }, node));
  const bar = el("div", { role: "tablist", "aria-label": name, onkeydown: (event) => {
    const step = { ArrowRight: 1, ArrowLeft: -1 }[event.key];
    if (!step) return;
    const next = (heads.indexOf(document.activeElement) + step + heads.length) % heads.length;
    show(next);
    heads[next].focus();
  } }, heads);
  function show(index) {
    heads.forEach((head, i) => { head.setAttribute("aria-selected", String(i === index)); head.tabIndex = i === index ? 0 : -1; });
    rooms.forEach((room, i) => { room.hidden = i !== index; });
    panels[index][1].dispatchEvent(new CustomEvent("shown"));
  }
  const node = el("section", { class: "side", "aria-label": name }, bar, rooms);
  show(0);
  panels.forEach(([, panel], index) => panel.addEventListener("counted", (event) => { heads[index].toggleAttribute("data-count", event.detail > 0); if (event.detail) heads[index].dataset.count = event.detail; }));
  const shown = () => rooms.findIndex((room) => !room.hidden);
  return { node, show, shown };
}
