// Where things stand on the drawn page: measures on the screen, notes in time, and the marker that moves along them.

import { svg } from "./dom.js";

/** On-screen boxes of all measures: Map of index to { left, right, top, bottom }. */
export function measureBoxes(room) {
  const boxes = new Map();
  for (const measure of room.querySelectorAll("g.measure")) {
    const box = measure.getBoundingClientRect();
    boxes.set(Number(measure.id.slice(1)), { left: box.left, right: box.right, top: box.top, bottom: box.bottom });
  }
  return boxes;
}

/** Lays `rect` over a measure, in the page's own units. */
export function boxIn(measure, rect) {
  const box = measure.getBBox();
  const room = 90;
  const set = { x: box.x - room, y: box.y - room, width: box.width + 2 * room, height: box.height + 2 * room };
  for (const [name, value] of Object.entries(set)) rect.setAttribute(name, Math.round(value));
}

/** Where the notes of a measure stand, left to right, in the page's units; notes of one moment count once. */
function columns(measure) {
  const found = [...measure.querySelectorAll(".note")].map((note) => { const box = note.getBBox(); return box.x + box.width / 2; }).sort((a, b) => a - b);
  return found.filter((x, index) => index === 0 || x - found[index - 1] > 180);
}

const known = new WeakMap();

/** x for a share (0 to 1) of the measure's time, in the page's units; exact when its moments and columns agree in number. */
export function along(measure, share, moments) {
  const box = known.get(measure) ?? { whole: measure.getBBox(), columns: columns(measure) };
  known.set(measure, box);
  const right = box.whole.x + box.whole.width;
  const start = box.columns[0] ?? box.whole.x;
  if (moments.length !== box.columns.length || !moments.length) return start + (right - start) * share;
  const last = moments.findLastIndex((moment) => moment <= share + 1e-6);
  if (last < 0) return start;
  const [from, to] = [moments[last], moments[last + 1] ?? 1];
  const [x, next] = [box.columns[last], box.columns[last + 1] ?? right];
  return x + (next - x) * Math.min(1, (share - from) / Math.max(1e-6, to - from));
}

/** Makes the marker of a room: call it with { measure, share, moments } to move it, with null to take it away. */
export function marker(room) {
  const line = svg("line", { class: "marker" });
  let shown = -1;
  return (place) => {
    const measure = place && room.querySelector(`g.measure#${CSS.escape(`m${place.measure}`)}`);
    if (!measure) { line.remove(); shown = -1; return; }
    const x = along(measure, place.share, place.moments);
    const { whole } = known.get(measure);
    for (const [name, value] of [["x1", x], ["x2", x], ["y1", whole.y - 100], ["y2", whole.y + whole.height + 100]]) line.setAttribute(name, String(Math.round(value)));
    if (line.parentNode !== measure) measure.append(line);
    if (shown !== place.measure) { shown = place.measure; measure.scrollIntoView({ block: "nearest" }); }
  };
}
