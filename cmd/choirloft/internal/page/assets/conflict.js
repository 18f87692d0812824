// @ts-check
// A rig file that somebody else has changed, or a text that another tab has: the difference, and
// three ways out.

import * as api from "./api.js";
import { $, el } from "./dom.js";

/** Conflict asks which text is to stay. */
export class Conflict {
  /** @param {string} tab @param {(desk: import("../testdata/contract").Desk) => void} settled */
  constructor(tab, settled) {
    this.tab = tab;
    this.settled = settled;
    this.seen = "";
    /** @type {string | undefined} of this tab, where another has changed the text on the desk */ this.mine = undefined;
    for (const keep of ["mine", "theirs", "both"]) $(`keep-${keep}`).addEventListener("click", () => this.keep(keep));
    $("keep-none").addEventListener("click", () => $("conflict").close());
  }

  /** ask shows how the file on disk differs from the text on the desk, or that from the text here. @param {string} [mine] */
  async ask(mine) {
    const disk = await api.post("disk", { mine });
    this.mine = mine;
    this.seen = disk.text;
    $("conflict-head").textContent = mine === undefined ? "Somebody else has changed the rig file" : "Another tab has changed the rig text";
    $("difference").replaceChildren(...disk.lines.map((l) => {
      const name = { "−": "del", "+": "ins" }[/** @type {string} */ (l.sign)] ?? "span";
      return el(name, {}, `${l.sign} ${l.line}\n`);
    }));
    $("conflict-trouble").textContent = "";
    if (!$("conflict").open) $("conflict").showModal();
  }

  /** @param {string} keep */
  async keep(keep) {
    try {
      const desk = await api.post("settle", { keep, seen: this.seen, mine: this.mine, tab: this.tab });
      $("conflict").close();
      this.settled(desk);
    } catch (err) {
      if ([409, 412].includes(/** @type {any} */ (err).status)) await this.ask(this.mine);
      $("conflict-trouble").textContent = /** @type {Error} */ (err).message;
    }
  }
}
