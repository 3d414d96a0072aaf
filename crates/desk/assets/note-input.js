// Notes put into the text by touching strings of a picture, or by a MIDI keyboard if one is there; and typed notes heard. The text is what is kept.

import { all, el, svg, button, field, focused, select, tick } from "./dom.js";
import { speak } from "./say.js";
import { noteAt, pitchOf, stringPitch, typedAt } from "./abc-notes.js";
import { hearTyping, pluckOnce, typingHeard } from "./note-ear.js";

/** C3 to A6: what most tunes lie in. */
const names = Array.from({ length: 27 }, (_, i) => `${"CDEFGAB"[i % 7]}${3 + Math.floor(i / 7)}`);
const step = 24, high = 96;
const lengths = [["/2", "half of it"], ["", "as one letter"], ["3/2", "one and a half"], ["2", "twice"], ["3", "three times"], ["4", "four times"]];

/** The strings to touch: one button each, so that keys and screen readers have them too. */
function picture(put) {
  const one = (name, index) => {
    const kind = name[0] === "C" ? "c" : name[0] === "F" ? "f" : "other";
    return el("button", { type: "button", class: `touch-string ${kind}`, "aria-label": `String ${name}`, "data-key": `string-${name}`, tabindex: index === 0 ? "0" : "-1", onclick: () => put(name) },
      svg("svg", { viewBox: `0 0 ${step} ${high}`, width: step, height: high, "aria-hidden": "true" }, svg("line", { class: `string ${kind}`, x1: step / 2, x2: step / 2, y1: 4 + index, y2: high - 18 }),
        svg("text", { class: `letter ${kind}`, x: step / 2, y: high - 4, "text-anchor": "middle" }, name[0])));
  };
  const node = el("div", { class: "touch-strings", role: "group", "aria-label": "Strings to touch, the lowest on the left; arrow keys go from string to string", onkeydown: (event) => {
    const by = { ArrowRight: 1, ArrowLeft: -1 }[event.key];
    const strings = all(node, "button"), next = strings[strings.findIndex((string) => string === focused()) + by];
    if (!by || !next) return;
    event.preventDefault();
    strings.forEach((string) => { string.tabIndex = string === next ? 0 : -1; });
    next.focus();
  } }, names.map(one));
  return node;
}

/** Asks for a MIDI keyboard; `pressed(number)` hears its keys. Gives what ends it. */
async function listenToKeys(pressed, said) {
  const access = await navigator.requestMIDIAccess();
  const heard = ({ data }) => { if ((data[0] & 0xf0) === 0x90 && data[2] > 0) pressed(data[1]); };
  const join = () => {
    const inputs = [...access.inputs.values()];
    for (const input of inputs) input.onmidimessage = heard;
    said(inputs.length ? `Listening to ${inputs.map(({ name }) => name || "a keyboard").join(", ")}.` : "No keyboard is there yet: plug one in.");
  };
  access.onstatechange = join;
  join();
  return () => { access.onstatechange = null; for (const input of access.inputs.values()) input.onmidimessage = null; };
}

/** `text` is { text(), caret(), insert(words) }. Gives { node, typed(event), close }. */
export function noteInput(text) {
  let length = "", end = null;
  const put = (pitch) => {
    text.insert(typedAt(text.text(), text.caret(), pitch) + length);
    pluckOnce(pitch);
    speak(pitch.replace("#", " sharp ").replace("b", " flat "));
  };
  const said = el("p", { class: "hint", role: "status" });
  const keyboard = "requestMIDIAccess" in navigator && button("Use a MIDI keyboard", async () => {
    try {
      end?.();
      end = await listenToKeys((number) => put(pitchOf(text.text(), text.caret(), number)), (words) => { said.textContent = words; });
    } catch { said.textContent = "The browser does not let this page hear a keyboard: allow MIDI for this address."; }
  }, { "data-key": "midi" });
  const node = el("details", { class: "note-input" }, el("summary", { "data-key": "note-input" }, "Put notes in by string or keyboard"),
    el("div", { class: "row low" }, field("Each note lasts", select(lengths, "", (to) => { length = to; }, { "data-key": "note-lasts" })), button("Bar line", () => text.insert("|")), button("Rest", () => text.insert(`z${length}`)), keyboard),
    said, picture((name) => put(stringPitch(text.text(), text.caret(), name))),
    el("p", { class: "hint" }, "A note comes where the cursor stands in the text, in the tune's key. A sharp or flat of its own is typed before it: ^ or _."));
  const heard = tick("Hear each note as it is typed", typingHeard(), hearTyping, { "data-key": "typing-heard" });
  /** Something was typed: a note is heard. */
  const typed = (event) => {
    if (!typingHeard() || !event.inputType?.startsWith("insert") || (event.data ?? "").length !== 1 || !/[A-Ga-g,']/.test(event.data)) return;
    const note = noteAt(text.text(), text.caret());
    if (note) pluckOnce(note);
  };
  return { node: el("div", {}, heard, node), typed, close: () => end?.() };
}
