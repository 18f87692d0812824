// @ts-check
// The paper: the sheet as it will print, and files to take away.

import * as api from "./api.js";
import { $, el } from "./dom.js";

export class PaperView {
  /** @param {import("./app.js").App} app */
  constructor(app) {
    this.app = app;
    /** @type {string[]} */ this.urls = [];
    const size = $("paper-size");
    if (localStorage.getItem("paper") === "letter") size.value = "letter"; // that of the printer, whatever the rig
    size.addEventListener("change", () => { localStorage.setItem("paper", size.value); app.answers.turn(); this.take(); });
    $("print").addEventListener("click", () => this.print());
  }

  /** size is that of the paper, a4 or letter. */
  size() { return $("paper-size").value; }

  /** print prints the sheet of what is set now, once all of it is there. */
  async print() {
    await this.take();
    await Promise.all([...document.querySelectorAll("#sheets img")].map((i) => /** @type {HTMLImageElement} */ (i).decode()));
    window.print();
  }

  /** take asks for the sheets anew. */
  async take() {
    const { desk } = this.app;
    $("downloads").replaceChildren(...desk.files.map((f) =>
      el("button", { type: "button", "data-song": f.song, onclick: () => this.download(f.kind) }, f.text)));
    this.app.onDesk.tellAble();
    try {
      const key = this.app.answers.keys().sheets;
      const { pages } = await api.latest("sheets", (signal) => api.post("sheets", { set: this.app.set(), paper: this.size() }, signal));
      for (const url of this.urls) URL.revokeObjectURL(url);
      this.urls = pages.map((/** @type {string} */ svg) => URL.createObjectURL(new Blob([svg], { type: "image/svg+xml" })));
      $("sheets").replaceChildren(...this.urls.map((src, i) => el("img", { src, class: this.size() + (lies(pages[i]) ? " lies" : ""), alt: `Patch sheet, page ${i + 1} of ${pages.length}` })));
      this.app.answers.answered("sheets", key);
      this.app.trouble(null);
    } catch (err) { this.app.trouble(err); }
  }

  /** @param {string} kind */
  async download(kind) {
    try {
      const blob = await api.file({ kind, song: this.app.song(), set: this.app.set(), paper: this.size() });
      const url = URL.createObjectURL(blob), name = `${(this.app.desk.file || this.app.desk.save_as).replace(/\.[^.]*$/, "")}-${kind}`;
      el("a", { href: url, download: name }).click();
      setTimeout(() => URL.revokeObjectURL(url), 1000);
      this.app.trouble(null);
    } catch (err) { this.app.trouble(err); }
  }
}

/** lies tells whether a page is wider than high. @param {string} svg */
function lies(svg) {
  const [, width, height] = svg.match(/ width="([\d.]+)mm" height="([\d.]+)mm"/) ?? [];
  return Number(width) > Number(height);
}
