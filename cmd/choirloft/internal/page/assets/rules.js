// @ts-check
// How the parts play: the rules, voices and releases that can be tried with a song.

import { $, means, options } from "./dom.js";
import { every } from "./settings.js";

export class Rules {
  /** @param {import("./app.js").App} app */
  constructor(app) {
    this.app = app;
    this.part = every;
    this.sliding = false;
    /** @type {import("../testdata/contract").Set | null} */ this.now = null;
    this.wire();
  }

  wire() {
    const app = this.app;
    for (const key of ["pick", "steal", "tails", "same_key"]) $(key).addEventListener("change", () => this.put(key, $(key).value));
    const unison = () => Math.min(64, Math.max(1, Math.round(Number($("unison").value)) || 1));
    $("unison").addEventListener("change", () => this.put("unison", String(unison())));
    this.wireSlider("voices", () => app.put({ voices: Number($("voices").value) }, this.sliding));
    this.wireSlider("release", () => this.put("release", `${seconds($("release").value)} s`));
    $("part").addEventListener("change", () => { this.part = $("part").value; this.show(); });
    $("as-rig").addEventListener("click", () => app.change({ set: [] }));
    $("controls").addEventListener("submit", (/** @type {Event} */ e) => e.preventDefault());
    const narrow = matchMedia("(max-width: 60em)"), fold = () => { $("rules").open = !narrow.matches; };
    narrow.addEventListener("change", fold);
    fold();
  }

  /** wireSlider makes one change of a slider that is dragged. @param {string} id @param {() => void} move */
  wireSlider(id, move) {
    $(id).addEventListener("input", () => { move(); this.sliding = true; });
    $(id).addEventListener("change", () => { this.sliding = false; });
  }

  /** put sets a value of the part that the controls are for, on top of what is set. @param {string} kind @param {string} value */
  put(kind, value) { this.app.put({ top: [{ kind, part: this.part, value }] }, this.sliding); }

  /** heed shows how the parts play, and the command for it. @param {import("../testdata/contract").Set} now */
  heed(now) {
    this.now = now;
    this.app.when("song", "controls", () => {
      $("command").textContent = now.command;
      $("command-note").textContent = now.note;
      this.show();
    });
  }

  /** showVoices shows how many voices are tried: those that are set, or in service. @param {number} [inService] of what was played */
  showVoices(inService = this.app.desk.in_service) {
    $("voices").max = this.app.desk.in_service;
    const set = this.app.set().find((/** @type {import("./settings.js").Override} */ o) => o.kind === "voices" && o.part === every);
    const n = set ? set.value : String(inService);
    $("voices").value = n;
    $("voices-out").textContent = n;
  }

  show() {
    const { parts } = /** @type {import("../testdata/contract").Set} */ (this.now); // is shown
    if (!parts.some((p) => p.name === this.part)) this.part = every;
    options($("part"), [[every, "every part"], ...parts.map((p) => /** @type {[string, string]} */ ([p.name, p.name]))], this.part);
    /** @typedef {"pick" | "steal" | "tails" | "same_key"} Key of the rules that can be chosen */
    const now = /** @type {import("../testdata/contract").Part} */ (parts.find((p) => this.part === every || p.name === this.part));
    const mixed = (/** @type {Key} */ key) => this.part === every && new Set(parts.map((p) => p[key])).size > 1;
    for (const { key: named, about, choices } of this.app.desk.rules) {
      const key = /** @type {Key} */ (named);
      const value = mixed(key) ? "…" : now[key];
      const chosen = choices.find((c) => c.name === value);
      const list = choices.map((c) => /** @type {[string, string]} */ ([c.name, c.label]));
      if (!chosen) list.unshift([value, value === "…" ? "(by part)" : value]);
      options($(key), list, value);
      [...$(key).options].forEach((o) => { o.title = choices.find((c) => c.name === o.value)?.about ?? ""; });
      const says = chosen ? `${about} ${chosen.label}: ${chosen.about}.` : about;
      for (const [name, text] of Object.entries(means(says))) $(key).setAttribute(name, text);
    }
    $("unison").value = now.unison;
    if (!this.sliding) $("release").value = position(now.release_s);
    $("release-out").textContent = now.release;
  }
}

/** seconds is where a release slider stands, 50 ms to 20 s by equal ratios. @param {string} value */
function seconds(value) {
  const s = 0.05 * 400 ** (Number(value) / 100);
  return Number(s.toPrecision(2));
}

/** position is the inverse of seconds. @param {number} s */
function position(s) { return String(Math.round((Math.log(Math.max(s, 0.05) / 0.05) / Math.log(400)) * 100)); }
