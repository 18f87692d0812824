// @ts-check
// What lies on the desk: the rig and its text, songs, what is wrong with them, and the file.

import * as api from "./api.js";
import { wrong } from "./doc.js";
import { $, able, el, options } from "./dom.js";

export class OnDesk {
  /** @param {import("./app.js").App} app */
  constructor(app) {
    this.app = app;
    this.onDisk = ""; // the text of the file, as far as is known
  }

  /** takeText shows a desk, its text in the place of the one here. @param {import("../testdata/contract").Desk} desk */
  takeText(desk) {
    this.app.views.text.typed = false;
    this.takeDesk(desk);
  }

  /** takeTheirs does so with what somebody else has written; undo brings back what was. @param {import("../testdata/contract").Desk} desk */
  takeTheirs(desk) {
    this.takeText(desk);
    this.app.change({ text: desk.text });
  }

  /** takeDesk shows what is on the desk. @param {import("../testdata/contract").Desk} desk */
  takeDesk(desk) {
    this.app.desk = desk;
    if (desk.saved) this.onDisk = desk.text;
    $("rig-name").textContent = desk.name;
    $("rig-mark").textContent = desk.fingerprint;
    document.title = `${desk.name} – choirloft`;
    $("save-state").textContent = desk.state;
    $("measure-hint").textContent = desk.measure;
    this.offer(desk.rigs ?? []);
    $("save").textContent = desk.new ? "Save as…" : "Save rig";
    this.tellAble();
    options($("song"), desk.songs.length ? desk.songs.map((s) => [s.id, s.name]) : [["", "no song yet: drop one here"]], this.app.song());
    this.app.views.text.take(desk);
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
      this.takeTheirs(await this.app.doing(() => api.post("open", { name, ...this.app.views.text.origin() })));
      this.app.trouble(null);
      await this.app.answers.refresh();
    } catch (err) { this.app.trouble(err); }
  }

  /** tellAble says of each button that cannot act why. */
  tellAble() {
    const { desk } = this.app, faults = desk.faults.length > 0 && "The text has faults. Correct them first.";
    const song = !this.app.song() && "There is no song yet. Add one first.", set = this.app.set().length === 0;
    able($("save"), faults || (desk.saved && "There is nothing to save: the file has this text."));
    able($("undo"), this.app.history.before.length === 0 && (this.app.lost || "There is nothing to undo."));
    able($("redo"), this.app.history.after.length === 0 && "There is nothing to redo.");
    able($("as-rig"), set && "It already plays as the rig says.");
    able($("keep"), faults || (set && "No setting differs from the rig."));
    able($("compare"), desk.songs.length === 0 && song);
    for (const button of document.querySelectorAll("#find-fixes, #find-pairs, .zoom button, #listen [data-version], #downloads [data-song]")) able(/** @type {HTMLElement} */ (button), song);
  }

  /** tellWrong lists what is wrong, on every view: faults of the text, then what was found of the rig. */
  tellWrong() {
    const found = this.app.views.rack.map ? wrong(this.app.views.rack.map.doc) : [], { faults } = this.app.desk;
    const count = (/** @type {string} */ tab, /** @type {number} */ n) => { if (n) $(tab).dataset.count = String(n); else delete $(tab).dataset.count; };
    count("tab-rack", found.length);
    count("tab-text", faults.length);
    $("wrong").hidden = found.length + faults.length === 0;
    $("wrong-count").textContent = `Wrong with the rig: ${found.length + faults.length}`;
    $("wrong-list").replaceChildren(...faults.map((f) => el("li", { class: "error" }, f.text)), ...found);
  }

  /** add puts songs on the desk and turns to the first of them. @param {File[]} files */
  async add(files) {
    /** @type {any[]} */
    const added = [], failed = [];
    for (const f of files) {
      try { added.push(await this.app.doing(() => api.addSong(f))); } catch (err) { failed.push(/** @type {Error} */ (err).message); }
    }
    this.app.news.take(await api.desk());
    this.tellProposed(added);
    if (added.length) this.app.choose(added[0].id);
    this.app.trouble(failed.length ? new Error(failed.join("; ")) : null);
  }

  /** tellProposed says what was proposed for songs that were added, or why nothing was. @param {import("../testdata/contract").Answers["song"][]} added */
  tellProposed(added) {
    const { news } = this.app, unable = added.find((a) => a.unproposed), proposed = added.find((a) => a.proposes && !a.unproposed);
    const about = "A rig is proposed for it. Parts shows what it rests on.";
    if (unable) news.tell(unable.unproposed ?? "");
    else if (proposed) news.tell(about);
    else if ($("news-text").textContent === about) news.tell(""); // "it" would be another song
    if (!proposed) return;
    $("proposed").textContent = `This rig began as a proposal: ${[proposed.proposes, ...proposed.lines ?? []].join(" ")}`;
    $("proposed").hidden = false;
  }

  /** save writes the text as it stands, what was typed this moment too. */
  async save() {
    try {
      await this.app.views.text.flush();
      if (this.app.desk.new) { this.app.saveAs.ask(); return; }
      this.takeDesk(await this.app.doing(() => api.post("save", this.app.views.text.origin())));
      this.app.trouble(null);
    } catch (err) {
      const { status } = /** @type {any} */ (err);
      if (status === 409) await this.differ();
      else if (status === 412) await this.differ($("text").value);
      else this.app.trouble(err);
    }
  }

  /** differ shows how the file differs from the text on the desk, or that from one typed here. @param {string} [mine] */
  async differ(mine) {
    try { await this.app.conflict.ask(mine); } catch (err) { this.app.trouble(err); }
  }
}
