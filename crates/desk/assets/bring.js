// Brings files in: chosen or dropped. A file with problems is kept, and its text is opened at them.

import { bringFile } from "./ask.js";
import { tell, trying } from "./say.js";

const grave = (problem) => problem.severity === "error";
const toMend = (problem) => problem.severity !== "note";

/** Brings in files one after another; a single tune is opened at once, the tunes of a book stay on the shelf. */
export async function bringIn(files) {
  const came = [];
  for (const file of files) {
    const answer = await trying(() => bringFile(file));
    if (answer) came.push(answer);
  }
  const tunes = came.flatMap(({ id, ids = [id] }) => ids);
  if (tunes.length === 1) {
    const [{ id, problems = [] }] = came;
    location.hash = `#/${problems.some(grave) ? "text" : "worktable"}/${encodeURIComponent(id)}`;
    const count = problems.filter(toMend).length;
    if (count && !problems.some(grave)) tell(`It came in, with ${count} ${count === 1 ? "problem" : "problems"} in its text.`);
  } else if (tunes.length) {
    const troubled = came.filter(({ problems }) => problems?.some(toMend)).length;
    tell(`${tunes.length} tunes came in${troubled ? `; ${troubled === 1 ? "one file has" : `${troubled} files have`} problems in the text` : ""}.`);
  }
}

/** Takes files dropped anywhere while `room` is shown; gives back what ends it. */
export function dropAnywhere(room) {
  const over = (event) => { if (event.dataTransfer?.types.includes("Files")) { event.preventDefault(); room.classList.add("dropping"); } };
  const out = (event) => { if (!event.relatedTarget) room.classList.remove("dropping"); };
  const drop = (event) => {
    event.preventDefault();
    room.classList.remove("dropping");
    bringIn([...event.dataTransfer.files]);
  };
  /** @type {["dragover" | "dragleave" | "drop", (event: DragEvent) => void][]} */
  const heard = [["dragover", over], ["dragleave", out], ["drop", drop]];
  for (const [name, act] of heard) addEventListener(name, act);
  return () => { for (const [name, act] of heard) removeEventListener(name, act); };
}
