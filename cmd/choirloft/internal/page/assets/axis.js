// @ts-check
// Where things stand on a picture: times, bars, and what of them is in view.

/** @typedef {{from: number, to: number}} Range of seconds */

/**
 * zoomed returns the range with a factor less or more of time around a centre,
 * inside the song and not below a quarter of a second.
 * @param {Range} r @param {number} factor @param {number} centre @param {number} end
 * @returns {Range}
 */
export function zoomed(r, factor, centre, end) {
  const length = Math.min(end, Math.max(0.25, (r.to - r.from) * factor));
  const share = (centre - r.from) / (r.to - r.from || 1);
  return inside({ from: centre - share * length, to: centre + (1 - share) * length }, end);
}

/**
 * inside moves a range into the song.
 * @param {Range} r @param {number} end
 * @returns {Range}
 */
export function inside(r, end) {
  const length = Math.min(end, r.to - r.from);
  const from = Math.min(Math.max(0, r.from), Math.max(0, end - length));
  return { from, to: from + length };
}

/**
 * first returns the index of the first item that is not before: a list that
 * is sorted by that has the items before first.
 * @template T
 * @param {ArrayLike<T>} list @param {(item: T) => boolean} before
 */
export function first(list, before) {
  let low = 0, high = list.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (before(list[middle])) low = middle + 1;
    else high = middle;
  }
  return low;
}

/**
 * barStep returns of how many bars one is numbered, so that numbers stand at
 * least so many pixels apart.
 * @param {number} bars @param {number} pixels @param {number} apart
 */
export function barStep(bars, pixels, apart) {
  for (const step of [1, 2, 4, 8, 16, 32, 64, 128, 256, 512]) {
    if ((bars / step) * apart <= pixels) return step;
  }
  return 1024;
}
