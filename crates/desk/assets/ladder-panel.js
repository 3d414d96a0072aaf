// The ladder at the side: steps with what has been passed; and what a teacher may do with them.

import { el, button, field, refill } from "./dom.js";
import { tune as at } from "./ask.js";
import { trying } from "./say.js";

const states = { passed: "passed", "not yet": "not yet" };

/** The words over the music for a step. */
function stepWords(practice, step, number) {
  const { practised, steps } = practice.facts;
  const set = (state) => practice.keep((kept) => {
    kept.steps[step.name] = state;
    kept.at = step.name;
  }, `${step.title}: ${state}`).then(() => practice.layStep(step.name, true));
  const next = steps[number];
  const alone = practised.way_in === "together" ? [1, 0] : [0, 1];
  const names = ["Left hand alone first", "Both hands from the start"];
  return [
    el("h2", {}, `${number}. ${step.title}`),
    el("p", { class: "step-new" }, step.new),
    step.listen && el("p", {}, el("strong", {}, "Listen: "), step.listen),
    step.pass && el("p", {}, el("strong", {}, "Passed: "), step.pass),
    el("details", { class: "ways-in" }, el("summary", {}, "How to begin"), alone.map((way) => el("p", {}, el("strong", {}, `${names[way]}. `), step.ways_in[way]))),
    el("p", { class: "row" },
      button("Passed", () => set("passed"), { "aria-pressed": String(step.state === "passed"), "data-key": "passed", class: step.state === "passed" ? null : "main" }),
      button("Not yet", () => set("not yet"), { "aria-pressed": String(step.state === "not yet"), "data-key": "not-yet" }),
      next && step.state === "passed" && button(`Next: ${next.title}`, () => trying(() => practice.layStep(next.name)), { class: "main", "data-key": "next-step" })),
  ];
}

/** One step in the list, with what a teacher may do where that is asked for. */
function stepRow(practice, step, index, changing) {
  const here = practice.stand?.kind === "step" && practice.stand.name === step.name;
  const move = (by) => practice.keep((kept) => {
    const order = practice.facts.steps.map(({ name }) => name);
    order.splice(index + by, 0, ...order.splice(index, 1));
    kept.order = order;
  }, `${step.title} moved`);
  const out = () => practice.keep((kept) => {
    if (step.hers) kept.added = kept.added.filter(({ name }) => name !== step.name);
    else kept.without.push(step.name);
  }, `${step.title} left out`);
  return el("li", { class: `step ${step.state === "passed" ? "passed" : ""}` },
    el("button", { type: "button", class: "step-button", "aria-current": here ? "step" : null, "data-key": `step-${step.name}`, onclick: () => trying(() => practice.layStep(step.name)) },
      el("span", { class: "step-number" }, String(index + 1)), el("span", { class: "step-title" }, step.title), el("span", { class: "step-state" }, states[step.state] ?? "")),
    changing && el("span", { class: "row step-changes" },
      button("↑", () => index > 0 && move(-1), { "aria-label": `${step.title} earlier`, "aria-disabled": String(index === 0) }),
      button("↓", () => index < practice.facts.steps.length - 1 && move(1), { "aria-label": `${step.title} later`, "aria-disabled": String(index === practice.facts.steps.length - 1) }),
      button("Leave out", out, { "aria-label": `Leave out ${step.title}` })));
}

function addForm(practice) {
  const title = el("input", { type: "text", maxlength: 80 }), words = el("input", { type: "text", maxlength: 400 }), pass = el("input", { type: "text", maxlength: 300 });
  return el("form", { class: "add-step", onsubmit: (event) => {
    event.preventDefault();
    const name = `own-${Date.now()}`;
    practice.keep((kept) => kept.added.push({ name, title: title.value.trim(), words: words.value.trim(), pass: pass.value.trim(), page_of: practice.stand?.kind === "step" ? practice.stand.name : "" }), `${title.value} added`);
  } },
  el("h3", {}, "A step of your own"), field("Title", title), field("What is new", words), field("When it is passed", pass),
  el("p", { class: "hint" }, "It has the page of the step that lies on the stand now."), el("button", { type: "submit" }, "Add it"));
}

export function ladderPanel(practice) {
  const node = el("div", { class: "ladder-panel" });
  let changing = false;
  practice.layStep = async (name, stay) => {
    const index = practice.facts.steps.findIndex((step) => step.name === name);
    const step = practice.facts.steps[index];
    if (!step) return;
    const path = at(practice.id, `/practice/steps/${encodeURIComponent(name)}`);
    const stand = { kind: "step", name, called: step.title, title: `${practice.facts.title}, ${step.title}`, page: `${path}/page`, sound: `${path}/sound`, hands: "right",
      unwritten: step.page !== "hands", words: stepWords(practice, step, index + 1) };
    if (stay && practice.stand?.name === name) { practice.stand.words = stand.words; practice.reword(stand.words); show(); return; }
    await practice.lay(stand);
    if (practice.facts.practised.at !== name) practice.keep((kept) => { kept.at = name; });
  };
  practice.reword = (words) => refill(document.querySelector(".practice-words"), words);
  function show() {
    const { facts } = practice;
    if (!facts) return;
    const back = (name) => practice.keep((kept) => { kept.without = kept.without.filter((one) => one !== name); }, "brought back");
    const school = (way) => practice.keep((kept) => { kept.way_in = way; }).then(() => practice.stand?.kind === "step" && practice.layStep(practice.stand.name, true));
    refill(node,
      facts.ladder_note && el("p", { class: "hint" }, facts.ladder_note),
      el("ol", { class: "steps" }, facts.steps.map((step, index) => stepRow(practice, step, index, changing))),
      facts.left_out.length > 0 && el("details", { class: "left-out-steps" }, el("summary", {}, `Left out (${facts.left_out.length})`),
        el("ul", {}, facts.left_out.map((out) => el("li", {}, el("strong", {}, `${out.title}: `), out.why, facts.practised.without.includes(out.name) && button("Bring it back", () => back(out.name), { class: "plain" }))))),
      el("fieldset", {}, el("legend", {}, "Begin with"), el("p", { class: "row" },
        button("the left hand alone", () => school("alone"), { "aria-pressed": String(facts.practised.way_in === "alone") }),
        button("both hands", () => school("together"), { "aria-pressed": String(facts.practised.way_in === "together") }))),
      button(changing ? "Done" : "Change the ladder", () => { changing = !changing; show(); }, { "data-key": "change-ladder", "aria-expanded": String(changing) }),
      changing && addForm(practice));
  }
  practice.on("facts", show);
  practice.on("stand", show);
  return node;
}
