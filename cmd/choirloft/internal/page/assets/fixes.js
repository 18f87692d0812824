// @ts-check
// How many voices the song needs, and what to try.

import * as api from "./api.js";
import { lead, sections } from "./doc.js";
import { $, able, el, place, pressable } from "./dom.js";

/** @typedef {import("../testdata/contract").Way} Way what can be done with a fix */

export class Fixes {
  /** @param {import("./app.js").App} app */
  constructor(app) {
    this.app = app;
    this.tried = false; // of what is set now
    $("keep").addEventListener("click", () => this.keep());
    $("find-fixes").addEventListener("click", () => this.find(0));
    $("find-pairs").addEventListener("click", () => this.find(20));
    $("stop-search").addEventListener("click", () => api.stop());
    $("compare").addEventListener("click", () => this.compare());
  }

  /** sized says how many voices the song needs, and which fixes there are where they were tried. @param {import("../testdata/contract").Size} size @param {import("./doc.js").Doc} doc @param {Record<string, string>} [figures] @param {Way[]} [ways] of the fixes */
  sized(size, doc, figures, ways) {
    const [answer, ...more] = lead(doc);
    $("answer-sized").replaceChildren(answer);
    this.app.when("song", "sized", () => this.show(size, more, doc, figures, ways));
  }

  /** @param {import("../testdata/contract").Size} size @param {Node[]} more @param {import("./doc.js").Doc} doc @param {Record<string, string>} [figures] @param {Way[]} [ways] */
  show(size, more, doc, figures, ways = []) {
    const all = sections(doc, { level: 3, findings: false, figures, row: (row, about) => {
      const fix = size.fixes[place(about, "fix")], way = ways[place(about, "fix")];
      if (fix && way) row.lastElementChild?.append(" ", this.buttons(fix, way));
    } });
    for (const section of all) {
      const table = section.querySelector("table:has(.fix)"), heads = [...(table?.querySelectorAll("thead tr > *") ?? [])].map((h) => h.textContent ?? "");
      table?.parentElement?.classList.add("stacked"); // on a narrow screen a fix stands below its figures
      for (const row of table?.querySelectorAll("tbody tr") ?? []) [.../** @type {HTMLTableRowElement} */ (row).cells].forEach((cell, i) => { cell.dataset.head = heads[i]; });
    }
    const drawn = (/** @type {HTMLElement} */ section) => section.querySelector("img") !== null; // which wants the whole width
    $("sized").replaceChildren(...more, ...all.filter((section) => !drawn(section)));
    $("sized-drawn").replaceChildren(...all.filter(drawn));
  }

  /** find asks for fixes. @param {number} pairs seconds */
  async find(pairs) {
    const bar = $("search");
    bar.hidden = false;
    bar.removeAttribute("value");
    $("stop-search").hidden = pairs === 0;
    const key = this.app.answers.keys().size;
    try {
      await api.latest("fixes", (signal) => api.steps("fixes", { song: this.app.song(), set: this.app.set(), pairs }, (step) => {
        if (step.size && step.doc) { this.tried = true; this.sized(step.size, step.doc, step.figures, step.ways); this.app.answers.answered("size", key); $("sized").focus(); }
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

  /** keep writes what is set into the text of the rig, which is not saved by that; with a fix on top, and what that buys. @param {import("./settings.js").Override[]} [fix] */
  async keep(fix) {
    try {
      await this.app.views.text.flush();
      const { desk, set, says } = await this.app.doing(() => api.post("keep", { set: this.app.set(), ...(fix && { top: fix, bought: true }), ...this.app.views.text.origin() }));
      this.app.onDesk.takeText(desk);
      this.app.change({ set, text: desk.text });
      $("kept").textContent = says;
      if (fix) $("sized").focus();
      this.app.trouble(null);
    } catch (err) { this.app.trouble(err); }
  }

  /** buttons try a fix on top of what is set, and write it into the rig with that. @param {import("../testdata/contract").Fix} fix @param {Way} way */
  buttons(fix, way) {
    const top = fix.overrides, write = el("button", { type: "button", onclick: () => this.keep(top) }, "Write it into the rig");
    able(write, !way.write && way.why);
    return el("span", { class: "fix" }, ...(way.try ? [el("button", { type: "button", onclick: () => this.app.put({ top }) }, "Try it"), " "] : []), write);
  }

  /** compare says how many voices each song needs. */
  async compare() {
    try {
      const key = this.app.answers.keys().compare;
      const all = await api.latest("compare", (signal) => api.post("compare", { set: this.app.set() }, signal));
      $("songs").replaceChildren(...lead(all.doc), ...sections(all.doc, { level: 3, findings: false, row: (row, about) => {
        const song = this.app.desk.songs[place(about, "song")];
        if (song) pressable(row, () => this.app.choose(song.id));
      } }));
      this.app.answers.answered("compare", key);
      this.app.trouble(null);
    } catch (err) { this.app.trouble(err); }
  }

  /** stale drops a search of what has changed since. */
  stale() { this.tried = false; api.forget("fixes"); }
}
