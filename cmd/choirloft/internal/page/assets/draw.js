// @ts-check
// The two pictures of a song. They draw what is in view and compute nothing.

import { barStep } from "./axis.js";
import { firstAt } from "./columns.js";

/** @typedef {import("./axis.js").Range} Range */
/** @typedef {import("./lanes.js").Lanes} Lanes */
/** @typedef {Record<string, string>} Colours */

/** @returns {Colours} */
function colours() {
  const style = getComputedStyle(document.documentElement);
  /** @type {Colours} */
  const c = {};
  for (const name of ["paper", "ink", "soft", "rule", "fill", "accent", "held", "pedal", "tail"]) c[name] = style.getPropertyValue(`--${name}`).trim();
  return c;
}

/** left is the margin for names, in pixels. */
export const left = 62;
const foot = 22;

/**
 * sheet readies a canvas for its size on the screen.
 * @param {HTMLCanvasElement} canvas @param {number} height
 */
function sheet(canvas, height) {
  const ratio = window.devicePixelRatio || 1, width = canvas.clientWidth;
  if (canvas.width !== Math.round(width * ratio) || canvas.height !== Math.round(height * ratio)) {
    canvas.width = Math.round(width * ratio);
    canvas.height = Math.round(height * ratio);
    canvas.style.height = `${height}px`;
  }
  const g = /** @type {CanvasRenderingContext2D} */ (canvas.getContext("2d"));
  g.setTransform(ratio, 0, 0, ratio, 0, 0);
  g.clearRect(0, 0, width, height);
  g.font = '11px system-ui, sans-serif';
  g.textBaseline = "middle";
  return { g, width, height };
}

/** @typedef {{from: number, to: number, per: number, width: number, x: (t: number) => number}} View of times in the unit of the columns, and where they stand */

/** @param {Range} r @param {number} unit @param {number} width @returns {View} */
function view(r, unit, width) {
  const from = r.from / unit, to = r.to / unit, per = (width - left) / (to - from || 1);
  return { from, to, per, width, x: (t) => left + (t - from) * per };
}

/**
 * @param {CanvasRenderingContext2D} g @param {Lanes} lanes @param {View} v @param {number} height @param {Colours} c
 */
function bars(g, lanes, v, height, c) {
  const at = lanes.c.bars, from = firstAt(at, 0, at.length, v.from), to = firstAt(at, from, at.length, v.to + 1);
  const step = barStep(to - from, v.width - left, 34), every = barStep(to - from, v.width - left, 7);
  g.textAlign = "left";
  for (let i = from; i < to; i++) {
    const x = Math.round(v.x(at[i])) + 0.5;
    if (i % every) continue;
    g.strokeStyle = c.rule;
    g.beginPath(); g.moveTo(x, 0); g.lineTo(x, height - foot + (i % step ? 2 : 6)); g.stroke();
    if (i % step === 0 && x < v.width - 20) {
      g.fillStyle = c.soft;
      g.fillText(String(i + 1), x + 3, height - foot / 2);
    }
  }
  g.fillStyle = c.soft;
  g.fillText(lanes.head.has_bars ? "bar" : "s", 4, height - foot / 2);
}

/** @typedef {{y: (n: number) => number, most: number}} Scale of voices */

/**
 * mostOf is how many voices the axis has: those that are wanted, those there are, and a bank more.
 * @param {import("./song.js").Wants} wants @param {number} voices
 */
export function mostOf(wants, voices) { return Math.max(1, wants.audible.peak(), voices, wants.racked + wants.bank) + 1; }

const high = 220;

/**
 * ground shades what is not there, above the voices of the rack.
 * @param {CanvasRenderingContext2D} g @param {Scale} scale @param {import("./song.js").Wants} wants @param {number} from @param {number} width @param {Colours} c
 */
function ground(g, { y }, wants, from, width, c) {
  g.fillStyle = c.fill;
  g.fillRect(from, 0, width - from, y(wants.racked));
  g.strokeStyle = c.soft; g.setLineDash([2, 3]);
  g.beginPath(); g.moveTo(from, y(wants.racked)); g.lineTo(width, y(wants.racked)); g.stroke();
  g.setLineDash([]);
}

/**
 * across is the line of the voices that are played. @param {CanvasRenderingContext2D} g @param {number} y @param {number} from @param {number} width @param {Colours} c
 */
