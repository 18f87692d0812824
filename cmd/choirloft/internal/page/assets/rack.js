// @ts-check
// The rack: banks and voices as they stand, and what there is to know of one.

import { facts, lead, sections } from "./doc.js";
import { $, el, means } from "./dom.js";
import { oneStop } from "./lists.js";
import { every } from "./settings.js";

export class RackView {
  /** @param {import("./main.js").App} app */
  constructor(app) {
    this.app = app;
    /** @type {import("../testdata/contract").MapAnswer | null} */ this.map = null;
    /** @type {string | null} */ this.chosen = null;
  }

  /** take shows a map. @param {import("../testdata/contract").MapAnswer} map */
  take(map) {
    this.map = map;
    this.app.when("rack", "map", () => {
      this.banks();
      this.card();
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
    return el("button", { class: `voice ${v.state}`, type: "button", "data-voice": v.name, "aria-pressed": v.name === this.chosen,
      ...means(this.app.desk.words[v.state] && `${v.state}: ${this.app.desk.words[v.state]}`),
      onclick: () => { this.chosen = v.name; this.banks(); this.card(); } },
      el("b", {}, v.name), el("i", {}, String(v.number)), ...lines.map((line) => el("span", {}, line)));
  }

  card() {
    const box = $("voice-card"), v = this.map?.voices.find((x) => x.name === this.chosen);
    if (!this.map || !v) {
      box.replaceChildren(el("p", {}, "Choose a voice to see where it is plugged in."));
      return;
    }
    const out = this.app.set().some(this.takes(v.name)), about = `voice ${v.name}`;
    const played = this.app.views.song.played;
    box.replaceChildren(el("h2", {}, v.name), ...facts(this.map.doc, about), ...(played ? facts(played.doc, about) : []),
      v.state === "out" && !out ? el("p", { class: "hint" }, "The rig file says that it is out.")
        : el("button", { type: "button", id: "take-out", onclick: () => this.toggle(v.name) }, out ? "Put it back" : "Take it out"));
  }

  /** @param {string} name */
  toggle(name) {
    const set = this.app.set(), kept = set.filter((/** @type {import("./settings.js").Override} */ o) => !this.takes(name)(o));
    if (kept.length < set.length) this.app.change({ set: kept });
    else this.app.put({ top: [{ kind: "without", part: every, value: name }] });
  }

  /** takes returns what tells whether an override takes a voice out. @param {string} name */
  takes(name) { return (/** @type {import("./settings.js").Override} */ o) => o.kind === "without" && o.value === name; }
}
