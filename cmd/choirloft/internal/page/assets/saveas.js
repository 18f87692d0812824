// @ts-check
// A rig that has no file yet: under which name it is saved.

import * as api from "./api.js";
import { $ } from "./dom.js";

/** SaveAs asks for the name of a file that is not there yet, until the program takes it. */
export class SaveAs {
  /** @param {import("./app.js").App} app */
  constructor(app) {
    this.app = app;
    $("save-as-form").addEventListener("submit", (/** @type {Event} */ e) => { e.preventDefault(); this.save(); });
    $("save-as-none").addEventListener("click", () => $("save-as").close());
  }

  ask() {
    if ($("save-as").open) return;
    $("save-as-name").value = this.app.desk.save_as;
    $("save-as-trouble").textContent = "";
    $("save-as").showModal();
    $("save-as-name").select();
  }

  async save() {
    const { app } = this;
    try {
      app.onDesk.takeDesk(await app.doing(() => api.post("save", { name: $("save-as-name").value.trim(), ...app.views.text.origin() })));
      $("save-as").close();
      app.trouble(null);
      app.news.tell(`Saved: ${app.desk.file}`);
      await app.answers.refresh();
    } catch (err) {
      if (/** @type {any} */ (err).status !== 412) { $("save-as-trouble").textContent = /** @type {Error} */ (err).message; return; }
      $("save-as").close();
      await app.onDesk.differ($("text").value);
    }
  }
}
