// Everything taken along as plain files in one archive, and brought back: first she sees what would come in, and nothing is written over unless she says so.

import { el, button, refill } from "./dom.js";
import { sendFile } from "./ask.js";
import { speak, trying } from "./say.js";

const entries = (n) => `${n} ${n === 1 ? "entry" : "entries"}`;

function names(list, words) {
  return list.length > 0 && el("details", { open: list.length <= 8 }, el("summary", {}, `${list.length} ${words}`), el("ul", { class: "plain-list" }, list.map((name) => el("li", {}, name))));
}

/** `came()` hears that something was brought in. */
export function everything(came) {
  const said = el("div", { class: "brought", role: "status" });
  let archive = null;
  const ask = (how) => sendFile(`/api/import?bring=${how}`, archive);
  async function look() {
    const { comparison, holds } = await ask("look");
    const { new: fresh, same, other, left_out: out, diary } = comparison;
    const anything = fresh.length + diary.new > 0, others = other.length + diary.other;
    refill(said, el("p", {}, `“${archive.name}” holds ${holds}.`),
      names(fresh, `${fresh.length === 1 ? "file" : "files"} would come in`), names(other, `${other.length === 1 ? "file is" : "files are"} here with other contents`), names(out, "left out: no files of a folder of tunes"),
      same.length > 0 && el("p", {}, `${same.length} ${same.length === 1 ? "file is" : "files are"} here already, the same.`),
      diary.new + diary.same + diary.other > 0 && el("p", {}, `Diary: ${entries(diary.new)} would come in, ${diary.same} here already${diary.other ? `, ${diary.other} here with other contents` : ""}.`),
      el("p", { class: "row" }, anything && button("Bring in what is new", () => bring("new"), { class: "main", "data-key": "bring-new" }),
        others > 0 && button("Bring in all of it, over what is here", () => bring("all"), { "data-key": "bring-all" }),
        !anything && !others && el("span", {}, "There is nothing to do: all of it is here."), button("Leave it", () => refill(said), { class: "plain" })));
  }
  const bring = (how) => trying(async () => {
    const answer = await ask(how);
    await came();
    refill(said, el("pre", { class: "brought-words" }, answer.said));
    speak("brought in");
  });
  const file = el("input", { type: "file", accept: ".zip,application/zip", class: "unseen", tabindex: "-1", "aria-label": "Choose an archive to bring in", onchange: () => {
    [archive] = file.files ?? [];
    file.value = "";
    if (archive) trying(look);
  } });
  return el("section", { class: "diary-along" }, el("h2", {}, "Take everything along"),
    el("p", {}, "All of your folder as plain files in one archive: tunes, choices, sets, harps, and this diary as text. Recordings, SoundFonts and printed pages stay where they are. Nothing is sent anywhere."),
    el("p", { class: "row" }, el("a", { class: "button", href: "/api/export", download: "", "data-key": "export" }, "Take everything along (zip)"), button("Bring an archive in", () => file.click(), { "data-key": "import" }), file), said);
}
