// @ts-check
// The rack as one plugs it, a cable in the other hand: each cable is a button that is ticked once it is in.

import * as api from "./api.js";
import { lead, sections } from "./doc.js";
import { $, el } from "./dom.js";
import { oneStop } from "./lists.js";
import { Ticks } from "./ticks.js";

/** @typedef {import("../testdata/contract").Plug} Plug */
/** @typedef {import("../testdata/contract").PlugToggle} Toggle */
/** @typedef {import("../testdata/contract").PlugGroup} Group */
/** @typedef {{doc: import("./doc.js").Doc, cables?: {cable: string, moves_to: string | null}[]}} Moves */

const kept = "choirloft-plug", dark = "choirloft-dark";

export class PlugView {
  /** @param {import("./app.js").App} app */
  constructor(app) {
    this.app = app;
    this.ticks = new Ticks(localStorage);
    /** @type {Plug | null} */ this.plug = null;
    /** @type {Moves | null} */ this.moves = null;
    this.shown = { page: "rack", setUp: "", change: "", ...remembered() };
    /** @type {import("./ticks.js").Cable[]} */ this.unticked = []; // all at once, to tick again
    this.wire();
  }

  wire() {
    for (const b of pages()) b.addEventListener("click", () => this.turn({ page: b.dataset.page }));
    $("plug-set-up").addEventListener("change", () => this.turn({ setUp: $("plug-set-up").value }));
    $("plug-change").addEventListener("change", () => this.turn({ change: $("plug-change").value }));
    $("plug-dark").addEventListener("click", () => this.darken(!document.documentElement.classList.contains("torch")));
    $("plug-take").addEventListener("click", () => this.settle());
    $("plug-clear").addEventListener("click", () => this.clear());
    $("plug-page").addEventListener("click", (/** @type {Event} */ e) => this.press(e.target));
    addEventListener("storage", () => this.heed());
    this.darken(document.documentElement.classList.contains("torch"));
  }

  /** darken is a switch of its own, whatever the system likes. @param {boolean} on */
  darken(on) {
    document.documentElement.classList.toggle("torch", on);
    $("plug-dark").setAttribute("aria-pressed", String(on));
    try { localStorage.setItem(dark, on ? "yes" : "no"); } catch { /* until the page is closed */ }
  }

  /** ask asks what is plugged where, and what becomes of ticks that were made for another plan. */
  async ask() {
    try {
      const key = this.app.answers.keys().plug;
      let plug = await api.latest("plug", (signal) => api.post("plug", {}, signal));
      this.ticks.of(plug.plan, plug.rig);
      const before = this.ticks.pending();
      if (before) plug = this.carry(await api.latest("plug", (signal) => api.post("plug", { before, ticked: this.ticks.ticked(before) }, signal)));
      this.plug = plug;
      this.show();
      this.app.answers.answered("plug", key);
    } catch (err) { this.app.trouble(err); }
  }

  /** carry keeps the ticks of what joins the same ends as before. What joins others stays there to be read. @param {Plug} plug */
  carry(plug) {
    if (!plug.carried) return plug;
    const { cables, changed } = plug.carried, same = plug.cables.filter((_, i) => cables.includes(i));
    if (!changed.length) { this.ticks.settle(same); plug.carried = null; }
    else if (!this.ticks.sheet()) this.ticks.tick(same, true);
    return plug;
  }

  /** heed shows what another tab has ticked, and asks anew where that changes what may be taken over. */
  heed() {
    this.ticks.read();
    if (this.plug && Boolean(this.plug.carried) === Boolean(this.ticks.pending())) this.paint();
    else if (this.plug) this.ask();
  }

  /** turn shows something else, and remembers that. @param {Partial<PlugView["shown"]>} what */
  turn(what) {
    Object.assign(this.shown, what);
    try { localStorage.setItem(kept, JSON.stringify(this.shown)); } catch { /* until the page is closed */ }
    this.show();
  }

  /** setUp is the one that is shown. */
  setUp() { return this.plug?.set_ups.find((s) => s.name === this.shown.setUp) ?? this.plug?.set_ups[0]; }

