// @ts-check
// The rack: banks and voices as they stand, and what there is to know of one.

import { Gone } from "./api.js";
import { facts, lead, sections } from "./doc.js";
import { $, able, el, means } from "./dom.js";
import { oneStop } from "./lists.js";
import { Menu } from "./menu.js";
import { every } from "./settings.js";
import { Unison } from "./unison.js";

/** What the rig's text can say of a voice. */
const states = ["in", "out", "spare", "limited"];

export class RackView {
  /** @param {import("./app.js").App} app */
  constructor(app) {
    this.app = app;
    /** @type {import("../testdata/contract").MapAnswer | null} */ this.map = null;
    /** @type {string | null} */ this.chosen = null;
    /** @type {boolean | null} */ this.unfolded = null; // as somebody wanted it
    this.why = ""; // a state could not be set
    this.menu = new Menu();
    this.unison = new Unison(app);
    this.wire();
  }

  /** take shows a map. @param {import("../testdata/contract").MapAnswer} map */
  take(map) {
    this.map = map;
    this.app.when("rack", "map", () => {
      this.banks();
      this.card();
      this.unison.heed();
      $("mapped").replaceChildren(...lead(map.doc), ...sections(map.doc, { figures: map.figures }));
    });
  }

  banks() {
    const focused = document.activeElement instanceof HTMLElement ? document.activeElement.dataset.voice : undefined;
    $("rack").replaceChildren(...(this.map?.faces ?? []).map((b) =>
      el("section", { class: "bank", "aria-label": `Bank ${b.bank}` }, el("h2", {}, b.bank), this.row(b.voices))));
    oneStop();
    if (focused) /** @type {HTMLElement | null} */ (document.querySelector(`[data-voice="${CSS.escape(focused)}"]`))?.focus();
  }

  /** @param {import("../testdata/contract").VoiceFace[]} voices */
  row(voices) {
    const row = el("div", { class: "row" }, ...voices.map((v) => this.button(v)));
    if (voices.length <= 8) row.style.gridTemplateColumns = `repeat(${voices.length}, minmax(6em, 1fr))`;
    return row;
  }

  /** @param {import("../testdata/contract").VoiceFace} v */
  button(v) {
    const lines = [[v.pitch, v.gate].filter(Boolean).join(" · "), v.standing ?? "", ...(v.detune ?? []), v.parts ?? ""].filter(Boolean);
    return el("button", { class: `voice ${v.state}`, type: "button", "data-voice": v.name, "data-at": `voice ${v.name}`, "aria-pressed": String(v.name === this.chosen), "aria-haspopup": "menu",
      "aria-keyshortcuts": "I O S L", ...means(this.app.desk.words[v.state] && `${v.state}: ${this.app.desk.words[v.state]}`), onclick: () => this.press(v.name) },
      el("b", {}, v.name), el("i", {}, String(v.number)), ...lines.map((line) => el("span", {}, line)));
  }

  wire() {
    const voiceAt = (/** @type {Event} */ e) => (e.target instanceof Element ? /** @type {HTMLElement | null} */ (e.target.closest(".voice")) : null)?.dataset.voice;
    $("rack").addEventListener("contextmenu", (/** @type {Event} */ e) => {
      const name = voiceAt(e);
      if (!name) return;
      e.preventDefault();
      this.choose(name);
      this.open(name);
    });
    $("rack").addEventListener("keydown", (/** @type {KeyboardEvent} */ e) => {
      const name = voiceAt(e), state = { i: "in", o: "out", s: "spare", l: "limited" }[e.key.toLowerCase()];
      if (!name || !state || e.ctrlKey || e.metaKey || e.altKey) return;
      e.preventDefault();
      this.choose(name);
      this.put(state);
    });
  }

  /** press chooses a voice; the one that is chosen, or any that a finger is on, opens its menu. @param {string} name */
  press(name) {
    const again = this.chosen === name;
    this.choose(name);
    if (again || matchMedia("(pointer: coarse)").matches) this.open(name);
  }

  /** @param {string} name */
  choose(name) {
    if (this.chosen !== name) this.trouble(null);
    this.chosen = name;
    this.banks();
    this.card();
  }

  /** see shows the voices of a bank, the first of them chosen. @param {string} bank */
  see(bank) {
    this.app.go("rack");
    const first = this.map?.faces.find((f) => f.bank === bank)?.voices[0];
    if (!first) return;
    this.choose(first.name);
    const button = document.querySelector(`[data-voice="${CSS.escape(first.name)}"]`);
    button?.scrollIntoView({ block: "center" });
    /** @type {HTMLElement | null} */ (button)?.focus({ preventScroll: true });
  }

  /** said is what the rig's text says of the voice that is chosen. */
  said() { return this.map?.states.find((x) => x.name === this.chosen); }

  /** open shows the menu of a voice. @param {string} name */
  open(name) {
    const button = /** @type {HTMLElement} */ (document.querySelector(`[data-voice="${CSS.escape(name)}"]`));
    this.menu.show(button, name, () => this.groups(name));
  }

  /** groups are what can be chosen of a voice. @param {string} name @returns {import("./menu.js").Group[]} */
  groups(name) {
    const said = this.said(), out = this.isOut(name);
    if (!said) return [];
    return [
      { head: "Write into the rig", items: states.map((state) => ({ text: state, about: this.app.desk.words[state], kind: "one", on: said.state === state, act: () => { this.put(state); } })) },
      { head: "Only try", items: [{ text: out ? "Put it back" : "Try it without", why: !out && said.state === "out" && "The rig says that it is out.", act: () => this.toggle(name) }] },
    ];
  }

