// @ts-check
// Six seconds of sound, one button a kind of it: of a song as asked, as played, and what is missing between them; of
// a stack that is held.

import * as api from "./api.js";

/** loud is the gain at a place of the volume, 0 to 100: what is low is drawn apart. @param {number} volume */
export function loud(volume) { return (volume / 100) ** 2; }

/** What sounds: one thing at a time. @type {Listen | null} */
let sounding = null;

export class Listen {
  /**
   * Box holds the buttons, each with data-version, one volume, and one place that says what goes on.
   * @param {HTMLElement} box @param {(version: string) => {path: "listen" | "held", body: unknown} | null} ask what to ask for
   * @param {(err: any) => void} trouble @param {(at: number | null) => void} show where in the song it is
   */
  constructor(box, ask, trouble, show) {
    this.ask = ask;
    this.trouble = trouble;
    this.show = show;
    this.kind = `listen ${box.id}`;
    /** @type {AudioContext | null} */ this.audio = null;
    /** @type {GainNode | null} */ this.gain = null;
    /** @type {AudioBufferSourceNode | null} */ this.source = null;
    this.buttons = /** @type {HTMLElement[]} */ ([...box.querySelectorAll("[data-version]")]);
    this.volume = /** @type {HTMLInputElement} */ (box.querySelector("input[type=range]"));
    this.says = /** @type {HTMLElement} */ (box.querySelector("[role=status]"));
    for (const b of this.buttons) b.addEventListener("click", () => (b.getAttribute("aria-pressed") === "true" ? this.stop() : this.play(b)));
    this.volume.addEventListener("input", () => { if (this.gain) this.gain.gain.value = loud(Number(this.volume.value)); });
  }

  /** stop ends what sounds, and drops what was asked for. */
  stop() {
    api.forget(this.kind);
    if (this.source) { this.source.onended = null; this.source.stop(); }
    this.source = null;
    for (const b of this.buttons) b.setAttribute("aria-pressed", "false");
    this.says.textContent = "";
    this.show(null);
  }

  /** @param {HTMLElement} button */
  async play(button) {
    const asked = this.ask(button.dataset.version ?? "");
    sounding?.stop();
    this.stop();
    sounding = this;
    if (!asked) return;
    this.audio ??= new AudioContext();
    if (!this.gain) { this.gain = this.audio.createGain(); this.gain.connect(this.audio.destination); }
    const { audio, gain } = this;
    gain.gain.value = loud(Number(this.volume.value));
    button.setAttribute("aria-pressed", "true");
    this.says.textContent = "Working…";
    try {
      const { from, buffer } = await api.latest(this.kind, async (signal) => {
        const { data, from } = await api.sound(asked.path, asked.body, signal);
        return { from, buffer: await audio.decodeAudioData(data) };
      });
      await audio.resume();
      const source = audio.createBufferSource(), begun = audio.currentTime;
      source.buffer = buffer;
      source.connect(gain);
      source.onended = () => this.stop();
      this.source = source;
      source.start();
      this.says.textContent = "";
      const follow = () => {
        if (this.source !== source) return;
        this.show(from + audio.currentTime - begun);
        requestAnimationFrame(follow);
      };
      follow();
    } catch (err) {
      if (err instanceof api.Superseded) return;
      this.stop();
      this.trouble(err);
    }
  }
}
