// A measure in words, for reading and for a screen reader.

/** "G major chord" and the like are the engine's; here a figure's name loses its dashes. */
export const figureWords = (name) => (name ?? "").replaceAll("-", " ");

/** A number of a measure as printed: the pickup has none. */
export const measureName = (number) => (Number(number) === 0 ? "Pickup" : `Measure ${number}`);

const parts = { 0.25: "¼", 0.5: "½", 0.75: "¾" };

/** A place in the measure, given in quarter notes from its start, in words. */
export function placeWords(at) {
  if (!at) return "at the start";
  const whole = Math.floor(at), part = parts[at - whole] ?? (at > whole ? `.${String(at).split(".")[1].slice(0, 2)}` : "");
  return `after ${whole || ""}${part || (whole ? "" : "0")} ${at === 1 ? "quarter note" : at < 1 ? "of a quarter note" : "quarter notes"}`;
}

/** One sentence for the live region. */
export function spokenMeasure(measure) {
  const parts = (measure.decisions ?? []).map((d) => [d.chord, figureWords(d.figure), d.pinned ? "pinned" : ""].filter(Boolean).join(", "));
  return `${measureName(measure.number)}: ${parts.join("; ") || "no left hand"}`;
}

const signs = { "#": "♯", b: "♭", n: "♮" };

/** A string's name as written: F#3 becomes F♯3. */
export const stringWords = (name) => (name ?? "").replace(/^([A-G])(#|b|n)/, (_, letter, sign) => letter + signs[sign]);

/** How a string's name is read aloud. */
export const stringSpoken = (name) => stringWords(name).replace("♯", " sharp ").replace("♭", " flat ").replace("♮", " natural ");

/** What another way costs, in words beside the number. */
export function costWords(extra) {
  if (extra <= 0) return "as good";
  if (extra < 150) return "nearly as good";
  if (extra < 700) return "a little worse";
  if (extra < 1900) return "worse";
  return "much worse";
}
