// Which moment it is where she sits, and which day on her calendar.

export const now = () => Date.now();

/** "2026-11-26" of a moment in milliseconds since 1970. */
export function dayOf(/** @type {number} */ moment) {
  const date = new Date(moment), two = (/** @type {number} */ n) => String(n).padStart(2, "0");
  return `${date.getFullYear()}-${two(date.getMonth() + 1)}-${two(date.getDate())}`;
}

export const today = () => dayOf(now());
