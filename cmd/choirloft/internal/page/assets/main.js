// @ts-check
// How the page begins, and what hands do to all of it: tabs, keys, files that are dropped.

import * as api from "./api.js";
import { App, viewNames } from "./app.js";
import { $, wireUnable } from "./dom.js";
import { wireLists } from "./lists.js";
import { keep } from "./undo.js";

/** @param {App} app */
function wire(app) {
  addEventListener("popstate", () => app.back());
  addEventListener("resize", () => app.answers.steady());
  addEventListener("pagehide", () => keep(app.history));
  document.addEventListener("visibilitychange", () => { if (document.hidden) keep(app.history); }); // a phone may end a page that is hidden
  for (const tab of document.querySelectorAll("[role=tab]")) {
    const name = /** @type {HTMLElement} */ (tab).dataset.view ?? "song";
    tab.addEventListener("click", () => app.go(name));
    tab.addEventListener("keydown", (e) => {
      const key = /** @type {KeyboardEvent} */ (e).key, at = viewNames.indexOf(name);
      const all = viewNames.length, to = { ArrowRight: (at + 1) % all, ArrowLeft: (at + all - 1) % all, Home: 0, End: all - 1 }[key];
      const next = to === undefined ? "" : viewNames[to];
      if (next) { app.go(next); $(`tab-${next}`).focus(); }
    });
  }
  $("song").addEventListener("change", () => app.choose($("song").value));
  $("add-songs").addEventListener("change", async () => { await app.onDesk.add([...$("add-songs").files]); $("add-songs").value = ""; });
  $("undo").addEventListener("click", () => app.step("undo"));
  $("redo").addEventListener("click", () => app.step("redo"));
  $("save").addEventListener("click", () => app.onDesk.save());
  wireKeys(app);
  wireDrop(app);
  wireMeans();
  wireLists();
  wireUnable((why) => { $("means").textContent = why; $("means").hidden = false; });
}

/** @param {App} app */
function wireKeys(app) {
  document.addEventListener("keydown", (e) => {
    const typing = e.target instanceof Element && e.target.matches("textarea, select, input:not([type=range], [type=file])");
    const control = e.ctrlKey || e.metaKey;
    if (control && e.key === "s") { e.preventDefault(); app.onDesk.save(); }
    else if (control && e.key === "p") { e.preventDefault(); app.go("paper"); app.views.paper.print(); }
    else if (control && !typing && (e.key === "z" || e.key === "Z")) { e.preventDefault(); app.step(e.shiftKey ? "redo" : "undo"); }
    else if (!control && !e.altKey && !typing && viewNames[Number(e.key) - 1]) app.go(viewNames[Number(e.key) - 1]);
  });
}

/** wireMeans shows what is explained where the keyboard is: a tooltip is for the pointer. */
function wireMeans() {
  addEventListener("focusin", (e) => {
    const at = /** @type {HTMLElement} */ (e.target);
    const told = at.hasAttribute("aria-description") ? [at] : at.matches("tr") ? [...at.querySelectorAll("td[aria-description]")] : [];
    $("means").textContent = told.map((x) => (x === at ? "" : `${x.textContent}: `) + x.getAttribute("aria-description")).join(" ");
    $("means").hidden = told.length === 0;
  });
}

/** @param {App} app */
function wireDrop(app) {
  let over = 0;
  addEventListener("dragenter", (e) => { e.preventDefault(); over++; $("drop").hidden = false; });
  addEventListener("dragover", (e) => e.preventDefault());
  addEventListener("dragleave", () => { if (--over <= 0) { over = 0; $("drop").hidden = true; } });
  addEventListener("drop", (e) => {
    e.preventDefault();
    over = 0;
    $("drop").hidden = true;
    const files = [...(e.dataTransfer?.files ?? [])];
    if (!app.views.tune.wants(files, e)) { app.onDesk.add(files); return; }
    if (app.view !== "rack") app.go("rack");
    app.views.tune.add(files);
  });
}

api.desk().then((desk) => {
  const app = new App(desk);
  wire(app);
  return app.start();
}).catch((err) => {
  $("trouble").hidden = false;
  $("trouble").textContent = err.message;
});
