// The loop: beats that are played again and again, chosen by dragging over the music or with the arrow keys. Always whole beats of the meter; a pickup counts.

import { svg } from "./dom.js";
import { along, boxIn } from "./page-places.js";
import { momentsOf } from "./timeline.js";
import { speak } from "./say.js";
import { measureName } from "./words.js";

/** Gives `practice` its loop: setLoop, loopMeasures, loopPlaces, light, and what the pointer and the keys do on `sheet`. */
export function loopOver(practice, sheet) {
  const boxes = new WeakMap();
  const group = (measure) => sheet.querySelector(`g.measure#${CSS.escape(`m${measure}`)}`);
  const beats = () => practice.sound?.beats ?? [];
  /** The beats of a measure when it is played for the first time, as indices. */
  const beatsOf = (measure) => {
    const first = beats().findIndex((beat) => beat.measure === measure);
    if (first < 0) return [];
    const all = [];
    for (let i = first; i < beats().length && beats()[i].measure === measure && beats()[i].pass === beats()[first].pass; i++) all.push(i);
    return all;
  };
  const passOf = (index) => practice.passes[beats()[index].pass];
  const shareOf = (index) => { const pass = passOf(index); return (beats()[index].t - pass.from) / (pass.to - pass.from); };
  /** Where a beat begins and ends in its measure, in the page's units. */
  function ends(index) {
    const beat = beats()[index], measure = group(beat.measure), pass = passOf(index);
    if (!measure) return null;
    const moments = momentsOf(practice.sound, pass), next = beats()[index + 1];
    const box = boxes.get(measure) ?? measure.getBBox();
    // A measure is as large as it is drawn: what is laid over it later does not count.
    boxes.set(measure, box);
    const from = shareOf(index) < 1e-6 ? box.x : along(measure, shareOf(index), moments) - 160;
    const to = next && next.pass === beat.pass ? along(measure, shareOf(index + 1), moments) - 160 : box.x + box.width;
    return { measure, box, from, to };
  }
  function draw() {
    for (const old of sheet.querySelectorAll(".loop-mark")) old.remove();
    if (!practice.loop) return;
    for (let i = practice.loop.from; i <= practice.loop.to; i++) {
      const place = ends(i);
      if (!place) continue;
      const { measure, box, from, to } = place;
      measure.prepend(svg("rect", { class: "loop-mark", x: Math.round(from), width: Math.max(1, Math.round(to - from)), y: Math.round(box.y - 120), height: Math.round(box.height + 240) }));
    }
  }
  /** The latest playing of a beat that comes before another: a loop never runs through a repeat that she did not point at. */
  const before = (from, to) => {
    const { measure, at } = beats()[from];
    for (let i = to; i >= 0; i--) if (beats()[i].measure === measure && Math.abs(beats()[i].at - at) < 1e-6) return i;
    return from;
  };
  function words() {
    if (!practice.loop) return "all of it";
    const name = (index) => `${measureName(practice.page?.measures[beats()[index].measure]?.number ?? "").toLowerCase()}, beat ${beatsOf(beats()[index].measure).findIndex((i) => Math.abs(beats()[i].at - beats()[index].at) < 1e-6) + 1}`;
    return practice.loop.from === practice.loop.to ? name(practice.loop.from) : `from ${name(practice.loop.from)} to ${name(practice.loop.to)}`;
  }
  practice.loopWords = words;
  practice.setLoop = (loop, aloud) => {
    practice.loop = loop && { from: before(Math.min(loop.from, loop.to), Math.max(loop.from, loop.to)), to: Math.max(loop.from, loop.to) };
    draw();
    practice.say("loop");
    if (aloud) speak(words());
  };
  practice.loopMeasures = (first, last) => whenHeard(() => {
    const [one, end] = [beatsOf(first), beatsOf(last)];
    if (one.length && end.length) { practice.setLoop({ from: one[0], to: end.at(-1) }); showLoop(); }
  });
  practice.loopPlaces = (from, to) => whenHeard(() => {
    const find = ({ measure, at }) => beatsOf(measure).find((i) => Math.abs(beats()[i].at - at) < 1e-3) ?? beatsOf(measure)[0];
    const [one, end] = [find(from), find(to)];
    if (one !== undefined && end !== undefined) { practice.setLoop({ from: one, to: end }); showLoop(); }
  });
  /** In the middle of the sheet, so that both hands are seen whatever stands above and below it. */
  const showLoop = () => {
    const measure = group(beats()[practice.loop.from].measure);
    if (!measure) return;
    const [box, room] = [measure, sheet].map((one) => one.getBoundingClientRect());
    sheet.scrollTop += box.top + box.height / 2 - room.top - room.height / 2;
    measure.scrollIntoView({ block: "nearest" });
  };
  /** The beats come with the sound, a little after the page. */
  let waiting = null;
  const whenHeard = (act) => { if (beats().length) act(); else waiting = act; };
  practice.heard = () => { draw(); const act = waiting; waiting = null; act?.(); };
  /** Lights measures up: where a figure begins, where a way out leads. */
  practice.light = (measures) => {
    for (const old of sheet.querySelectorAll(".lit-mark")) old.remove();
    for (const index of measures) {
      const measure = group(index);
      if (!measure) continue;
      const rect = svg("rect", { class: "lit-mark", rx: "150" });
      boxIn(measure, rect);
      measure.prepend(rect);
    }
  };
  /** The beat under a point. */
  function under(x, y) {
    let best = null;
    for (const measure of sheet.querySelectorAll("g.measure")) {
      const box = measure.getBoundingClientRect();
      const far = Math.max(0, box.left - x, x - box.right) + 3 * Math.max(0, box.top - y, y - box.bottom);
      if (!best || far < best.far) best = { far, measure };
    }
    if (!best || best.far > 120) return null;
    const { measure } = best, all = beatsOf(Number(measure.id.slice(1)));
    const seat = measure.getScreenCTM();
    const left = (index) => { const place = ends(index); return place ? place.from * seat.a + seat.e : -Infinity; };
    return all.findLast((index) => left(index) <= x) ?? all[0] ?? null;
  }
  let drag = null;
  sheet.addEventListener("pointerdown", (event) => {
    if (event.button !== 0 || !beats().length) return;
    const beat = under(event.clientX, event.clientY);
    if (beat === null) return;
    drag = { from: beat, x: event.clientX, y: event.clientY, moved: false };
    sheet.setPointerCapture?.(event.pointerId);
  });
  sheet.addEventListener("pointermove", (event) => {
    if (!drag) return;
    drag.moved ||= Math.hypot(event.clientX - drag.x, event.clientY - drag.y) > 6;
    const beat = drag.moved ? under(event.clientX, event.clientY) : null;
    if (beat !== null && beat !== drag.to) { drag.to = beat; practice.setLoop({ from: drag.from, to: beat }); }
  });
  const done = () => { if (drag?.moved) speak(words()); drag = null; };
  sheet.addEventListener("pointerup", done);
  sheet.addEventListener("pointercancel", done);
  sheet.addEventListener("keydown", (event) => {
    if (event.target !== sheet || event.ctrlKey || event.metaKey || event.altKey) return;
    const by = { ArrowRight: 1, ArrowLeft: -1 }[event.key];
    const last = beats().length - 1;
    const within = (index) => Math.max(0, Math.min(last, index));
    if (event.key === " ") practice.bar.playPause();
    else if (event.key === "Enter" && practice.answers) practice.answers.answer();
    else if (event.key === "Escape" && practice.loop) practice.setLoop(null, "said");
    else if (by && beats().length && event.shiftKey) practice.setLoop(practice.loop ? { from: practice.loop.from, to: Math.max(practice.loop.from, within(practice.loop.to + by)) } : { from: 0, to: 0 }, "said");
    else if (by && beats().length) { const now = practice.loop ? within((by > 0 ? practice.loop.to : practice.loop.from) + by) : 0; practice.setLoop({ from: now, to: now }, "said"); }
    else return;
    event.preventDefault();
  });
}
