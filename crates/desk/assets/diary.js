// The diary: what needs a visit, the last weeks as a picture and as a table, and day by day what was practised; things written down by hand; everything taken along.

import { el, button, field, refill, tick } from "./dom.js";
import { get, post, put } from "./ask.js";
import { dayOf, now, today } from "./calendar.js";
import { readPage } from "./pages.js";
import { speak, tell, trying } from "./say.js";
import { breaksWanted, wishBreaks } from "./break-words.js";
import { everything } from "./everything.js";

const days = ["Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"];
const shownDays = 6;
const practiceOf = (id) => `#/practice/${encodeURIComponent(id)}`;

function visitRow(diary, visit, words, resting) {
  const rest = () => diary.change(() => put("/api/diary/rest", { tune: visit.tune, title: visit.title, resting: !resting }), resting ? `${visit.title} asks for visits again` : `${visit.title} rests`);
  return el("li", { class: "visit" },
    el("span", { class: "visit-main" }, el("a", { href: practiceOf(visit.tune), class: "visit-title", "data-key": `visit-${visit.tune}` }, visit.title), el("span", { class: "hint" }, words)),
    button(resting ? "Ask again" : "Let it rest", rest, { "aria-label": `${resting ? "Ask again" : "Let it rest"}: ${visit.title}`, "data-key": `rest-${visit.tune}` }));
}

function visits(diary) {
  const { due, coming, resting, rule } = diary.facts;
  const since = (visit) => (visit.due === "today" ? "due today" : `due since ${visit.due === "yesterday" ? "yesterday" : visit.due}`);
  return [
    el("h2", {}, due.length ? `${due.length === 1 ? "One tune needs" : `${due.length} tunes need`} a visit` : "No tune needs a visit today"),
    due.length > 0 && el("ul", { class: "visits", "aria-label": "Tunes that need a visit" }, due.map((visit) => visitRow(diary, visit, `${since(visit)}; last visited ${visit.last}`, false))),
    coming.length > 0 && el("details", {}, el("summary", {}, `Later (${coming.length})`), el("ul", { class: "visits" }, coming.map((visit) => visitRow(diary, visit, `${visit.due}; last visited ${visit.last}`, false)))),
    resting.length > 0 && el("details", {}, el("summary", {}, `Resting (${resting.length})`), el("ul", { class: "visits" }, resting.map((visit) => visitRow(diary, visit, `last visited ${visit.last}`, true)))),
    el("details", { class: "rule" }, el("summary", {}, "How this is reckoned"), el("p", {}, rule),
      el("p", {}, "Time counts while there is a sign of you in the practice room, a key, a touch or the music, and for five minutes after the last one.")),
  ];
}

function weekCell(day) {
  if (!day) return el("td", {});
  const words = [day.minutes > 0 && `${day.minutes} min`, day.passed > 0 && `${day.passed} passed`].filter(Boolean).join(", ");
  return el("td", {}, words || "–");
}

function weeks(diary) {
  const { svg, said, rows } = diary.facts.weeks;
  const picture = /** @type {SVGSVGElement} */ (readPage(svg, "alone"));
  picture.classList.add("weeks-picture");
  picture.setAttribute("role", "img");
  picture.setAttribute("aria-label", said);
  return [
    el("h2", {}, "The last weeks"), el("p", {}, said), picture,
    el("p", { class: "hint" }, "The number in a field is its minutes, the highest bar 45 of them or more; ✓ stands for steps passed."),
    el("details", {}, el("summary", {}, "The same as a table"), el("div", { class: "weeks-scroll", tabindex: "0", role: "group", "aria-label": "Minutes of each day" },
      el("table", { class: "weeks-table" },
        el("thead", {}, el("tr", {}, el("th", { scope: "col" }, "Week of"), days.map((name) => el("th", { scope: "col" }, name)), el("th", { scope: "col" }, "Together"))),
        el("tbody", {}, rows.map((row) => el("tr", {}, el("th", { scope: "row" }, row.monday), row.days.map(weekCell), el("td", {}, `${row.minutes} min`))))))),
  ];
}

/** Stays at one thing on one day; taken out together. */
function stayRow(diary, { title, stays, words }) {
  const each = (act) => diary.change(() => Promise.all(stays.map(act)));
  const back = () => each((stay) => put("/api/diary/stay", stay));
  const out = () => each((stay) => post("/api/diary/take-out", stay)).then(() => tell(`“${title}” is taken out of the diary.`, null, { text: "Put it back", act: back }));
  return el("li", {}, el("span", {}, words), button("Take out", out, { class: "plain", "aria-label": `Take out: ${words}`, "data-key": `out-${stays[0].began}-${title}` }));
}

