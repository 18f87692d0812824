// @ts-check
// Set-ups, the moves from one to another, and what to do when a voice fails: below the rack.

import * as api from "./api.js";
import { lead, sections } from "./doc.js";
import { $, able, el, options } from "./dom.js";
import { oneStop } from "./lists.js";

export class SetUpsView {
  /** @param {import("./app.js").App} app */
  constructor(app) {
    this.app = app;
    /** @type {Set<string>} */ this.ticked = new Set(); // lines of moves, by what they are of
    this.moves = ""; // what the list of moves is of
    for (const id of ["repatch-from", "repatch-to"]) $(id).addEventListener("change", () => this.repatch());
    $("repatch-turn").addEventListener("click", () => this.turn());
    $("outage-voice").addEventListener("change", () => this.outage());
    $("repatch").addEventListener("change", (/** @type {Event} */ e) => this.tick(/** @type {HTMLInputElement} */ (e.target)));
  }

  /** refresh asks anew for all of it. */
  async refresh() {
    const voices = this.app.views.rack.map?.voices ?? [], chosen = $("outage-voice").value;
    options($("outage-voice"), [["", "choose a voice"], ...voices.map((v) => /** @type {[string, string]} */ ([v.name, v.name]))], voices.some((v) => v.name === chosen) ? chosen : "");
    await Promise.all([this.list(), this.outage()]);
  }

  /** list shows which set-ups there are. */
  async list() {
    const { song, set } = this.app.history.now, { setups: key } = this.app.answers.keys();
    try {
      const all = await api.latest("setups", (signal) => api.post("setups", { song, set }, signal));
      $("setups-list").replaceChildren(...lead(all.doc, { row: (row, about) => row.append(el("td", {}, this.show(all, about.replace("set-up ", "")))) }));
      $("setups-list").querySelector("thead tr")?.append(el("td"));
      this.app.answers.answered("setups", key);
      this.choose(all.ways.map((way) => way.name));
      await this.repatch();
    } catch (err) { this.app.trouble(err); }
  }

  /** show is what shows a set-up on the rack, in the song and on the sheet. @param {import("../testdata/contract").SetUpsAnswer} all @param {string} name */
  show(all, name) {
    const way = all.ways.find((w) => w.name === name), button = el("button", { type: "button", "aria-label": `Show ${name}` }, "Show");
    able(button, way?.shown ? "It is shown." : !way?.plays && "It leaves no voice for a song.");
    button.addEventListener("click", () => this.app.change({ set: way?.set }));
    return button;
  }

  /** choose offers set-ups to come from and to go to. @param {string[]} names */
  choose(names) {
    $("repatch-ask").hidden = names.length < 2;
    const list = names.map((n) => /** @type {[string, string]} */ ([n, n])), was = [$("repatch-from").value, $("repatch-to").value];
    const from = names.includes(was[0]) ? was[0] : names[0], to = names.includes(was[1]) ? was[1] : names.find((n) => n !== from);
    options($("repatch-from"), list, from);
    options($("repatch-to"), list, to ?? "");
  }

  turn() {
    [$("repatch-from").value, $("repatch-to").value] = [$("repatch-to").value, $("repatch-from").value];
    this.repatch();
  }

  /** repatch lists the moves, unless that list stands there. */
  async repatch() {
    const from = $("repatch-from").value, to = $("repatch-to").value, { repatch: key } = this.app.answers.keys(), moves = JSON.stringify([key, from, to]);
    if ($("repatch-ask").hidden) { this.moves = ""; $("repatch").replaceChildren(); this.app.answers.answered("repatch", key); return; }
    if (moves === this.moves) return;
    try {
      const way = await api.latest("repatch", (signal) => api.post("repatch", { from, to }, signal));
      this.moves = moves;
      $("repatch").replaceChildren(...lead(way.doc), ...sections(way.doc, { level: 3, of: "Moves" }));
      for (const box of /** @type {NodeListOf<HTMLInputElement>} */ ($("repatch").querySelectorAll("input"))) box.checked = this.ticked.has(this.line(box));
      this.app.answers.answered("repatch", key);
      oneStop();
    } catch (err) { this.app.trouble(err); }
  }

  /** line is a box by what it is of. @param {HTMLInputElement} box */
  line(box) { return this.moves + box.parentElement?.textContent; }

  /** @param {HTMLInputElement} box */
  tick(box) {
    if (box.checked) this.ticked.add(this.line(box));
    else this.ticked.delete(this.line(box));
  }

  /** outage says what to do when the voice that is chosen fails. */
  async outage() {
    const voice = $("outage-voice").value, { song, set } = this.app.history.now, { setups: key } = this.app.answers.keys();
    if (!voice) { $("outage-says").replaceChildren(); this.app.answers.answered("outage", key); return; }
    try {
      const fails = await api.latest("outage", (signal) => api.post("outage", { voice, song, set }, signal));
      $("outage-says").replaceChildren(...lead(fails.doc), ...sections(fails.doc, { level: 3, of: "If a voice fails" }));
      this.app.answers.answered("outage", key);
      oneStop();
    } catch (err) {
      if (!(err instanceof api.Superseded)) $("outage-says").replaceChildren(el("p", { class: "hint" }, /** @type {Error} */ (err).message));
      if (err instanceof api.Gone) this.app.trouble(err);
    }
  }
}