  /** put has the rig's text say what the voice that is chosen is; what was tried of it is over. @param {string} state */
  async put(state) {
    const said = this.said(), name = this.chosen;
    if (!said || !name) return;
    const keys = state === "limited" ? $("voice-keys").value : undefined;
    const did = await this.app.alter([{ do: "voice", voice: name, state, keys }], { set: (now) => now.filter((o) => !this.takes(name)(o)), trouble: (err) => this.trouble(err) });
    if (!did && state === "limited") $("voice-keys").focus();
  }

  /** trouble says why a state cannot be set, at the voice. @param {any} err */
  trouble(err) {
    if (err instanceof Gone || err?.status === 412) { this.app.trouble(err); return; }
    this.why = err ? err.message : "";
    const box = $("voice-trouble");
    if (box) { box.textContent = this.why; box.hidden = !this.why; }
  }

  card() {
    const box = $("voice-card"), v = this.map?.voices.find((x) => x.name === this.chosen), said = this.said();
    if (!this.map || !v || !said) {
      box.replaceChildren(el("p", {}, "Choose a voice to see where it is plugged in, and to set what it is."));
      return;
    }
    const writes = box.dataset.voice === v.name && document.activeElement === $("voice-keys"); // then the field stays as it is
    const focused = box.contains(document.activeElement) ? document.activeElement?.id : "";
    box.dataset.voice = v.name;
    const about = `voice ${v.name}`, played = this.app.views.song.played, form = writes ? $("states") : this.stateButtons();
    for (const e of [...box.children]) if (e !== form) e.remove();
    if (!writes) box.append(form);
    form.before(el("h2", {}, v.name), el("p", { id: "voice-says" }, said.says));
    form.after(el("p", { id: "voice-trouble", role: "alert", hidden: !this.why }, this.why),
      ...this.tryOut(v.name, said), this.details(...facts(this.map.doc, about), ...(played ? facts(played.doc, about) : [])));
    this.heed(said);
    if (focused) $(focused)?.focus();
  }

  /** details are what else there is to know, folded where they would push the rack away, until somebody opens them. @param {...Node} all */
  details(...all) {
    const open = this.unfolded ?? !matchMedia("(max-width: 60em)").matches;
    const box = /** @type {HTMLDetailsElement} */ (el("details", { open }, el("summary", { onclick: () => { this.unfolded = !box.open; } }, "Where it is plugged in, and what it did"), ...all));
    return box;
  }

  /** stateButtons write what a voice is into the rig. */
  stateButtons() {
    const button = (/** @type {string} */ state, /** @type {string} */ text) => el("button", { type: state === "limited" ? "submit" : "button", id: `state-${state}`,
      ...means(this.app.desk.words[state]), onclick: state === "limited" ? undefined : () => this.put(state) }, text);
    return el("form", { id: "states", "aria-label": "Write into the rig", onsubmit: (/** @type {Event} */ e) => { e.preventDefault(); this.put("limited"); } },
      el("p", { class: "actions" }, button("in", "In"), button("out", "Out"), button("spare", "Spare")),
      el("p", { class: "actions" }, el("label", { for: "voice-keys" }, "Keys"), el("input", { id: "voice-keys", type: "text", size: 8, maxlength: 20, placeholder: "40-76", autocomplete: "off", spellcheck: "false" }), button("limited", "Limited to these")),
      el("p", { class: "hint" }, "This writes it into the rig text. Undo takes it back. On a voice the keys I, O, S and L do the same."));
  }

  /** heed has the buttons and the keys say what the rig does; keys that somebody writes stay while the rig's are the same. @param {import("../testdata/contract").State} said */
  heed(said) {
    for (const state of states) $(`state-${state}`).setAttribute("aria-pressed", String(said.state === state));
    const keys = $("voice-keys");
    if (keys.defaultValue !== said.keys) keys.defaultValue = keys.value = said.keys;
  }

  /** tryOut plays without a voice, and leaves the text. @param {string} name @param {import("../testdata/contract").State} said */
  tryOut(name, said) {
    const out = this.isOut(name), button = el("button", { type: "button", id: "take-out", "aria-pressed": String(out), onclick: () => this.toggle(name) }, out ? "Put it back" : "Try it without");
    able(button, !out && said.state === "out" && "The rig says that it is out.");
    return [el("p", { class: "actions" }, button), el("p", { class: "hint" }, out ? "Tried only: the song plays without it, the rig text still has it." : "Trying plays the song without it, and leaves the rig text as it is.")];
  }

  /** @param {string} name */
  toggle(name) {
    const set = this.app.set(), kept = set.filter((/** @type {import("./settings.js").Override} */ o) => !this.takes(name)(o));
    if (kept.length < set.length) this.app.change({ set: kept });
    else this.app.put({ top: [{ kind: "without", part: every, value: name }] });
  }

  /** isOut tells whether a voice is tried without. @param {string} name */
  isOut(name) { return this.app.set().some(this.takes(name)); }

  /** takes returns what tells whether an override takes a voice out. @param {string} name */
  takes(name) { return (/** @type {import("./settings.js").Override} */ o) => o.kind === "without" && o.value === name; }
}
