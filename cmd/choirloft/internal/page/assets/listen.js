// @ts-check
// Six seconds of the song as sound: as asked, as played, and what is missing between them.

import * as api from "./api.js";
import { $ } from "./dom.js";

/** loud is the gain at a place of the volume, 0 to 100: what is low is drawn apart. @param {number} volume */
export function loud(volume) { return (volume / 100) ** 2; }

export class Listen {
  /** @param {() => {asked: any, at: number} | null} where what was played, and the second that is listened to @param {(err: any) => void} trouble @param {(at: number | null) => void} show where in the song it is */
  constructor(where, trouble, show) {
    this.where = where;
    this.trouble = trouble;
    this.show = show;
    /** @type {AudioContext | null} */ this.audio = null;
    /** @type {GainNode | null} */ this.gain = null;
    /** @type {AudioBufferSourceNode | null} */ this.source = null;
    this.buttons = /** @type {HTMLElement[]} */ ([...document.querySelectorAll("#listen [data-version]")]);
    for (const b of this.buttons) b.addEventListener("click", () => (b.getAttribute("aria-pressed") === "true" ? this.stop() : this.play(b)));
    $("volume").addEventListener("input", () => { if (this.gain) this.gain.gain.value = loud(Number($("volume").value)); });
  }

  /** stop ends what sounds, and drops what was asked for. */
  stop() {
    api.forget("listen");
    if (this.source) { this.source.onended = null; this.source.stop(); }
    this.source = null;
    for (const b of this.buttons) b.setAttribute("aria-pressed", "false");
    $("listening").textContent = "";
    this.show(null);
  }

  /** @param {HTMLElement} button */
  async play(button) {
    const where = this.where();
    this.stop();
    if (!where) return;
    this.audio ??= new AudioContext();
    if (!this.gain) { this.gain = this.audio.createGain(); this.gain.connect(this.audio.destination); }
    const { audio, gain } = this;
    gain.gain.value = loud(Number($("volume").value));
    button.setAttribute("aria-pressed", "true");
    $("listening").textContent = "Working…";
    try {
      const { from, buffer } = await api.latest("listen", async (signal) => {
        const { data, from } = await api.sound({ ...where.asked, version: button.dataset.version, at_s: where.at }, signal);
        return { from, buffer: await audio.decodeAudioData(data) };
      });
      await audio.resume();
      const source = audio.createBufferSource(), begun = audio.currentTime;
      source.buffer = buffer;
      source.connect(gain);
      source.onended = () => this.stop();
      this.source = source;
      source.start();
      $("listening").textContent = "";
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
