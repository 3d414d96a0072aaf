// The versions of the tune on the worktable: going from one to another, a copy, a name, one taken away or home, levels, and whether all of them sound together.

import { el, button, field, refill } from "./dom.js";
import { get, post, put, remove, tune as at } from "./ask.js";
import { speak, tell, trying } from "./say.js";
import { harpWords, keyWords } from "./words.js";

export const worktableOf = (id) => `#/worktable/${encodeURIComponent(id)}`;
const besideOf = (id, name) => `#/beside/${encodeURIComponent(id)}/${encodeURIComponent(name)}`;
const ideas = ["for the pupil", "with the singer", "for the small harp"];

/** What a version was chosen for, in a few words. */
function words({ harp, key, fullness }) {
  const full = fullness.length ? `fullness ${fullness.join(", ")}` : "as full as the tune suggests";
  return [harpWords(harp), key && `key ${keyWords(key)}`, full].filter(Boolean).join(" · ");
}

function row(tune, version, levels) {
  const here = version.name === tune.version;
  const level = levels?.versions.find(({ name }) => name === version.name);
  return el("li", { class: "version" },
    el("div", { class: "version-head" },
      el("a", { href: worktableOf(version.id), class: "button version-link", "aria-current": here ? "true" : null, "data-key": `version ${version.name}` }, version.name),
      level && el("span", { class: "badge" }, `level ${level.level}`),
      here ? el("span", { class: "hint" }, "on the worktable") : el("a", { class: "plain-link", href: besideOf(tune.id, version.name), "aria-label": `Compare with ${version.name}` }, "Compare")),
    el("p", { class: "hint" }, words(version)),
    level && el("p", { class: "hint" }, `It asks ${level.asks}.`));
}

function together(levels) {
  return el("div", { class: `together ${levels.clashes ? "clash" : ""}`, role: "status" }, el("p", {}, levels.words),
    levels.told.length > 0 && el("ul", {}, levels.told.map((one) => el("li", {}, one))),
    levels.clashes > levels.told.length && el("p", { class: "hint" }, `These are the first ${levels.told.length}.`));
}

/** Draws the panel; it stays as it is while the page of the same version changes. */
export function versionsPanel(/** @type {Worktable} */ worktable) {
  const node = el("div", { class: "versions-panel" });
  let levels = null, of = null;
  const name = el("input", { type: "text", maxlength: 48, autocomplete: "off", list: "version-ideas", "data-key": "version-new" });
  const own = el("input", { type: "text", maxlength: 48, autocomplete: "off", "data-key": "version-name" });

  /** Goes to a version; on the same one everything is read anew. */
  async function to(id, said) {
    speak(said);
    if (id !== worktable.id) location.hash = worktableOf(id); else await worktable.read();
    if (said) tell(said);
  }
  const copy = (event) => {
    event.preventDefault();
    const from = worktable.tune.version;
    return trying(async () => {
      const made = await post(at(worktable.id, "/versions"), { name: name.value || free(worktable.tune) });
      name.value = "";
      await to(made.id, `"${made.name}" begins as a copy of "${from}".`);
    });
  };
  const rename = (event) => {
    event.preventDefault();
    const old = worktable.tune.version;
    return trying(async () => {
      const made = await put(at(worktable.id, "/version"), { name: own.value });
      await to(made.id, `"${old}" is called "${made.name}" now.`);
    });
  };
  const takeAway = () => trying(async () => {
    const old = worktable.tune.version;
    const left = await remove(at(worktable.id, "/version"));
    await to(left.id, `"${old}" is taken away. Undo brings it back.`);
  });
  const makeLevels = () => trying(async () => {
    const made = await post(at(worktable.id, "/levels"));
    levels = await get(at(worktable.id, "/together"));
    await worktable.read();
    tell(`${made.names.map((one) => `"${one}"`).join(" and ")} ${made.names.length > 1 ? "are" : "is"} made. ${levels.words}`);
  });
  const ask = () => trying(async () => { levels = await get(at(worktable.id, "/together")); draw(); speak(levels.words); });

  function draw() {
    const { tune } = worktable, several = tune.versions.length > 1, first = tune.version === tune.versions[0].name;
    if (own.dataset.of !== tune.version) { own.value = own.dataset.of = tune.version; }
    name.placeholder = free(tune);
    refill(node, el("h2", { tabindex: "-1" }, "Versions of this tune"),
      el("p", { class: "hint" }, "Each has its own harp, key, fullness, figures and changes. They stand in one file beside the tune."),
      el("ul", { class: "versions" }, tune.versions.map((version) => row(tune, version, levels))),
      several && el("p", { class: "row" }, button("Do they sound together?", ask, { "data-key": "version-together" })),
      levels && together(levels),
      el("fieldset", {}, el("legend", {}, "Another version"),
        el("form", { class: "version-form", onsubmit: copy }, field(`A copy of "${tune.version}", called`, name), el("button", { type: "submit", "data-key": "version-copy" }, "Make a copy")),
        el("datalist", { id: "version-ideas" }, ideas.map((idea) => el("option", { value: idea })))),
      el("fieldset", {}, el("legend", {}, "Levels that sound together"),
        el("p", { class: "hint" }, `For a teacher and her pupils: easier and fuller left hands beside "${tune.version}", with the same chords, form and tempo, looked through for places where they would clash.`),
        el("p", { class: "row" }, button("Make levels", makeLevels, { "data-key": "version-levels" }))),
      el("fieldset", {}, el("legend", {}, `This version: ${tune.version}`),
        el("form", { class: "version-form", onsubmit: rename }, field("Its name", own), el("button", { type: "submit", "data-key": "version-rename" }, "Change the name")),
        el("p", { class: "row" }, el("a", { class: "button", href: at(worktable.id, "/take/version"), download: "" }, "Take it home alone"),
          !first && button("Take it away", takeAway, { "data-key": "version-remove" })),
        el("p", { class: "hint" }, "Home goes one file: the tune, and what you chose in this version. Brought into a folder of Undersong, it opens as it is here.")));
  }
  worktable.on("tune", ({ tune }) => {
    // What was told of levels is about the versions as they were.
    if (of !== null && of !== tune.revision) levels = null;
    of = tune.revision;
    draw();
  });
  return node;
}

/** A name that no version has yet. */
const free = (tune) => ideas.find((idea) => !tune.versions.some(({ name }) => name.toLowerCase() === idea)) ?? `version ${tune.versions.length + 1}`;
