// @ts-check
// Requests to the program. Of one kind the latest counts: an answer that comes
// after a later question was asked is dropped, and its request is broken off.

import { read } from "./columns.js";

/** @typedef {import("../testdata/contract").Answers} Answers by the last part of the path */

/** @type {Map<string, AbortController>} */
const going = new Map();

/** Superseded: a later question of the same kind was asked. */
export class Superseded extends Error {}

/** Gone: the program does not answer. */
export class Gone extends Error {}

/**
 * @param {string} path @param {RequestInit} init
 * @returns {Promise<Response>}
 */
async function request(path, init) {
  let answer;
  try {
    answer = await fetch(path, init);
  } catch (err) {
    throw init.signal?.aborted ? err : new Gone();
  }
  if (answer.ok) return answer;
  let said = { error: answer.statusText, hint: "" };
  try { said = await answer.json(); } catch { /* the status has to do */ }
  throw Object.assign(new Error(said.hint ? `${said.error} – ${said.hint}` : said.error), { status: answer.status });
}

/**
 * latest runs work that a later one of its kind supersedes.
 * @template T
 * @param {string} kind @param {(signal: AbortSignal) => Promise<T>} work
 * @returns {Promise<T>}
 */
export async function latest(kind, work) {
  going.get(kind)?.abort();
  const mine = new AbortController();
  going.set(kind, mine);
  try {
    const value = await work(mine.signal);
    if (going.get(kind) !== mine) throw new Superseded();
    return value;
  } catch (err) {
    if (mine.signal.aborted) throw new Superseded();
    throw err;
  } finally {
    if (going.get(kind) === mine) going.delete(kind);
  }
}

/** forget drops the work of a kind, whose answer nobody wants any more. @param {string} kind */
export function forget(kind) { going.get(kind)?.abort(); }

/** @returns {Promise<Answers["desk"]>} */
export async function desk() {
  return (await request("/api/desk", {})).json();
}

/** send sends JSON. @param {string} path @param {unknown} body @param {AbortSignal} [signal] */
const send = (path, body, signal) => request(`/api/${path}`, { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(body), signal });

/**
 * @template {keyof Answers} P
 * @param {P} path @param {unknown} body @param {AbortSignal} [signal] @returns {Promise<Answers[P]>}
 */
export async function post(path, body, signal) { return (await send(path, body, signal)).json(); }

/** stop ends a search, which keeps what it has. */
export function stop() { return send("stop", {}); }

/**
 * columns is what comes in columns.
 * @template {"picture" | "shown"} P
 * @param {P} path @param {unknown} body @param {AbortSignal} signal @returns {Promise<{head: Answers[P], columns: import("./columns.js").Columns}>}
 */
export async function columns(path, body, signal) { return read(await (await send(path, body, signal)).arrayBuffer()); }

/** sound is a sound file, and from which second of the song on it is. @param {"listen" | "held"} path @param {unknown} body @param {AbortSignal} signal */
export async function sound(path, body, signal) {
  const answer = await send(path, body, signal);
  return { data: await answer.arrayBuffer(), from: Number(answer.headers.get("X-From-S")) };
}

/** @param {{kind: string, song: string, set: import("./settings.js").Override[], paper: string}} what */
export async function file(what) {
  return (await send("file", what)).blob();
}

/** @param {File} f @returns {Promise<Answers["song"]>} */
export async function addSong(f) {
  return (await request(`/api/song?name=${encodeURIComponent(f.name)}`, { method: "POST", body: f })).json();
}

/**
 * upload sends a file as it is.
 * @template {keyof Answers} P
 * @param {P} path @param {Record<string, string>} about @param {File} f @param {AbortSignal} signal @returns {Promise<Answers[P]>}
 */
export async function upload(path, about, f, signal) {
  return (await request(`/api/${path}?${new URLSearchParams(about)}`, { method: "POST", body: f, signal })).json();
}

/** takeFile is a take to play. @param {{short: boolean, through: boolean}} what */
export async function takeFile(what) { return (await send("take", { ...what, file: true })).blob(); }

/**
 * steps reads a line of JSON for each step.
 * @param {string} path @param {unknown} body @param {(step: Answers["fixes"]) => void} see @param {AbortSignal} signal
 */
export async function steps(path, body, see, signal) {
  const answer = await send(path, body, signal);
  const reader = /** @type {ReadableStream<Uint8Array>} */ (answer.body).getReader();
  const decoder = new TextDecoder();
  let rest = "";
  for (;;) {
    const { done, value } = await reader.read();
    rest += decoder.decode(value, { stream: !done });
    const lines = rest.split("\n");
    rest = lines.pop() ?? "";
    for (const line of lines) {
      if (!line) continue;
      const step = JSON.parse(line);
      if (step.error) throw new Error(step.hint ? `${step.error} – ${step.hint}` : step.error);
      see(step);
    }
    if (done) return;
  }
}