function across(g, y, from, width, c) {
  g.strokeStyle = c.accent; g.lineWidth = 2;
  g.beginPath(); g.moveTo(from, y); g.lineTo(width, y); g.stroke();
  g.lineWidth = 1;
}

/**
 * demand draws the voices wanted, and says where a number of voices stands.
 * @param {HTMLCanvasElement} canvas @param {Lanes} lanes @param {import("./song.js").Wants} wants @param {Range} r @param {number} voices @param {number} most
 * @returns {Scale}
 */
export function demand(canvas, lanes, wants, r, voices, most) {
  const { g, width, height } = sheet(canvas, high), c = colours(), v = view(r, lanes.unit, width);
  const bottom = height - foot, y = (/** @type {number} */ n) => bottom - (n / most) * (bottom - 6);
  ground(g, { y, most }, wants, left, width, c);
  bars(g, lanes, v, height, c);
  for (const [steps, colour] of /** @type {[import("./columns.js").Steps, string][]} */ ([[wants.audible, c.tail], [wants.pedal, c.pedal], [wants.held, c.held]])) {
    area(g, steps, v, y, bottom, colour, 0);
  }
  g.save(); // what is above the line
  g.beginPath(); g.rect(left, 0, width - left, y(voices)); g.clip();
  area(g, wants.audible, v, y, bottom, c.accent, 0.35);
  area(g, wants.pedal, v, y, bottom, c.accent, 0.9);
  g.restore();
  const tick = most > 40 ? 20 : most > 16 ? 8 : 4;
  g.textAlign = "right"; g.fillStyle = c.soft;
  for (let n = 0; n <= most; n += tick) g.fillText(String(n), left - 6, y(n));
  g.textAlign = "left";
  plate(g, fitted(g, wants.not_there, width - left - 44), left + 40, Math.max(8, y(wants.racked) - 9), c.fill, c.soft);
  across(g, y(voices), left, width, c);
  plate(g, String(voices), left + 5, y(voices), c.accent, c.paper);
  return { y, most };
}

/** plate writes on a ground of its own. @param {CanvasRenderingContext2D} g @param {string} text @param {number} x @param {number} y @param {string} ground @param {string} ink */
function plate(g, text, x, y, ground, ink) {
  g.fillStyle = ground;
  g.fillRect(x - 3, y - 8, g.measureText(text).width + 6, 15);
  g.fillStyle = ink;
  g.fillText(text, x, y);
}

/**
 * curve draws beside it what each number of voices costs, on the same axis, and names those that are enough.
 * @param {HTMLCanvasElement} canvas @param {any} sizes @param {import("./song.js").Wants} wants @param {number} voices @param {Scale} scale
 */
export function curve(canvas, sizes, wants, voices, scale) {
  const { g, width, height } = sheet(canvas, high), c = colours(), { y } = scale;
  ground(g, scale, wants, 0, width, c);
  if (sizes) {
    const most = Math.max(1e-9, ...sizes.bars.map((/** @type {any} */ b) => b.grey)), per = (width - 8) / most;
    for (const b of sizes.bars) {
      const top = y(b.voices + 0.5) + 0.5, tall = Math.max(1, y(b.voices - 0.5) - top - 0.5);
      g.fillStyle = b.known ? c.tail : c.fill;
      g.fillRect(1, top, b.known ? b.grey * per : width, tall);
      g.fillStyle = c.held;
      g.fillRect(1, top, b.dark * per, tall);
    }
    named(g, sizes.marks, y, width, c);
    g.textAlign = "left"; g.fillStyle = c.soft;
    g.fillText(fitted(g, sizes.label, width - 4), 2, height - foot / 2);
  }
  g.fillStyle = c.ink; g.fillRect(0, 6, 1, height - foot - 6);
  across(g, y(voices), 0, width, c);
}

/** fitted is as much of a text as has room. @param {CanvasRenderingContext2D} g @param {string} text @param {number} width */
function fitted(g, text, width) {
  let shown = text;
  while (shown && g.measureText(shown === text ? shown : `${shown}…`).width > width) shown = shown.slice(0, -1);
  return shown === text ? text : `${shown}…`;
}

/**
 * named writes numbers of voices that are enough, none over another.
 * @param {CanvasRenderingContext2D} g @param {any[]} marks @param {(n: number) => number} y @param {number} width @param {Colours} c
 */
