// My harp and hands, on the shelf: which harp, one of her own filled in as a form, and how her hands are. It holds for every tune where she has not chosen otherwise.

import { el, one, refill } from "./dom.js";
import { put } from "./ask.js";
import { tell, trying } from "./say.js";
import { harpFields } from "./harp-fields.js";
import { harpForm } from "./harp-form.js";
import { playerFields } from "./player-fields.js";
import { harpWords } from "./words.js";

/** Gives { node, draw(shelf) }: the list of harps, and below it, folded, everything else. */
export function myHarp() {
  const list = el("div", { class: "shelf-harp" }), more = el("div", {});
  let shelf = null, shownHarp = null, formOpen = false, drawn = "";
  const keep = (patch, words) => trying(async () => {
    const usual = { ...shelf.usual, ...patch };
    await put("/api/usual", { usual });
    shelf.usual = usual;
    tell(words);
  });
  const chooseHarp = (harp) => keep({ harp }, "Used from now on for every tune where you have not chosen another harp.");
  const kept = async (file) => {
    formOpen = false;
    await keep({ harp: file }, `${harpWords(file)}: kept, and used from now on for every tune where you have not chosen another harp.`);
  };
  function drawMore() {
    if (!node.open) return;
    const { usual, harps, harp_names: own } = shelf;
    const set = (patch) => keep({ player: { ...usual.player, ...patch } }, "Your hands: kept for every tune where you have not chosen otherwise.").then(drawMore);
    const formed = JSON.stringify([harps, own]), now = JSON.stringify([formed, usual.player]);
    // What has not changed is not drawn anew under her hand.
    if (drawn === now) return;
    drawn = now;
    if (!shownHarp || shownHarp.formed !== formed) {
      const form = el("details", { open: formOpen, ontoggle: () => { formOpen = form.open; if (form.open && form.childNodes.length < 2) form.append(harpForm({ harps: [...Object.keys(own), ...harps.filter((harp) => !(harp in own))], own, now: usual.harp, kept })); } },
        el("summary", { "data-key": "own-harp" }, "A harp of my own"));
      shownHarp = { formed, form };
    }
    const had = more.contains(document.activeElement);
    refill(more, shownHarp.form, playerFields(usual.player, shelf.fluency, set, { open: true }));
    // The form she kept is gone: what opens it has the focus.
    if (had && document.activeElement === document.body) one(more, "[data-key=own-harp]")?.focus();
  }
  const node = el("details", { class: "my-harp", ontoggle: drawMore }, el("summary", { "data-key": "my-harp" }, "My harp and hands"), more);
  function draw(read) {
    shelf = read;
    const { usual, harps, usual_mistake: mistake } = read;
    refill(list, mistake ? el("p", { class: "badge warning" }, mistake) : harpFields("Your harp", harps, usual.harp, chooseHarp), ...read.harps_left.map((words) => el("p", { class: "badge warning" }, words)));
    node.hidden = Boolean(mistake);
    drawMore();
  }
  return { list, node, draw };
}
