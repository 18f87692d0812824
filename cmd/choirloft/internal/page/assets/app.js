// @ts-check
// The page as one state: what is set, its history, the view that is shown, and every change of these.

import { Answers } from "./answers.js";
import * as api from "./api.js";
import { Conflict } from "./conflict.js";
import { gloss } from "./doc.js";
import { $, options } from "./dom.js";
import { oneStop } from "./lists.js";
import { News } from "./news.js";
import { OnDesk } from "./ondesk.js";
import { PaperView } from "./paper.js";
import { PartsView } from "./parts.js";
import { PlugView } from "./plug.js";
import { RackView } from "./rack.js";
import { SaveAs } from "./saveas.js";
import { SetUpsView } from "./setups.js";
import { SongView } from "./song.js";
import { address, addressed } from "./state.js";
import { TextView } from "./text.js";
import { TuneView } from "./tune.js";
import { restored } from "./undo.js";

export const viewNames = ["song", "parts", "rack", "plug", "paper", "text"];

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
    this.answers = new Answers(this);
    this.onDesk = new OnDesk(this);
    /** @type {Map<string, Map<string, () => void>>} */ this.later = new Map(); // by view: what is to be built once it is shown
    /** @type {Promise<void>} */ this.putting = Promise.resolve();
    /** @type {Promise<boolean>} */ this.altering = Promise.resolve(true);
    this.doings = 0; // changes of our own that are under way
    this.views = { song: new SongView(this), parts: new PartsView(this), rack: new RackView(this), plug: new PlugView(this), paper: new PaperView(this), text: new TextView(this), setups: new SetUpsView(this), tune: new TuneView(this) };
    this.conflict = new Conflict(this.views.text.tab, (d) => { this.onDesk.takeTheirs(d); this.news.tell(""); });
    this.saveAs = new SaveAs(this);
    this.news = new News(this);
    this.view = "song";
  }

  async start() {
    this.onDesk.takeDesk(this.desk);
    this.show(this.viewAt() ?? "song");
    this.note(true);
    await this.answers.refresh();
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
    this.views.song.fixes.stale();
    this.answers.refresh();
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
    this.answers.tellOld();
    this.answers.steady();
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
    this.views.song.fixes.stale();
    this.answers.refresh();
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
      if (gone && kept.length < this.set().length) this.news.tell(`Your trial settings for ${gone} went too. Undo restores both.`);
      this.onDesk.takeText(desk);
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
    this.views.song.fixes.stale();
    if (this.history.now.text !== text) {
      try { this.onDesk.takeText(await this.views.text.put(this.history.now.text)); } catch (err) { this.trouble(err); }
    }
    options($("song"), this.desk.songs.map((s) => [s.id, s.name]), this.song());
    this.note(true);
    await this.answers.refresh();
  }

  /** choose turns to a song. @param {string} id */
  choose(id) {
    $("song").value = id;
    this.change({ song: id });
  }

  /** trouble shows what went wrong, or nothing. @param {any} err */
  trouble(err) {
    if (err instanceof api.Superseded) return;
    this.answers.failed = Boolean(err);
    this.answers.tellOld();
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
        if (desk.text === this.desk.text || (desk.saved && desk.text === this.onDesk.onDisk) || (desk.new && this.desk.new && !desk.songs.length)) { // nobody else has changed it
          this.views.text.from = desk.edition;
          if (desk.text !== $("text").value) desk = await this.views.text.put($("text").value);
        }
        $("gone").hidden = true;
        this.history.replace({ ...this.history.now, song: this.there(this.song()) ?? desk.songs[0]?.id ?? "" });
        this.news.take(desk);
        this.news.open();
        await this.answers.refresh();
        return;
      } catch (err) {
        if (!(err instanceof api.Gone)) { $("gone").hidden = true; this.trouble(err); return; }
      }
    }
  }
}
