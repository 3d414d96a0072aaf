// A small picture of a shape on the strings: upright strings, the low ones at the left, a ring with a finger for each that is plucked, from above in the order of the
// counts. The same picture stands on the cue sheet.

import { el, svg } from "./dom.js";

const step = 17, row = 22, top = 12, side = 34;

/** `dark`: the strings alone, for finding the shape. */
export function shapePicture(shape, { dark = false } = {}) {
  const width = side + shape.strings.length * step + 8, height = top + Math.max(1, shape.plucks.length) * row + 26;
  const low = shape.strings[0].position;
  const x = (position) => side + (position - low) * step, y = (index) => top + (index + 0.5) * row, end = height - 24;
  const said = shape.plucks.map(({ touches }) => touches.map((t) => `${t.name}${t.finger ? ` finger ${t.finger}` : ""}`).join(" and ")).join(", then ");
  const picture = svg("svg", { class: "shape-picture", viewBox: `0 0 ${width} ${height}`, width, height, role: "img", "aria-label": dark ? `${shape.strings.length} strings, nothing shown yet` : `On ${shape.chord}: ${said}` });
  for (const { position, letter } of shape.strings) {
    picture.append(svg("line", { class: `shape-string ${letter === "C" ? "c" : letter === "F" ? "f" : ""}`, x1: x(position), x2: x(position), y1: top - 6, y2: end }));
  }
  if (dark) return picture;
  const named = new Map();
  shape.plucks.forEach(({ beat, touches }, index) => {
    picture.append(svg("text", { class: "shape-count", x: 12, y: y(index) + 5, "text-anchor": "middle" }, beat ? String(beat) : "+"));
    for (const touch of touches) {
      named.set(touch.position, touch.name);
      picture.append(svg("circle", { class: "shape-ring", cx: x(touch.position), cy: y(index), r: 8.2 }),
        svg("text", { class: "shape-finger", x: x(touch.position), y: y(index) + 4.5, "text-anchor": "middle" }, touch.finger ? String(touch.finger) : ""));
    }
  });
  [...named].forEach(([position, name]) => picture.append(svg("text", { class: "shape-name", x: x(position), y: height - 8, "text-anchor": "middle" }, name.replace(/\d+$/, ""))));
  return picture;
}

/** A picture under the symbol of its chord. */
export const shapeFigure = (shape, how) => el("figure", { class: "shape" }, el("figcaption", {}, shape.chord), el("div", { class: "shape-scroll" }, shapePicture(shape, how)));
