// How long she sits at what lies on the stand, written into the diary as she goes; and a word for a break after a while without one.
// Time counts while there is a sign of her, a key, a touch or the music, and for five minutes after the last one.

import { put } from "./ask.js";
import { dayOf, now } from "./calendar.js";

const minute = 60_000;
const away = 5 * minute, atOnce = 65_000, least = 5_000, every = 20_000;
/** Of music without a pause: a good moment to stand up. */
export const enough = 25 * minute;
const signs = ["keydown", "pointerdown", "wheel"];

/** `playing()` says whether music sounds; `breakTime(minutes)` hears that there was no break for so long, with null that there was one; `failed(refusal)` that the diary cannot be written.
 * Gives { at(what or null), tempo({ beats, percent }), close }; `what` is { tune, tune_title, what, title }. */
export function practiceTime({ playing, breakTime, failed }) {
  let stay = null, last = now(), sign = now(), kept = 0, since = 0, told = 0;
  const alive = () => { sign = now(); };
  function tick() {
    const here = now();
    if (playing()) sign = here;
    const gone = Math.min(Math.max(0, here - last), atOnce), present = here - sign < away;
    last = here;
    if (present) { since += gone; if (stay) stay.sat += gone; } else if (since) { since = told = 0; breakTime(null); }
    if (since - told >= enough) { told = since; breakTime(Math.round(since / minute)); }
    if (stay && stay.sat - kept >= every) keep();
  }
  /** Leaving the page, the browser still sends what was begun. */
  function keep(leaving) {
    if (!stay || stay.sat < least || stay.sat === kept) return;
    kept = stay.sat;
    const { sat, ...entry } = stay;
    const body = { ...entry, seconds: Math.max(1, Math.round(sat / 1000)) };
    if (leaving) fetch("/api/diary/stay", { method: "PUT", body: JSON.stringify(body), headers: { "Content-Type": "application/json" }, keepalive: true }).catch(() => {});
    else put("/api/diary/stay", body).catch(failed);
  }
  function at(what) {
    tick();
    keep();
    const began = now();
    [stay, kept] = [what && { ...what, day: dayOf(began), began, beats: null, percent: null, sat: 0 }, 0];
  }
  const hidden = () => { if (document.visibilityState === "hidden") { tick(); keep("leaving"); } };
  const leaving = () => { tick(); keep("leaving"); };
  for (const name of signs) addEventListener(name, alive, { passive: true });
  document.addEventListener("visibilitychange", hidden);
  addEventListener("pagehide", leaving);
  const timer = setInterval(tick, 5_000);
  return {
    at,
    tempo: ({ beats, percent }) => { if (stay) Object.assign(stay, { beats, percent }); },
    rested: () => { since = told = 0; breakTime(null); },
    close: () => {
      at(null);
      clearInterval(timer);
      for (const name of signs) removeEventListener(name, alive);
      document.removeEventListener("visibilitychange", hidden);
      removeEventListener("pagehide", leaving);
    },
  };
}
