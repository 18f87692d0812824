// @ts-check
// The two pictures of a song. They draw what is in view and compute nothing.

import { barStep, first } from "./axis.js";

/** @typedef {import("./axis.js").Range} Range */

/** @returns {Record<string, string>} */
function colours() {
  const style = getComputedStyle(document.documentElement);
  /** @type {Record<string, string>} */
  const c = {};
  for (const name of ["paper", "ink", "soft", "rule", "fill", "accent", "held", "pedal", "tail"]) c[name] = style.getPropertyValue(`--${name}`).trim();
  return c;
}

/** left is the margin for names, in pixels. */
export const left = 44;
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

/** x is where a time stands. @param {Range} r @param {number} width */
function scale(r, width) {
  const per = (width - left) / (r.to - r.from || 1);
  return (/** @type {number} */ t) => left + (t - r.from) * per;
}

/**
 * @param {CanvasRenderingContext2D} g @param {any} lanes @param {Range} r @param {number} width @param {number} height @param {Record<string,string>} c
 */
function bars(g, lanes, r, width, height, c) {
  const x = scale(r, width), from = first(lanes.bars, (b) => b.at_s < r.from - 1e-9), to = first(lanes.bars, (b) => b.at_s <= r.to);
  const step = barStep(to - from, width - left, 34), every = barStep(to - from, width - left, 7);
  g.textAlign = "left";
  for (let i = from; i < to; i++) {
    const b = lanes.bars[i], at = Math.round(x(b.at_s)) + 0.5;
    if ((b.bar - 1) % every) continue;
    g.strokeStyle = c.rule;
    g.beginPath(); g.moveTo(at, 0); g.lineTo(at, height - foot + ((b.bar - 1) % step ? 2 : 6)); g.stroke();
    if ((b.bar - 1) % step === 0 && at < width - 20) {
      g.fillStyle = c.soft;
      g.fillText(String(b.bar), at + 3, height - foot / 2);
    }
  }
  g.fillStyle = c.soft;
  g.fillText(lanes.has_bars ? "bar" : "s", 4, height - foot / 2);
}

/**
 * demand draws the voices wanted, and says where a number of voices stands.
 * @param {HTMLCanvasElement} canvas @param {any} lanes @param {Range} r @param {number} voices
 * @returns {{y: (n: number) => number, most: number}}
 */
export function demand(canvas, lanes, r, voices) {
  const { g, width, height } = sheet(canvas, 170), c = colours(), x = scale(r, width);
  const peak = Math.max(1, ...lanes.audible.map((/** @type {any} */ s) => s.voices));
  const most = Math.max(peak, voices) + 1, bottom = height - foot, y = (/** @type {number} */ n) => bottom - (n / most) * (bottom - 6);
  bars(g, lanes, r, width, height, c);
  for (const [steps, colour] of /** @type {[any[], string][]} */ ([[lanes.audible, c.tail], [lanes.pedal, c.pedal], [lanes.held, c.held]])) {
    area(g, steps, r, x, y, bottom, colour, 0);
  }
  g.save(); // what is above the line
  g.beginPath(); g.rect(left, 0, width - left, y(voices)); g.clip();
  area(g, lanes.audible, r, x, y, bottom, c.accent, 0.35);
  area(g, lanes.pedal, r, x, y, bottom, c.accent, 0.9);
  g.restore();
  const tick = most > 40 ? 20 : most > 16 ? 8 : 4;
  g.textAlign = "right"; g.fillStyle = c.soft;
  for (let n = 0; n <= most; n += tick) g.fillText(String(n), left - 6, y(n));
  g.strokeStyle = c.ink; g.setLineDash([6, 3]);
  g.beginPath(); g.moveTo(left, y(voices)); g.lineTo(width, y(voices)); g.stroke(); g.setLineDash([]);
  g.fillStyle = c.paper;
  const label = String(voices), w = g.measureText(label).width + 8;
  g.fillRect(width - w - 4, y(voices) - 8, w, 16);
  g.fillStyle = c.ink; g.fillText(label, width - 8, y(voices));
  return { y, most };
}

/**
 * @param {CanvasRenderingContext2D} g @param {any[]} steps @param {Range} r
 * @param {(t: number) => number} x @param {(n: number) => number} y @param {number} bottom @param {string} colour @param {number} alpha
 */
function area(g, steps, r, x, y, bottom, colour, alpha) {
  if (!steps.length) return;
  g.save();
  if (alpha) g.globalAlpha = alpha;
  g.fillStyle = colour;
  const from = Math.max(0, first(steps, (s) => s.at_s <= r.from) - 1);
  let column = -1, most = 0; // of steps narrower than a pixel the highest is drawn
  const flush = () => { if (most) g.fillRect(column, y(most), 1, bottom - y(most)); most = 0; };
  for (let i = from; i < steps.length && steps[i].at_s < r.to; i++) {
    const n = steps[i].voices, a = Math.max(left, x(steps[i].at_s)), b = x(i + 1 < steps.length ? steps[i + 1].at_s : r.to);
    if (!n || b <= a) continue;
    if (b - a >= 1) { g.fillRect(a, y(n), b - a, bottom - y(n)); continue; }
    if (Math.floor(a) !== column) { flush(); column = Math.floor(a); }
    most = Math.max(most, n);
  }
  flush();
  g.restore();
}

