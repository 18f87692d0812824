// node --test: the modules of the page that need no browser.
import assert from "node:assert/strict";
import { test } from "node:test";
import { barStep, clock, decibels, first, inside, span, zoomed } from "../assets/axis.js";
import { History, asTheRig, flags, quoted, withFix } from "../assets/settings.js";

test("flags are those of the command", () => {
  assert.deepEqual(flags(asTheRig()), []);
  const s = { voices: 12, out: ["A1", "B2"], parts: { "": { pick: "lowest" }, pad: { pick: "nearest", unison: 2 } }, extra: ["--trim", "pad=80 ms"] };
  assert.deepEqual(flags(s), ["--voices", "12", "--out", "A1,B2", "--unison", "pad=2", "--pick", "lowest", "--pick", "pad=nearest", "--trim", "pad=80 ms"]);
  assert.equal(quoted(flags(s)), '--voices 12 --out A1,B2 --unison pad=2 --pick lowest --pick pad=nearest --trim "pad=80 ms"');
});

test("a remedy goes on top", () => {
  let s = withFix(asTheRig(), ["--release", "1.2 s", "--banks", "pad=A"]);
  assert.deepEqual(flags(s), ["--release", "1.2 s", "--banks", "pad=A"]);
  s = withFix(s, ["--banks", "pad=B", "--voices", "9", "--unison", "pad=1"]);
  assert.deepEqual(flags(s), ["--voices", "9", "--unison", "pad=1", "--release", "1.2 s", "--banks", "pad=B"]);
  s = withFix({ ...asTheRig(), parts: { pad: { pick: "lowest" } } }, ["--pick", "same-key"]);
  assert.deepEqual(flags(s), ["--pick", "same-key"], "what is for every part goes in place of all");
});

test("history goes back and forth", () => {
  const h = new History(1);
  assert.equal(h.change(1), false, "no change");
  h.change(2);
  h.change(3);
  h.replace(4);
  assert.equal(h.undo() && h.now, 2);
  assert.equal(h.redo() && h.now, 4);
  h.undo();
  h.change(5);
  assert.equal(h.redo(), false, "what was undone is gone once something else is done");
});

test("ranges stay inside the song", () => {
  assert.deepEqual(inside({ from: -2, to: 3 }, 10), { from: 0, to: 5 });
  assert.deepEqual(inside({ from: 8, to: 13 }, 10), { from: 5, to: 10 });
  assert.deepEqual(zoomed({ from: 0, to: 10 }, 0.5, 5, 10), { from: 2.5, to: 7.5 });
  assert.deepEqual(zoomed({ from: 4, to: 6 }, 100, 5, 10), { from: 0, to: 10 });
  const near = zoomed({ from: 4, to: 6 }, 0.0001, 5, 10);
  assert.ok(Math.abs(near.to - near.from - 0.25) < 1e-9);
});

test("a search finds the first that is not before", () => {
  assert.equal(first([1, 2, 2, 5], (n) => n < 2), 1);
  assert.equal(first([1, 2, 2, 5], (n) => n < 9), 4);
  assert.equal(first([], () => true), 0);
});

test("numbers are as a technician has them", () => {
  assert.deepEqual([clock(83.3334), decibels(-21.875), decibels(null), decibels(-0.01), span(0), span(0.0042), span(0.12), span(2.7), span(316.2)],
    ["1:23.333", "-21.9 dB", "–", "0.0 dB", "–", "4.2 ms", "120 ms", "2.70 s", "316 s"]);
  assert.deepEqual([barStep(16, 800, 34), barStep(64, 800, 34), barStep(5000, 800, 34)], [1, 4, 256]);
});
