// @ts-check
// What is set: values, which the program reads and writes, and their history.

/**
 * A kind of override, the part it is for, empty for every part, and its value.
 * @typedef {{kind: string, part: string, value: string}} Override
 */

/** every is the name under which what holds for all parts is kept. */
export const every = "";

/** History keeps what was, to go back to. @template T */
export class History {
  /** @param {T} now */
  constructor(now) {
    this.now = now;
    /** @type {T[]} */ this.before = [];
    /** @type {T[]} */ this.after = [];
  }
  /** @param {T} next */
  change(next) {
    if (JSON.stringify(next) === JSON.stringify(this.now)) return false;
    this.before.push(this.now);
    if (this.before.length > 200) this.before.shift();
    this.after = [];
    this.now = next;
    return true;
  }
  /** A change that goes on, as of a slider that is dragged, is one. @param {T} next */
  replace(next) {
    this.now = next;
  }
  undo() {
    const was = this.before.pop();
    if (was === undefined) return false;
    this.after.push(this.now);
    this.now = was;
    return true;
  }
  redo() {
    const next = this.after.pop();
    if (next === undefined) return false;
    this.before.push(this.now);
    this.now = next;
    return true;
  }
}
