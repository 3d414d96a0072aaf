// Keeps the screen awake while the stand is shown, where the browser can; asks again when the page comes back to the front.

/** Gives back what lets the screen sleep again. */
export function stayAwake() {
  /** @type {WakeLockSentinel | null | undefined} */
  let lock = null;
  let ended = false;
  const ask = async () => {
    if (ended || document.visibilityState !== "visible") return;
    try { lock = await navigator.wakeLock?.request("screen"); } catch { lock = null; }
    if (ended) lock?.release();
  };
  document.addEventListener("visibilitychange", ask);
  ask();
  return () => { ended = true; document.removeEventListener("visibilitychange", ask); lock?.release(); };
}