function named(g, marks, y, width, c) {
  const lines = marks.filter((m) => !m.have || m.answer).sort((a, b) => b.voices - a.voices), font = g.font;
  let last = -Infinity;
  g.textAlign = "left";
  for (const m of lines) {
    const at = Math.max(y(m.voices), last + 13, 8);
    last = at;
    g.strokeStyle = m.answer ? c.ink : c.soft;
    g.beginPath(); g.moveTo(0, y(m.voices)); g.lineTo(12, y(m.voices)); g.lineTo(18, at); g.stroke();
    g.font = m.answer ? `bold ${font}` : font;
    const text = fitted(g, width < 140 ? String(m.voices) : `${m.voices} ${m.says}`, width - 24);
    g.globalAlpha = 0.85; g.fillStyle = c.paper; g.fillRect(19, at - 7, g.measureText(text).width + 4, 13); g.globalAlpha = 1;
    g.fillStyle = m.answer ? c.ink : c.soft;
    g.fillText(text, 21, at);
  }
  g.font = font;
}

/**
 * area fills below steps, in each column of pixels up to the most there.
 * @param {CanvasRenderingContext2D} g @param {import("./columns.js").Steps} steps @param {View} v
 * @param {(n: number) => number} y @param {number} bottom @param {string} colour @param {number} alpha
 */
function area(g, steps, v, y, bottom, colour, alpha) {
  g.save();
  if (alpha) g.globalAlpha = alpha;
  g.fillStyle = colour;
  let begun = left, tall = 0;
  for (let x = left; x <= v.width; x++) {
    const from = v.from + (x - left) / v.per, n = x < v.width ? steps.during(from, from + 1 / v.per) : 0;
    if (n === tall && x < v.width) continue;
    if (tall) g.fillRect(begun, y(tall), x - begun, bottom - y(tall));
    begun = x;
    tall = n;
  }
  g.restore();
}

/** mostDrawn is how many notes in view are drawn one by one. */
export const mostDrawn = 8000;

/**
 * lanes draws what each voice in service plays: notes one by one, or where they are many
 * what a pixel shows.
 * @param {HTMLCanvasElement} canvas @param {Lanes} lanes @param {Range} r @param {number | null} marked a note
 * @returns {{rowAt: (y: number) => import("./lanes.js").Row | null, drawn: number}}
 */
export function lanes(canvas, lanes, r, marked) {
  const shown = lanes.rows, row = shown.length > 40 ? 9 : shown.length > 24 ? 14 : 22;
  const { g, width, height } = sheet(canvas, shown.length * row + foot + 4), c = colours(), v = view(r, lanes.unit, width);
  bars(g, lanes, v, height, c);
  names(g, shown, row, width, c);
  const many = lanes.inView(v.from, v.to) > mostDrawn;
  g.save();
  g.beginPath(); g.rect(left - 2, 0, width, height); g.clip();
  const drawn = many ? pixels(g, lanes, v, row, c) : notes(g, lanes, v, row, c, marked);
  g.restore();
  return { rowAt: (y) => shown[Math.floor(y / row)] ?? null, drawn };
}

/**
 * names writes the voices before their lanes, and sets banks apart.
 * @param {CanvasRenderingContext2D} g @param {import("./lanes.js").Row[]} shown @param {number} row @param {number} width @param {Colours} c
 */
function names(g, shown, row, width, c) {
  let bank = "";
  g.textAlign = "right";
  shown.forEach(({ name, bank: of }, i) => {
    if (of !== bank) {
      bank = of;
      g.strokeStyle = c.soft;
      g.beginPath(); g.moveTo(0, i * row + 0.5); g.lineTo(width, i * row + 0.5); g.stroke();
    }
    g.fillStyle = c.soft;
    if (row >= 12 || i % 4 === 0) g.fillText(name, left - 6, i * row + row * 0.66);
  });
}

/**
 * pixels draws a pixel a lane and column, and returns how many lanes.
 * @param {CanvasRenderingContext2D} g @param {Lanes} lanes @param {View} v @param {number} row @param {Colours} c
 */
