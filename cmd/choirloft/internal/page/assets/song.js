// @ts-check
// The song: what is wanted, who plays what, what is lost, what would help.

import * as api from "./api.js";
import { clock, decibels, inside, span, zoomed } from "./axis.js";
import { $, el, grid, options, pressable } from "./dom.js";
import { demand, lanes as drawLanes, left, rows } from "./draw.js";
import { asTheRig, every, flags, quoted, withFix } from "./settings.js";

/** mostLosses is how many losses are listed. */
const mostLosses = 500;

/** endings in short words. @type {Record<string, string>} */
const endings = { dropped: "dropped", late_start: "began late", born_cut: "cut at birth", held_cut: "cut, key down", overlap_only: "legato overlap", pedal_cut: "cut on pedal",
  tail_cut_own_key: "tail, own key", tail_cut_other_key: "tail" };

export class SongView {
  /** @param {any} app */
  constructor(app) {
    this.app = app;
    /** @type {any} */ this.played = null;
    this.range = { from: 0, to: 1 };
    this.songShown = "";
    /** @type {number | null} */ this.marked = null;
    this.part = every;
    this.drawing = 0;
    /** @type {any} */ this.scale = null;
    /** @type {(change: (s: any) => void, going?: boolean) => void} */ this.set = () => {};
    this.wire();
    new ResizeObserver(() => this.draw()).observe($("lanes-box"));
    matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => this.draw());
  }

  wire() {
    const app = this.app;
    const set = (/** @type {(s: any) => void} */ change, going = false) => {
      const next = structuredClone(app.history.now.settings);
      change(next);
      app.change({ settings: next }, going);
    };
    this.set = set;
    let dragging = false;
    $("voices").addEventListener("input", () => { set((s) => { s.voices = Number($("voices").value); }, dragging); dragging = true; });
    $("voices").addEventListener("change", () => { dragging = false; });
    $("part").addEventListener("change", () => { this.part = $("part").value; this.showControls(); });
    for (const key of ["pick", "steal", "tails", "same_key"]) {
      $(key).addEventListener("change", () => set((s) => this.put(s, key, $(key).value)));
    }
    $("unison").addEventListener("change", () => set((s) => this.put(s, "unison", Math.min(64, Math.max(1, Math.round(Number($("unison").value)) || 1)))));
    let sliding = false;
    $("release").addEventListener("input", () => { set((s) => this.put(s, "release", `${seconds($("release").value)} s`), sliding); sliding = true; });
    $("release").addEventListener("change", () => { sliding = false; });
    $("as-rig").addEventListener("click", () => app.change({ settings: asTheRig() }));
    $("keep").addEventListener("click", () => this.keep());
    $("controls").addEventListener("submit", (/** @type {Event} */ e) => e.preventDefault());
    $("find-fixes").addEventListener("click", () => this.fixes(0));
    $("find-pairs").addEventListener("click", () => this.fixes(20));
    $("stop-search").addEventListener("click", () => api.post("stop", {}));
    $("compare").addEventListener("click", () => this.compare());
    $("zoom-in").addEventListener("click", () => this.zoom(0.5));
    $("zoom-out").addEventListener("click", () => this.zoom(2));
    $("zoom-all").addEventListener("click", () => this.show({ from: 0, to: this.end() }));
    this.wireLanes();
    this.wireLine();
  }

  /** @param {any} s @param {string} key @param {any} value */
  put(s, key, value) {
    if (this.part === every) for (const p of Object.keys(s.parts)) delete s.parts[p][key];
    s.parts[this.part] = { ...s.parts[this.part], [key]: value };
  }

  wireLanes() {
    const canvas = $("lanes");
    canvas.addEventListener("wheel", (/** @type {WheelEvent} */ e) => {
      if (!this.played) return;
      if (e.ctrlKey || e.metaKey) this.zoom(e.deltaY > 0 ? 1.25 : 0.8, this.timeAt(e.offsetX));
      else if (e.shiftKey || Math.abs(e.deltaX) > Math.abs(e.deltaY)) this.pan((e.deltaX || e.deltaY) / canvas.clientWidth);
      else return;
      e.preventDefault();
    }, { passive: false });
    let from = /** @type {{x: number, range: any} | null} */ (null);
    canvas.addEventListener("pointerdown", (/** @type {PointerEvent} */ e) => { from = { x: e.offsetX, range: this.range }; canvas.setPointerCapture(e.pointerId); });
    canvas.addEventListener("pointermove", (/** @type {PointerEvent} */ e) => {
      if (!from) return;
      const by = ((from.x - e.offsetX) / (canvas.clientWidth - left)) * (from.range.to - from.range.from);
      this.show(inside({ from: from.range.from + by, to: from.range.to + by }, this.end()));
    });
    canvas.addEventListener("pointerup", () => { from = null; });
    canvas.addEventListener("pointercancel", () => { from = null; });
    canvas.addEventListener("keydown", (/** @type {KeyboardEvent} */ e) => {
      const act = { ArrowLeft: () => this.pan(-0.1), ArrowRight: () => this.pan(0.1), "+": () => this.zoom(0.5), "=": () => this.zoom(0.5), "-": () => this.zoom(2),
        Home: () => this.show({ from: 0, to: this.range.to - this.range.from }), End: () => this.show(inside({ from: this.end(), to: this.end() + this.range.to - this.range.from }, this.end())) }[e.key];
      if (act) { e.preventDefault(); act(); }
    });
  }

  wireLine() {
    const line = $("line");
    let moving = false, going = false;
    const to = (/** @type {number} */ n) => {
      const most = this.app.desk.in_service;
      this.set((s) => { s.voices = Math.min(most, Math.max(1, n)); }, going);
      going = true;
    };
    line.addEventListener("pointerdown", (/** @type {PointerEvent} */ e) => { moving = true; going = false; line.setPointerCapture(e.pointerId); });
    line.addEventListener("pointermove", (/** @type {PointerEvent} */ e) => {
      if (!moving || !this.scale) return;
      const box = $("demand").getBoundingClientRect(), per = (this.scale.y(0) - this.scale.y(this.scale.most)) / this.scale.most;
      const n = Math.round((this.scale.y(0) - (e.clientY - box.top)) / per);
      if (n !== this.voices()) to(n);
    });
    line.addEventListener("pointerup", () => { moving = false; });
    line.addEventListener("keydown", (/** @type {KeyboardEvent} */ e) => {
      const by = { ArrowUp: 1, ArrowRight: 1, ArrowDown: -1, ArrowLeft: -1, PageUp: 4, PageDown: -4 }[e.key];
      if (by) { e.preventDefault(); going = false; to(this.voices() + by); }
    });
  }

  voices() { return this.app.history.now.settings.voices ?? this.played?.replay.demand.voices ?? this.app.desk.in_service; }
  end() { return this.played ? Math.max(this.played.lanes.seconds, 0.25) : 1; }

  /** @param {number} x */
  timeAt(x) { return this.range.from + ((x - left) / ($("lanes").clientWidth - left)) * (this.range.to - this.range.from); }
  /** @param {number} factor @param {number} [centre] */
  zoom(factor, centre) { this.show(zoomed(this.range, factor, centre ?? (this.range.from + this.range.to) / 2, this.end())); }
  /** @param {number} share */
  pan(share) {
    const by = share * (this.range.to - this.range.from);
    this.show(inside({ from: this.range.from + by, to: this.range.to + by }, this.end()));
  }
  /** @param {{from: number, to: number}} range */
  show(range) { this.range = range; this.draw(); }

  /** take shows what was played. @param {any} played @param {string} song */
  take(played, song) {
    this.played = played;
    played.lanes.rows = rows(played.lanes);
    if (song !== this.songShown) {
      this.songShown = song;
      this.marked = null;
      this.range = { from: 0, to: this.end() };
    }
    this.showControls();
    this.showFigures();
    this.showLosses();
    this.draw();
  }

  draw() {
    if (this.drawing || !this.played) return;
    this.drawing = requestAnimationFrame(() => {
      this.drawing = 0;
      if (!$("lanes").clientWidth) return; // another view is shown
      const begin = performance.now();
      this.scale = demand($("demand"), this.played.lanes, this.range, this.voices());
      drawLanes($("lanes"), this.played.lanes, this.range, this.marked);
      document.body.dataset.frame = (performance.now() - begin).toFixed(1);
      const line = $("line");
      line.style.top = `${this.scale.y(this.voices())}px`;
      line.setAttribute("aria-valuenow", String(this.voices()));
      line.setAttribute("aria-valuemin", "1");
      line.setAttribute("aria-valuemax", String(this.app.desk.in_service));
    });
  }

  showControls() {
    const desk = this.app.desk, s = this.app.history.now.settings;
    $("voices").max = desk.in_service;
    $("voices").value = this.voices();
    $("voices-out").textContent = String(this.voices());
    if (!desk.parts.some((/** @type {any} */ p) => p.name === this.part)) this.part = every;
    options($("part"), [[every, "every part"], ...desk.parts.map((/** @type {any} */ p) => [p.name, p.name])], this.part);
    const played = this.played?.replay.parts.find((/** @type {any} */ p) => this.part === every || p.name === this.part);
    const given = desk.parts.find((/** @type {any} */ p) => this.part === every || p.name === this.part);
    const now = played ?? given;
    const mixed = (/** @type {string} */ key) => this.part === every && this.played && new Set(this.played.replay.parts.map((/** @type {any} */ p) => p[key])).size > 1;
    for (const [key, names] of [["pick", desk.rules.pick], ["steal", desk.rules.steal], ["tails", ["known", "unknown"]], ["same_key", desk.rules.same_key]]) {
      const value = mixed(key) ? "…" : now[key];
      const list = names.map((/** @type {string} */ n) => [n, n]);
      if (!names.includes(value)) list.unshift([value, value === "…" ? "(by part)" : value]);
      options($(key), list, value);
    }
    $("unison").value = typeof now.unison === "object" ? now.unison.voices : now.unison;
    const set = s.parts[this.part]?.release ?? s.parts[every]?.release;
    const release = set ? Number.parseFloat(set) * (set.endsWith("ms") ? 0.001 : 1) : given.release_s;
    $("release").value = position(release);
    $("release-out").textContent = span(release);
    const typed = quoted(flags(s));
    $("command").textContent = `choirloft replay ${desk.file} ${this.app.songName()}${typed ? " " + typed : ""}`;
  }

  showFigures() {
    const r = this.played.replay, cuts = r.endings.tail_cut_other_key;
    const figure = (/** @type {string} */ name, /** @type {string} */ value, /** @type {string} */ beside, bad = false) =>
      el("div", { class: bad ? "bad" : null }, el("dt", {}, name), el("dd", {}, value, " ", el("small", {}, beside)));
    $("figures").replaceChildren(
      figure("On", `${r.demand.voices} voices`, `${r.demand.pedal} wanted, ${r.demand.audible} with tails`),
      figure("Notes damaged", String(r.damaged), `any rule: ${r.bound.fewest_damaged}${r.bound.fewest_damaged ? " or more" : ""}`, r.damaged > 0),
      figure("Gate time lost", span(r.lost_gate_s), `any rule: ${r.bound.unavoidable_s ? span(r.bound.unavoidable_s) + " or more" : "0 s"}`, r.lost_gate_s > 0),
      figure("Tails cut", String(cuts), cuts ? `loudest ${decibels(r.loudest_cut_db)}` : "by another key"),
      figure("Notes", String(r.song.notes), r.flags.unmapped ? `${r.flags.unmapped} that no part takes` : ""),
    );
    if (!$("answer").dataset.sized) $("answer").replaceChildren(r.summary, el("small", {}, r.verdict));
  }

  /** answer says how many voices the song needs. @param {any} size */
  answer(size) {
    $("answer").dataset.sized = "yes";
    $("answer").replaceChildren(size.summary, el("small", {}, size.advice.join(" ")));
  }

  showLosses() {
    const all = this.played.replay.losses;
    if (!all.length) {
      const late = this.played.replay.lost_gate_s;
      $("losses").replaceChildren(el("p", { class: "hint" }, late ? `No note is damaged; ${span(late)} lost by notes a little late.` : "Nothing is lost."));
      return;
    }
    const list = all.slice(0, mostLosses);
    $("losses").replaceChildren(
      grid(["Bar", " Time", "Note", "On", "What", " Lost", " Level", "By"],
        list.map((/** @type {any} */ l) => [l.bar, clock(l.at_s), `${l.part} ${l.key_name}`, l.voice_name ?? "–", endings[l.ending] ?? l.ending,
          span(l.lost_s), decibels(l.level_db), l.by_key_name ? `${l.by_part} ${l.by_key_name}` : "–"]),
        (row, i) => pressable(row, () => this.goTo(list[i], row))),
      all.length > list.length ? el("p", { class: "hint" }, `The first ${list.length} of ${all.length}; all are in the command's JSON.`) : "");
  }

  /** goTo shows the moment of a loss. @param {any} loss @param {HTMLElement} row */
  goTo(loss, row) {
    for (const other of document.querySelectorAll("#losses tr[aria-selected]")) other.removeAttribute("aria-selected");
    row.setAttribute("aria-selected", "true");
    const at = (/** @type {number} */ t) => Math.abs(t - loss.at_s) < 1e-9;
    const hit = this.played.lanes.spans.find((/** @type {any} */ s) => s.voice === loss.voice &&
      (loss.ending === "late_start" ? s.late_start && at(s.start_s - s.waited_s) : s.ending && at(s.end_s)));
    this.marked = hit ? hit.note : null;
    const length = Math.min(this.end(), Math.max(4, Math.min(this.range.to - this.range.from, 12)));
    this.show(inside({ from: loss.at_s - length / 2, to: loss.at_s + length / 2 }, this.end()));
  }

  /** fixes asks what would help. @param {number} pairs seconds */
  async fixes(pairs) {
    const bar = $("search");
    bar.hidden = false;
    bar.removeAttribute("value");
    $("stop-search").hidden = pairs === 0;
    try {
      await api.latest("fixes", (signal) => api.steps("fixes", { song: this.app.song(), flags: flags(this.app.history.now.settings), pairs }, (step) => {
        if (step.size) this.showFixes(step.size);
        else { bar.max = step.all; bar.value = step.done; }
      }, signal));
      this.app.trouble(null);
    } catch (err) {
      this.app.trouble(err);
    } finally {
      bar.hidden = true;
      $("stop-search").hidden = true;
    }
  }

  /** @param {any} size */
  showFixes(size) {
    const box = $("fixes");
    box.replaceChildren();
    for (const line of size.advice) box.append(el("p", { class: "hint" }, line));
    const listed = (/** @type {any[]} */ fixes, /** @type {boolean} */ worse) => grid([" Damaged", " Tails", " Loudest", worse ? "Makes it worse" : "What to do", "Asks", ""],
      fixes.map((f) => [String(f.after.damaged), String(f.after.tail_cuts), decibels(f.after.loudest_cut_db), f.text, f.asks,
        el("button", { type: "button", title: quoted(f.flags), onclick: () => this.tryIt(f) }, "Try it")]));
    if (size.fixes.length) box.append(listed(size.fixes, false));
    if (size.makes_worse.length) box.append(listed(size.makes_worse.slice(0, 8), true));
    if (!size.fixes.length && !size.makes_worse.length) box.append(el("p", {},
      size.now.damaged || size.now.tail_cuts || size.now.lost_gate_s ? "Nothing that was tried helps." : "There is nothing to mend."));
    box.focus();
  }

  /** keep writes what is set into the text of the rig, which is not saved by that. */
  async keep() {
    try {
      const { desk, flags: left } = await api.post("keep", { flags: flags(this.app.history.now.settings) });
      this.app.takeDesk(desk, false);
      this.app.change({ settings: withFix(asTheRig(), left), text: desk.text });
      this.app.trouble(null);
    } catch (err) { this.app.trouble(err); }
  }

  /** @param {any} fix */
  tryIt(fix) { this.app.change({ settings: withFix(this.app.history.now.settings, fix.flags) }); }

  async compare() {
    try {
      const all = await api.latest("compare", (signal) => api.post("compare", { flags: flags(this.app.history.now.settings) }, signal));
      $("songs").replaceChildren(el("p", {}, all.summary), grid(["Song", " Notes", " Keys", " Pedal", " Tails", " Damaged", " Tails cut", " Loudest"],
        all.songs.map((/** @type {any} */ s) => [s.song.file, String(s.song.notes), String(s.enough.held), String(s.enough.pedal), String(s.enough.audible),
          String(s.now.damaged), String(s.now.tail_cuts), decibels(s.now.loudest_cut_db)]),
        (row, i) => pressable(row, () => this.app.choose(this.app.desk.songs[i].id))));
      this.app.trouble(null);
    } catch (err) { this.app.trouble(err); }
  }

  stale() {
    $("fixes").replaceChildren(el("p", { class: "hint" }, "Things have changed since: try again."));
  }
}

/** seconds is where a release slider stands, 50 ms to 20 s by equal ratios. @param {string} value */
function seconds(value) {
  const s = 0.05 * 400 ** (Number(value) / 100);
  return Number(s.toPrecision(2));
}

/** position is the inverse of seconds. @param {number} s */
function position(s) { return String(Math.round((Math.log(Math.max(s, 0.05) / 0.05) / Math.log(400)) * 100)); }
