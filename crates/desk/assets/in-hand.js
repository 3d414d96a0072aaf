// What she has in her hand while something is drawn anew: a list that stands open, a word half typed. It is not taken from her.

/** Where the browser cannot say whether a list stands open: the list she pressed, until she has chosen or gone elsewhere. */
const tells = CSS.supports("selector(select:open)");
/** @type {EventTarget | null} */
let pressed = null;

/** Fields in which she typed something that nobody has taken yet. */
const typed = new WeakSet();

addEventListener("input", ({ target }) => { if (target instanceof HTMLInputElement) typed.add(target); }, true);
addEventListener("change", ({ target }) => { if (target instanceof HTMLInputElement) typed.delete(target); if (target === pressed) pressed = null; }, true);
addEventListener("pointerdown", ({ target }) => { pressed = target instanceof HTMLSelectElement ? target : null; }, true);
addEventListener("keydown", ({ target, key, altKey }) => {
  if (!(target instanceof HTMLSelectElement)) return;
  if ([" ", "Enter", "F4"].includes(key) || (altKey && key.startsWith("Arrow"))) pressed = target;
  else if (["Escape", "Tab"].includes(key)) pressed = null;
}, true);
addEventListener("blur", ({ target }) => { if (target === pressed) pressed = null; }, true);

const isOpen = (/** @type {HTMLSelectElement} */ list) => list.isConnected && document.activeElement === list && (tells ? list.matches(":open") : pressed === list);

/** The list below `node` that stands open, or null. */
export function openList(/** @type {Node} */ node) {
  const list = document.activeElement;
  return list instanceof HTMLSelectElement && node.contains(list) && isOpen(list) ? list : null;
}

/** Does something when a list is closed. */
export function whenClosed(/** @type {HTMLSelectElement} */ list, /** @type {() => any} */ act) {
  if (isOpen(list)) requestAnimationFrame(() => whenClosed(list, act));
  else act();
}

/** What she holds of a field, to be put into the one that takes its place; null where there is nothing. */
export function held(/** @type {Element | null} */ field) {
  if (field instanceof HTMLSelectElement) return { value: field.value, from: null, to: null };
  if (!(field instanceof HTMLInputElement) || !typed.has(field)) return null;
  return { value: field.value, from: field.selectionStart, to: field.selectionEnd };
}

/** Puts it there. */
export function handBack(/** @type {Element} */ field, /** @type {{ value: string, from: number | null, to: number | null }} */ { value, from, to }) {
  if (field instanceof HTMLSelectElement) { if ([...field.options].some((option) => option.value === value)) field.value = value; return; }
  if (!(field instanceof HTMLInputElement)) return;
  field.value = value;
  typed.add(field);
  if (from !== null) field.setSelectionRange(from, to);
}
