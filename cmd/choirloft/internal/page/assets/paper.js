// @ts-check
// The paper: the sheet as it will print, and files to take away.

import * as api from "./api.js";
import { $, el } from "./dom.js";

export class PaperView {
  /** @param {any} app */
  constructor(app) {
    this.app = app;
    /** @type {string[]} */ this.urls = [];
  }

  /** take asks for the sheets anew. */
  async take() {
    const { desk } = this.app;
    $("downloads").replaceChildren(...desk.files.map((/** @type {any} */ f) =>
      el("button", { type: "button", disabled: f.song && !this.app.song(), onclick: () => this.download(f.kind) }, f.text)), el("button", { type: "button", onclick: () => window.print() }, "Print"));
    try {
      const key = this.app.keys().sheets;
      const { pages } = await api.latest("sheets", (signal) => api.post("sheets", { set: this.app.set() }, signal));
      for (const url of this.urls) URL.revokeObjectURL(url);
      this.urls = pages.map((/** @type {string} */ svg) => URL.createObjectURL(new Blob([svg], { type: "image/svg+xml" })));
      $("sheets").replaceChildren(...this.urls.map((src, i) => el("img", { src, alt: `Patch sheet, page ${i + 1} of ${pages.length}` })));
      this.app.answered("sheets", key);
      this.app.trouble(null);
    } catch (err) { this.app.trouble(err); }
  }

  /** @param {string} kind */
  async download(kind) {
    try {
      const blob = await api.file(kind, this.app.song(), this.app.set());
      const url = URL.createObjectURL(blob), name = `${this.app.desk.file.replace(/\.[^.]*$/, "")}-${kind}`;
      el("a", { href: url, download: name }).click();
      setTimeout(() => URL.revokeObjectURL(url), 1000);
      this.app.trouble(null);
    } catch (err) { this.app.trouble(err); }
  }
}
