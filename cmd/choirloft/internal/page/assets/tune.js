// @ts-check
// Measurements: readings, or a take and its recording, and what they say of the rack. What is
// measured goes into the rig text where that is asked for.

import * as api from "./api.js";
import { lead, sections } from "./doc.js";
import { $, able, el } from "./dom.js";
import { oneStop } from "./lists.js";

const tables = /\.(csv|ya?ml)$/i, sounds = /\.wav$/i;

export class TuneView {
  /** @param {import("./app.js").App} app */
  constructor(app) {
    this.app = app;
    this.clear();
    $("measure-files").addEventListener("change", async () => { const files = [...$("measure-files").files]; $("measure-files").value = ""; await this.add(files); });
    for (const id of ["measure-date", "measure-turned", "measure-instead", "measure-through"]) $(id).addEventListener("change", () => this.read());
    $("measure-how").addEventListener("submit", (/** @type {Event} */ e) => e.preventDefault());
    $("measure-write").addEventListener("click", () => this.write());
    $("measure-leave").addEventListener("click", () => { api.forget("measure"); this.clear(); });
    for (const id of ["take-short", "take-through"]) $(id).addEventListener("change", () => this.make());
    $("take-make").addEventListener("toggle", () => { if ($("take-make").open) this.make(); });
    $("take-download").addEventListener("click", () => this.download());
  }

  /** clear forgets what was added. */
  clear() {
    /** @type {{name: string, text: string} | null} */ this.readings = null;
    /** @type {import("../testdata/contract").Played | null} */ this.take = null;
    this.heard = false; // the take's recording
    /** @type {File | null} */ this.sound = null; // a recording that waits for its take
    this.of = ""; // what is shown is for
    this.wrote = ""; // the text with what was measured
    $("measured").replaceChildren();
    this.show("", false);
  }

  /** show says how far it is, and which of what can be asked stands there. @param {string} status @param {boolean} [wrong] */
  show(status, wrong = false) {
    $("measure-status").textContent = wrong ? "" : status;
    $("measure-trouble").textContent = wrong ? status : "";
    $("measure-trouble").hidden = !wrong;
    const any = this.readings !== null || this.take !== null || this.sound !== null;
    for (const id of ["measure-how", "measure-done"]) $(id).hidden = !any;
    $("measure-through-row").hidden = this.readings === null;
    $("measure-date-row").hidden = this.readings !== null;
    $("measure-what").textContent = [this.readings?.name, this.take?.says, this.sound?.name].filter(Boolean).join("; ");
    able($("measure-write"), this.of === "" && "Nothing is measured yet.");
  }

  /** wants tells whether dropped files are measurements: tables and recordings are, and whatever is dropped here. @param {File[]} files @param {DragEvent} e */
  wants(files, e) {
    return files.some((f) => /\.csv$/i.test(f.name) || sounds.test(f.name)) || document.elementsFromPoint(e.clientX, e.clientY).some((x) => x.id === "measure");
  }

  /** add takes files: readings alone, or a take before its recording. @param {File[]} files */
  async add(files) {
    const table = files.find((f) => tables.test(f.name)), sound = files.find((f) => sounds.test(f.name)), take = files.find((f) => f !== table && f !== sound);
    try {
      if (table) {
        this.clear();
        this.readings = { name: table.name, text: await table.text() };
      } else if (take) {
        const waits = sound ?? this.sound;
        this.clear();
        this.sound = waits;
        this.take = await api.latest("measure", (signal) => api.upload("played", { name: take.name }, take, signal));
      } else {
        if (!this.take) this.clear();
        this.sound = sound ?? null;
      }
      await this.listen();
      await this.read();
    } catch (err) { this.refuse(err); }
  }

  /** listen sends the recording of a take, once both are there. */
  async listen() {
    const { sound, take } = this;
    if (!sound || !take) return;
    this.show("Listening to the recording. That takes a few seconds for each minute of it.");
    try {
      await api.latest("measure", (signal) => api.upload("recording", { take: take.id, name: sound.name }, sound, signal));
      this.heard = true;
      this.of = "";
    } finally { this.sound = null; }
  }

