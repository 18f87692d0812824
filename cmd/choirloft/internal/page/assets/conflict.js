// @ts-check
// A rig file that somebody else has changed: the difference, and three ways out.

import * as api from "./api.js";
import { $, el } from "./dom.js";

/** Conflict asks which text is to stay. */
export class Conflict {
  /** @param {(desk: any) => void} settled */
  constructor(settled) {
    this.settled = settled;
    this.seen = "";
    for (const keep of ["mine", "theirs", "both"]) $(`keep-${keep}`).addEventListener("click", () => this.keep(keep));
    $("keep-none").addEventListener("click", () => $("conflict").close());
  }

  /** ask shows how the file on disk differs from the text here. */
  async ask() {
    const disk = await api.post("disk", {});
    this.seen = disk.text;
    $("difference").replaceChildren(...disk.lines.map((/** @type {any} */ l) => {
      const name = { "−": "del", "+": "ins" }[/** @type {string} */ (l.sign)] ?? "span";
      return el(name, {}, `${l.sign} ${l.line}\n`);
    }));
    $("conflict-trouble").textContent = "";
    if (!$("conflict").open) $("conflict").showModal();
  }

  /** @param {string} keep */
  async keep(keep) {
    try {
      const desk = await api.post("settle", { keep, seen: this.seen });
      $("conflict").close();
      this.settled(desk);
    } catch (err) {
      if (/** @type {any} */ (err).status === 409) await this.ask();
      $("conflict-trouble").textContent = /** @type {Error} */ (err).message;
    }
  }
}
