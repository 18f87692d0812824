// @ts-check
// The page: one state, and views of it.

import * as api from "./api.js";
import { gloss } from "./doc.js";
import { $, options } from "./dom.js";
import { PaperView } from "./paper.js";
import { RackView } from "./rack.js";
import { History } from "./settings.js";
import { SongView } from "./song.js";
import { TextView } from "./text.js";

const viewNames = ["song", "rack", "paper", "text"];

class App {
  /** @param {any} desk */
  constructor(desk) {
    this.desk = desk;
    gloss(desk.words);
    /** @type {History<any>} */
    this.history = new History({ set: [], text: desk.text, song: desk.songs[0]?.id ?? "" });
    this.views = { song: new SongView(this), rack: new RackView(this), paper: new PaperView(this), text: new TextView(this) };
    this.view = "song";
  }

  async start() {
    this.wire();
    this.takeDesk(this.desk, false);
    this.show(viewNames.find((n) => location.hash === `#show-${n}`) ?? "song");
    await this.refresh();
    document.body.dataset.ready = "yes";
  }

  wire() {
    for (const tab of document.querySelectorAll("[role=tab]")) {
      const name = /** @type {HTMLElement} */ (tab).dataset.view ?? "song";
      tab.addEventListener("click", () => this.show(name));
      tab.addEventListener("keydown", (e) => {
        const key = /** @type {KeyboardEvent} */ (e).key, at = viewNames.indexOf(name);
        const next = key === "ArrowRight" ? viewNames[(at + 1) % 4] : key === "ArrowLeft" ? viewNames[(at + 3) % 4] : null;
        if (next) { this.show(next); $(`tab-${next}`).focus(); }
      });
    }
    $("song").addEventListener("change", () => this.choose($("song").value));
    $("add-songs").addEventListener("change", async () => { await this.add([...$("add-songs").files]); $("add-songs").value = ""; });
    $("undo").addEventListener("click", () => this.step("undo"));
    $("redo").addEventListener("click", () => this.step("redo"));
    $("save").addEventListener("click", () => this.save());
    this.wireKeys();
    this.wireDrop();
    this.wireMeans();
  }

  wireKeys() {
    document.addEventListener("keydown", (e) => {
      const typing = e.target instanceof HTMLTextAreaElement || (e.target instanceof HTMLInputElement && e.target.type !== "range") || e.target instanceof HTMLSelectElement;
      const control = e.ctrlKey || e.metaKey;
      if (control && e.key === "s") { e.preventDefault(); this.save(); }
      else if (control && !typing && (e.key === "z" || e.key === "Z")) { e.preventDefault(); this.step(e.shiftKey ? "redo" : "undo"); }
      else if (!control && !e.altKey && !typing && "1234".includes(e.key)) this.show(viewNames[Number(e.key) - 1]);
    });
  }

  /** wireMeans shows what is explained where the keyboard is: a tooltip is for the pointer. */
  wireMeans() {
    addEventListener("focusin", (e) => {
      const at = /** @type {HTMLElement} */ (e.target);
      const told = at.hasAttribute("aria-description") ? [at] : at.matches("tr") ? [...at.querySelectorAll("td[aria-description]")] : [];
      $("means").textContent = told.map((x) => (x === at ? "" : `${x.textContent}: `) + x.getAttribute("aria-description")).join(" ");
      $("means").hidden = told.length === 0;
    });
  }

  wireDrop() {
    let over = 0;
    addEventListener("dragenter", (e) => { e.preventDefault(); over++; $("drop").hidden = false; });
    addEventListener("dragover", (e) => e.preventDefault());
    addEventListener("dragleave", () => { if (--over <= 0) { over = 0; $("drop").hidden = true; } });
    addEventListener("drop", (e) => {
      e.preventDefault();
      over = 0;
      $("drop").hidden = true;
      this.add([...(e.dataTransfer?.files ?? [])]);
    });
  }

  song() { return this.history.now.song; }
  /** @returns {import("./settings.js").Override[]} */
  set() { return this.history.now.set; }

