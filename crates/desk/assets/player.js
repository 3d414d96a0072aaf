// Plays the music by scheduling single strings a little ahead of the clock. Tempo is a division of time, never of the sounds' rate,
// so that pitch stays; a loop is the same list again, begun at the very moment the last pass ends.

import { items } from "./timeline.js";

const ahead = 0.25, every = 60, fade = 0.03;

// Silence before the music begins, in seconds: some loudspeakers swallow the beginning. What goes on, or is only tried, sounds at once.
const before = 0.5, soon = 0.12;

function tick(context, out, when, strong) {
  const tone = context.createOscillator(), loud = context.createGain();
  tone.frequency.value = strong ? 1760 : 1320;
  loud.gain.setValueAtTime(strong ? 0.6 : 0.38, when);
  loud.gain.exponentialRampToValueAtTime(0.001, when + 0.05);
  tone.connect(loud).connect(out);
  tone.start(when);
  tone.stop(when + 0.06);
  return tone;
}

/** One sounding string: begun at `when`, stopped after `rings` seconds if it is stopped at all. */
function strike(context, out, buffer, when, { gain, pan, rings }) {
  const source = context.createBufferSource(), loud = context.createGain();
  source.buffer = buffer;
  loud.gain.setValueAtTime(gain, when);
  source.connect(loud).connect(new StereoPannerNode(context, { pan })).connect(out);
  source.start(when);
  if (rings !== null) {
    loud.gain.setValueAtTime(gain, when + rings);
    loud.gain.linearRampToValueAtTime(0, when + rings + fade);
    source.stop(when + rings + fade + 0.01);
  }
  return source;
}

/** Makes a player on a sound and its strings. `ended` is called when the music is over. */
export function makePlayer(context, sound, strings, ended) {
  // Nothing is cut: what is raised to four times full scale comes out below it, and what is soft as it was made (the limiter raises all by what 0.8 takes away).
  const out = new GainNode(context, { gain: 0.8 });
  const guard = new DynamicsCompressorNode(context, { threshold: -4, knee: 2, ratio: 20, attack: 0.001, release: 0.15 });
  out.connect(guard).connect(context.destination);
  let run = null;
  const sounding = new Set();
  const keep = (source) => { sounding.add(source); source.onended = () => sounding.delete(source); };

  function schedule() {
    const { list, wish } = run;
    for (;;) {
      if (run.next >= list.length) {
        if (!wish.loop || !list.length) break;
        run.before = { pass: run.pass, first: run.first, ratio: run.ratio };
        run.next = 0;
        run.pass += (wish.to - run.first + (wish.rest?.length ?? 0)) / run.ratio;
        run.first = wish.from;
        run.passed += 1;
        run.ratio = wish.ratioAfter?.(run.passed) ?? run.ratio;
      }
      const item = list[run.next];
      const when = run.pass + (item.t - run.first) / run.ratio;
      if (when > context.currentTime + ahead) return;
      run.next += 1;
      if (when < context.currentTime - 0.05) continue;
      if (item.pluck) {
        const { pluck } = item;
        const rings = pluck.stop === null || pluck.stop === undefined ? null : Math.max(0.02, (pluck.stop - pluck.t) / run.ratio);
        keep(strike(context, out, strings.get(pluck.sample), Math.max(when, context.currentTime), { gain: pluck.gain, pan: pluck.pan ?? 0, rings }));
      } else keep(tick(context, out, Math.max(when, context.currentTime), item.beat));
    }
    if (context.currentTime > run.pass + (wish.to - run.first) / run.ratio + 0.1) { stop(); ended(); }
  }

  function hush() {
    for (const source of sounding) { try { source.stop(context.currentTime + 0.02); } catch { /* it had not begun */ } }
    sounding.clear();
  }

  /** Begins at second `at` of the music, after half a second of silence or `"at once"`. `wish` is { from, to, loop, hands, click, ratio, countIn: seconds between counted beats or null, counts, measureOf };
   * `rest` { length, beats: [{ t, strong }] } is click after each pass of a loop, `ratioAfter(passes)` the tempo of the next one. */
  function play(wish, at, how) {
    const lead = run || how === "at once" ? soon : before;
    halt();
    const counted = wish.countIn ? wish.counts * (wish.countIn / wish.ratio) : 0;
    const begin = context.currentTime + lead + counted;
    for (let i = 0; i < (wish.countIn ? wish.counts : 0); i++) keep(tick(context, out, begin - counted + (i * wish.countIn) / wish.ratio, i % wish.measureOf === 0));
    const list = [...items(sound, wish), ...(wish.rest?.beats ?? []).map(({ t, strong }) => ({ t: wish.to + t, beat: strong }))];
    const next = list.findIndex(({ t }) => t >= at - 1e-6);
    run = { wish, list, ratio: wish.ratio, next: next < 0 ? list.length : next, pass: begin, first: at, passed: 0, begin, counted, timer: 0 };
    run.timer = setInterval(schedule, every);
    schedule();
  }

  /** Second of the music that sounds now, or null. While the count-in runs it is where the music will begin. */
  function now() {
    if (!run) return null;
    const pass = context.currentTime < run.pass && run.before ? run.before : run;
    return Math.max(pass.first, Math.min(run.wish.to, (context.currentTime - pass.pass) * (pass.ratio ?? run.ratio) + pass.first));
  }

  /** The beat that is counted now, from 1, before the music and in a measure of click after a loop; null while the music plays. */
  function counting() {
    if (!run) return null;
    const { wish, before } = run, time = context.currentTime;
    if (wish.countIn && time < run.begin) return (Math.max(0, Math.floor((time - run.begin + run.counted) / (wish.countIn / wish.ratio))) % wish.measureOf) + 1;
    if (!wish.rest || !before || time >= run.pass) return null;
    const into = (time - before.pass) * before.ratio + before.first - wish.to;
    return into < 0 ? null : wish.rest.beats.filter(({ t }) => t <= into + 1e-3).length;
  }

  function halt() {
    if (run) clearInterval(run.timer);
    run = null;
    hush();
  }
  const stop = () => { if (run) clearInterval(run.timer); run = null; };
  return { play, now, counting, halt, playing: () => run !== null, close: () => { halt(); guard.disconnect(); } };
}
