// @ts-check
// The rig's text, with its faults in the margin.

import * as api from "./api.js";
import { $, able, el } from "./dom.js";
import { oneStop } from "./lists.js";

export class TextView {
  /** @param {import("./app.js").App} app */
  constructor(app) {
    this.app = app;
    this.soon = 0;
    this.sent = 0; // edits, so that no slow one wins over a later
    this.tab = `${Date.now()} ${Math.random()}`;
    this.typed = false; // and not saved: no other text takes its place unasked
    this.from = 0; // the edition of the desk on which the text here builds
    /** @type {import("../testdata/contract").Located[]} */ this.faults = [];
    /** @type {Promise<void>} */ this.sending = Promise.resolve();
    const area = $("text");
    area.addEventListener("input", () => {
      this.unsaved();
      this.typed = true;
      clearTimeout(this.soon);
      this.soon = setTimeout(() => { this.soon = 0; this.send(area.value); }, 150);
      this.margin();
    });
    area.addEventListener("scroll", () => { $("margin").scrollTop = area.scrollTop; });
  }

  /** unsaved says that the text here is not what the file has. */
  unsaved() {
    if (!this.app.desk.new) $("save-state").textContent = "not saved";
    able($("save"), "");
  }

  /** flush sends what was typed and has not been sent yet. */
  async flush() {
    if (!this.soon) return this.sending;
    clearTimeout(this.soon);
    this.soon = 0;
    await this.send($("text").value);
  }

  /** send changes the text on the desk. @param {string} text */
  send(text) { return this.sending = this.change(text); }

  /** @param {string} text */
  async change(text) {
    try {
      this.app.onDesk.takeDesk(await this.put(text));
      this.app.change({ text });
      this.app.trouble(null);
    } catch (err) { this.app.trouble(err); }
  }

  /** put sends a text, and answers with the desk. @param {string} text */
  put(text) {
    return this.app.doing(() => api.latest("rig", (signal) => api.post("rig", { text, edit: ++this.sent, ...this.origin() }, signal)));
  }

  /** origin is this tab, and the edition of the desk that it goes by. */
  origin() { return { tab: this.tab, from: this.from }; }

  /** replace puts a text in the place of whatever stands here. @param {string} text */
  replace(text) {
    const area = $("text"), { selectionStart, selectionEnd, scrollTop } = area;
    area.value = text;
    area.setSelectionRange(selectionStart, selectionEnd);
    area.scrollTop = scrollTop;
  }

  /** take shows a desk, but leaves what was typed here. @param {import("../testdata/contract").Desk} desk */
  take(desk) {
    const area = $("text");
    if (!this.typed && area.value !== desk.text) this.replace(desk.text);
    if (area.value === desk.text) {
      this.from = desk.edition;
      if (desk.saved) this.typed = false;
    }
    if (area.value !== desk.text) this.unsaved();
    this.faults = desk.faults;
    this.margin();
    $("faults").replaceChildren(desk.faults.length
      ? el("ul", {}, ...desk.faults.map((f) => el("li", {},
          el("button", { type: "button", onclick: () => this.goTo(f) }, f.text), f.hint ? el("p", { class: "hint" }, f.hint) : "")))
      : el("p", { class: "hint" }, "Nothing wrong with the text."));
    oneStop();
  }

  margin() {
    const lines = $("text").value.split("\n").length, bad = new Set((this.faults ?? []).map((f) => f.line));
    const box = $("margin");
    box.replaceChildren();
    for (let n = 1; n <= lines; n++) box.append(bad.has(n) ? el("b", {}, `▸ ${n}`) : String(n), "\n");
    box.scrollTop = $("text").scrollTop;
  }

  /** @param {import("../testdata/contract").Located} fault */
  goTo(fault) {
    const area = $("text"), lines = area.value.split("\n");
    const start = lines.slice(0, fault.line - 1).reduce((/** @type {number} */ n, /** @type {string} */ l) => n + l.length + 1, 0) + fault.column - 1;
    area.focus();
    area.setSelectionRange(start, start + 1);
    area.scrollTop = Math.max(0, (fault.line - 5) * 19.5);
  }
}
