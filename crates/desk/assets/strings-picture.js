// The picture of the strings: her harp's strings as they stand in front of her, the left hand's strings with their fingers, levers up.
// Letters and numbers say everything; colour only repeats it. On the left shoulder the picture is turned round.

import { el, one, svg, button, refill } from "./dom.js";
import { get, tune as at } from "./ask.js";
import { trying } from "./say.js";
import { stringSpoken, placeWords } from "./words.js";
import { pedalPicture } from "./pedal-picture.js";

const height = 118, top = 20, least = 15, most = 30;
const letter = (name) => name.charAt(0);
const plainName = (name) => name.replace(/^([A-G])[♯♭♮]+/, "$1");
const accidental = (name) => name.replace(/^[A-G]|\d+$/g, "");

/** Where a string begins at the neck and ends at the board: the neck curves, the board rises towards the short strings. */
function ends(index, count) {
  const share = index / Math.max(1, count - 1);
  return { from: top + 14 * share + 7 * Math.sin(Math.PI * share), to: height - 28 - 26 * share };
}

/** `sign` is what stands at the string ("♯"), `lever` whether a lever does it. */
function drawString(string, index, count, { x, step, hold, sign, lever }) {
  const { from, to } = ends(index, count);
  const kind = letter(string.name) === "C" ? "c" : letter(string.name) === "F" ? "f" : "other";
  /** @type {SVGElement[]} */
  const parts = [svg("line", { class: `string ${kind}${hold ? " held" : ""}`, x1: x, x2: x, y1: from, y2: to }),
    svg("text", { class: `letter ${kind}`, x, y: height - 13, "text-anchor": "middle" }, letter(string.name))];
  if (letter(string.name) === "C") parts.push(svg("text", { class: "octave", x, y: height - 2, "text-anchor": "middle" }, string.name.replace(/^\D+/, "")));
  if (sign && lever) parts.push(svg("path", { class: "lever", d: `M${x - 6} ${from - 1}L${x + 6} ${from - 6}` }));
  if (sign) parts.push(svg("text", { class: "lever-sign", x, y: from - 8, "text-anchor": "middle" }, sign));
  if (hold) {
    const y = (from + to) / 2 + 3;
    parts.push(svg("circle", { class: `finger ${hold.hand}`, cx: x, cy: y, r: Math.min(11, step / 2) }), svg("text", { class: "finger-number", x, y: y + 5, "text-anchor": "middle" }, hold.finger ?? "·"));
  }
  return parts;
}

/** Levers that are up now, by string ("F4") and by letter ("F"): what the string then sounds, as a sign. */
function leversNow(levers) {
  const up = new Map();
  for (const name of levers) up.set(plainName(name), accidental(name));
  return up;
}

/** `wide` is the room there is, in the screen's units: strings stand closer where there are many, and never too close to read. */
function draw({ strings, shoulder, pedals }, hand, levers, wide) {
  const count = strings.length;
  const step = Math.max(least, Math.min(most, wide / (count + 0.4)));
  const turned = shoulder === "left";
  const up = leversNow(levers);
  const holds = new Map((hand?.left ?? []).map((one) => [one.string, { hand: "left", finger: one.finger }]));
  // A pedal in its middle place needs no sign at every string.
  const signOf = ({ name }) => { const sign = up.get(name) ?? up.get(letter(name)); return pedals && sign === "♮" ? undefined : sign; };
  const picture = svg("svg", { viewBox: `0 0 ${Math.round((count + 0.4) * step)} ${height}`, width: Math.round((count + 0.4) * step), height, class: "strings-svg", role: "img", "aria-label": spoken(hand, levers, pedals) });
  strings.forEach((string, index) => {
    const place = turned ? count - 1 - index : index;
    picture.append(...drawString(string, index, count, {
      x: Math.round((place + 0.7) * step), step, hold: holds.get(string.name), sign: signOf(string), lever: string.lever }));
  });
  return picture;
}

function spoken(hand, levers, pedals) {
  const left = (hand?.left ?? []).map((one) => `${stringSpoken(one.pitch)}${one.finger ? ` finger ${one.finger}` : ""}`).join(", ");
  return `Your strings. Left hand: ${left || "nothing here"}. ${standWords(levers.map(stringSpoken), pedals)}.`;
}

function standWords(levers, pedals) {
  if (pedals) return `Pedals: ${levers.join(" ")}`;
  return levers.length ? `Levers up: ${levers.join(" ")}` : "No levers up";
}

const momentWords = (hand) => hand.left.map((one) => `${one.pitch}${one.finger ? ` (finger ${one.finger})` : ""}`).join(", ");

/** Draws the strings for the chosen moment, with steps from pluck to pluck of the left hand. */
export function stringsPicture(/** @type {Worktable} */ worktable) {
  const room = el("div", { class: "strings-room" });
  const node = el("section", { class: "strings", "aria-label": "Picture of the strings" }, room);
  let strings = null, about = "", wide = 0;
  const plucked = () => (worktable.measure?.hands ?? []).map((hand, index) => ({ hand, index })).filter(({ hand }) => hand.left?.length);
  function show() {
    if (!strings || !worktable.measure) return;
    const list = plucked();
    const here = list.findIndex(({ index }) => index === worktable.moment);
    const { measure, hand } = worktable.sounding ?? { measure: worktable.measure, hand: list[here]?.hand };
    const go = (by) => { const next = list[here + by]; if (next) worktable.chooseMoment(next.index); };
    room.classList.toggle("with-pedals", Boolean(strings.pedals));
    refill(room,
      el("div", { class: "row strings-head" },
        el("p", {}, hand ? [el("span", { class: "hint" }, `Left hand ${placeWords(hand.at, worktable.meter())}: `), el("strong", {}, momentWords(hand))] : "The left hand rests here."),
        el("p", { class: "hint levers-now" }, standWords(measure.levers, strings.pedals))),
      strings.pedals && pedalPicture(measure.levers),
      el("div", { class: "strings-steps" },
        button("‹", () => go(-1), { "aria-label": "Pluck before", "data-key": "pluck-before", "aria-disabled": String(here <= 0) }),
        button("›", () => go(1), { "aria-label": "Next pluck", "data-key": "pluck-next", "aria-disabled": String(here < 0 || here >= list.length - 1) })),
      el("div", { class: "strings-scroll", tabindex: "0", role: "group", "aria-label": "Strings" }, draw(strings, hand, measure.levers, room.clientWidth - 56 - (strings.pedals ? 136 : 0))));
    const scroll = one(room, ".strings-scroll"), finger = room.querySelector(".finger");
    if (scroll && finger) scroll.scrollLeft = Number(finger.getAttribute("cx")) - scroll.clientWidth / 2;
  }
  async function read() {
    const now = JSON.stringify([worktable.tune.choices.harp, worktable.tune.choices.player?.shoulder]);
    if (now === about) return;
    about = now;
    strings = (await trying(() => get(at(worktable.id, "/strings")))) ?? strings;
    show();
  }
  worktable.on("tune", read);
  worktable.on("measure", show);
  worktable.on("moment", show);
  new ResizeObserver(() => { if (room.clientWidth !== wide) { wide = room.clientWidth; show(); } }).observe(room);
  return node;
}
