// @ts-check
// What can be undone, kept while this tab loads the page anew. It is good as long as the rig text on the desk is
// the one that it leads back from.

import { History } from "./settings.js";

/**
 * @typedef {{set: import("./settings.js").Override[], text: string, song: string}} State of the page that undo brings back
 * @typedef {{set: import("./settings.js").Override[], song: string, at: number}} Short is a state whose text stands in a list
 */

const place = "choirloft undo";

/** keep keeps a history, each text once; where the browser has no room for all, what is newest. @param {History<State>} history */
export function keep({ now, before, after }) {
  for (let most = before.length; ; most = Math.floor(most / 2)) {
    try {
      sessionStorage.setItem(place, packed(now, most ? before.slice(-most) : [], after));
      return;
    } catch {
      if (!most) { forget(); return; }
    }
  }
}

/** forget leaves nothing that an older text might be taken from. */
function forget() {
  try { sessionStorage.removeItem(place); } catch { /* this browser keeps nothing */ }
}

/** @param {State} now @param {State[]} before @param {State[]} after */
function packed(now, before, after) {
  /** @type {Map<string, number>} */ const texts = new Map();
  /** @param {State} s @returns {Short} */
  const short = ({ set, song, text }) => {
    const at = texts.get(text) ?? texts.size;
    texts.set(text, at);
    return { set, song, at };
  };
  return JSON.stringify({ now: short(now), before: before.map(short), after: after.map(short), texts: [...texts.keys()] });
}

/**
 * restored is the history that was kept, or an empty one; lost says why what was kept is of no use.
 * @param {State} now @param {(song: string) => string | undefined} there a song, if it is on the desk
 * @returns {{history: History<State>, lost: string}}
 */
export function restored(now, there) {
  const kept = read();
  if (!kept) return { history: new History(now), lost: "" };
  /** @param {Short} s @returns {State} */
  const long = ({ set, song, at }) => ({ set, text: kept.texts[at], song: there(song) ?? now.song });
  const was = long(kept.now);
  if (was.text !== now.text) {
    return { history: new History(now), lost: kept.before.length ? "The rig text was changed elsewhere while this page was away. What was done here before cannot be undone." : "" };
  }
  const history = new History(was);
  history.before = kept.before.map(long);
  history.after = kept.after.map(long);
  history.change(now); // where the address asks for something else
  return { history, lost: "" };
}

/** @returns {{now: Short, before: Short[], after: Short[], texts: string[]} | null} */
function read() {
  try { return JSON.parse(sessionStorage.getItem(place) ?? "null"); } catch { return null; } // this browser keeps nothing
}
