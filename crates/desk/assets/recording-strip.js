// The measures of a tune along its recording: a press plays from there, a first beat can be dragged or moved by the arrow keys, the marker runs along.

import { all, el } from "./dom.js";
import { measureName } from "./words.js";

const perSecond = 28, settle = 700;

/** "1:02.3". */
export function clock(seconds) {
  const tenths = Math.round(Math.max(0, seconds) * 10);
  return `${Math.floor(tenths / 600)}:${String(Math.floor(tenths / 10) % 60).padStart(2, "0")}.${tenths % 10}`;
}

const doubts = { no: "not sure", given: "given by you", yes: "" };

/** `play(pass)` plays from a measure; `give(pass, seconds)` hears where she has put its first beat. Gives { node, draw(passes, length, focused), show(second) }. */
export function recordingStrip({ play, give }) {
  const line = el("div", { class: "strip-line" }), now = el("div", { class: "strip-now", "aria-hidden": "true" });
  const node = el("div", { class: "strip", role: "group", "aria-label": "The measures along the recording" }, line);
  let list = [], timer = 0, scrolled = 0;

  function handle(pass, index) {
    let at = pass.beats[0][1];
    const low = () => (list[index - 1]?.beats[0][1] ?? 0) + 0.1, high = () => Math.max(low(), pass.end - 0.1);
    const grip = el("div", { class: `strip-grip ${pass.sure}`, role: "slider", tabindex: index === 0 ? "0" : "-1", "aria-label": `First beat of ${measureName(pass.number).toLowerCase()}`, "aria-orientation": "horizontal", "data-grip": String(index) });
    const show = () => {
      grip.style.setProperty("--at", `${at * perSecond}px`);
      grip.setAttribute("aria-valuemin", low().toFixed(2));
      grip.setAttribute("aria-valuemax", high().toFixed(2));
      grip.setAttribute("aria-valuenow", at.toFixed(2));
      grip.setAttribute("aria-valuetext", [clock(at), doubts[pass.sure]].filter(Boolean).join(", "));
    };
    const put = (to) => { at = Math.min(high(), Math.max(low(), to)); show(); };
    grip.addEventListener("pointerdown", (event) => {
      event.preventDefault();
      grip.focus();
      grip.setPointerCapture(event.pointerId);
      const [from, was] = [event.clientX, at];
      const drag = (move) => put(was + (move.clientX - from) / perSecond);
      const drop = () => { grip.removeEventListener("pointermove", drag); if (Math.abs(at - was) > 0.01) give(pass, at); };
      grip.addEventListener("pointermove", drag);
      grip.addEventListener("pointerup", drop, { once: true });
      grip.addEventListener("pointercancel", () => { grip.removeEventListener("pointermove", drag); put(was); }, { once: true });
    });
    grip.addEventListener("keydown", (event) => {
      const step = { ArrowRight: 0.02, ArrowLeft: -0.02, PageUp: 0.2, PageDown: -0.2 }[event.key];
      const go = { ArrowDown: 1, ArrowUp: -1 }[event.key];
      if (go) { event.preventDefault(); rove(index + go); return; }
      if (event.key === "Enter") { event.preventDefault(); play(pass); return; }
      if (!step) return;
      event.preventDefault();
      event.stopPropagation();
      put(at + step);
      clearTimeout(timer);
      timer = setTimeout(() => give(pass, at), settle);
    });
    show();
    return grip;
  }
  function rove(to) {
    const grips = all(line, ".strip-grip");
    const next = grips[Math.min(grips.length - 1, Math.max(0, to))];
    grips.forEach((grip) => { grip.tabIndex = grip === next ? 0 : -1; });
    next?.focus();
  }
  return {
    node,
    /** `focused` is the grip that had the focus before what is around was drawn anew. */
    draw(passes, length, focused) {
      clearTimeout(timer);
      list = passes;
      line.style.setProperty("--long", `${Math.max(length, passes.at(-1)?.end ?? 0) * perSecond}px`);
      line.replaceChildren(...passes.flatMap((pass, index) => {
        const [from, to] = [pass.beats[0][1], pass.end];
        const name = `${measureName(pass.number)} at ${clock(from)}${doubts[pass.sure] ? `, ${doubts[pass.sure]}` : ""}: play from here`;
        const block = el("button", { type: "button", class: `strip-measure ${pass.sure}`, tabindex: "-1", "aria-label": name, title: name, onclick: () => play(pass) },
          Number(pass.number) === 0 ? "–" : String(pass.number), pass.sure === "no" ? " ?" : pass.sure === "given" ? " ✓" : "");
        block.style.setProperty("--at", `${from * perSecond}px`);
        block.style.setProperty("--wide", `${(to - from) * perSecond}px`);
        return [block, handle(pass, index)];
      }), now);
      if (focused !== undefined) rove(Number(focused));
    },
    show(second) {
      now.style.setProperty("--at", `${second * perSecond}px`);
      const x = second * perSecond, room = node.clientWidth;
      if (performance.now() - scrolled > 250 && (x < node.scrollLeft + 20 || x > node.scrollLeft + room - 60)) { scrolled = performance.now(); node.scrollLeft = Math.max(0, x - 60); }
    },
  };
}