  show() {
    const { plug } = this, setUp = this.setUp();
    if (!plug || !setUp) return;
    $("plug-name").textContent = plug.rig;
    $("plug-last").textContent = `plan ${plug.plan}`;
    $("plug-caution").textContent = plug.caution;
    $("plug-cautions").replaceChildren(...plug.cautions.map((c) => el("li", {}, c)));
    $("plug-keys").textContent = plug.keys.join(" ");
    $("plug-kept").textContent = plug.kept;
    const on = this.shown.page;
    for (const b of pages()) b.setAttribute("aria-pressed", String(b.dataset.page === on));
    $("plug-set-ups").hidden = plug.set_ups.length < 2 || on === "moves";
    $("plug-set-up").replaceChildren(...plug.set_ups.map((s) => el("option", { value: s.name, selected: s === setUp }, s.name)));
    $("plug-changes").hidden = on !== "moves";
    this.showCarried();
    const at = document.activeElement instanceof HTMLElement && $("plug-page").contains(document.activeElement) ? document.activeElement.dataset.at : undefined;
    $("plug-page").className = on;
    if (on === "moves") { this.showMoves(); return; }
    $("plug-page").replaceChildren(...(on === "jacks" ? setUp.jacks : setUp.rack).map((g) => this.group(g)));
    this.paint();
    oneStop();
    toggles().find((b) => at !== undefined && b.dataset.at === at)?.focus({ preventScroll: true });
  }

  showCarried() {
    const carried = this.plug?.carried;
    $("plug-carried").hidden = !carried;
    if (!carried) return;
    $("plug-carried-text").textContent = carried.text;
    $("plug-changed").replaceChildren(...carried.changed.map((c) => el("li", {}, c)));
    $("plug-take").textContent = carried.button;
  }

  /** settle ends what is said of ticks from before. */
  settle() {
    this.ticks.settle([]);
    if (this.plug) this.plug.carried = null;
    this.show();
    pages().find((b) => b.dataset.page === this.shown.page)?.focus();
  }

  /** @param {Group} g */
  group(g) {
    return el("section", { class: "plug-group", "aria-label": g.name }, el("h2", { class: paint(g.colour) }, g.name, g.colour ? el("small", {}, g.colour) : ""),
      ...(g.toggles?.length ? [el("div", { class: "toggles" }, ...g.toggles.map((t) => this.toggle(t)))] : []),
      el("div", { class: g.cells.length > 4 ? "cells many" : "cells" }, ...g.cells.map((c) => el("div", { class: `cell ${paint(c.colour)}${c.out ? " out" : ""}${c.name.length > 6 ? " long" : ""}` },
        ...(c.name ? [el("h3", {}, c.name)] : []), ...(c.standing ? [el("b", { class: "standing" }, c.standing)] : []),
        ...(c.lines?.length ? [el("div", { class: "lines" }, ...c.lines.map((line) => el("span", {}, line)))] : []),
        el("div", { class: "toggles" }, ...c.toggles.map((t) => this.toggle(t)))))));
  }

  /** @param {Toggle} t */
  toggle(t) {
    return el("button", { type: "button", class: `toggle ${t.shape}${t.big.length > 4 ? " word" : ""}`, "data-cable": t.cable, "data-at": t.at },
      el("span", { class: "tick", "aria-hidden": "true" }, "✓"), el("small", {}, t.small), " ", el("b", {}, t.big), ...(t.below ? [" ", el("span", { class: "below" }, t.below)] : []),
      el("span", { class: "unseen" }, `, ${this.plug?.cables[t.at].about}`));
  }

  /** cable is the one of a toggle. @param {HTMLElement} toggle */
  cable(toggle) { return toggle.dataset.at ? this.plug?.cables[Number(toggle.dataset.at)] : undefined; }

  /** press ticks what was pressed, or takes the tick away. @param {EventTarget | null} target */
  press(target) {
    const button = target instanceof Element ? /** @type {HTMLElement | null} */ (target.closest("button")) : null;
    if (!button) return;
    const cable = this.cable(button), on = button.getAttribute("aria-pressed") !== "true";
    if (cable) this.ticks.tick([cable], on);
    if (button.dataset.move) this.move(button.dataset.move, button.dataset.about ?? "", on);
    this.unticked = [];
    $("plug-last").textContent = cable ? `${cable.cable}: ${cable.about}` : button.textContent?.slice(1) ?? "";
    this.paint();
  }

