// What was typed and not yet saved, kept in this tab: another place looked at or a page loaded anew loses nothing. The tabs tell each other what they have.

const kept = "undersong.draft.", line = "undersong.drafts", asking = "which are there?";
/** The other tabs of this browser answer at once. */
const patience = 150;

/** The draft of tune `id`, or of the new one (null): { read, keep, drop }. What is read is { text, hash } or null; `hash` says which saved text it began from. */
export function draftOf(/** @type {string | null} */ id) {
  const name = `${kept}${id ?? ""}`;
  return {
    read() { try { return JSON.parse(sessionStorage.getItem(name) ?? "null"); } catch { return null; } },
    keep(/** @type {string} */ text, /** @type {string | undefined} */ hash) { try { sessionStorage.setItem(name, JSON.stringify({ text, hash })); } catch { /* no room: the field still has it */ } },
    drop() { sessionStorage.removeItem(name); },
  };
}

/** The tunes ("" for a new one) with text in this tab that is not saved. */
const here = () => Object.keys(sessionStorage).filter((name) => name.startsWith(kept)).map((name) => name.slice(kept.length));

/** From now on this tab tells the others what it has. */
export function startDrafts() {
  const channel = new BroadcastChannel(line);
  channel.addEventListener("message", ({ data }) => { if (data === asking) channel.postMessage(here()); });
}

/** The tunes with text that is not saved, in this tab and in the others.
 * @returns {Promise<string[]>} */
export function unsaved() {
  const channel = new BroadcastChannel(line), found = new Set(here());
  channel.addEventListener("message", ({ data }) => { if (Array.isArray(data)) for (const id of data) found.add(id); });
  channel.postMessage(asking);
  return new Promise((done) => setTimeout(() => { channel.close(); done([...found]); }, patience));
}
