// @ts-check
// What the page shows of what is set: which answer is for it, and which is older; and
// what stands in the address.

/**
 * Shown knows for what each block of the page was answered. A block whose answer is for
 * something else is dimmed until its own comes.
 */
export class Shown {
  /** @param {(block: string, old: boolean) => void} mark */
  constructor(mark) {
    this.mark = mark;
    /** @type {Map<string, string>} what each block was answered for */
    this.made = new Map();
    /** @type {Map<string, string>} what each block should be for */
    this.due = new Map();
  }
  /** turn says for what blocks should be from now on. @param {string} key @param {string[]} blocks */
  turn(key, blocks) {
    for (const b of blocks) {
      this.due.set(b, key);
      this.mark(b, this.old(b));
    }
  }
  /** answered says for what blocks are. @param {string} key @param {string[]} blocks */
  answered(key, blocks) {
    for (const b of blocks) {
      this.made.set(b, key);
      this.mark(b, this.old(b));
    }
  }
  /** old tells whether a block shows an answer for something else. @param {string} block */
  old(block) { return this.made.has(block) && this.made.get(block) !== this.due.get(block); }
  /** any tells whether some block does, of those that count. @param {(block: string) => boolean} [counts] */
  any(counts = () => true) { return [...this.made.keys()].some((b) => this.old(b) && counts(b)); }
}

/** @typedef {{part: string, loss: string}} Filter of what is shown: a part, and a kind of loss; empty for all */

/** all is shown. @type {Filter} */
export const all = { part: "", loss: "" };

/**
 * address is a song, what is set and a view as they stand in the address.
 * @param {string} song @param {import("./settings.js").Override[]} set @param {string} view @param {Filter} [filter]
 */
export function address(song, set, view, filter = all) {
  const query = new URLSearchParams();
  if (song) query.set("song", song);
  for (const o of set) query.append("set", [o.kind, o.part, o.value].join("|"));
  for (const of of /** @type {const} */ (["part", "loss"])) if (filter[of]) query.set(of, filter[of]);
  const text = query.toString();
  return `/${text ? `?${text}` : ""}#${view}`; // without a token, which is in a cookie by now
}

/**
 * addressed reads it back.
 * @param {string} search @returns {{song: string | null, set: import("./settings.js").Override[], filter: Filter}}
 */
export function addressed(search) {
  const query = new URLSearchParams(search);
  const set = query.getAll("set").map((x) => x.split("|")).filter((x) => x.length >= 3)
    .map(([kind, part, ...value]) => ({ kind, part, value: value.join("|") }));
  return { song: query.get("song"), set, filter: { part: query.get("part") ?? "", loss: query.get("loss") ?? "" } };
}