/**
 * lanes draws what each voice in service plays.
 * @param {HTMLCanvasElement} canvas @param {any} lanes @param {Range} r @param {number | null} marked a note
 * @returns {{voiceAt: (y: number) => number | null}}
 */
export function lanes(canvas, lanes, r, marked) {
  const shown = lanes.rows, row = shown.length > 40 ? 9 : shown.length > 24 ? 12 : 16;
  const { g, width, height } = sheet(canvas, shown.length * row + foot + 4), c = colours(), x = scale(r, width);
  bars(g, lanes, r, width, height, c);
  const hatch = pattern(g, c.held);
  let bank = "";
  shown.forEach((/** @type {any} */ v, /** @type {number} */ i) => {
    const top = i * row;
    if (v.bank !== bank) {
      bank = v.bank;
      g.strokeStyle = c.soft;
      g.beginPath(); g.moveTo(0, top + 0.5); g.lineTo(width, top + 0.5); g.stroke();
    }
    g.fillStyle = c.soft; g.textAlign = "right";
    if (row >= 12 || i % 4 === 0) g.fillText(v.name, left - 6, top + row / 2 + 1);
    let drawn = -1; // what ends in a pixel that is drawn already adds nothing
    for (let n = first(v.spans, (s) => s.end_s < r.from); n < v.spans.length && v.spans[n].start_s < r.to; n++) {
      const s = v.spans[n], end = x(s.end_s);
      if (end < drawn && s.note !== marked) continue;
      drawn = Math.floor(end) + 0.5;
      one(g, s, x, top, row, c, hatch, s.note === marked);
    }
  });
  return { voiceAt: (y) => (y < shown.length * row ? Math.floor(y / row) : null) };
}

/**
 * one draws one note: filled while the key is down, hatched on the pedal, low
 * in the tail; what cut it is marked by shape, and so is a late start.
 * @param {CanvasRenderingContext2D} g @param {any} s @param {(t: number) => number} x @param {number} top @param {number} row
 * @param {Record<string,string>} c @param {CanvasPattern | string} hatch @param {boolean} marked
 */
function one(g, s, x, top, row, c, hatch, marked) {
  const clip = (/** @type {number} */ v) => Math.max(left, v);
  const a = clip(x(s.start_s)), up = clip(x(s.up_s)), low = clip(x(s.low_s)), end = clip(x(s.end_s)), h = row - 4, y = top + 3;
  if (end > low) { g.fillStyle = c.tail; g.fillRect(low, y + h * 0.6, end - low, h * 0.4); }
  if (low > up) { g.fillStyle = hatch; g.fillRect(up, y, low - up, h); g.strokeStyle = c.held; if (low - up > 3) g.strokeRect(up + 0.5, y + 0.5, low - up - 1, h - 1); }
  g.fillStyle = marked ? c.accent : c.held;
  g.fillRect(a, y, Math.max(up - a, 0.8), h);
  if (s.mark === "unheard" && s.loss >= 0) { // a hairline
    g.fillStyle = c.soft;
    g.fillRect(s.late_start ? a - 0.5 : end - 0.5, y, 1, h);
    return;
  }
  if (s.late_start) {
    g.fillStyle = c.accent;
    g.fillRect(a - 6, y + h / 2 - 1, 6, 2);
    g.fillRect(a - 1, y - 1, 2, h + 2);
  }
  if (!s.ending) return;
  g.fillStyle = g.strokeStyle = c.accent;
  if (s.mark === "faint" || (s.mark === "unweighed" && s.ending.startsWith("tail_cut"))) {
    g.fillRect(end - 1.5, y + h * 0.35, 1.5, h * 0.65);
    return;
  }
  g.beginPath(); g.moveTo(end, y - 1); g.lineTo(end + 5, y - 1); g.lineTo(end, y + 6); g.fill();
  g.fillRect(end - 1, y - 1, 2, h + 2);
}

/** @param {CanvasRenderingContext2D} g @param {string} colour */
function pattern(g, colour) {
  const tile = new OffscreenCanvas(5, 5), t = /** @type {OffscreenCanvasRenderingContext2D} */ (tile.getContext("2d"));
  t.strokeStyle = colour; t.lineWidth = 1.2;
  t.beginPath(); t.moveTo(-1, 6); t.lineTo(6, -1); t.moveTo(-1, 1); t.lineTo(1, -1); t.moveTo(4, 6); t.lineTo(6, 4); t.stroke();
  return g.createPattern(tile, "repeat") ?? colour;
}

/**
 * rows groups the spans of lanes by voice, of those that play or could.
 * @param {any} lanes
 */
export function rows(lanes) {
  const byVoice = lanes.voices.map((/** @type {any} */ v) => ({ ...v, spans: [] }));
  for (const s of lanes.spans) byVoice[s.voice - 1].spans.push(s);
  return byVoice.filter((/** @type {any} */ v) => v.state === "in" || v.state === "limited" || v.spans.length);
}
