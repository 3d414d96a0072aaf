// A measure in words, for reading and for a screen reader.

/** "G major chord" and the like are the engine's; here a figure's name loses its dashes, but for those of 1-5-8. */
export const figureWords = (name) => (name ?? "").replace(/(?<!\d)-|-(?!\d)/g, " ");

/** What her own harps are called in their files, by file. */
const ownNames = new Map();
export const nameHarps = (names) => { for (const [file, name] of Object.entries(names ?? {})) ownNames.set(file, name); };

/** A harp's name as it is said: "lever-34" is a lever harp with 34 strings; her own names stay. */
export function harpWords(harp) {
  if (ownNames.has(harp)) return ownNames.get(harp);
  const [, name, tuning, rest] = /^(\S+)(?: in (\S+))?( with .*)?$/.exec(harp ?? "") ?? [null, harp ?? "", "", ""];
  const [, kind, count, more] = /^(lever|pedal)-(\d+)(?:-(.+))?$/.exec(name) ?? [];
  const words = kind ? `${kind} harp with ${count} strings${more === "full" ? ", a lever on each" : more ? `, ${more.replaceAll("-", " ")}` : ""}` : name.replace(/\.toml$/, "").replaceAll("-", " ");
  return `${words}${tuning ? `, tuned in ${tuningWords(tuning)}` : ""}${rest ? `, levers on ${rest.slice(6)}` : ""}`;
}

/** "B-flat" becomes "B♭". */
export const tuningWords = (tuning) => tuning.replace("-flat", "♭").replace("-sharp", "♯");

/** A number of a measure as printed: the pickup has none. */
export const measureName = (number) => {
  const [part, count] = String(number).split(" ");
  if (count === undefined) return Number(number) === 0 ? "Pickup" : `Measure ${number}`;
  return `${part[0].toUpperCase()}${part.slice(1)}, ${count === "0" ? "pickup" : `measure ${count}`}`;
};
/** Whether a measure is a pickup: of the tune, or of a part that was added to it. */
export const isPickup = (number) => /(^| )0$/.test(String(number));

const parts = { 250: "¼", 333: "⅓", 500: "½", 667: "⅔", 750: "¾" };

/** Length of a beat in quarter notes: three eighths in 6/8, 9/8 and 12/8. */
function beatOf(meter) {
  const [over, under] = (/(\d+)\/(\d+)/.exec(meter ?? "")?.slice(1) ?? [4, 4]).map(Number);
  return over > 3 && over % 3 === 0 && under >= 8 ? 12 / under : 4 / under;
}

/** A place in the measure, given in quarter notes from its start, in words: "on beat 2½". */
export function placeWords(at, meter) {
  const beat = 1 + at / beatOf(meter), whole = Math.floor(beat + 1e-6);
  const part = Math.round((beat - whole) * 1000);
  return `on beat ${whole}${part > 0 ? parts[part] ?? ` and ${part / 1000}` : ""}`;
}

/** One sentence for the live region. */
export function spokenMeasure(measure) {
  const parts = (measure.decisions ?? []).map((d) => [chordWords(d.chord), figureWords(d.figure), d.held ? "held" : ""].filter(Boolean).join(", "));
  return `${measureName(measure.number)}: ${parts.join("; ") || "no left hand"}`;
}

const signs = { "#": "♯", b: "♭", n: "♮" };

/** A string's name as written: F#3 becomes F♯3. */
export const stringWords = (name) => (name ?? "").replace(/^([A-G])(#|b|n)/, (_, letter, sign) => letter + signs[sign]);

/** A chord as printed: "F#m7/C#" becomes "F♯m7/C♯". */
export const chordWords = (chord) => (chord ?? "").replace(/\b([A-G])([#b])/g, (_, letter, sign) => letter + signs[sign]);

/** How a string's name is read aloud. */
export const stringSpoken = (name) => stringWords(name).replace("♯", " sharp ").replace("♭", " flat ").replace("♮", " natural ");

/** A key's name as written: "Bb dorian" becomes "B♭ dorian". */
export const keyWords = (name) => stringWords(name).replace(/^([A-G])♮/, "$1");

/** A tune's title, with the version that is looked at where there are several. */
export const titleWords = ({ title, version, versions }) => (versions.length > 1 ? `${title} (${version})` : title);
/** The version that an address names after the tune and a colon; null for the first. */
export const versionOf = (id) => (id.includes(":") ? id.slice(id.indexOf(":") + 1) : null);
