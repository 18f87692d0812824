// @ts-check
// The rack: banks and voices as they stand, and what there is to know of one.

import { $, el } from "./dom.js";

export class RackView {
  /** @param {any} app */
  constructor(app) {
    this.app = app;
    /** @type {any} */ this.map = null;
    /** @type {string | null} */ this.chosen = null;
  }

  /** take shows a map. @param {any} map */
  take(map) {
    this.map = map;
    const banks = new Map();
    for (const v of map.voices) banks.set(v.bank, [...(banks.get(v.bank) ?? []), v]);
    const focused = document.activeElement instanceof HTMLElement ? document.activeElement.dataset.voice : undefined;
    $("rack").replaceChildren(...[...banks].map(([name, voices]) =>
      el("section", { class: "bank", "aria-label": `Bank ${name}` }, el("h2", {}, name), this.row(voices))));
    if (focused) /** @type {HTMLElement | null} */ (document.querySelector(`[data-voice="${focused}"]`))?.focus();
    this.card();
  }

  /** @param {any[]} voices */
  row(voices) {
    const row = el("div", { class: "row" }, ...voices.map((v) => this.button(v)));
    if (voices.length <= 8) row.style.gridTemplateColumns = `repeat(${voices.length}, minmax(6em, 1fr))`;
    return row;
  }

  /** @param {any} v */
  button(v) {
    const jack = v.pitch ? `${label(v.pitch)} · ${v.gate ? label(v.gate) : "no gate"}` : "no jack";
    const where = v.pitch?.port ? `port ${v.pitch.port} ch ${v.pitch.channel}` : "";
    return el("button", { class: `voice ${v.state}`, type: "button", "data-voice": v.name, "aria-pressed": v.name === this.chosen,
      onclick: () => { this.chosen = v.name; this.take(this.map); } },
      el("b", {}, v.name), el("i", {}, `voice ${v.voice}`), el("span", {}, jack), el("span", {}, where || "—"), el("span", {}, v.state === "in" ? (v.unison?.of > 1 ? `unison ${v.unison.position ?? "·"} of ${v.unison.of}` : "") : v.state));
  }

  card() {
    const box = $("voice-card"), v = this.map?.voices.find((/** @type {any} */ x) => x.name === this.chosen);
    if (!v) {
      box.replaceChildren(el("p", {}, "Choose a voice to see where it is plugged in."), el("p", { class: "hint" }, this.map?.summary ?? ""));
      return;
    }
    const rows = el("dl");
    const row = (/** @type {string} */ name, /** @type {any} */ value) => { if (value) rows.append(el("dt", {}, name), el("dd", {}, value)); };
    row("Pitch", v.pitch ? `${v.pitch.interface} ${label(v.pitch)}, connector ${v.pitch.connector} place ${v.pitch.place}` : "no jack");
    row("Gate", v.gate ? `${v.gate.interface} ${label(v.gate)}, connector ${v.gate.connector} place ${v.gate.place}` : "no jack");
    for (const lane of v.lanes) row(lane.input, `${lane.interface} ${label(lane)}`);
    if (v.pitch?.port) row("MIDI", `port ${v.pitch.port}, channel ${v.pitch.channel}`);
    row("State", v.state === "limited" ? `limited to keys ${v.low_key}–${v.high_key}` : v.state);
    row("Stands in", v.stands_in_for);
    for (const seat of v.seats) {
      row(seat.part, seat.unison.of > 1
        ? `stack ${seat.unison.stack ?? "·"}, position ${seat.unison.position ?? "·"} of ${seat.unison.of}` +
          (seat.detune_cents === null ? "" : `, ${signed(seat.detune_cents)} cents`) + (seat.pan === null ? "" : `, pan ${Math.round(seat.pan * 100)} %`)
        : "one voice a note");
    }
    row("0 V is key", v.zero_key === null ? "" : String(v.zero_key));
    row("Volts", Object.entries(v.volts_at ?? {}).slice(0, 8).map(([key, volts]) => `${key}: ${Number(volts).toFixed(3)}`).join("  "));
    if (v.budget) row("Pitch budget", budget(v.budget));
    const use = this.app.views.song.played?.replay.voices[v.voice - 1];
    if (use) row("In this song", `${use.takes} notes, ${Math.round(use.held_share * 100)} % of the time held`);
    const out = this.app.history.now.settings.out.includes(v.name);
    const findings = this.map.findings.filter((/** @type {any} */ f) => new RegExp(`\\b${v.name}\\b`).test(f.text));
    box.replaceChildren(el("h2", {}, `${v.name}, voice ${v.voice}`), rows, ...findings.map((/** @type {any} */ f) => el("p", { class: "hint" }, `${f.severity}: ${f.text}`)),
      v.state === "out" && !out ? el("p", { class: "hint" }, "The rig file says that it is out.")
        : el("button", { type: "button", id: "take-out", onclick: () => this.toggle(v.name) }, out ? "Put it back" : "Take it out"));
  }

  /** @param {string} name */
  toggle(name) {
    const next = structuredClone(this.app.history.now.settings);
    next.out = next.out.includes(name) ? next.out.filter((/** @type {string} */ n) => n !== name) : [...next.out, name];
    this.app.change({ settings: next });
  }
}

/** @param {any} jack */
function label(jack) { return `${jack.kind === "gate" ? "gate" : jack.kind === "cv" ? "CV" : "output"} ${jack.jack}`; }
/** @param {number} n */
function signed(n) { return `${n < 0 ? "−" : "+"}${Math.abs(n).toFixed(1)}`; }
/** @param {any} b */
function budget(b) {
  return `±${b.worst_cents.toFixed(1)} cents at worst, ${b.rms_cents.toFixed(1)} rms`;
}