function pixels(g, lanes, v, row, c) {
  const wide = Math.floor(v.width - left), pyramid = lanes.pyramid(), shows = new Uint8Array(wide), { bar, top } = storeys(row);
  const keys = new ImageData(wide, lanes.rows.length), marks = new ImageData(wide, lanes.rows.length);
  const [, tail, pedal, held] = inks(["#0000", c.tail, c.pedal, c.held]), losses = inks(["#0000", "#0000", c.accent, c.accent]);
  const of = [0, tail, pedal, held], to = new Uint32Array(keys.data.buffer), over = new Uint32Array(marks.data.buffer);
  lanes.rows.forEach((_, i) => {
    pyramid.columnsOf(i, v.from, v.from + wide / v.per, shows);
    for (let x = 0; x < wide; x++) {
      to[i * wide + x] = of[shows[x] & 3];
      over[i * wide + x] = losses[shows[x] >> 2];
    }
  });
  g.imageSmoothingEnabled = false;
  const sheets = [keys, marks].map((image) => { const s = new OffscreenCanvas(wide, lanes.rows.length); s.getContext("2d")?.putImageData(image, 0, 0); return s; });
  lanes.rows.forEach((_, i) => {
    g.drawImage(sheets[0], 0, i, wide, 1, left, i * row + top, wide, bar);
    g.drawImage(sheets[1], 0, i, wide, 1, left, i * row + 1, wide, Math.max(2, top - 2));
  });
  return lanes.rows.length;
}

/** storeys divides a lane: losses stand over the bars of its notes. @param {number} row */
function storeys(row) {
  const top = Math.round(row * 0.42);
  return { top, bar: row - top - 1 };
}

/** inks are colours as pixels. @param {string[]} list */
function inks(list) {
  const g = /** @type {OffscreenCanvasRenderingContext2D} */ (new OffscreenCanvas(list.length, 1).getContext("2d", { willReadFrequently: true }));
  list.forEach((colour, i) => { g.fillStyle = colour; g.fillRect(i, 0, 1, 1); });
  return new Uint32Array(g.getImageData(0, 0, list.length, 1).data.buffer);
}

/**
 * notes draws those in view one by one, then what was lost, and returns how many.
 * @param {CanvasRenderingContext2D} g @param {Lanes} lanes @param {View} v @param {number} row @param {Colours} c @param {number | null} marked
 */
function notes(g, lanes, v, row, c, marked) {
  const hatch = pattern(g, c.held);
  let drawn = 0;
  lanes.rows.forEach((r, n) => {
    const [from, to] = lanes.notes(r, v.from, v.to);
    for (let i = from; i < to; i++) one(g, lanes, i, v, n * row, row, c, hatch, lanes.c.note[i] === marked);
    drawn += to - from;
  });
  lanes.rows.forEach((r, n) => lost(g, lanes, r, v, n * row, row, c));
  return drawn;
}

/**
 * one draws one note: filled while the key is down, hatched on the pedal, low
 * in the tail; framed where it is at the wrong pitch.
 * @param {CanvasRenderingContext2D} g @param {Lanes} lanes @param {number} i its place @param {View} v @param {number} top @param {number} row
 * @param {Colours} c @param {CanvasPattern | string} hatch @param {boolean} marked
 */
function one(g, lanes, i, v, top, row, c, hatch, marked) {
  const clip = (/** @type {number} */ t) => Math.min(v.width + 2, Math.max(left - 2, v.x(t)));
  const a = clip(lanes.c.start[i]), up = clip(lanes.c.up[i]), low = clip(lanes.c.low[i]), end = clip(lanes.c.end[i]);
  const { top: above, bar: h } = storeys(row), y = top + above;
  if (end > low) {
    g.fillStyle = c.tail;
    g.beginPath(); g.moveTo(low, y + h * 0.25); g.lineTo(low, y + h); g.lineTo(end, y + h); g.lineTo(end, y + h * 0.8); g.fill();
  }
  if (low > up) { g.fillStyle = hatch; g.fillRect(up, y, low - up, h); g.strokeStyle = c.held; if (low - up > 3) g.strokeRect(up + 0.5, y + 0.5, low - up - 1, h - 1); }
  g.fillStyle = marked ? c.accent : c.held;
  g.fillRect(up - a > 3 ? a + 0.7 : a, y, Math.max(up - a - (up - a > 3 ? 0.7 : 0), 0.8), h);
  if (lanes.wrong.has(i)) { g.strokeStyle = c.accent; g.lineWidth = 2; g.strokeRect(a + 1, y + 1, Math.max(1, low - a - 2), h - 2); g.lineWidth = 1; }
  if (h < 11) return;
  const name = lanes.head.keys[lanes.c.key[i]], full = `${lanes.head.parts[lanes.c.part[i]]} ${name}`;
  for (const text of [full, name]) {
    if (up - a < 12 || g.measureText(text).width > up - a - 6) continue;
    g.fillStyle = c.paper; g.textAlign = "left";
    g.fillText(text, a + 4, y + h / 2 + 0.5);
    return;
  }
}

