// A whole book on the shelf: all tunes or those of a set as one PDF with contents and indices, made in the background and taken home when it is ready.

import { el, button, field, refill, select } from "./dom.js";
import { get, post, remove } from "./ask.js";
import { speak, trying } from "./say.js";

const orders = [["", "as it comes: by title, a set in its own order"], ["title", "by title"], ["key", "by key"], ["levers", "so that few levers or pedals are moved (up to 60 tunes)"]];

/** Gives { node, read(), hear(event) }; `hear` says whether an event was about a book. */
export function bookPart() {
  const room = el("div", { class: "book-made" });
  const title = el("input", { type: "text", maxlength: 200, placeholder: "Tunes", "data-key": "book-title" });
  const order = select(orders, "", () => {}, { "data-key": "book-order" });
  let of = select([["", "all tunes of the shelf"]], "", () => {}, { "data-key": "book-of" }), state = { state: "none" };
  const begin = button("Make the book", () => trying(async () => {
    state = await post("/api/book", { title: title.value || (of.value ? of.selectedOptions[0].textContent : ""), set: of.value || null, order: order.value || null });
    draw();
  }), { class: "main", "data-key": "make-book" });
  const away = (words) => button(words, () => trying(async () => { state = await remove("/api/book"); draw(); }), { "data-key": "book-away" });
  const node = el("details", { class: "set-maker" }, el("summary", {}, "Make a book to print"),
    el("p", { class: "hint" }, "Each tune with your own choices on a page of its own, two pages side by side; with a title page, contents, and lists by key, by how the harp is set and by what each tune asks. It is made while you go on working."),
    el("div", { class: "row low" }, field("Its title", title), field("Of", of), field("In order", order), begin), room);

  function draw() {
    begin.disabled = state.state === "working";
    refill(room, ...({
      none: () => [],
      working: () => [el("p", { class: "waiting" }, `Making “${state.title}”: ${state.done} of ${state.of} tunes`), away("Give it up")],
      failed: () => [el("p", { class: "badge warning" }, `“${state.title}” could not be made: ${state.why}`)],
      ready: () => [el("p", {}, `“${state.title}” is ready: ${state.words}.`),
        state.left_out.length > 0 && el("details", {}, el("summary", {}, `To know: ${state.left_out.length}`), el("ul", { class: "plain-list" }, state.left_out.map((line) => el("li", {}, line)))),
        el("p", { class: "row" }, el("a", { class: "button main", href: "/api/book/take", download: "", "data-key": "take-book" }, "Take the book home (PDF)"), away("Put it away"))],
    })[state.state]());
    if (state.state !== "none") node.open = true;
  }

  async function look() {
    const before = state.state;
    state = await get("/api/book");
    draw();
    if (before === "working" && state.state === "ready") speak("the book is ready");
  }
  return {
    node,
    async read() {
      const { sets } = await get("/api/sets");
      const fresh = select([["", "all tunes of the shelf"], ...sets.filter((one) => !one.mistake).map((one) => [one.name, one.title])], of.value, () => {}, { "data-key": "book-of" });
      of.replaceWith(fresh);
      of = fresh;
      await look();
    },
    hear(event) {
      if ("book" in event) trying(look);
      else if (event.working === "Making the book") { state = { ...state, state: "working", done: Math.max(event.done, state.done ?? 0), of: event.of }; draw(); }
      else return false;
      return true;
    },
  };
}
