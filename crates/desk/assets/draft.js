// What was typed and not yet saved, kept in this tab: another place looked at or a page loaded anew loses nothing.

/** The draft of tune `id`, or of the new one (null): { read, keep, drop }. What is read is { text, hash } or null; `hash` says which saved text it began from. */
export function draftOf(id) {
  const name = `undersong.draft.${id ?? ""}`;
  return {
    read() { try { return JSON.parse(sessionStorage.getItem(name) ?? "null"); } catch { return null; } },
    keep(text, hash) { try { sessionStorage.setItem(name, JSON.stringify({ text, hash })); } catch { /* no room: the field still has it */ } },
    drop() { sessionStorage.removeItem(name); },
  };
}
