// @ts-check
// The page: one state, and views of it.

import * as api from "./api.js";
import { gloss, wrong } from "./doc.js";
import { Conflict } from "./conflict.js";
import { $, able, el, options, wireUnable } from "./dom.js";
import { PaperView } from "./paper.js";
import { PartsView } from "./parts.js";
import { PlugView } from "./plug.js";
import { RackView } from "./rack.js";
import { oneStop, wireLists } from "./lists.js";
import { News } from "./news.js";
import { SaveAs } from "./saveas.js";
import { SetUpsView } from "./setups.js";
import { SongView } from "./song.js";
import { Shown, address, addressed } from "./state.js";
import { TextView } from "./text.js";
import { TuneView } from "./tune.js";
import { keep, restored } from "./undo.js";

const viewNames = ["song", "parts", "rack", "plug", "paper", "text"];

/** What shows answers: about the rig, about the song played, how many voices it needs, and all songs. */
const blocks = {
  map: ["rack", "mapped", "voice-card", "wrong"], play: ["answer-played", "moments", "played", "demand-box", "lanes-box", "losses"],
  size: ["answer-sized", "sized", "sized-drawn", "curve"], compare: ["songs"], sheets: ["sheets"], plug: ["plug"],
  setups: ["setups-list"], outage: ["outage-says"], repatch: ["repatch"], measured: ["measured"], bench: ["bench"],
};

export class App {
  /** @param {import("../testdata/contract").Desk} desk */
  constructor(desk) {
    this.desk = desk;
    gloss(desk.words);
    const { song, set, filter } = addressed(location.search);
    this.filter = filter;
    const { history, lost } = restored({ set, text: desk.text, song: this.there(song) ?? desk.songs[0]?.id ?? "" }, (id) => this.there(id));
    this.history = history;
    this.lost = lost; // why nothing can be undone of what was
    this.shown = new Shown((block, old) => {
      $(block).classList.toggle("old", old);
      $(block).setAttribute("aria-busy", String(old));
    });
    this.failed = false; // the last question
    this.listening = ""; // that what is heard is still to come
    this.speaking = 0;
    /** @type {Map<string, Map<string, () => void>>} */ this.later = new Map(); // by view: what is to be built once it is shown
    /** @type {Promise<void>} */ this.putting = Promise.resolve();
    /** @type {Promise<boolean>} */ this.altering = Promise.resolve(true);
    this.onDisk = ""; // the text of the file, as far as is known
    this.doings = 0; // changes of our own that are under way
    this.views = { song: new SongView(this), parts: new PartsView(this), rack: new RackView(this), plug: new PlugView(this), paper: new PaperView(this), text: new TextView(this), setups: new SetUpsView(this), tune: new TuneView(this) };
    this.conflict = new Conflict(this.views.text.tab, (d) => { this.takeTheirs(d); this.news.tell(""); });
    this.saveAs = new SaveAs(this);
    this.news = new News(this);
    this.view = "song";
  }

  async start() {
    this.wire();
    this.takeDesk(this.desk);
    this.show(this.viewAt() ?? "song");
    this.note(true);
    await this.refresh();
    document.body.dataset.ready = "yes";
  }

  /** there is a song, if it is on the desk. @param {string | null} id */
  there(id) { return this.desk.songs.find((s) => s.id === id)?.id; }
  viewAt() { return viewNames.find((n) => location.hash === `#${n}`); }

  /** note puts what is shown into the address: in place of what was there, or so that "back" leads there. @param {boolean} replace */
  note(replace) {
    const { song, set } = this.history.now, to = address(song, set, this.view, this.filter);
    if (to === location.pathname + location.search + location.hash) return;
    if (replace) history.replaceState(null, "", to);
    else history.pushState(null, "", to);
  }

  /** back shows what the address says. */
  back() {
    const { song, set, filter } = addressed(location.search);
    this.filter = filter;
    const view = this.viewAt();
    if (view) this.show(view);
    this.history.change({ ...this.history.now, set, song: this.there(song) ?? this.song() });
    $("song").value = this.song();
    this.views.song.stale();
    this.refresh();
  }

