// What is to be mended in a text: each problem with its place, how grave it is, and what to do.

import { el, button, refill } from "./dom.js";
import { capital } from "./say.js";

const gravity = { error: "cannot be read", warning: "worth mending", note: "to know" };
const rank = { error: 0, warning: 1, note: 2 };
const sentence = (words) => capital(/[.!?…]$/.test(words) ? words : `${words}.`);

function row(problem, field) {
  const place = problem.line ? `Line ${problem.line}` : "Text";
  return el("li", { class: problem.severity },
    el("div", { class: "problem-head" },
      problem.line ? button(place, () => field.goTo(problem), { class: "plain", title: "Go there in the text" }) : el("span", {}, place),
      el("span", { class: `badge ${problem.severity}` }, gravity[problem.severity] ?? problem.severity)),
    el("p", {}, sentence(problem.message), problem.hint && el("span", { class: "hint" }, sentence(problem.hint))));
}

/** The list with its heading; `show(problems)` draws it, the gravest first. Nothing is said about an empty field. */
export function problemsList(field) {
  const heading = el("h2", {}), list = el("ol", { class: "problems", "aria-label": "Problems in the text" });
  const node = el("div", { class: "to-mend" }, heading, list);
  const show = (problems) => {
    const sorted = [...problems].sort((a, b) => (rank[a.severity] ?? 2) - (rank[b.severity] ?? 2) || (a.line ?? 0) - (b.line ?? 0));
    node.hidden = !field().text().trim();
    const toMend = problems.filter(({ severity }) => severity !== "note").length;
    heading.textContent = toMend ? `To mend (${toMend})` : "Nothing to mend";
    refill(list, sorted.map((problem) => row(problem, field())));
  };
  return { node, show };
}