  /** question is what is asked of the program, and by which path. @returns {["readings" | "took", any] | null} */
  question() {
    const how = { turned: $("measure-turned").value, instead: $("measure-instead").checked };
    if (this.readings) return ["readings", { ...this.readings, ...how, through: $("measure-through").value }];
    if (this.take && this.heard) return ["took", { id: this.take.id, song: this.app.song(), date: $("measure-date").value, ...how }];
    return null;
  }

  /** refresh asks anew where the rig or the song is another. */
  refresh() {
    if (this.of && this.of !== this.key()) this.read();
  }

  key() { return JSON.stringify([this.app.answers.keys().measured, this.question()]); }

  /** read asks what the measurements say. */
  async read() {
    const asked = this.question();
    if (!asked) {
      if (this.sound && this.take) return; // it is listening
      this.show(this.take ? "Now add its recording, a WAV file." : this.sound ? "Now add the take that was played, a MIDI file." : "");
      return;
    }
    const key = this.key(), shown = this.app.answers.keys().measured;
    this.show("Working out what was measured.");
    try {
      const says = await api.latest("measure", (signal) => api.post(asked[0], asked[1], signal));
      $("measured").replaceChildren(...lead(says.doc), ...sections(says.doc, { level: 3, of: "Measured", figures: says.figures }));
      $("measure-command").textContent = says.command;
      this.of = key;
      this.app.answers.answered("measured", shown);
      const wrote = this.wrote === this.app.desk.text;
      this.show(wrote ? "It is in the rig text now. Save writes the file, Undo takes it out again." : "");
      able($("measure-write"), wrote ? "It is in the rig text." : !says.writes && "The rig text says all of it already, or there is nothing to write.");
      oneStop();
    } catch (err) { this.refuse(err); }
  }

  /** refuse says in a sentence why measurements are of no use. @param {any} err */
  refuse(err) {
    if (err instanceof api.Superseded) return;
    if (err instanceof api.Gone) { this.app.trouble(err); return; }
    this.of = "";
    $("measured").replaceChildren();
    this.show(err.message, true);
  }

  /** write puts what was measured into the rig text, which is not saved by that. */
  async write() {
    try {
      await this.app.views.text.flush();
      const asked = this.question();
      if (!asked) return;
      const { desk } = await this.app.doing(() => api.post(asked[0], { ...asked[1], write: true, ...this.app.views.text.origin() }));
      if (!desk) return;
      this.wrote = desk.text;
      this.app.onDesk.takeText(desk);
      this.app.change({ text: desk.text }); // which asks anew
    } catch (err) {
      if (/** @type {any} */ (err).status === 412) this.app.trouble(err);
      else this.refuseWriting(/** @type {Error} */ (err));
    }
  }

  /** refuseWriting leaves what is shown. @param {Error} err */
  refuseWriting(err) {
    if (err instanceof api.Gone) { this.app.trouble(err); return; }
    this.show(err.message, true);
  }

  /** make says what a take to play holds, its cautions first. */
  async make() {
    try {
      const take = await api.latest("take", (signal) => api.post("take", this.asked(), signal));
      $("take-says").replaceChildren(...lead(take.doc), ...sections(take.doc, { level: 3, of: "A take to play" }));
      able($("take-download"), "");
      oneStop();
    } catch (err) {
      if (err instanceof api.Superseded) return;
      $("take-says").replaceChildren(el("p", {}, /** @type {Error} */ (err).message));
      able($("take-download"), "This rig cannot make a take.");
    }
  }

  asked() { return { short: $("take-short").checked, through: $("take-through").checked }; }

  async download() {
    try {
      const url = URL.createObjectURL(await api.takeFile(this.asked()));
      el("a", { href: url, download: "take.mid" }).click();
      setTimeout(() => URL.revokeObjectURL(url), 1000);
    } catch (err) { this.app.trouble(err); }
  }
}
