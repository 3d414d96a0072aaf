// What the check has to say about the page: each finding at its measure, with repairs to take.

import { el, button, refill } from "./dom.js";
import { get, tune as at } from "./ask.js";
import { capital, trying } from "./say.js";
import { measureName } from "./words.js";

const gravities = { cannot: ["error", "cannot be played"], hard: ["warning", "hard"], look: ["note", "worth a look"] };

/** Lays a repair's changes over her choices: lists and values replace, tables are merged. */
function lay(choices, patch) {
  for (const [name, value] of Object.entries(patch)) {
    if (value !== null && typeof value === "object" && !Array.isArray(value)) choices[name] = { ...choices[name], ...value };
    else choices[name] = value;
  }
}

function repair(/** @type {Worktable} */ worktable, one) {
  const effect = one.effect ? ` (${one.effect})` : "";
  return el("li", {}, el("span", {}, capital(`${one.text}${effect}`)),
    one.take && button("Do this", () => worktable.change((choices) => lay(choices, one.take), "repair taken")));
}

function row(/** @type {Worktable} */ worktable, finding) {
  const [kind, words] = gravities[finding.gravity];
  return el("li", { class: "finding" },
    el("div", { class: "row" }, button(measureName(finding.measure), () => worktable.choose(finding.index, true), { class: "plain" }),
      el("span", { class: `badge ${kind}` }, words)),
    el("p", {}, capital(finding.text)),
    finding.repairs.length > 0 && el("ul", { class: "repairs" }, finding.repairs.map((one) => repair(worktable, one))));
}

/** Draws the findings; asked for anew whenever the page changed and the panel is looked at. */
export function findingsPanel(/** @type {Worktable} */ worktable) {
  const node = el("div", { class: "findings-panel" });
  let asked = null;
  async function read() {
    if (!worktable.tune || asked === worktable.tune.revision || node.parentElement?.hidden) return;
    asked = worktable.tune.revision;
    const inside = node.contains(document.activeElement);
    refill(node, el("p", { class: "waiting" }, "Looking through the page …"));
    const answer = await trying(() => get(at(worktable.id, "/check")));
    if (!answer) { asked = null; return; }
    const found = answer.findings ?? [];
    refill(node, el("h2", { tabindex: "-1" }, found.length ? `${found.length} ${found.length === 1 ? "finding" : "findings"}` : "Nothing found"),
      !found.length && el("p", {}, "The check found nothing; your own hands have the last word."),
      el("ol", { class: "findings" }, found.map((finding) => row(worktable, finding))));
    // A repair that was taken is gone with its button: the focus goes on from the heading.
    if (inside && document.activeElement === document.body) node.querySelector("h2")?.focus();
    node.dispatchEvent(new CustomEvent("counted", { detail: found.length }));
  }
  node.addEventListener("shown", read);
  worktable.on("page", read);
  return node;
}
