// Builds elements: the one place that turns names, attributes and children into nodes. Never sets markup from text.

import { handBack, held, openList, whenClosed } from "./in-hand.js";

const SVG = "http://www.w3.org/2000/svg";

function fill(node, attributes, children) {
  for (const [name, value] of Object.entries(attributes ?? {})) {
    if (value === null || value === undefined || value === false) continue;
    if (name.startsWith("on")) node.addEventListener(name.slice(2), value);
    else if (name === "value" || name === "checked" || name === "disabled") node[name] = value;
    else node.setAttribute(name, value === true ? "" : value);
  }
  node.append(...children.flat(2).filter((child) => child !== null && child !== undefined && child !== false));
  return node;
}

/**
 * An HTML element; attributes that begin with "on" are listeners.
 * @template {keyof HTMLElementTagNameMap} Name
 * @param {Name} name
 * @param {Attributes} [attributes]
 * @param {...any} children
 * @returns {HTMLElementTagNameMap[Name]}
 */
export const el = (name, attributes, ...children) => fill(document.createElement(name), attributes, children);

/**
 * An SVG element.
 * @template {keyof SVGElementTagNameMap} Name
 * @param {Name} name
 * @param {Attributes} [attributes]
 * @param {...any} children
 * @returns {SVGElementTagNameMap[Name]}
 */
export const svg = (name, attributes, ...children) => /** @type {any} */ (fill(document.createElementNS(SVG, name), attributes, children));

/**
 * A button that says what it does.
 * @param {any} text
 * @param {((event: MouseEvent) => any) | null | false} onclick
 * @param {Attributes} [attributes]
 */
export const button = (text, onclick, attributes) => el("button", { type: "button", onclick, ...attributes }, text);

/**
 * A field with its name above it.
 * @param {any} name
 * @param {Node} control
 * @param {any} [extra]
 */
export const field = (name, control, extra) => el("label", { class: "field" }, el("span", {}, name), control, extra);

/**
 * A box to tick, with its name beside it.
 * @param {any} name
 * @param {boolean} checked
 * @param {(checked: boolean) => any} onchange
 * @param {Attributes} [attributes]
 */
export function tick(name, checked, onchange, attributes) {
  const box = el("input", { type: "checkbox", checked, onchange: () => onchange(box.checked), ...attributes });
  return el("label", { class: "tick" }, box, name);
}

/**
 * A list to choose one of; `options` are [value, text].
 * @param {(string | number)[][]} options
 * @param {string} value
 * @param {(value: string) => any} onchange
 * @param {Attributes} [attributes]
 */
export function select(options, value, onchange, attributes) {
  const list = el("select", { onchange: () => onchange(list.value), ...attributes },
    options.map(([key, text]) => el("option", { value: key }, text)));
  list.value = value;
  return list;
}

/** An element that the document always has. */
export const always = (/** @type {string} */ id) => /** @type {HTMLElement} */ (document.getElementById(id));

/** What has the focus. */
export const focused = () => /** @type {HTMLElement | null} */ (document.activeElement);

/**
 * The first element of the page below `node` that fits.
 * @param {ParentNode} node
 * @param {string} which
 * @returns {HTMLElement | null}
 */
export const one = (node, which) => node.querySelector(which);

/**
 * All elements of the page below `node` that fit.
 * @param {ParentNode} node
 * @param {string} which
 * @returns {HTMLElement[]}
 */
export const all = (node, which) => [...node.querySelectorAll(which)].map((found) => /** @type {HTMLElement} */ (found));

/** What an event of the page came from. */
export const targetOf = (/** @type {Event} */ event) => /** @type {HTMLElement} */ (event.target);

/** @type {WeakMap<HTMLElement, any[]>} */
const waiting = new WeakMap();

/** Puts new children where the old ones were, and keeps the focus on the control with the same data-key, and what is half typed in it; a part with data-stays that is open stays so. A list that stands open is not drawn anew under her hand: what
 * was to be drawn then waits until it is closed. */
export function refill(node, ...children) {
  const list = openList(node);
  if (list) {
    if (!waiting.has(node)) whenClosed(list, () => { const last = waiting.get(node); if (last) { place(node, last, true); } });
    waiting.set(node, children);
  } else place(node, children, false);
}

/** `chosen`: what she has chosen in the list she closed is still under way. */
function place(node, children, chosen) {
  waiting.delete(node);
  const was = node.contains(document.activeElement) ? focused() : null, key = was?.dataset.key;
  const hand = was && (chosen || !(was instanceof HTMLSelectElement)) ? held(was) : null;
  const open = all(node, "details[open][data-stays]").map(({ dataset }) => dataset.stays);
  node.replaceChildren(...children.flat(2).filter(Boolean));
  for (const part of all(node, "details[data-stays]")) if (open.includes(part.dataset.stays)) part.setAttribute("open", "");
  const now = key ? one(node, `[data-key="${CSS.escape(key)}"]`) : null;
  if (now && hand) handBack(now, hand);
  now?.focus();
}
