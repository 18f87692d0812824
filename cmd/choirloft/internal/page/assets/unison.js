// @ts-check
// Unison and detune of a part: drawn as it would be, heard, tried with the song, and written into the rig.

import * as api from "./api.js";
import { lead, sections } from "./doc.js";
import { $, able, options } from "./dom.js";
import { Listen } from "./listen.js";

/** @typedef {import("../testdata/contract").UnisonAnswer} Answer */

export class Unison {
  /** @param {import("./app.js").App} app */
  constructor(app) {
    this.app = app;
    this.part = ""; // the program chooses
    /** What is drawn in place of what is set. @type {{voices?: number, width?: number, law?: string}} */ this.draft = {};
    /** @type {Answer | null} */ this.shown = null;
    this.tried = ""; // what is set of unisons, as it was last seen
    this.key = 1; // the middle one
    this.listen = new Listen($("stack-listen"), () => this.shown && { path: "held", body: { ...this.asked(), key: this.key } }, (err) => this.trouble(err), () => {});
    this.wire();
  }

  wire() {
    const number = (/** @type {string} */ id) => { const x = $(id); return x.value === "" ? NaN : Math.min(Number(x.max), Math.max(Number(x.min), Number(x.value))); };
    $("stack-controls").addEventListener("submit", (/** @type {Event} */ e) => e.preventDefault());
    $("stack-part").addEventListener("change", () => { this.part = $("stack-part").value; this.back(); });
    $("stack-voices").addEventListener("change", () => this.put({ voices: Math.round(number("stack-voices")) }));
    $("stack-width").addEventListener("input", () => { $("stack-cents").value = $("stack-width").value; this.put({ width: number("stack-width") }); });
    $("stack-cents").addEventListener("change", () => this.put({ width: number("stack-cents") }));
    $("stack-law").addEventListener("change", () => this.put({ law: $("stack-law").value }));
    $("stack-key").addEventListener("change", () => { this.key = Number($("stack-key").value); this.listen.stop(); });
    $("stack-back").addEventListener("click", () => this.asRig());
    $("stack-write").addEventListener("click", () => this.write());
  }

  /** back shows what is set, without what was drawn in its place. */
  back() { this.draft = {}; this.listen.stop(); return this.show(); }

  /** put draws something else; another number of voices is tried with the song too. @param {{voices?: number, width?: number, law?: string}} part */
  async put(part) {
    if (Object.values(part).some((x) => Number.isNaN(x))) return this.fill();
    this.draft = { ...this.draft, ...part };
    this.listen.stop();
    await this.show();
    if (part.voices && this.shown?.top.length) {
      this.tried = this.setNow(this.shown.top);
      await this.app.put({ top: this.shown.top });
    }
  }

  /** setNow is what is set of unisons, with something on top. @param {import("./settings.js").Override[]} [top] */
  setNow(top = []) {
    const under = this.app.set().filter((o) => o.kind === "unison" && !top.some((t) => t.part === o.part));
    return JSON.stringify([...under, ...top].map((o) => [o.part, o.value]).sort());
  }

  /** heed shows what is set once that or the rig has changed: what was drawn in place of a number of voices is forgotten where another is set. */
  heed() {
    const now = this.setNow(), parts = this.app.views.rack.map?.now.parts;
    if (parts && !parts.some((p) => p.name === this.part)) { this.part = ""; this.draft = {}; } // the rig has others now
    if (now !== this.tried) delete this.draft.voices;
    this.tried = now;
    return this.show();
  }

  asked() {
    return { set: this.app.set(), part: this.part, ...this.draft, narrow: matchMedia("(max-width: 45em)").matches };
  }

  /** show asks what the unison does as it is drawn. */
  async show() {
    $("stack").setAttribute("aria-busy", "true");
    $("stack").classList.add("old");
    try {
      this.take(await api.latest("unison", (signal) => api.post("unison", this.asked(), signal)));
      this.trouble(null);
    } catch (err) { this.trouble(err); }
  }

  /** @param {Answer} answer */
  take(answer) {
    this.shown = answer;
    this.part = answer.part;
    $("stack").setAttribute("aria-busy", "false");
    $("stack").classList.remove("old");
    this.fill();
    $("stack-says").textContent = answer.says;
    const { set, rig } = answer, same = JSON.stringify(set) === JSON.stringify(rig) && "The rig says so already.";
    able($("stack-write"), (this.app.desk.faults.length > 0 && "The text has faults. Correct them first.") || same);
    able($("stack-back"), same);
    for (const b of this.listen.buttons) able(b, answer.keys.length === 0 && "One voice has nothing to beat with. Set two or more.");
    this.app.when("rack", "spoken", () => this.app.answers.speak(answer.doc.title));
    $("stack").replaceChildren(...lead(answer.doc, { figures: answer.figures }), ...sections(answer.doc, { figures: answer.figures }));
  }

  /** fill shows in the controls what is drawn. */
  fill() {
    if (!this.shown) return;
    const { set, parts, laws, keys, most, part } = this.shown;
    options($("stack-part"), parts.map((p) => [p, p]), part);
    $("stack-voices").max = String(most);
    $("stack-voices").value = String(set.voices);
    $("stack-cents").value = String(set.spread_cents);
    if (document.activeElement !== $("stack-width")) $("stack-width").value = String(set.spread_cents);
    options($("stack-law"), laws.map((l) => [l.name, l.label]), set.law);
    $("stack-law-about").textContent = laws.find((l) => l.name === set.law)?.about ?? "";
    options($("stack-key"), keys.map((k, i) => [String(i), k]), String(this.key));
  }

  /** asRig draws and plays what the rig says. */
  async asRig() {
    this.draft = {};
    const set = this.app.set().filter((o) => o.kind !== "unison" || (o.part !== "" && o.part !== this.part));
    if (set.length < this.app.set().length) this.app.change({ set });
    await this.show();
  }

  /** write has the rig's text say what is drawn. */
  async write() {
    if (!this.shown) return;
    const { part, set: { voices, spread_cents: width, law } } = this.shown;
    const set = (/** @type {import("./settings.js").Override[]} */ now) => now.filter((o) => o.kind !== "unison" || o.part !== part);
    if (await this.app.alter([{ do: "unison", part, voices, width, law }], { set, trouble: (err) => this.trouble(err) })) await this.back();
  }

  /** trouble says what could not be done, beside what was asked for. @param {any} err */
  trouble(err) {
    if (err instanceof api.Superseded) return;
    if (err instanceof api.Gone || err?.status === 412) { this.app.trouble(err); return; }
    $("stack-trouble").hidden = !err;
    $("stack-trouble").textContent = err ? err.message : "";
  }
}
