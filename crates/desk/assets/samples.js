// The single strings: each is fetched and decoded once, however often and however fast it is plucked.

const decoded = new Map();

async function one(context, name, of) {
  const answer = await fetch(`/api/sample/${encodeURIComponent(name)}.wav${of}`);
  if (!answer.ok) throw new Error(`the sound of ${name} did not come`);
  return context.decodeAudioData(await answer.arrayBuffer());
}

/**
 * The sounds of these strings as a Map; `of` is what stands behind each address (whose strings they are), `progress(done, of)` is called as they come.
 * @param {AudioContext} context
 * @param {string[]} names
 * @param {string} [of]
 * @param {(done: number, of: number) => void} [progress]
 * @returns {Promise<Map<string, AudioBuffer>>}
 */
export async function samples(context, names, of = "", progress = () => {}) {
  let done = 0;
  const key = (name) => name + of;
  await Promise.all(names.map(async (name) => {
    if (!decoded.has(key(name))) decoded.set(key(name), one(context, name, of));
    try { await decoded.get(key(name)); } catch (failure) { decoded.delete(key(name)); throw failure; }
    progress(++done, names.length);
  }));
  return new Map(await Promise.all(names.map(async (name) => /** @type {[string, AudioBuffer]} */ ([name, await decoded.get(key(name))]))));
}
