// The stand's sizes: staff, words and chord names, finger numbers, each set apart; kept in this browser.

const kept = "undersong.stand";
const first = { staff: 9, text: 120, fingers: 140, next: true, forward: false, dark: null };

/** Her sizes and wishes for the stand. */
export function sizes() {
  try { return { ...first, ...JSON.parse(localStorage.getItem(kept) ?? "{}") }; } catch { return { ...first }; }
}

export function keepSizes(patch) {
  const now = { ...sizes(), ...patch };
  localStorage.setItem(kept, JSON.stringify(now));
  return now;
}

/** The sizes as the program asks for them: staff in millimetres, letters and finger numbers in percent of their usual size beside it. */
export function sizesQuery() {
  const { staff, text, fingers } = sizes();
  return `staff=${staff}&text=${text}&fingers=${fingers}`;
}
