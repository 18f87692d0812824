// @ts-check
// The song: what is wanted, who plays what, what is lost.

import * as api from "./api.js";
import { inside, zoomed } from "./axis.js";
import { Steps } from "./columns.js";
import { lead, sections } from "./doc.js";
import { $, options, place, pressable } from "./dom.js";
import { curve, demand, lanes as drawLanes, left, mostOf } from "./draw.js";
import { Fixes } from "./fixes.js";
import { Lanes } from "./lanes.js";
import { oneStop } from "./lists.js";
import { Listen } from "./listen.js";
import { tell } from "./note.js";
import { Rules } from "./rules.js";
import { every } from "./settings.js";

/**
 * @typedef {{held: Steps, pedal: Steps, audible: Steps, part: string, voices: number, label: string,
 *   racked: number, bank: number, not_there: string}} Wants of a part, or of all
 */

export class SongView {
  /** @param {import("./app.js").App} app */
  constructor(app) {
    this.app = app;
    this.rules = new Rules(app);
    this.fixes = new Fixes(app);
    /** @type {import("../testdata/contract").Picture | null} */ this.played = null; // the head of the picture
    /** @type {Lanes | null} */ this.lanes = null;
    /** @type {Wants | null} */ this.wants = null;
    /** @type {import("../testdata/contract").Chosen | null} */ this.chosen = null; // losses
    /** @type {import("../testdata/contract").Sizes | null} */ this.sizes = null; // what numbers of voices cost, of all parts together
    /** @type {import("../testdata/contract").Sizes | null} */ this.beside = null; // the same of what is shown
    /** @type {any} */ this.asked = null; // what the picture is of
    this.range = { from: 0, to: 1 };
    this.songShown = "";
    /** @type {number | null} */ this.marked = null;
    this.drawing = 0;
    /** @type {any} */ this.scale = null;
    /** @type {any} */ this.grid = null;
    this.loss = -1; // that is pointed at, by its place
    /** @type {[number, HTMLElement][]} */ this.ranked = [];
    this.listen = new Listen($("listen"), (version) => this.lanes && { path: "listen", body: { ...this.asked, version, at_s: this.moment() } }, (err) => app.trouble(err), (at) => this.follow(at));
    this.wire();
    new ResizeObserver(() => this.draw()).observe($("lanes-box"));
    for (const media of ["(prefers-color-scheme: dark)", "(forced-colors: active)"]) matchMedia(media).addEventListener("change", () => this.draw());
  }

