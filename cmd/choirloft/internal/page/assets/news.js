// @ts-check
// What happens elsewhere: in another tab, or to the rig file on disk. It is told with what to do
// about it, and never takes the place of what was typed here.

import * as api from "./api.js";
import { $ } from "./dom.js";

export class News {
  /** @param {import("./app.js").App} app */
  constructor(app) {
    this.app = app;
    this.edition = app.desk.edition; // of the desk, as last heard
    this.missed = false; // something was heard while a change of our own was under way
    /** @type {EventSource | null} */ this.source = null;
    /** @type {(() => void) | null} what "see what differs" does */ this.compare = null;
    $("news-compare").addEventListener("click", () => this.compare?.());
    $("news-close").addEventListener("click", () => this.tell(""));
    document.addEventListener("visibilitychange", () => this.open());
    this.open();
  }

  /** open listens while the page is seen: a browser has few connections to one program. */
  open() {
    this.source?.close();
    this.source = null;
    if (document.hidden) return;
    this.source = new EventSource("/api/events");
    this.source.onmessage = (e) => { this.edition = Number(e.data); this.look(); };
    this.source.onerror = () => this.lost();
  }

  /** lost finds out why nothing is heard any more. */
  async lost() {
    const refused = this.source?.readyState === EventSource.CLOSED;
    try {
      await api.desk();
      if (refused) this.tell("Too many pages are open, so this one does not hear of changes in others. Close one, and reload this.");
    } catch (err) { this.app.trouble(err); }
  }

  /** look shows what has changed on the desk; while a change of our own is under way, catchUp does so after it. */
  async look() {
    const { app } = this;
    this.missed = app.doings > 0;
    if (this.missed || this.edition === app.desk.edition) return;
    try {
      const desk = await api.desk();
      this.missed = app.doings > 0;
      if (!this.missed && desk.edition !== app.desk.edition) this.take(desk);
    } catch (err) { app.trouble(err); }
  }

  catchUp() { if (this.missed) this.look(); }

  /** @param {import("../testdata/contract").Desk} desk */
  take(desk) {
    const { app } = this, was = app.desk;
    this.edition = desk.edition;
    if (desk.text !== was.text && !app.views.text.typed) {
      app.onDesk.takeTheirs(desk);
      this.tell("Another tab has changed the rig text. Undo brings back what was here.");
    } else {
      app.onDesk.takeDesk(desk);
      if (desk.text !== was.text) { this.overtaken(); app.answers.refresh(); }
      else if (desk.saved && !was.saved) this.tell("Another tab has saved the rig.");
    }
    if (!app.there(app.song()) && desk.songs.length) app.choose(desk.songs[0].id);
    if (desk.strayed && !was.strayed) this.tell("Somebody else has changed the rig file on disk.", () => app.onDesk.differ());
  }

  /** overtaken tells that another tab has changed the text while something was typed here. */
  overtaken() { this.tell("Another tab has changed the rig text. What you typed stays here.", () => this.app.onDesk.differ($("text").value)); }

  /** tell says what happened elsewhere, with a way to see what differs where there is one. @param {string} text @param {() => void} [compare] */
  tell(text, compare) {
    this.compare = compare ?? null;
    $("news-text").textContent = text;
    $("news-compare").hidden = !compare;
    $("news-close").hidden = !text;
  }
}
