// The single strings: each is fetched and decoded once, however often and however fast it is plucked.

const decoded = new Map();

async function one(context, name) {
  const answer = await fetch(`/api/sample/${encodeURIComponent(name)}.wav`);
  if (!answer.ok) throw new Error(`the sound of ${name} did not come`);
  return context.decodeAudioData(await answer.arrayBuffer());
}

/** The sounds of these strings as a Map; `progress(done, of)` is called as they come. */
export async function samples(context, names, progress = () => {}) {
  let done = 0;
  await Promise.all(names.map(async (name) => {
    if (!decoded.has(name)) decoded.set(name, one(context, name));
    try { await decoded.get(name); } catch (failure) { decoded.delete(name); throw failure; }
    progress(++done, names.length);
  }));
  return new Map(await Promise.all(names.map(async (name) => [name, await decoded.get(name)])));
}
