// @ts-check
// One note of the picture: whoever points at it reads what it is, and what it lost.

import { first } from "./axis.js";
import { facts } from "./doc.js";
import { $, el } from "./dom.js";

/**
 * spanAt is the note on a lane at a time, or none.
 * @param {any} lane @param {number} t
 */
export function spanAt(lane, t) {
  const spans = lane?.spans ?? [], n = first(spans, (/** @type {any} */ s) => s.start_s <= t) - 1;
  return n >= 0 && spans[n].end_s >= t ? spans[n] : null;
}

/** @param {number} voice @param {number} at seconds */
const keyOf = (voice, at) => `${voice} ${Math.round(at * 1e6)}`;

/**
 * join gives each note that lost something on its voice the place of that among the losses,
 * and how it is marked.
 * @param {any} played
 */
export function join({ lanes, replay, marks }) {
  const ended = new Map(), late = new Map();
  replay.losses.forEach((/** @type {any} */ l, /** @type {number} */ i) => (l.ending === "late_start" ? late : ended).set(keyOf(l.voice, l.at_s), i));
  for (const s of lanes.spans) {
    const at = s.late_start ? late.get(keyOf(s.voice, s.start_s - s.waited_s)) : s.ending ? ended.get(keyOf(s.voice, s.end_s)) : undefined;
    s.loss = at ?? -1;
    s.mark = at === undefined ? "unweighed" : marks[at];
  }
}

/**
 * tell says what a note is, and in the words of the table what it lost.
 * @param {any} played @param {any} span of the note; null where it was dropped @param {number} loss its place among the losses, or −1
 */
export function tell(played, span, loss) {
  const { lanes, replay, doc } = played, l = replay.losses[loss];
  const name = span ? `${lanes.parts[span.part]} ${span.key_name} (${span.key}), ${lanes.voices[span.voice - 1].name}` : `${l.part} ${l.key_name} (${l.key})`;
  $("note").replaceChildren(el("b", {}, name), ...facts(doc, `loss ${loss}`).filter((e) => e.tagName === "DL"));
}
