// The drills at the side, and what each shows: steps to do, shapes, what is called while she plays.

import { el, button, refill } from "./dom.js";
import { tune as at } from "./ask.js";
import { speak, trying } from "./say.js";
import { shapeFigure } from "./shape-picture.js";
import { answers } from "./answers.js";

/** The chord symbol with dark strings; the shape lights up when she asks, and the next chord comes. */
function finding(shapes) {
  const node = el("div", { class: "find-shape" });
  let index = 0, dark = true;
  function show() {
    const next = () => { index = (index + 1) % shapes.length; dark = true; show(); speak(shapes[index].chord); };
    refill(node, shapeFigure(shapes[index], { dark }), el("p", { class: "row" },
      button("Light it up", () => { dark = false; show(); }, { class: dark ? "main" : null, "aria-disabled": String(!dark), "data-key": "light" }),
      button("Next chord", next, { class: dark ? null : "main", "data-key": "next-chord" }),
      el("span", { class: "hint" }, `${index + 1} of ${shapes.length}`)));
  }
  show();
  return node;
}

/** A beat more each time, from the end. */
function chaining(practice, drill) {
  let beats = 1;
  const count = el("span", { class: "hint", role: "status" });
  const set = (wanted) => {
    beats = Math.max(1, Math.min(drill.chain.length, wanted));
    count.textContent = beats === 1 ? "the last beat" : `the last ${beats} beats`;
    practice.loopPlaces(drill.chain[beats - 1], drill.chain[0]);
  };
  practice.on("page", () => practice.stand?.drill === drill && set(beats));
  return el("p", { class: "row" }, button("A beat more", () => set(beats + 1), { class: "main" }), button("A beat less", () => set(beats - 1)), count);
}

/** "End now", called at the next place in turn while the tune goes by; the way out begins when the measure is over. */
function ending(practice, drill) {
  const shown = el("p", { class: "call", role: "status" });
  const answer = practice.answers = answers(practice, "My way out begins");
  let turn = 0;
  practice.calls = drill.calls.map((call, index) => ({ measure: call.said.measure, act: () => {
    if (index !== turn % drill.calls.length) return;
    shown.textContent = call.words;
    practice.light([call.holds]);
    answer.called(practice.endOf(call.said.measure));
  } }));
  return [shown, answer.node, el("p", { class: "row" }, button("Another place", () => { turn += 1; shown.textContent = ""; answer.forget(); practice.light([]); }))];
}

/** Figures called a measure ahead. */
function calling(practice, drill) {
  const shown = el("p", { class: "call", role: "status" }, drill.calls[0]?.words ?? "");
  const answer = practice.answers = answers(practice, "My new figure begins");
  practice.calls = drill.calls.map((call) => ({ measure: call.said.measure, act: () => {
    shown.textContent = call.words;
    practice.light([call.holds]);
    // The first figure is there from the start.
    if (call.holds !== call.said.measure) answer.called(practice.startOf(call.holds));
  } }));
  return [shown, answer.node];
}

export function drillsPanel(practice) {
  const node = el("div", { class: "drills-panel" });
  practice.layDrill = async (drill) => {
    practice.calls = [];
    practice.answers = null;
    const whole = ["pattern-call", "end-now", "find-the-shape"].includes(drill.kind);
    const stand = { kind: "drill", name: `${drill.kind} ${drill.title}`, drill, called: `${drill.name}: ${drill.title}`, title: `${practice.facts.title}, ${drill.name}`, page: at(practice.id, "/page"), sound: at(practice.id, "/sound"),
      hands: drill.kind === "end-now" || drill.kind === "pattern-call" ? "right" : "both" };
    stand.words = [
      el("h2", {}, `${drill.name}: ${drill.title}`),
      el("ol", {}, drill.steps.map((step) => el("li", {}, step))),
      drill.kind === "find-the-shape" ? finding(drill.shapes) : drill.shapes.length > 0 && el("div", { class: "shapes" }, drill.shapes.map((shape) => shapeFigure(shape))),
      drill.kind === "backward-chain" && chaining(practice, drill),
      drill.kind === "end-now" && ending(practice, drill),
      drill.kind === "pattern-call" && calling(practice, drill),
    ];
    await practice.lay(stand);
    if (!whole && drill.kind !== "backward-chain") practice.loopMeasures(drill.first, drill.last);
  };
  function show() {
    const { facts } = practice;
    if (!facts) return;
    refill(node, facts.drills_note && el("p", {}, facts.drills_note),
      el("ul", { class: "drills" }, facts.drills.map((drill) => el("li", {}, el("button", { type: "button", class: "step-button", "data-key": `drill ${drill.kind} ${drill.title}`,
        "aria-current": practice.stand?.drill?.kind === drill.kind && practice.stand.drill.title === drill.title ? "step" : null, onclick: () => trying(() => practice.layDrill(drill)) },
      el("span", { class: "step-title" }, drill.name), el("span", { class: "step-state" }, drill.title))))));
  }
  practice.on("facts", show);
  practice.on("stand", show);
  return node;
}
