// Talks to the program on this machine. Everything that can go wrong comes back as a Refusal with words for her.

import { watched } from "./busy.js";

/** What the program (or the line to it) said no with: `message`, `hint`, `status` (0: not reached), `body`. */
export class Refusal extends Error {
  constructor(status, body) {
    super(body?.error ?? "something went wrong");
    this.status = status;
    this.hint = body?.hint ?? null;
    this.body = body;
  }
}

async function send(method, path, body, headers, signal) {
  let answer;
  try {
    answer = await watched(fetch(path, { method, body, headers, signal }));
  } catch (failure) {
    if (failure.name === "AbortError") throw failure;
    throw new Refusal(0, { error: "Undersong does not answer", hint: "start it again: it opens a tab of its own" });
  }
  const text = await answer.text();
  let parsed = null;
  try { parsed = text ? JSON.parse(text) : {}; } catch { parsed = { error: text }; }
  if (!answer.ok) throw new Refusal(answer.status, parsed);
  return parsed;
}

/** What was asked, or null where a newer question has made it stale. */
export const unlessStale = (asked) => asked.catch((failure) => { if (failure.name === "AbortError") return null; throw failure; });

const json = { "Content-Type": "application/json" };

export const get = (path, signal) => send("GET", path, undefined, {}, signal);
export const put = (path, value, signal) => send("PUT", path, JSON.stringify(value), json, signal);
export const post = (path, value = {}, signal) => send("POST", path, JSON.stringify(value), json, signal);
export const remove = (path) => send("DELETE", path, undefined, {});

/** Brings in a file as it is, whatever its letters. */
export const bringFile = (file) => send("POST", "/api/shelf", file, {
  "Content-Type": "application/octet-stream", "X-Name": encodeURIComponent(file.name),
});

/** Sends a file as it is. */
export const sendFile = (path, file) => send("POST", path, file, { "Content-Type": "application/octet-stream" });

/** Lets the program on this machine listen to a recording; it keeps nothing of it. */
export const sendRecording = (id, file, name) => send("POST", tune(id, "/recording"), file, {
  "Content-Type": "application/octet-stream", "X-Name": encodeURIComponent(name ?? file.name),
});

/** The sound of a recording in her folder. */
export async function fetchRecording(name) {
  const answer = await watched(fetch(`/api/recordings/${encodeURIComponent(name)}`));
  if (!answer.ok) throw new Refusal(answer.status, await answer.json().catch(() => null));
  return answer.blob();
}

/** The address of a tune's things. */
export const tune = (id, rest = "") => `/api/tunes/${encodeURIComponent(id)}${rest}`;

/** The address of a set's things. */
export const set = (name, rest = "") => `/api/sets/${encodeURIComponent(name)}${rest}`;
