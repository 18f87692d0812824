// node --test: the modules of the page that need no browser.
import assert from "node:assert/strict";
import { test } from "node:test";
import { barStep, first, inside, zoomed } from "../assets/axis.js";
import { Steps, firstAt, read } from "../assets/columns.js";
import { facts, gloss, lead, sections } from "../assets/doc.js";
import { Lanes, over } from "../assets/lanes.js";
import { History } from "../assets/settings.js";
import { Ticks } from "../assets/ticks.js";
import { keep, restored } from "../assets/undo.js";

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

/** session has room for so many characters. */
function session(room) {
  let kept = null;
  globalThis.sessionStorage = { getItem: () => kept, removeItem: () => { kept = null; }, setItem: (_, text) => { if (text.length > room) throw new Error("full"); kept = text; } };
}

test("what can be undone is kept over a reload: the newest where there is little room, and nothing that is of no use", () => {
  const state = (n) => ({ set: [], text: `text ${n} `.repeat(50), song: "1" }), there = (id) => (id === "1" ? id : undefined);
  const h = new History(state(0));
  for (let n = 1; n <= 16; n++) h.change(state(n));
  h.undo();
  session(1e6);
  assert.deepEqual(restored(state(15), there).history, new History(state(15)), "nothing is kept yet");
  keep(h);
  assert.deepEqual(restored(state(15), there), { history: h, lost: "" });
  assert.equal(restored(state(14), there).history.before.length, 0);
  assert.match(restored(state(14), there).lost, /changed elsewhere/);
  assert.equal(restored({ ...state(15), song: "2" }, (id) => (id === "2" ? id : undefined)).history.undo(), true);
  session(5000); // eight texts of some 400 characters, and not fifteen
  keep(h);
  const less = restored(state(15), there).history;
  assert.deepEqual(less.before, h.before.slice(-7));
  session(100);
  keep(h);
  assert.deepEqual(restored(state(15), there).history, new History(state(15)));
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

test("bars are numbered as far apart as numbers need", () => {
  assert.deepEqual([barStep(16, 800, 34), barStep(64, 800, 34), barStep(5000, 800, 34)], [1, 4, 256]);
});

// Element is as much of one as documents want. Nothing may be written as markup.
class Element {
  constructor(name) { Object.assign(this, { name, attributes: {}, children: [] }); }
  setAttribute(name, value) { this.attributes[name] = value; }
  append(...children) { this.children.push(...children); }
  set innerHTML(_) { throw new Error("markup"); }
  set outerHTML(_) { throw new Error("markup"); }
  insertAdjacentHTML() { throw new Error("markup"); }
  get textContent() { return this.children.map((c) => c.textContent ?? c).join(""); }
  toString() {
    const attributes = Object.entries(this.attributes).map(([k, v]) => ` ${k}="${v}"`).join("");
    return `<${this.name}${attributes}>${this.children.map((c) => (c instanceof Element ? String(c) : c.replaceAll("<", "&lt;"))).join("")}</${this.name}>`;
  }
}
globalThis.document = { createElement: (name) => new Element(name) };

const nasty = "<img src=x onerror=alert(1)>";
const song = {
  title: "Song on rig", plan: "P1", blocks: [
    { kind: "answer", text: `12 notes, ${nasty}`, tone: "bad" },
    { kind: "paragraph", text: "No rule can do better." },
    { kind: "heading", text: "Losses" },
    { kind: "table", columns: [{ head: "Key" }, { head: "Lost", right: true, legend: "of gate time." }, { head: "" }],
      groups: [{ title: "On main", rows: [["C4", "2.00 s", "!"], ["D4", "-", ""]], about: ["loss 3"] }, { rows: [[nasty, "0.1 s", ""]] }], legends: ["Lost: of gate time."] },
    { kind: "aside", text: "Worst first." },
    { kind: "heading", text: "To do", page: true },
    { kind: "list", items: [{ text: "Mute." }] },
    { kind: "list", numbered: true, boxes: true, items: [{ text: "Unplug", below: ["M1", nasty] }] },
    { kind: "list", items: [{ text: "2 oddities:", below: ["byte 3"] }] },
    { kind: "figure", name: "lanes" },
    { kind: "figure", name: "curve" },
    { kind: "findings", findings: [{ severity: "warning", code: "few", text: "few", line: "warning: few [few]", hint: "buy",
      facts: [{ name: "load", figure: "89.7", unit: "%" }, { name: nasty, figure: "2", assumed: true }] }, { severity: "note", code: "x", text: "x", line: "note: x [x]" }] },
  ],
};

test("a document is shown as it is said, every kind of block", () => {
  const safe = "&lt;img src=x onerror=alert(1)>";
  assert.deepEqual(lead(song).map(String), [`<p class="answer bad">12 notes, ${safe}</p>`, "<p>No rule can do better.</p>", '<p class="aside">plan P1</p>']);
  const [losses, todo, ...more] = sections(song, { figures: { curve: "<svg>#</svg>" } }).map(String);
  assert.deepEqual(more, []);
  assert.equal(losses, '<section aria-label="Losses"><h2>Losses</h2><div class="wide"><table><thead><tr><th scope="col">Key</th><th scope="col" class="n">Lost</th><td></td></tr></thead>' +
    '<tbody><tr><th scope="rowgroup" colspan="3">On main</th></tr><tr><td>C4</td><td class="n">2.00 s</td><td>!</td></tr><tr><td>D4</td><td class="n">-</td><td></td></tr></tbody>' +
    `<tbody><tr><td>${safe}</td><td class="n">0.1 s</td><td></td></tr></tbody></table></div><p class="aside">Lost: of gate time.</p><p class="aside">Worst first.</p></section>`);
  assert.equal(todo, '<section aria-label="To do"><h2>To do</h2><ul class="plain"><li>Mute.</li></ul>' +
    `<ol><li>Unplug<ul><li><label><input type="checkbox"></input> M1</label></li><li><label><input type="checkbox"></input> ${safe}</label></li></ul></li></ol>` +
    '<ul class="plain"><li>2 oddities:<ul><li>byte 3</li></ul></li></ul><img alt="To do" src="data:image/svg+xml,%3Csvg%3E%23%3C%2Fsvg%3E"></img>' +
    '<ul class="findings"><li class="warning">warning: few [few]<p class="hint">buy</p><dl class="figures">' +
    `<div><dt>load</dt><dd><b>89.7</b> %</dd></div><div class="assumed"><dt>${safe}</dt><dd><b>2</b>, assumed</dd></div></dl></li>` +
    '<li class="note">note: x [x]</li></ul></section>');
});

test("rows that are about something can be acted on, headings and figures are the page's", () => {
  const canvas = new Element("canvas"), rows = [];
  const shown = sections(song, { level: 3, figures: { lanes: canvas }, row: (row, about) => rows.push([about, row.textContent]) });
  assert.deepEqual(rows, [["loss 3", "C42.00 s!"]]);
  assert.ok(shown.every((section) => section.children[0].name === "h3"));
  assert.ok(shown[1].children.includes(canvas));
});

test("findings that stand beside it already are left out with their heading", () => {
  const both = { title: "", blocks: [{ kind: "heading", text: "About" }, { kind: "paragraph", text: "p" }, { kind: "heading", text: "Findings" }, song.blocks.at(-1)] };
  const heads = (how) => sections(both, how).map((section) => section.children[0].textContent);
  assert.deepEqual([heads({}), heads({ findings: false })], [["About", "Findings"], ["About"]]);
});

test("what tables say of one thing", () => {
  assert.deepEqual(facts(song, "loss 3").map(String), ["<h3>Losses</h3>", "<dl><dt>Key</dt><dd>C4</dd><dt>Lost</dt><dd>2.00 s</dd><dt></dt><dd>!</dd></dl>"]);
  assert.deepEqual(facts(song, "loss 4"), []);
});

test("heads and words say what they mean, heads on focus too", () => {
  gloss({ dropped: "never sounded." });
  const d = { title: "", blocks: [{ kind: "heading", text: "Losses" },
    { kind: "table", columns: [{ head: "What happened", meaning: "the ending." }], groups: [{ rows: [["dropped"], ["other"]] }] }] };
  const [said] = sections(d).map(String);
  assert.ok(said.includes('<th scope="col" tabindex="0" title="the ending." aria-description="the ending.">What happened</th>'), said);
  assert.ok(said.includes('<td title="never sounded." aria-description="never sounded.">dropped</td></tr><tr><td>other</td>'), said);
  gloss({});
});

test("a kind of block that the page does not know is not left out in silence", () => {
  assert.throws(() => lead({ title: "", blocks: [{ kind: "video" }] }), /of kind video/);
});

test("columns are read as they were sent", () => {
  const head = JSON.stringify({ columns: [{ name: "a", type: "u8", count: 3 }, { name: "b", type: "i32", count: 2 }] }).padEnd(100);
  const data = new ArrayBuffer(4 + 100 + 8 + 8), view = new DataView(data);
  view.setUint32(0, 100, true);
  new Uint8Array(data).set(new TextEncoder().encode(head), 4);
  new Uint8Array(data).set([7, 8, 9], 104);
  view.setInt32(112, -5, true);
  view.setInt32(116, 70000, true);
  const { columns } = read(data);
  assert.deepEqual([[...columns.a], [...columns.b]], [[7, 8, 9], [-5, 70000]]);
});

/** drawn is a number below n, by a seed that goes on. */
let seed = 7;
const drawn = (n) => { seed = (seed * 48271) % 2147483647; return seed % n; };

test("the most of a stretch of steps is that of all of them", () => {
  const at = Uint32Array.from({ length: 300 }, (_, i) => i * 10), n = Uint32Array.from({ length: 300 }, () => drawn(50)), steps = new Steps(at, n);
  for (let turn = 0; turn < 2000; turn++) {
    const from = drawn(3100), to = from + drawn(400);
    let most = n[Math.min(299, Math.floor(from / 10))]; // which holds then
    at.forEach((t, i) => { if (t > from && t < to) most = Math.max(most, n[i]); });
    assert.equal(steps.during(from, to), most, `${from} ${to}`);
  }
  assert.equal(steps.peak(), Math.max(...n));
  assert.equal(new Steps(new Uint32Array(0), new Uint32Array(0)).peak(), 0);
  assert.equal(firstAt([1, 4, 4, 9], 0, 4, 4), 1);
});

/** wall is lanes with notes one after the other, some of them cut. */
function wall(voices, each) {
  const c = { lane: [0], mark_lane: [0, 0], start: [], up: [], low: [], end: [], note: [], key: [], part: [], wrong: [], mark: [], wanted: [], mark_loss: [], mark_span: [], weight: [], mark_kind: [], loss: [] };
  for (let v = 0; v < voices; v++) {
    let t = drawn(50);
    for (let i = 0; i < each; i++) {
      const span = c.start.length;
      c.start.push(t); c.up.push(t += drawn(40)); c.low.push(t += drawn(2) * drawn(20)); c.end.push(t += drawn(2) * drawn(30));
      c.note.push(span); c.key.push(60); c.part.push(0);
      if (drawn(3) === 0) { c.mark.push(t); c.wanted.push(t + drawn(50)); c.mark_span.push(span); c.mark_loss.push(c.loss.length); c.weight.push(drawn(3)); c.mark_kind.push(1); c.loss.push(t); }
      t += drawn(3) * drawn(30);
    }
    c.lane.push(c.start.length);
    c.mark_lane.push(c.mark.length);
  }
  const head = { unit_s: 1, voices: Array.from({ length: voices }, (_, i) => ({ name: `K${i + 1}`, bank: "K", state: "in" })) };
  return new Lanes(head, Object.fromEntries(Object.entries(c).map(([k, list]) => [k, Int32Array.from(list)])));
}

test("a note is found where it is, and what it lost", () => {
  const lanes = wall(3, 200), { c } = lanes;
  for (let turn = 0; turn < 3000; turn++) {
    const row = lanes.rows[drawn(3)], t = drawn(12000), found = lanes.noteAt(row, t);
    let want = -1;
    for (let i = row.from; i < row.to; i++) if (c.start[i] <= t && t <= c.end[i]) want = i;
    assert.equal(found, want);
    if (found >= 0) assert.equal(lanes.lossOf(row, found), c.mark_span.includes(found) ? c.mark_loss[c.mark_span.indexOf(found)] : -1);
  }
  let seen = 0;
  for (let i = 0; i < c.start.length; i++) if (c.start[i] < 500 && c.end[i] >= 100) seen++;
  assert.equal(lanes.inView(100, 500), seen);
});

test("a column of pixels shows the most of what lies in its cells", () => {
  const lanes = wall(4, 400), { c } = lanes, pyramid = lanes.pyramid();
  assert.equal(lanes.pyramid(), pyramid, "made once");
  for (let turn = 0; turn < 60; turn++) {
    const n = drawn(4), row = lanes.rows[n], from = drawn(8000), to = from + 500 + drawn(15000), shows = new Uint8Array(50);
    pyramid.columnsOf(n, from, to, shows);
    const pixel = (to - from) / 50, cell = Math.max(pixel, pyramid.end / pyramid.columns) * 2;
    for (let x = 0; x < 50; x++) {
      const between = (a, b) => { // what is in a stretch
        let shown = 0;
        for (let i = row.from; i < row.to; i++) {
          for (const [s, e, what] of [[c.start[i], c.up[i], 3], [c.up[i], c.low[i], 2], [c.low[i], c.end[i], 1]]) {
            if ((what === 3 || e > s) && s < b && e >= a) shown = over(shown, what);
          }
        }
        for (let m = row.marks; m < row.marksTo; m++) if (c.mark[m] >= a && c.mark[m] < b) shown = over(shown, [4, 8, 12, 8][c.weight[m]]);
        return shown;
      };
      const least = between(from + x * pixel, from + (x + 1) * pixel), most = between(from + x * pixel - cell, from + (x + 1) * pixel + cell);
      assert.ok((shows[x] & 3) >= (least & 3) && (shows[x] & 12) >= (least & 12), "nothing is left out");
      assert.ok((shows[x] & 3) <= (most & 3) && (shows[x] & 12) <= (most & 12), "nothing is there that is not near");
    }
  }
});

/** storage is what a browser keeps. */
function storage() {
  const kept = new Map();
  return { getItem: (k) => kept.get(k) ?? null, setItem: (k, v) => { kept.set(k, v); } };
}

test("ticks are of a plan and of two ends, and others wait until they are taken over", () => {
  const kept = storage(), t = new Ticks(kept), cv1 = { cable: "cv1", from: "main cv 1", to: "K1.pitch" }, gt1 = { cable: "gt1", from: "main gate 1", to: "K1.gate" };
  t.of("A", "Kiln Yard");
  t.tick([cv1, gt1], true);
  assert.ok(t.has(cv1));
  assert.ok(!t.has({ ...cv1, to: "K2.pitch" }), "the same name between other ends");
  assert.equal(t.pending(), "");

  const again = new Ticks(kept); // another tab, or after a reload
  again.of("B", "Kiln Yard");
  assert.ok(!again.has(cv1));
  assert.equal(again.pending(), "A");
  assert.deepEqual(again.ticked("A"), [cv1, gt1]);
  again.move("K1 fails: pull cv1", true);
  assert.equal(again.pending(), "A", "ticking on does not answer");
  again.settle([gt1]);
  assert.equal(again.pending(), "");
  assert.ok(again.has(gt1) && !again.has(cv1) && again.moved("K1 fails: pull cv1"));

  t.read();
  assert.equal(t.pending(), "B", "what was ticked later by another plan counts");
  assert.ok(!t.has(cv1));
  t.settle([]);
  assert.equal(t.pending(), "", "none is an answer too");

  again.of("C", "Another Yard");
  assert.equal(again.pending(), "", "another rig");
});

test("what was ticked before a plan that is only looked at is still in, but for what was pulled there", () => {
  const t = new Ticks(storage()), cv1 = { cable: "cv1", from: "main cv 1", to: "K1.pitch" }, gt1 = { cable: "gt1", from: "main gate 1", to: "K1.gate" };
  t.of("A", "Kiln Yard");
  t.tick([cv1, gt1], true);
  t.of("B", "Kiln Yard");
  t.settle(t.ticked(t.pending())); // every cable may stay
  t.of("C", "Kiln Yard");
  t.tick([cv1], true); // gt1 joins others there, and nobody says what became of it
  assert.equal(t.pending(), "B");
  t.of("A", "Kiln Yard");
  assert.equal(t.pending(), "C");
  assert.deepEqual(t.ticked("C"), [cv1, gt1]);
  t.of("C", "Kiln Yard");
  t.tick([cv1], false);
  assert.deepEqual(t.ticked("C"), [gt1]);
  t.tick([cv1], true);
  assert.deepEqual(t.ticked("C"), [cv1, gt1]);
  t.settle([]); // said
  assert.deepEqual(t.ticked("C"), [cv1]);
});

test("twelve plans are kept, the last ones, and a browser that keeps nothing says so", () => {
  const t = new Ticks(storage());
  for (let n = 0; n < 20; n++) {
    t.of(`P${n}`, "Kiln Yard");
    t.settle([{ cable: `cv${n}`, from: "a", to: "b" }]);
  }
  assert.deepEqual(Object.keys(t.sheets).sort(), [8, 9, 10, 11, 12, 13, 14, 15, 16, 17, 18, 19].map((n) => `P${n}`).sort());
  const deaf = new Ticks({ getItem: () => { throw new Error(); }, setItem: () => { throw new Error(); } });
  deaf.of("A", "Kiln Yard");
  deaf.tick([{ cable: "cv1", from: "a", to: "b" }], true);
  assert.ok(deaf.has({ cable: "cv1", from: "a", to: "b" }));
  assert.equal(deaf.keeps, false);
});