function dayPart(diary, day) {
  const title = (one) => (one.tune && diary.shelf.has(one.tune) ? el("a", { href: practiceOf(one.tune) }, one.title) : one.title || "Away from a tune");
  return el("section", { class: "diary-day" }, el("h3", {}, day.words, day.length && el("span", { class: "hint" }, ` ${day.length}`)),
    day.tunes.map((one) => el("div", { class: "diary-tune" }, el("p", { class: "diary-title" }, title(one)),
      el("ul", {}, one.stays.map((stay) => stayRow(diary, stay)), one.marks.map((mark) => el("li", {}, `${mark.state === "passed" ? "✓ passed" : "not yet"}: ${mark.title}`))))));
}

/** The last days, and the others a press away. */
function dayList(diary) {
  const parts = diary.facts.days.map((day) => dayPart(diary, day)), earlier = parts.slice(shownDays);
  return [...parts.slice(0, shownDays), earlier.length > 0 && el("details", {}, el("summary", {}, `Earlier (${earlier.length} ${earlier.length === 1 ? "day" : "days"})`), earlier)];
}

/** What she practised away from here. */
function byHand(diary) {
  const what = el("input", { type: "text", maxlength: 200, required: true, "data-key": "hand-what" });
  const minutes = el("input", { type: "number", min: 1, max: 600, value: 20, required: true, "data-key": "hand-minutes" });
  const day = el("input", { type: "date", max: today(), value: today(), required: true, "data-key": "hand-day" });
  const tune = el("select", { "data-key": "hand-tune" }, el("option", { value: "" }, "no tune of the shelf"), [...diary.shelf].map(([id, title]) => el("option", { value: id }, title)));
  const keep = (event) => {
    event.preventDefault();
    // Noon of another day; now for today. The odd milliseconds tell entries of one day apart.
    const began = day.value === today() ? now() : new Date(`${day.value}T12:00:00`).getTime() + (now() % 60_000);
    const stay = { day: dayOf(began), began, tune: tune.value, tune_title: diary.shelf.get(tune.value) ?? "", what: "elsewhere", title: what.value.trim(), seconds: Math.round(Number(minutes.value) * 60), beats: null, percent: null };
    diary.change(() => put("/api/diary/stay", stay), "written down");
  };
  return el("details", { class: "away-form" }, el("summary", {}, "Write down what you practised away from here"),
    el("form", { onsubmit: keep }, el("div", { class: "row low" }, field("What", what), field("Tune", tune), field("Day", day), field("Minutes", minutes), el("button", { type: "submit", class: "main" }, "Write it down"))));
}

/** Opens the diary. */
export async function openDiary(room) {
  document.title = "Diary – Undersong";
  /** @type {{ facts: any, shelf: Map<string, any>, [deed: string]: any }} */
  const diary = { facts: null, shelf: new Map() };
  const due = el("section", { class: "diary-visits" }), weeksPart = el("section", { class: "diary-weeks" }), list = el("section", { class: "diary-days" }), hand = el("div", {});
  diary.change = (act, words) => trying(async () => { await act(); await read(); if (words) speak(words); });
  async function read() {
    diary.facts = await get(`/api/diary?day=${today()}`);
    refill(due, ...visits(diary));
    refill(weeksPart, ...weeks(diary));
    refill(list, el("h2", {}, "Day by day"), diary.facts.days.length === 0 && el("p", { class: "waiting" }, "Nothing is written down yet: what you do in the practice room is."), ...dayList(diary));
  }
  room.append(el("h1", {}, "Diary"));
  const along = everything(read);
  try {
    const { tunes } = await get("/api/shelf");
    diary.shelf = new Map(tunes.map((tune) => [tune.id, tune.title || tune.id]));
    await read();
  } catch (refusal) {
    room.append(el("p", { class: "badge warning unkept" }, refusal.message), along);
    return () => {};
  }
  hand.append(byHand(diary), tick("Say so after 25 minutes without a break", breaksWanted(), wishBreaks, { "data-key": "breaks" }));
  room.append(el("div", { class: "diary-parts" }, due, weeksPart, el("section", { class: "diary-hand" }, hand), list, along));
  return () => {};
}
