// @ts-check
// Who plays what, as it came in columns: lanes, what of them is in view, and what a pixel
// shows where notes are too many to be drawn one by one.

import { firstAt } from "./columns.js";

/** @typedef {{name: string, bank: string, voice: number, from: number, to: number, marks: number, marksTo: number}} Row
 * of notes from a place to before another, and of marks; the voice counts from 0, −1 is for notes without one */

export class Lanes {
  /** @param {import("../testdata/contract").Picture} head @param {import("./columns.js").Columns} columns */
  constructor(head, columns) {
    this.head = head;
    this.c = columns;
    /** @type {Pyramid | null} */
    this.made = null;
    this.unit = head.unit_s;
    this.wrong = new Set(columns.wrong);
    /** @type {Row[]} */
    this.rows = head.voices.map((/** @type {any} */ v, /** @type {number} */ i) => ({ name: v.name, bank: v.bank, voice: i,
      from: columns.lane[i], to: columns.lane[i + 1], marks: columns.mark_lane[i + 1], marksTo: columns.mark_lane[i + 2] }))
      .filter((/** @type {Row} */ r) => ["in", "limited"].includes(head.voices[r.voice].state) || r.to > r.from);
    if (columns.mark_lane[1] > 0) this.rows.push({ name: "dropped", bank: "", voice: -1, from: 0, to: 0, marks: 0, marksTo: columns.mark_lane[1] });
    this.marksOf = new Int32Array(columns.loss.length).fill(-1); // by loss
    columns.mark_loss.forEach((/** @type {number} */ loss, /** @type {number} */ m) => { if (loss >= 0) this.marksOf[loss] = m; });
  }

  /** notes are the places of those of a row that are seen between two times. @param {Row} row @param {number} from @param {number} to */
  notes(row, from, to) {
    const i = firstAt(this.c.end, row.from, row.to, from);
    return [i, firstAt(this.c.start, i, row.to, to)];
  }

  /** inView counts the notes between two times. @param {number} from @param {number} to */
  inView(from, to) {
    return this.rows.reduce((n, row) => { const [i, j] = this.notes(row, from, to); return n + j - i; }, 0);
  }

  /** noteAt is the place of the note of a row at a time, or −1. @param {Row | null} row @param {number} t */
  noteAt(row, t) {
    if (!row) return -1;
    const i = firstAt(this.c.start, row.from, row.to, t + 1) - 1;
    return i >= row.from && this.c.end[i] >= t ? i : -1;
  }

  /** lossOf is the place of what a note lost, or −1. @param {Row} row @param {number} span */
  lossOf(row, span) {
    for (let m = firstAt(this.c.mark, row.marks, row.marksTo, this.c.start[span]); m < row.marksTo && this.c.mark[m] <= this.c.end[span]; m++) {
      if (this.c.mark_span[m] === span) return this.c.mark_loss[m];
    }
    return -1;
  }

  /** spanOf is the note that a loss ended, or −1. @param {number} loss */
  spanOf(loss) { return this.marksOf[loss] >= 0 ? this.c.mark_span[this.marksOf[loss]] : -1; }

  /** pyramid is made once, when there are too many notes to draw each. */
  pyramid() { return this.made ??= new Pyramid(this); }
}

/** What a cell shows: the lower two bits a tail, a pedal or a key, the next two what is heard of a loss. */
const tail = 1, pedal = 2, key = 3, unheard = 4, faint = 8, plain = 12;
/** by the weights of the columns: unheard, faint, plain, unweighed */
const weights = [unheard, faint, plain, faint];

/** most of cells. Pyramids have at most so many. */
const mostCells = 1 << 25;

/** over joins what two cells show. @param {number} a @param {number} b */
export function over(a, b) { return Math.max(a & 3, b & 3) | Math.max(a & 12, b & 12); }

/** Pyramid holds what each lane shows in ever fewer columns, each of the last half as many. */
export class Pyramid {
  /** @param {Lanes} lanes */
  constructor(lanes) {
    const { rows, c } = lanes, wide = Math.ceil(Math.log2(Math.max(1, c.start.length / 5)));
    const most = Math.floor(Math.log2(mostCells / Math.max(1, rows.length)));
    this.columns = 2 ** Math.max(4, Math.min(wide, most));
    this.end = c.end.reduce((/** @type {number} */ a, /** @type {number} */ b) => Math.max(a, b), 1) + 1;
    const per = this.columns / this.end, base = new Uint8Array(this.columns * rows.length);
    const fill = (/** @type {number} */ row, /** @type {number} */ from, /** @type {number} */ to, /** @type {number} */ shows) => {
      for (let i = row + Math.floor(from * per), last = row + Math.floor(to * per); i <= last; i++) base[i] = over(base[i], shows);
    };
    rows.forEach((row, n) => {
      const at = n * this.columns;
      for (let i = row.from; i < row.to; i++) {
        fill(at, c.start[i], c.up[i], key);
        if (c.low[i] > c.up[i]) fill(at, c.up[i], c.low[i], pedal);
        if (c.end[i] > c.low[i]) fill(at, c.low[i], c.end[i], tail);
      }
      for (let m = row.marks; m < row.marksTo; m++) fill(at, Math.min(c.mark[m], this.end - 1), Math.min(c.mark[m], this.end - 1), weights[c.weight[m]]);
    });
    this.levels = [base];
    for (let n = this.columns; n > 1; n >>= 1) {
      const below = this.levels[this.levels.length - 1], above = new Uint8Array((n >> 1) * rows.length);
      for (let i = 0; i < above.length; i++) above[i] = over(below[2 * i], below[2 * i + 1]);
      this.levels.push(above);
    }
  }

  /**
   * columnsOf fills in what each of some equal columns between two times shows of a row.
   * @param {number} row @param {number} from @param {number} to @param {Uint8Array} shows
   */
  columnsOf(row, from, to, shows) {
    const pixel = (to - from) / shows.length;
    const level = Math.max(0, Math.min(this.levels.length - 1, Math.floor(Math.log2((pixel * this.columns) / this.end))));
    const cells = this.levels[level], wide = this.columns >> level, per = wide / this.end, at = row * wide;
    for (let x = 0; x < shows.length; x++) {
      const first = Math.floor((from + x * pixel) * per), last = Math.min(wide - 1, Math.ceil((from + (x + 1) * pixel) * per) - 1);
      let shown = 0;
      for (let i = Math.max(0, first); i <= last; i++) shown = over(shown, cells[at + i]);
      shows[x] = shown;
    }
  }
}