  /** move ticks a move; what it pulls or plugs is so on the other pages too. @param {string} key @param {string} about @param {boolean} on */
  move(key, about, on) {
    this.ticks.move(key, on);
    const [what, name] = about.split(" "), change = this.change(), setUp = what === "pull" ? change?.from : change?.to;
    const cable = this.plug?.cables.find((c) => c.cable === name && (!setUp || c.set_ups.includes(setUp)));
    if (!cable) return;
    const to = what === "move" && on ? this.moves?.cables?.find((c) => c.cable === name)?.moves_to : null;
    this.ticks.tick([{ ...cable, to: to ?? cable.to }], what === "pull" ? !on : what === "plug" ? on : true);
  }

  /** paint shows what is ticked, and how many. */
  paint() {
    const every = toggles(), all = every.filter((b) => b.dataset.optional === undefined);
    for (const b of every) {
      const cable = this.cable(b);
      b.setAttribute("aria-pressed", String(cable ? this.ticks.has(cable) : this.ticks.moved(b.dataset.move ?? "")));
    }
    const done = all.filter((b) => b.getAttribute("aria-pressed") === "true").length;
    $("plug-count").textContent = all.length ? `${done} of ${all.length}` : "";
    $("plug-bar").max = all.length || 1;
    $("plug-bar").value = done;
    $("plug-clear").hidden = this.shown.page === "moves" || (!done && !this.unticked.length);
    $("plug-clear").textContent = this.unticked.length ? "Tick them again" : "Untick all";
    $("plug-lost").hidden = this.ticks.keeps;
  }

  /** clear takes all ticks of the page away, and brings them back. */
  clear() {
    if (this.unticked.length) this.ticks.tick(this.unticked, true);
    const gone = toggles().map((b) => this.cable(b)).filter((c) => c && this.ticks.has(c));
    this.unticked = this.unticked.length ? [] : /** @type {import("./ticks.js").Cable[]} */ (gone);
    this.ticks.tick(this.unticked, false);
    this.paint();
  }

  /** change is the one whose moves are shown. */
  change() { return this.plug?.changes.find((c) => c.text === this.shown.change); }

  /** showMoves lists the moves of what is chosen. */
  async showMoves() {
    const all = this.plug?.changes ?? [], change = this.change();
    const kinds = [...new Set(all.map((c) => c.kind))];
    $("plug-change").replaceChildren(el("option", { value: "" }, "Choose"), ...kinds.map((k) => el("optgroup", { label: k },
      ...all.filter((c) => c.kind === k).map((c) => el("option", { value: c.text, selected: c === change }, c.text)))));
    if (!change) { this.moves = null; $("plug-page").replaceChildren(); this.paint(); return; }
    try {
      this.moves = await api.latest("moves", async (signal) => {
        if (!change.voice) return api.post("repatch", { from: change.from, to: change.to }, signal);
        return api.post("outage", { voice: change.voice }, signal);
      });
      if (this.shown.page !== "moves") return;
      const { doc } = this.moves;
      const how = { level: 2, boxes: (/** @type {any} */ b) => this.steps(change.text, b) };
      $("plug-page").replaceChildren(...lead(doc, how), ...sections(doc, how));
      this.paint();
      oneStop();
    } catch (err) { this.app.trouble(err); }
  }

  /** steps are a list of moves, each a button. @param {string} change @param {{numbered?: boolean, items: {text: string, below?: string[], about?: string[], optional?: boolean}[]}} list */
  steps(change, list) {
    return el(list.numbered ? "ol" : "ul", { class: "steps" }, ...list.items.map((item) => el("li", {}, item.text, ...(item.below ?? []).map((line, i) =>
      el("button", { type: "button", class: "toggle row", "data-move": `${change}: ${item.about?.[i] ?? line}`, "data-about": item.about?.[i] ?? "", "data-optional": item.optional ?? false },
        el("span", { class: "tick", "aria-hidden": "true" }), line)))));
  }
}

/** @returns {HTMLElement[]} */
function pages() { return [...document.querySelectorAll("#plug-pages button")].map((b) => /** @type {HTMLElement} */ (b)); }

/** @returns {HTMLElement[]} */
function toggles() { return [...document.querySelectorAll("#plug-page .toggle")].map((b) => /** @type {HTMLElement} */ (b)); }

/** paint is the class of a bank's colour. @param {string | undefined} colour */
function paint(colour) { return colour ? `bank-colour ${colour}` : ""; }

/** remembered is what was shown last. */
function remembered() {
  try { return JSON.parse(localStorage.getItem(kept) ?? "{}"); } catch { return {}; }
}