/**
 * lost draws the losses of a lane: dashed what is missing, as long as it would have been
 * heard or to the next mark, level for a key and a pedal, falling for a tail; then the marks.
 * @param {CanvasRenderingContext2D} g @param {Lanes} lanes @param {import("./lanes.js").Row} r @param {View} v @param {number} top @param {number} row @param {Colours} c
 */
function lost(g, lanes, r, v, top, row, c) {
  const { mark, wanted, weight, mark_kind: kind } = lanes.c, { top: storey } = storeys(row), y = top + storey;
  const heard = (/** @type {number} */ m) => weight[m] === 1 || weight[m] === 2;
  g.strokeStyle = c.accent; g.setLineDash([3, 2]);
  let next = Infinity, later = Infinity, before = -1;
  for (let m = firstAt(mark, r.marks, r.marksTo, v.to) - 1; m >= r.marks && mark[m] >= before; m--) {
    if (!heard(m)) continue;
    if (mark[m] < v.from) before = mark[m]; // what is missing from before that ends here
    const x = v.x(mark[m]), whole = v.x(wanted[m]);
    if (x < next) [later, next] = [next, x];
    const to = Math.min(whole, later, v.width);
    if (to - x < 4 || to < left) continue;
    g.beginPath();
    if (kind[m] & 1) { g.moveTo(x, top + 1); g.lineTo(to, top + 1 + ((storey - 2) * (to - x)) / (whole - x)); }
    else { g.moveTo(x, y - 1.5); g.lineTo(to, y - 1.5); }
    g.stroke();
  }
  g.setLineDash([]);
  const from = firstAt(mark, r.marks, r.marksTo, v.from);
  for (const least of [0, 1]) { // what is heard last, so that nothing hides it
    for (let m = from; m < r.marksTo && mark[m] < v.to; m++) {
      if (Number(heard(m)) === least) weighed(g, weight[m], kind[m], v.x(mark[m]), top, row, c);
    }
  }
}

/**
 * weighed draws a mark by how much is heard: a box with a cross, a triangle, a hairline.
 * What began late has a stroke before it.
 * @param {CanvasRenderingContext2D} g @param {number} weight @param {number} kind @param {number} x @param {number} top @param {number} row @param {Colours} c
 */
function weighed(g, weight, kind, x, top, row, c) {
  const { top: storey, bar } = storeys(row), k = Math.min(4, Math.max(2, storey / 2 - 0.5)), y = top + storey - k - 0.5;
  const shape = weight === 3 ? 2 - (kind & 1) : weight; // where nobody listened a tail is drawn as faint
  if (kind & 2 && shape) { g.fillStyle = c.accent; g.fillRect(x - 8, y - 1, 6, 2); }
  if (shape === 2) {
    g.fillStyle = c.paper; g.fillRect(x - k - 1, y - k - 1, 2 * k + 2, 2 * k + 2);
    g.fillStyle = c.accent; g.fillRect(x - k, y - k, 2 * k, 2 * k);
    if (k < 3) return;
    g.strokeStyle = c.paper;
    g.beginPath(); g.moveTo(x - k / 2, y - k / 2); g.lineTo(x + k / 2, y + k / 2); g.moveTo(x - k / 2, y + k / 2); g.lineTo(x + k / 2, y - k / 2); g.stroke();
  } else if (shape === 1) {
    g.fillStyle = c.paper; g.strokeStyle = c.accent;
    g.beginPath(); g.moveTo(x - k, y - k + 0.5); g.lineTo(x + k, y - k + 0.5); g.lineTo(x, y + k); g.closePath(); g.fill(); g.stroke();
  } else {
    g.fillStyle = c.soft; g.fillRect(x - 0.5, top + storey + bar * 0.1, 1, bar * 0.8);
  }
}

/** @param {CanvasRenderingContext2D} g @param {string} colour */
function pattern(g, colour) {
  const tile = new OffscreenCanvas(5, 5), t = /** @type {OffscreenCanvasRenderingContext2D} */ (tile.getContext("2d"));
  t.strokeStyle = colour; t.lineWidth = 1.2;
  t.beginPath(); t.moveTo(-1, 6); t.lineTo(6, -1); t.moveTo(-1, 1); t.lineTo(1, -1); t.moveTo(4, 6); t.lineTo(6, 4); t.stroke();
  return g.createPattern(tile, "repeat") ?? colour;
}
