// @ts-check
// Numbers that come in columns beside a head of JSON.

/** @typedef {Record<string, any>} Columns by name, typed arrays of whole numbers */

/** @type {Record<string, any>} */
const kinds = { u8: Uint8Array, i16: Int16Array, u32: Uint32Array, i32: Int32Array };

/**
 * read returns the head and the columns, which are not copied.
 * @param {ArrayBuffer} data @returns {{head: any, columns: Columns}}
 */
export function read(data) {
  const size = new DataView(data).getUint32(0, true);
  const head = JSON.parse(new TextDecoder().decode(new Uint8Array(data, 4, size)));
  /** @type {Columns} */
  const columns = {};
  let at = 4 + size;
  for (const { name, type, count } of head.columns) {
    const kind = kinds[type];
    columns[name] = new kind(data, at, count);
    at += Math.ceil((count * kind.BYTES_PER_ELEMENT) / 8) * 8;
  }
  return { head, columns };
}

/**
 * firstAt is the first place between two of an ascending column with no less than a value.
 * @param {ArrayLike<number>} column @param {number} low @param {number} high @param {number} value
 */
export function firstAt(column, low, high, value) {
  while (low < high) {
    const middle = (low + high) >> 1;
    if (column[middle] < value) low = middle + 1;
    else high = middle;
  }
  return low;
}

/** Steps are numbers of voices from times on; the most of a stretch is found by powers of two. */
export class Steps {
  /** @param {Uint32Array} at @param {Uint32Array} n */
  constructor(at, n) {
    this.at = at;
    this.levels = [n];
    for (let below = n; below.length > 1;) {
      const above = new Uint32Array((below.length + 1) >> 1);
      for (let i = 0; i < above.length; i++) above[i] = Math.max(below[2 * i], below[2 * i + 1] ?? 0);
      this.levels.push(above);
      below = above;
    }
  }
  /** most is that of the steps from one place to before another. @param {number} i @param {number} j */
  most(i, j) {
    let most = 0;
    for (const level of this.levels) {
      if (i >= j) break;
      if (i & 1) most = Math.max(most, level[i++]);
      if (j & 1) most = Math.max(most, level[--j]);
      i >>= 1;
      j >>= 1;
    }
    return most;
  }
  peak() { return this.most(0, this.at.length); }
  /** during is the most between two times. @param {number} from @param {number} to */
  during(from, to) {
    const after = firstAt(this.at, 0, this.at.length, from + 1e-9); // from then on; the one before still holds
    return this.most(Math.max(0, after - 1), firstAt(this.at, after, this.at.length, to));
  }
}
