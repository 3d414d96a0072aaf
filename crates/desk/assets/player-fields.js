// About her hands: how fluent, how far they reach, which fingers to leave out, which hand moves levers, which shoulder.

import { el, field, select, tick } from "./dom.js";

const reaches = Array.from({ length: 11 }, (_, i) => [String(i + 4), `${i + 4} strings${{ 8: " (an octave)", 10: " (a tenth)" }[i + 4] ?? ""}`]);

/** `player` as the choices have it, `fluency` the list to choose from; `set(patch, words)` keeps a change; `state` remembers whether the part is open. */
export function playerFields(player, fluency, set, state) {
  const reach = (name, words) => field(words, select(reaches, String(player[name] ?? 8), (to) => set({ [name]: Number(to) }, "reach changed"), { "data-key": name }));
  const leftOut = player.leave_out ?? [];
  const finger = (one) => tick(one === 1 ? "1 (thumb)" : String(one), leftOut.includes(one), (on) => set({ leave_out: on ? [...leftOut, one].sort() : leftOut.filter((f) => f !== one) }, "fingers changed"), { "data-key": `leave-out-${one}` });
  return el("details", { class: "player-part", open: state.open, ontoggle: (event) => { state.open = event.target.open; } },
    el("summary", {}, "Your hands"),
    el("p", { class: "hint" }, "A wide stretch is a wish, not a duty. Stop when something hurts, and ask a teacher or a clinician; this program knows nothing about your body."),
    el("div", { class: "pair" },
      field("How quickly your hand finds its strings", select(fluency, player.fluency ?? "fluent", (to) => set({ fluency: to }, to), { "data-key": "fluency" })),
      reach("left_block", "Left hand's reach, plucked together"), reach("left_rolled", "Left hand's reach, rolled"),
      reach("right_block", "Right hand's reach, plucked together"), reach("right_rolled", "Right hand's reach, rolled"),
      field("Hand that moves levers", select([["left", "left"], ["right", "right"]], player.levers ?? "left", (to) => set({ levers: to }, to), { "data-key": "levers" })),
      field("The harp leans on the", select([["right", "right shoulder"], ["left", "left shoulder"]], player.shoulder ?? "right", (to) => set({ shoulder: to }, to), { "data-key": "shoulder" }))),
    el("fieldset", {}, el("legend", {}, "Fingers to leave out"), el("div", { class: "row" }, [1, 2, 3, 4].map(finger))));
}