  wire() {
    addEventListener("popstate", () => this.back());
    addEventListener("resize", () => this.steady());
    addEventListener("pagehide", () => keep(this.history));
    document.addEventListener("visibilitychange", () => { if (document.hidden) keep(this.history); }); // a phone may end a page that is hidden
    for (const tab of document.querySelectorAll("[role=tab]")) {
      const name = /** @type {HTMLElement} */ (tab).dataset.view ?? "song";
      tab.addEventListener("click", () => this.go(name));
      tab.addEventListener("keydown", (e) => {
        const key = /** @type {KeyboardEvent} */ (e).key, at = viewNames.indexOf(name);
        const all = viewNames.length, to = { ArrowRight: (at + 1) % all, ArrowLeft: (at + all - 1) % all, Home: 0, End: all - 1 }[key];
        const next = to === undefined ? "" : viewNames[to];
        if (next) { this.go(next); $(`tab-${next}`).focus(); }
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
    wireLists();
    wireUnable((why) => { $("means").textContent = why; $("means").hidden = false; });
  }

  wireKeys() {
    document.addEventListener("keydown", (e) => {
      const typing = e.target instanceof Element && e.target.matches("textarea, select, input:not([type=range], [type=file])");
      const control = e.ctrlKey || e.metaKey;
      if (control && e.key === "s") { e.preventDefault(); this.save(); }
      else if (control && e.key === "p") { e.preventDefault(); this.go("paper"); this.views.paper.print(); }
      else if (control && !typing && (e.key === "z" || e.key === "Z")) { e.preventDefault(); this.step(e.shiftKey ? "redo" : "undo"); }
      else if (!control && !e.altKey && !typing && viewNames[Number(e.key) - 1]) this.go(viewNames[Number(e.key) - 1]);
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
      const files = [...(e.dataTransfer?.files ?? [])];
      if (!this.views.tune.wants(files, e)) { this.add(files); return; }
      if (this.view !== "rack") this.go("rack");
      this.views.tune.add(files);
    });
  }

  song() { return this.history.now.song; }
  /** @returns {import("./settings.js").Override[]} */
  set() { return this.history.now.set; }

  /** go shows a view, from which "back" leads back. @param {string} name */
  go(name) {
    this.show(name);
    this.note(false);
  }

  /** when builds something of a view: now if that is shown, else when it is. @param {string} view @param {string} what @param {() => void} build */
  when(view, what, build) {
    if (this.view === view) return build();
    if (!this.later.has(view)) this.later.set(view, new Map());
    this.later.get(view)?.set(what, build);
  }

  /** show turns to a view. @param {string} name */
  show(name) {
    this.view = document.body.dataset.view = name;
    for (const other of viewNames) {
      $(`view-${other}`).hidden = other !== name;
      $(`tab-${other}`).setAttribute("aria-selected", String(other === name));
      $(`tab-${other}`).tabIndex = other === name ? 0 : -1;
    }
    const due = this.later.get(name);
    this.later.delete(name);
    for (const build of due?.values() ?? []) build();
    oneStop();
    this.tellOld();
    this.steady();
    if (name === "song") this.views.song.draw();
    if (name === "paper") this.views.paper.take();
    if (name === "text") this.views.text.margin();
  }

  /**
   * doing does something that changes the desk; what is heard of changes meanwhile waits.
   * @template T @param {() => Promise<T>} work @returns {Promise<T>}
   */
  async doing(work) {
    this.doings++;
    try { return await work(); } finally {
      this.doings--;
      setTimeout(() => this.news.catchUp()); // once the answer is shown
    }
  }

  /** takeText shows a desk, its text in the place of the one here. @param {import("../testdata/contract").Desk} desk */
  takeText(desk) {
    this.views.text.typed = false;
    this.takeDesk(desk);
  }

  /** takeTheirs does so with what somebody else has written; undo brings back what was. @param {import("../testdata/contract").Desk} desk */
  takeTheirs(desk) {
    this.takeText(desk);
    this.change({ text: desk.text });
  }

  /** takeDesk shows what is on the desk. @param {import("../testdata/contract").Desk} desk */
  takeDesk(desk) {
    this.desk = desk;
    if (desk.saved) this.onDisk = desk.text;
    $("rig-name").textContent = desk.name;
    $("rig-mark").textContent = desk.fingerprint;
    document.title = `${desk.name} – choirloft`;
    $("save-state").textContent = desk.state;
    this.offer(desk.rigs ?? []);
    $("save").textContent = desk.new ? "Save as…" : "Save rig";
    this.tellAble();
    options($("song"), desk.songs.length ? desk.songs.map((s) => [s.id, s.name]) : [["", "no song yet: drop one here"]], this.song());
    this.views.text.take(desk);
    this.tellWrong();
  }

  /** offer lets open a rig that lies where the program was started. @param {string[]} rigs */
  offer(rigs) {
    $("open-rigs").hidden = rigs.length === 0;
    $("open-rigs").replaceChildren(...rigs.map((name) => el("button", { type: "button", onclick: () => this.open(name) }, `Open ${name}`)));
  }

  /** @param {string} name */
  async open(name) {
    try {
      this.takeTheirs(await this.doing(() => api.post("open", { name, ...this.views.text.origin() })));
      this.trouble(null);
      await this.refresh();
    } catch (err) { this.trouble(err); }
  }

  /** tellAble says of each button that cannot act why. */
  tellAble() {
    const { desk } = this, faults = desk.faults.length > 0 && "The text has faults. Mend them first.";
    const song = !this.song() && "There is no song yet. Add one first.", set = this.set().length === 0;
    able($("save"), faults || (desk.saved && "There is nothing to save: the file has this text."));
    able($("undo"), this.history.before.length === 0 && (this.lost || "There is nothing to undo."));
    able($("redo"), this.history.after.length === 0 && "There is nothing to do again.");
    able($("as-rig"), set && "It plays as the rig says already.");
    able($("keep"), faults || (set && "Nothing is set that the rig does not say."));
    able($("compare"), desk.songs.length === 0 && song);
    for (const button of document.querySelectorAll("#find-fixes, #find-pairs, .zoom button, #listen [data-version], #downloads [data-song]")) able(/** @type {HTMLElement} */ (button), song);
  }

  /** tellWrong lists what is wrong, on every view: faults of the text, then what was found of the rig. */
  tellWrong() {
    const found = this.views.rack.map ? wrong(this.views.rack.map.doc) : [], { faults } = this.desk;
    const count = (/** @type {string} */ tab, /** @type {number} */ n) => { if (n) $(tab).dataset.count = String(n); else delete $(tab).dataset.count; };
    count("tab-rack", found.length);
    count("tab-text", faults.length);
    $("wrong").hidden = found.length + faults.length === 0;
    $("wrong-count").textContent = `Wrong with the rig: ${found.length + faults.length}`;
    $("wrong-list").replaceChildren(...faults.map((f) => el("li", { class: "error" }, f.text)), ...found);
  }

  /**
   * change makes a change that can be undone; one that goes on is one.
   * @param {any} part @param {boolean} [going]
   */
  change(part, going = false) {
    const next = { ...this.history.now, ...part };
    if (going) this.history.replace(next);
    else if (!this.history.change(next)) return;
    $("kept").textContent = "";
    this.note(going);
    this.views.song.stale();
    this.refresh();
  }

  /**
   * alter edits the rig's text, one edit after the other, and tells whether it could. What is tried of a part that is
   * gone goes with it. Set is what is tried from then on, and trouble says why it could not be done.
   * @param {any[]} deeds
   * @param {{gone?: string, set?: (now: import("./settings.js").Override[]) => import("./settings.js").Override[], trouble?: (err: any) => void}} [how] @returns {Promise<boolean>}
   */
  alter(deeds, { gone, set = (now) => now.filter((o) => !gone || o.part !== gone), trouble = (err) => this.trouble(err) } = {}) {
    return this.altering = this.altering.then(async () => {
      await this.views.text.flush();
      const desk = await this.doing(() => api.post("alter", { deeds, ...this.views.text.origin() }));
      const kept = set(this.set());
      if (gone && kept.length < this.set().length) this.news.tell(`What you tried on ${gone} went with it. Undo brings both back.`);
      this.takeText(desk);
      this.change({ text: desk.text, set: kept });
      $("kept").textContent = $("kept").dataset.says;
      trouble(null);
      return true;
    }).catch((err) => { trouble(err); return false; });
  }

  /**
   * put sets something on top of what is set, one after the other: the program says what that leaves.
   * @param {{top?: import("./settings.js").Override[], voices?: number, part?: string}} what @param {boolean} [going]
   */
  put(what, going = false) {
    return this.putting = this.putting.then(async () => {
      const { set } = await api.post("set", { set: this.set(), ...what });
      this.change({ set }, going);
    }).catch((err) => this.trouble(err));
  }

  /** @param {"undo" | "redo"} which */
  async step(which) {
    const text = this.history.now.text;
    if (!this.history[which]()) return;
    $("kept").textContent = "";
    this.views.song.stale();
    if (this.history.now.text !== text) {
      try { this.takeText(await this.views.text.put(this.history.now.text)); } catch (err) { this.trouble(err); }
    }
    options($("song"), this.desk.songs.map((s) => [s.id, s.name]), this.song());
    this.note(true);
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
      try { added.push(await this.doing(() => api.addSong(f))); } catch (err) { failed.push(/** @type {Error} */ (err).message); }
    }
    this.news.take(await api.desk());
    const proposed = added.find((a) => a.proposes);
    if (proposed) {
      $("proposed").textContent = `This rig began as a proposal: ${[proposed.proposes, ...proposed.lines ?? []].join(" ")}`;
      $("proposed").hidden = false;
      this.news.tell("A rig is proposed for it. Parts shows what it rests on.");
    }
    if (added.length) this.choose(added[0].id);
    this.trouble(failed.length ? new Error(failed.join("; ")) : null);
  }

  /** save writes the text as it stands, what was typed this moment too. */
  async save() {
    try {
      await this.views.text.flush();
      if (this.desk.new) { this.saveAs.ask(); return; }
      this.takeDesk(await this.doing(() => api.post("save", this.views.text.origin())));
      this.trouble(null);
    } catch (err) {
      const { status } = /** @type {any} */ (err);
      if (status === 409) await this.differ();
      else if (status === 412) await this.differ($("text").value);
      else this.trouble(err);
    }
  }

  /** differ shows how the file differs from the text on the desk, or that from one typed here. @param {string} [mine] */
  async differ(mine) {
    try { await this.conflict.ask(mine); } catch (err) { this.trouble(err); }
  }

  /** keys are what the answers are for: the rig's text, what is set, and a song where they are about one. */
  keys() {
    const { song, set } = this.history.now;
    const map = JSON.stringify([this.desk.fingerprint, this.desk.text, set]), play = JSON.stringify([map, song]);
    return { map, play, size: play, compare: JSON.stringify([map, this.desk.songs]), sheets: JSON.stringify([map, this.views.paper.size()]),
      bench: play, setups: play, outage: play, repatch: JSON.stringify([this.desk.fingerprint, this.desk.text]), plug: this.desk.text, measured: JSON.stringify([this.desk.text, song]) };
  }

  /** turn dims what is not the answer to what is set now. */
  turn() {
    const keys = this.keys();
    for (const kind of /** @type {(keyof typeof blocks)[]} */ (Object.keys(blocks))) this.shown.turn(keys[kind], blocks[kind]);
    this.tellOld();
    return keys;
  }

  /** answered shows blocks of a kind as the answer for a key. @param {keyof typeof blocks} kind @param {string} key */
  answered(kind, key) {
    this.shown.answered(key, blocks[kind]);
    oneStop();
    this.steady();
    if (kind === "play" && !this.listening) this.speak(document.querySelector("#answer-played .answer")?.textContent ?? "");
    this.tellOld();
  }

  /**
   * steady keeps the room that answers about a song have had: what stands below them does not move under a thumb, but
   * where one is longer than all before.
   */
  steady() {
    const box = $("answer"), at = `${this.view} ${this.song()} ${innerWidth}`;
    if (box.dataset.at !== at) { box.dataset.at = at; box.style.minHeight = ""; }
    box.style.minHeight = `${box.offsetHeight}px`;
  }

  /** speak says the answer to who hears the page, once nothing more is changed for a moment. @param {string} text */
  speak(text) {
    clearTimeout(this.speaking);
    this.speaking = setTimeout(() => { $("spoken").textContent = text; }, 700);
  }

  tellOld() {
    const seen = (/** @type {string} */ block) => !$(block).closest("[role=tabpanel][hidden]"); // another view asks once it is shown
    const old = !this.shown.any(seen) ? "" : this.failed ? "What is dimmed is the answer from before." : "Working. What is dimmed is the answer from before.";
    $("working").textContent = [this.listening, old].filter(Boolean).join(" ");
  }

  /** refresh asks anew for what is shown. */
  async refresh() {
    const now = this.history.now, { song, set } = now;
    this.tellAble();
    this.views.song.showVoices();
    this.failed = false;
    this.listening = "";
    const keys = this.turn();
    const map = api.latest("map", (signal) => api.post("map", { song, set }, signal)).then((m) => {
      this.views.rack.take(m);
      this.views.song.heed(m.now);
      this.when("parts", "faces", () => this.views.parts.draw());
      this.answered("map", keys.map);
      this.tellWrong();
    });
    const play = song ? this.play({ song, set }, keys.play) : Promise.resolve();
    $("no-song").hidden = song !== "";
    $("view-song").classList.toggle("none", song === "");
    this.when("parts", "bench", () => this.views.parts.ask());
    try {
      await Promise.all([map, play]);
      if (song) this.size(song, set, keys.size);
      this.when("plug", "plug", () => this.views.plug.ask());
      this.when("rack", "card", () => this.views.rack.card());
      this.when("rack", "setups", () => this.views.setups.refresh());
      this.when("rack", "tune", () => this.views.tune.refresh());
      if (this.view === "paper") await this.views.paper.take();
      this.trouble(null);
    } catch (err) { this.trouble(err); }
  }

  /**
   * play asks what became of the song: at once, and where what is heard takes longer once more for that.
   * @param {{song: string, set: import("./settings.js").Override[]}} asked @param {string} key
   */
  play(asked, key) {
    return api.latest("picture", async (signal) => {
      const take = (/** @type {{head: import("../testdata/contract").Picture, columns: import("./columns.js").Columns}} */ picture) => {
        if (signal.aborted) return; // it is of before
        this.listening = picture.head.listening;
        this.views.song.take(picture, asked);
        this.answered("play", key);
      };
      take(await api.columns("picture", { ...asked, ...this.filter, soon: true }, signal));
      if (!this.listening) return;
      try { take(await api.columns("picture", { ...asked, ...this.filter }, signal)); } catch (err) {
        if (!signal.aborted) this.listening = ""; // nothing more comes; what went wrong is said
        throw err;
      }
    });
  }

  /** size asks how many voices the song needs, for the answer. @param {string} song @param {import("./settings.js").Override[]} set @param {string} key */
  async size(song, set, key) {
    try {
      const size = await api.latest("size", (signal) => api.post("size", { song, set }, signal));
      if (!this.views.song.tried) this.views.song.sized(size, size.doc, size.figures);
      await this.views.song.takeSizes(size.axis);
      this.answered("size", key);
    } catch (err) { this.trouble(err); }
  }

  /** trouble shows what went wrong, or nothing. @param {any} err */
  trouble(err) {
    if (err instanceof api.Superseded) return;
    this.failed = Boolean(err);
    this.tellOld();
    if (err instanceof api.Gone) { this.wait(); return; }
    if (err?.status === 412) { this.news.overtaken(); return; }
    $("trouble").hidden = !err;
    $("trouble").textContent = err ? err.message : "";
  }

  /** wait asks until the program answers again, and brings it the text that was typed. */
  async wait() {
    if (!$("gone").hidden) return;
    $("gone").hidden = false;
    for (;;) {
      await new Promise((done) => setTimeout(done, 500));
      try {
        let desk = await api.desk();
        if (desk.text === this.desk.text || (desk.saved && desk.text === this.onDisk) || (desk.new && this.desk.new && !desk.songs.length)) { // nobody else has changed it
          this.views.text.from = desk.edition;
          if (desk.text !== $("text").value) desk = await this.views.text.put($("text").value);
        }
        $("gone").hidden = true;
        this.history.replace({ ...this.history.now, song: this.there(this.song()) ?? desk.songs[0]?.id ?? "" });
        this.news.take(desk);
        this.news.open();
        await this.refresh();
        return;
      } catch (err) {
        if (!(err instanceof api.Gone)) { $("gone").hidden = true; this.trouble(err); return; }
      }
    }
  }
}

api.desk().then((desk) => new App(desk).start()).catch((err) => {
  $("trouble").hidden = false;
  $("trouble").textContent = err.message;
});
