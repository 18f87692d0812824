// @ts-check
// The song: what is wanted, who plays what, what is lost, what to try.

import * as api from "./api.js";
import { inside, zoomed } from "./axis.js";
import { lead, sections } from "./doc.js";
import { $, el, means, options, pressable } from "./dom.js";
import { demand, lanes as drawLanes, left, rows } from "./draw.js";
import { asTheRig, every, flags, quoted, withFix } from "./settings.js";

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
    this.tried = false; // remedies, of what is set now
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
    this.showPlayed();
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
    for (const { key, about, choices } of desk.rules) {
      const value = mixed(key) ? "…" : now[key];
      const chosen = choices.find((/** @type {any} */ c) => c.name === value);
      const list = choices.map((/** @type {any} */ c) => [c.name, c.label]);
      if (!chosen) list.unshift([value, value === "…" ? "(by part)" : value]);
      options($(key), list, value);
      [...$(key).options].forEach((o) => { o.title = choices.find((/** @type {any} */ c) => c.name === o.value)?.about ?? ""; });
      const says = chosen ? `${about} ${chosen.label}: ${chosen.about}.` : about;
      for (const [name, text] of Object.entries(means(says))) $(key).setAttribute(name, text);
    }
    $("unison").value = typeof now.unison === "object" ? now.unison.voices : now.unison;
    const set = s.parts[this.part]?.release ?? s.parts[every]?.release;
    const release = set ? Number.parseFloat(set) * (set.endsWith("ms") ? 0.001 : 1) : given.release_s;
    $("release").value = position(release);
    $("release-out").textContent = set ?? given.release;
    const typed = quoted(flags(s));
    $("command").textContent = `choirloft replay ${desk.file} ${this.app.songName()}${typed ? " " + typed : ""}`;
  }

  /** showPlayed says what became of the notes; a loss can be gone to. */
  showPlayed() {
    const { replay, doc } = this.played;
    $("answer-played").replaceChildren(...lead(doc));
    $("played").replaceChildren(...sections(doc, { row: (row, about) => {
      const loss = replay.losses[place(about, "loss")];
      if (loss) pressable(row, () => this.goTo(loss, row));
    } }));
  }

  /** sized says how many voices the song needs, and which fixes there are where they were tried. @param {any} size @param {import("./doc.js").Doc} doc @param {Record<string, string>} [figures] */
  sized(size, doc, figures) {
    const [answer, ...more] = lead(doc);
    $("answer-sized").replaceChildren(answer);
    const all = sections(doc, { level: 3, findings: false, figures, row: (row, about) => {
      const fix = size.fixes[place(about, "fix")];
      if (fix) row.lastElementChild?.append(" ", el("button", { type: "button", onclick: () => this.tryIt(fix) }, "Try it"));
    } });
    const drawn = (/** @type {HTMLElement} */ section) => section.querySelector("img") !== null; // which wants the whole width
    $("sized").replaceChildren(...more, ...all.filter((section) => !drawn(section)));
    $("sized-drawn").replaceChildren(...all.filter(drawn));
  }

  /** goTo shows the moment of a loss. @param {any} loss @param {HTMLElement} row */
  goTo(loss, row) {
    for (const other of document.querySelectorAll("#played tr[aria-selected]")) other.removeAttribute("aria-selected");
    row.setAttribute("aria-selected", "true");
    const at = (/** @type {number} */ t) => Math.abs(t - loss.at_s) < 1e-9;
    const hit = this.played.lanes.spans.find((/** @type {any} */ s) => s.voice === loss.voice &&
      (loss.ending === "late_start" ? s.late_start && at(s.start_s - s.waited_s) : s.ending && at(s.end_s)));
    this.marked = hit ? hit.note : null;
    const length = Math.min(this.end(), Math.max(4, Math.min(this.range.to - this.range.from, 12)));
    this.show(inside({ from: loss.at_s - length / 2, to: loss.at_s + length / 2 }, this.end()));
  }

  /** fixes asks for fixes. @param {number} pairs seconds */
  async fixes(pairs) {
    const bar = $("search");
    bar.hidden = false;
    bar.removeAttribute("value");
    $("stop-search").hidden = pairs === 0;
    try {
      await api.latest("fixes", (signal) => api.steps("fixes", { song: this.app.song(), flags: flags(this.app.history.now.settings), pairs }, (step) => {
        if (step.size) { this.tried = true; this.sized(step.size, step.doc, step.figures); $("sized").focus(); }
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
      $("songs").replaceChildren(...lead(all.doc), ...sections(all.doc, { level: 3, findings: false, row: (row, about) => {
        const song = this.app.desk.songs[place(about, "song")];
        if (song) pressable(row, () => this.app.choose(song.id));
      } }));
      this.app.trouble(null);
    } catch (err) { this.app.trouble(err); }
  }

  /** stale drops a search for remedies of what has changed since. */
  stale() { this.tried = false; api.forget("fixes"); }
}

/** place is the place in a list of what a row is about, or none if that is of another kind. @param {string} about @param {string} kind */
function place(about, kind) { return about.startsWith(`${kind} `) ? Number(about.slice(kind.length + 1)) : -1; }

/** seconds is where a release slider stands, 50 ms to 20 s by equal ratios. @param {string} value */
function seconds(value) {
  const s = 0.05 * 400 ** (Number(value) / 100);
  return Number(s.toPrecision(2));
}

/** position is the inverse of seconds. @param {number} s */
function position(s) { return String(Math.round((Math.log(Math.max(s, 0.05) / 0.05) / Math.log(400)) * 100)); }
