// The stand's buttons in the head of the page: turns, sizes, sound, full screen, the buttons away. Their panels lie over the music.

import { el, button, field, select, tick } from "./dom.js";
import { tune as at } from "./ask.js";
import { trying } from "./say.js";
import { sizes, keepSizes, sizesQuery } from "./sizes.js";
import { drop } from "./drop.js";

const staffs = [7, 8, 9, 10, 11, 12, 13, 14].map((mm) => [String(mm), `${mm} mm`]);
const percents = [80, 100, 120, 140, 160, 180, 200].map((p) => [String(p), `${p} %`]);

function sizesPanel(stand) {
  const wish = sizes();
  const size = (name, words, options) => field(words, select(options, String(wish[name]), (value) => { keepSizes({ [name]: Number(value) }); trying(stand.read); }, { "data-key": name }));
  const large = el("a", { class: "button", href: at(stand.id, `/take/pdf?${sizesQuery()}`), download: "", onclick: () => { large.href = at(stand.id, `/take/pdf?${sizesQuery()}`); } }, "Large print to take home (PDF)");
  stand.lookButton = button("", () => { stand.setDark(!stand.dark); keepSizes({ dark: stand.dark }); }, { "data-key": "stand-theme" });
  return el("div", { class: "sizes-panel" },
    el("div", { class: "row low" }, size("staff", "Staff", staffs), size("text", "Words and chords", percents), size("fingers", "Finger numbers", percents)),
    el("div", { class: "row" },
      tick("Show the next page's first line", wish.next, (next) => { keepSizes({ next }); trying(stand.read); }),
      tick("Taps and pedals never turn back", wish.forward, (forward) => { keepSizes({ forward }); document.body.classList.toggle("forward-only", forward); })),
    el("div", { class: "row" }, stand.lookButton, large));
}

/** Fills `here` in the head of the page; gives the button that has the focus when the buttons come back. */
export function standBar(here, stand, sound, recording) {
  const whole = button("Full screen", () => trying(async () => {
    if (document.fullscreenElement) await document.exitFullscreen();
    else { await document.documentElement.requestFullscreen?.(); stand.hideBar(); }
  }), { class: "whole-screen" });
  const back = el("a", { class: "button to-worktable", href: stand.back?.href ?? `#/worktable/${encodeURIComponent(stand.id)}` }, stand.back?.text ?? "Back to the worktable");
  const next = button("›", () => stand.turn(1, true), { "aria-label": "Next page", title: "Next page" });
  here.append(back, button("‹", () => stand.turn(-1, true), { class: "turn-back", "aria-label": "Page before", title: "Page before" }), next,
    drop("Sizes and turns", sizesPanel(stand)), drop("Sound", el("div", { class: "sound-panel" }, sound.node, recording.node)), whole, button("Hide the buttons", () => stand.hideBar()));
  return next;
}
