// Times in words: "today at 14:05", "yesterday", "3 March".

const day = 24 * 60 * 60 * 1000;
const midnight = (/** @type {number | string | Date} */ time) => new Date(time).setHours(0, 0, 0, 0);

/** Takes seconds or milliseconds since 1970, or a date as text. */
export function when(/** @type {number | string | Date} */ time) {
  const date = new Date(typeof time === "number" && time < 1e11 ? time * 1000 : time);
  if (Number.isNaN(date.getTime())) return "";
  const days = Math.round((midnight(Date.now()) - midnight(date)) / day);
  if (days === 0) return `today at ${date.toLocaleTimeString([], { hour: "2-digit", minute: "2-digit" })}`;
  if (days === 1) return "yesterday";
  const year = date.getFullYear() === new Date().getFullYear() ? undefined : "numeric";
  return date.toLocaleDateString([], { day: "numeric", month: "long", year });
}
