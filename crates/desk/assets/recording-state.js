// What is known of a tune's recording: which it is, where the program found the measures, the first beats she gave; and how the program is asked.

import { settled } from "./say.js";
import { get, post, remove, sendRecording, fetchRecording, tune as at, Refusal } from "./ask.js";

/** `changed()` hears of every new state; `came(blob)` of the sound itself. */
export function recordingState(id, changed, came) {
  /** @type {any} */
  const state = { kept: null, folder: [], sources: [], which: null, blob: null, given: [], unused: false, working: "" };
  const take = (answer) => {
    [state.kept, state.folder, state.sources] = [answer.kept, answer.folder, answer.sources];
    state.given = (state.kept?.given ?? []).map(({ measure, seconds, number }) => ({ measure, seconds, number }));
    state.unused = false;
    if (state.kept) state.which ??= { ...state.kept.recording };
  };
  async function busy(words, act) {
    state.working = words;
    changed();
    try { return await act(); } finally { state.working = ""; changed(); }
  }
  state.read = async () => { take(await get(at(id, "/recording"))); changed(); };
  /** A file of hers: it is sent to the program on this machine, which listens and lets it go. */
  state.bring = (file) => busy("Listening …", async () => {
    const { mark, name } = await sendRecording(id, file);
    choose({ mark, name, in_folder: false }, file);
  });
  state.fromFolder = (name) => busy("Fetching …", async () => {
    const known = state.kept?.recording;
    choose({ name, mark: known?.in_folder && known.name === name ? known.mark : "", in_folder: true }, await fetchRecording(name));
  });
  function choose(which, blob) {
    const known = state.kept?.recording;
    // Places of another recording are of no use for this one.
    const same = known && (which.mark ? known.mark === which.mark : known.in_folder && known.name === which.name);
    if (!same) { state.given = []; state.unused = false; state.other = true; } else state.other = false;
    [state.which, state.blob] = [which, blob];
    settled();
    came(blob);
  }
  /** The recording that is kept lies in her folder: its sound is fetched when it is first wanted. */
  state.ready = async () => { if (!state.blob && state.which?.in_folder) await state.fromFolder(state.which.name); return state.blob !== null; };
  state.passes = () => (state.other ? [] : state.kept?.passes ?? []);
  state.find = () => busy("Finding the places …", async () => {
    const given = state.given.map(({ measure, seconds }) => ({ measure, seconds }));
    const ask = () => post(at(id, "/places"), { ...state.which, given });
    let answer;
    try { answer = await ask(); } catch (refusal) {
      // Started again, the program has not heard it yet.
      if (!(refusal instanceof Refusal) || refusal.status !== 410 || !state.blob) throw refusal;
      state.which.mark = (await sendRecording(id, state.blob, state.which.name)).mark;
      answer = await ask();
    }
    take(answer);
    state.which = { ...state.kept.recording };
    state.other = false;
  });
  /** A first beat of hers: `near` is where the measure was found so far, which it replaces. */
  state.give = (measure, number, seconds, near) => {
    state.given = state.given.filter((one) => Math.abs(one.seconds - (near ?? seconds)) > 0.05 && Math.abs(one.seconds - seconds) > 0.15);
    state.given = [...state.given, { measure, number, seconds: Math.round(seconds * 1000) / 1000 }].sort((a, b) => a.seconds - b.seconds);
    state.unused = true;
    changed();
  };
  state.takeBack = (one) => { state.given = state.given.filter((other) => other !== one); state.unused = true; changed(); };
  state.forget = () => busy("Forgetting …", async () => {
    take(await remove(at(id, "/recording")));
    [state.which, state.blob, state.other] = [null, null, false];
    came(null);
  });
  return state;
}