  /** show turns to a view. @param {string} name */
  show(name) {
    this.view = name;
    for (const other of viewNames) {
      $(`view-${other}`).hidden = other !== name;
      $(`tab-${other}`).setAttribute("aria-selected", String(other === name));
      $(`tab-${other}`).tabIndex = other === name ? 0 : -1;
    }
    history.replaceState(null, "", `#show-${name}`);
    if (name === "song") this.views.song.draw();
    if (name === "paper") this.views.paper.take();
    if (name === "text") this.views.text.margin();
  }

  /** takeDesk shows what is on the desk. @param {any} desk @param {boolean} edited */
  takeDesk(desk, edited) {
    this.desk = desk;
    $("rig-name").textContent = desk.name;
    $("rig-mark").textContent = desk.fingerprint;
    document.title = `${desk.name} – choirloft`;
    $("save-state").textContent = desk.state;
    $("save").disabled = desk.saved || desk.faults.length > 0;
    options($("song"), desk.songs.length ? desk.songs.map((/** @type {any} */ s) => [s.id, s.name]) : [["", "no song yet: drop one here"]], this.song());
    if (!edited) $("text").value = desk.text;
    this.views.text.take(desk);
  }

  /**
   * change makes a change that can be undone; one that goes on is one.
   * @param {any} part @param {boolean} [going]
   */
  change(part, going = false) {
    const next = { ...this.history.now, ...part };
    if (going) this.history.replace(next);
    else if (!this.history.change(next)) return;
    this.views.song.stale();
    this.refresh();
  }

  /** @param {"undo" | "redo"} which */
  async step(which) {
    const text = this.history.now.text;
    if (!this.history[which]()) return;
    this.views.song.stale();
    if (this.history.now.text !== text) {
      this.takeDesk(await api.post("rig", { text: this.history.now.text }), false);
      $("text").value = this.history.now.text;
    }
    options($("song"), this.desk.songs.map((/** @type {any} */ s) => [s.id, s.name]), this.song());
    await this.refresh();
  }

  /** choose turns to a song. @param {string} id */
  choose(id) {
    $("song").value = id;
    this.change({ song: id });
  }

  /** add puts songs on the desk and turns to the first of them. @param {File[]} files */
  async add(files) {
    /** @type {any[]} */
    const added = [], failed = [];
    for (const f of files) {
      try { added.push(await api.addSong(f)); } catch (err) { failed.push(/** @type {Error} */ (err).message); }
    }
    this.takeDesk(await api.desk(), true);
    if (added.length) this.choose(added[0].id);
    this.trouble(failed.length ? new Error(failed.join("; ")) : null);
  }

  async save() {
    try {
      this.takeDesk(await api.post("save", {}), true);
      this.trouble(null);
    } catch (err) { this.trouble(err); }
  }

  /** refresh asks anew for what is shown. */
  async refresh() {
    const now = this.history.now, { song, set } = now;
    $("undo").disabled = !this.history.before.length;
    $("redo").disabled = !this.history.after.length;
    this.views.song.showVoices();
    const map = api.latest("map", (signal) => api.post("map", { song, set }, signal)).then((m) => { this.views.rack.take(m); this.views.song.heed(m.now); });
    const play = song
      ? api.latest("play", (signal) => api.post("play", { song, set }, signal)).then((p) => this.views.song.take(p, song))
      : Promise.resolve();
    $("no-song").hidden = song !== "";
    try {
      await Promise.all([map, play]);
      if (song) this.size(song, set);
      this.views.rack.card();
      if (this.view === "paper") await this.views.paper.take();
      this.trouble(null);
    } catch (err) { this.trouble(err); }
  }

  /** size asks how many voices the song needs, for the answer. @param {string} song @param {import("./settings.js").Override[]} set */
  async size(song, set) {
    try {
      const size = await api.latest("size", (signal) => api.post("size", { song, set }, signal));
      if (!this.views.song.tried) this.views.song.sized(size, size.doc, size.figures);
    } catch (err) { this.trouble(err); }
  }

  /** trouble shows what went wrong, or nothing. @param {any} err */
  trouble(err) {
    if (err instanceof api.Superseded) return;
    $("trouble").hidden = !err;
    $("trouble").textContent = err ? err.message : "";
  }
}

api.desk().then((desk) => new App(desk).start()).catch((err) => {
  $("trouble").hidden = false;
  $("trouble").textContent = err.message;
});