  wire() {
    $("shown-part").addEventListener("change", () => this.choose({ part: $("shown-part").value }));
    $("shown-loss").addEventListener("change", () => this.choose({ loss: $("shown-loss").value }));
    $("zoom-in").addEventListener("click", () => this.zoom(0.5));
    $("zoom-out").addEventListener("click", () => this.zoom(2));
    $("zoom-all").addEventListener("click", () => this.show({ from: 0, to: this.end() }));
    this.wireLanes();
    this.wireLine();
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
      if (!from) { this.point(e.offsetX, e.offsetY); return; }
      const by = ((from.x - e.offsetX) / (canvas.clientWidth - left)) * (from.range.to - from.range.from);
      this.show(inside({ from: from.range.from + by, to: from.range.to + by }, this.end()));
    });
    canvas.addEventListener("pointerup", () => { from = null; });
    canvas.addEventListener("pointercancel", () => { from = null; });
    canvas.addEventListener("keydown", (/** @type {KeyboardEvent} */ e) => {
      const act = { j: () => this.walk(1), k: () => this.walk(-1), ArrowLeft: () => this.pan(-0.1), ArrowRight: () => this.pan(0.1), "+": () => this.zoom(0.5), "=": () => this.zoom(0.5), "-": () => this.zoom(2),
        Home: () => this.show({ from: 0, to: this.range.to - this.range.from }), End: () => this.show(inside({ from: this.end(), to: this.end() + this.range.to - this.range.from }, this.end())) }[e.key];
      if (act) { e.preventDefault(); act(); }
    });
  }

  wireLine() {
    const line = $("line");
    /** Where the pointer took hold: answers that come meanwhile may move what is below. @type {{y: number, voices: number, per: number} | null} */
    let held = null;
    let going = false, asked = 0, waiting = 0;
    const to = (/** @type {number} */ n) => {
      asked = Math.max(1, n);
      waiting++;
      this.app.put({ voices: asked, part: this.wants?.part ?? every }, going).then(() => { waiting--; });
      going = true;
    };
    line.addEventListener("pointerdown", (/** @type {PointerEvent} */ e) => {
      if (!this.scale) return;
      held = { y: e.clientY, voices: this.voices(), per: (this.scale.y(0) - this.scale.y(this.scale.most)) / this.scale.most };
      going = false;
      asked = held.voices;
      line.setPointerCapture(e.pointerId);
    });
    line.addEventListener("pointermove", (/** @type {PointerEvent} */ e) => {
      if (!held) return;
      const n = held.voices + Math.round((held.y - e.clientY) / held.per);
      if (n !== asked) to(n);
    });
    line.addEventListener("pointerup", () => { held = null; });
    line.addEventListener("pointercancel", () => { held = null; });
    line.addEventListener("keydown", (/** @type {KeyboardEvent} */ e) => {
      const by = { ArrowUp: 1, ArrowRight: 1, ArrowDown: -1, ArrowLeft: -1, PageUp: 4, PageDown: -4 }[e.key], end = { Home: 1, End: this.wants?.racked }[e.key];
      if (!by && !end) return;
      e.preventDefault();
      going = false;
      to(end ?? (waiting ? asked : this.voices()) + (by ?? 0));
    });
  }

  /** voices are those in service, or that the part that is shown may hold, as far as it is known. */
  voices() {
    const part = this.wants?.part ?? every, kind = part === every ? "voices" : "limit";
    const set = this.app.set().find((/** @type {import("./settings.js").Override} */ o) => o.kind === kind && o.part === part);
    return set ? Number(set.value) : this.wants?.voices ?? this.app.desk.in_service;
  }
  end() { return this.played ? Math.max(this.played.seconds, 0.25) : 1; }

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

  /** take shows what was played. @param {{head: import("../testdata/contract").Picture, columns: import("./columns.js").Columns}} picture @param {any} asked song, set */
  take({ head, columns }, asked) {
    if (!this.played?.listening || asked !== this.asked) this.listen.stop(); // else it is the same, with what is heard
    this.played = head;
    this.lanes = new Lanes(head, columns);
    this.asked = asked;
    $("note").replaceChildren();
    this.loss = -1; // it has another place by now
    if (asked.song !== this.songShown) {
      this.songShown = asked.song;
      this.marked = null;
      this.range = { from: 0, to: this.end() };
    }
    this.rules.showVoices(head.in_service);
    this.showPlayed();
    this.takeShown({ head, columns });
  }

  /** takeShown shows what a part wants, and which losses were chosen. @param {{head: import("../testdata/contract").Shown, columns: import("./columns.js").Columns}} shown */
  takeShown({ head: { wants, chosen }, columns: c }) {
    this.wants = { ...wants, held: new Steps(c.held, c.held_n), pedal: new Steps(c.pedal, c.pedal_n), audible: new Steps(c.audible, c.audible_n) };
    this.chosen = chosen;
    this.app.when("song", "chosen", () => this.list(chosen, wants.label));
    this.draw();
  }

  /** list shows which losses were chosen, and what there is to choose from. @param {any} chosen @param {string} label of what is wanted */
  list(chosen, label) {
    const choices = (/** @type {any[]} */ all) => /** @type {[string, string][]} */ (all.map(({ name, label: text }) => [name, text]));
    options($("shown-part"), choices(chosen.parts), chosen.part);
    options($("shown-loss"), choices(chosen.kinds), chosen.kind);
    $("wants").textContent = label;
    this.ranked = [];
    $("chosen").replaceChildren(...lead(chosen.doc, { row: (row, about) => {
      const n = place(about, "loss");
      this.ranked.push([n, row]);
      if (n === this.loss) row.setAttribute("aria-selected", "true");
      pressable(row, () => this.goTo(n, row));
    } }));
    oneStop();
  }

  /** takeSizes shows what numbers of voices cost, beside what is wanted: of the part that is shown by itself. @param {any} sizes */
  async takeSizes(sizes) {
    this.sizes = sizes;
    const part = this.wants?.part ?? every;
    this.beside = part === every ? sizes : (await api.latest("axis", (signal) => api.post("axis", { ...this.asked, part }, signal))).axis;
    $("curve-legend").textContent = this.beside?.legend ?? "";
    this.draw();
  }

  /** choose shows another part, or losses of another kind. @param {Partial<import("./state.js").Filter>} filter */
  async choose(filter) {
    const { app } = this;
    app.filter = { ...app.filter, ...filter };
    app.note(false);
    try {
      this.takeShown(await api.latest("shown", (signal) => api.columns("shown", { ...this.asked, ...app.filter }, signal)));
      if (this.sizes && filter.part !== undefined) await this.takeSizes(this.sizes);
      app.trouble(null);
    } catch (err) { app.trouble(err); }
  }

  draw() {
    if (this.drawing || !this.lanes) return;
    this.drawing = requestAnimationFrame(() => {
      this.drawing = 0;
      if (!$("lanes").clientWidth || !this.lanes || !this.wants) return; // another view is shown
      const begin = performance.now();
      const most = mostOf(this.wants, this.voices());
      this.scale = demand($("demand"), this.lanes, this.wants, this.range, this.voices(), most);
      curve($("curve"), this.beside, this.wants, this.voices(), this.scale);
      this.grid = drawLanes($("lanes"), this.lanes, this.range, this.marked);
      document.body.dataset.drawn = String(this.grid.drawn);
      document.body.dataset.frame = (performance.now() - begin).toFixed(1);
      const line = $("line");
      line.style.top = `${this.scale.y(this.voices())}px`;
      line.setAttribute("aria-valuenow", String(this.voices()));
      line.setAttribute("aria-valuemin", "1");
      line.setAttribute("aria-valuemax", String(most));
      $("costs").textContent = this.beside?.bars.find((/** @type {any} */ b) => b.voices === this.voices())?.says ?? "";
    });
  }

  /** showPlayed says what became of the notes. */
  showPlayed() {
    if (!this.played) return;
    const { doc, most_heard: most } = this.played;
    $("answer-played").replaceChildren(...lead(doc));
    $("moments").hidden = most.blocks.length === 0;
    $("most-heard").replaceChildren(...lead(most, { row: (row, about) => pressable(row, () => {
      this.goTo(place(about, "loss"), row);
      $("who-box").scrollIntoView({ block: "nearest" });
    }) }));
    this.app.when("song", "played", () => $("played").replaceChildren(...sections(doc, { row: (row, about) => {
      const n = place(about, "loss");
      if (n >= 0) pressable(row, () => this.goTo(n, row));
    } })));
  }

  /** goTo shows the moment of a loss, and says what it is. @param {number} n its place @param {HTMLElement} row of the table */
  goTo(n, row) {
    if (!this.lanes) return;
    const span = this.lanes.spanOf(n), at = this.lanes.c.loss[n] * this.lanes.unit;
    for (const other of document.querySelectorAll("#view-song tr[aria-selected]")) other.removeAttribute("aria-selected");
    row.setAttribute("aria-selected", "true");
    this.loss = n;
    this.marked = span >= 0 ? this.lanes.c.note[span] : null;
    this.say(span, n);
    const length = Math.min(this.end(), Math.max(4, Math.min(this.range.to - this.range.from, 12)));
    this.show(inside({ from: at - length / 2, to: at + length / 2 }, this.end()));
  }

  /** say says what a note is and what it lost. @param {number} span @param {number} loss */
  say(span, loss) {
    if (this.lanes && this.chosen && this.played) tell(this.lanes, span, loss, [this.chosen.doc, this.played.doc], this.asked).catch((err) => this.app.trouble(err));
  }

  /** moment is the second that is listened to: of the loss that is pointed at, if it is in view. */
  moment() {
    const at = this.loss >= 0 && this.lanes ? this.lanes.c.loss[this.loss] * this.lanes.unit : -1;
    return at >= this.range.from && at <= this.range.to ? at : this.range.from + 1;
  }

  /** follow shows where in the song sound is, or that there is none. @param {number | null} at */
  follow(at) {
    const x = at === null ? -1 : left + ((at - this.range.from) / (this.range.to - this.range.from)) * ($("lanes").clientWidth - left);
    $("playhead").hidden = x < left;
    $("playhead").style.left = `${x}px`;
  }

  /** walk goes from loss to loss as the table has them, the most heard first. @param {number} by */
  walk(by) {
    const at = this.ranked.findIndex(([n]) => n === this.loss), next = this.ranked[Math.min(this.ranked.length - 1, Math.max(0, at + by))];
    if (next) this.goTo(...next);
  }

  /** point says what is played under the pointer. @param {number} x @param {number} y */
  point(x, y) {
    const row = this.grid?.rowAt(y) ?? null;
    if (!this.lanes || !row || x <= left) return;
    const span = this.lanes.noteAt(row, this.timeAt(x) / this.lanes.unit);
    if (span >= 0) this.say(span, this.lanes.lossOf(row, span));
  }

}
