// @ts-check
// The answers on the page: what they are for, what is asked anew once something is set, and which are of before.

import * as api from "./api.js";
import { $ } from "./dom.js";
import { oneStop } from "./lists.js";
import { Shown } from "./state.js";

/** What shows answers: about the rig, about the song played, how many voices it needs, and all songs. */
const blocks = {
  map: ["rack", "mapped", "voice-card", "wrong"], play: ["answer-played", "moments", "played", "demand-box", "lanes-box", "losses"],
  size: ["answer-sized", "sized", "sized-drawn", "curve"], compare: ["songs"], sheets: ["sheets"], plug: ["plug"],
  setups: ["setups-list"], outage: ["outage-says"], repatch: ["repatch"], measured: ["measured"], bench: ["bench"],
};

export class Answers {
  /** @param {import("./app.js").App} app */
  constructor(app) {
    this.app = app;
    this.shown = new Shown((block, old) => {
      $(block).classList.toggle("old", old);
      $(block).setAttribute("aria-busy", String(old));
    });
    this.failed = false; // the last question
    this.listening = ""; // that what is heard is still to come
    this.speaking = 0;
  }

  /** keys are what the answers are for: the rig's text, what is set, and a song where they are about one. */
  keys() {
    const { song, set } = this.app.history.now;
    const map = JSON.stringify([this.app.desk.fingerprint, this.app.desk.text, set]), play = JSON.stringify([map, song]);
    return { map, play, size: play, compare: JSON.stringify([map, this.app.desk.songs]), sheets: JSON.stringify([map, this.app.views.paper.size()]),
      bench: play, setups: play, outage: play, repatch: JSON.stringify([this.app.desk.fingerprint, this.app.desk.text]), plug: this.app.desk.text, measured: JSON.stringify([this.app.desk.text, song]) };
  }

  /** turn dims what is not the answer to what is set now. */
  turn() {
    const keys = this.keys();
    for (const kind of /** @type {(keyof typeof blocks)[]} */ (Object.keys(blocks))) this.shown.turn(keys[kind], blocks[kind]);
    this.tellOld();
    return keys;
  }

  /** answered shows blocks of a kind as the answer for a key. @param {keyof typeof blocks} kind @param {string} key */
  answered(kind, key) {
    this.shown.answered(key, blocks[kind]);
    oneStop();
    this.steady();
    if (kind === "play" && !this.listening) this.speak(document.querySelector("#answer-played .answer")?.textContent ?? "");
    this.tellOld();
  }

  /**
   * steady keeps the room that answers about a song have had: what stands below them does not move under a thumb, but
   * where one is longer than all before.
   */
  steady() {
    const box = $("answer"), at = `${this.app.view} ${this.app.song()} ${innerWidth}`;
    if (box.dataset.at !== at) { box.dataset.at = at; box.style.minHeight = ""; }
    box.style.minHeight = `${box.offsetHeight}px`;
  }

  /** speak says the answer to who hears the page, once nothing more is changed for a moment. @param {string} text */
  speak(text) {
    clearTimeout(this.speaking);
    this.speaking = setTimeout(() => { $("spoken").textContent = text; }, 700);
  }

  tellOld() {
    const seen = (/** @type {string} */ block) => !$(block).closest("[role=tabpanel][hidden]"); // another view asks once it is shown
    const old = !this.shown.any(seen) ? "" : this.failed ? "The dimmed part is the previous answer." : "Working. The dimmed part is the previous answer.";
    $("working").textContent = [this.listening, old].filter(Boolean).join(" ");
  }

  /** refresh asks anew for what is shown. */
  async refresh() {
    const now = this.app.history.now, { song, set } = now;
    this.app.onDesk.tellAble();
    this.app.views.song.rules.showVoices(this.app.views.song.played?.in_service);
    this.failed = false;
    this.listening = "";
    const keys = this.turn();
    const map = api.latest("map", (signal) => api.post("map", { song, set }, signal)).then((m) => {
      this.app.views.rack.take(m);
      this.app.views.song.rules.heed(m.now);
      this.app.when("parts", "faces", () => this.app.views.parts.draw());
      this.answered("map", keys.map);
      this.app.onDesk.tellWrong();
    });
    const play = song ? this.play({ song, set }, keys.play) : Promise.resolve();
    $("no-song").hidden = song !== "";
    $("view-song").classList.toggle("none", song === "");
    this.app.when("parts", "bench", () => this.app.views.parts.ask());
    try {
      await Promise.all([map, play]);
      if (song) this.size(song, set, keys.size);
      this.app.when("plug", "plug", () => this.app.views.plug.ask());
      this.app.when("rack", "card", () => this.app.views.rack.card());
      this.app.when("rack", "setups", () => this.app.views.setups.refresh());
      this.app.when("rack", "tune", () => this.app.views.tune.refresh());
      if (this.app.view === "paper") await this.app.views.paper.take();
      this.app.trouble(null);
    } catch (err) { this.app.trouble(err); }
  }

  /**
   * play asks what became of the song: at once, and where what is heard takes longer once more for that.
   * @param {{song: string, set: import("./settings.js").Override[]}} asked @param {string} key
   */
  play(asked, key) {
    return api.latest("picture", async (signal) => {
      const take = (/** @type {{head: import("../testdata/contract").Picture, columns: import("./columns.js").Columns}} */ picture) => {
        if (signal.aborted) return; // it is of before
        this.listening = picture.head.listening;
        this.app.views.song.take(picture, asked);
        this.answered("play", key);
      };
      take(await api.columns("picture", { ...asked, ...this.app.filter, soon: true }, signal));
      if (!this.listening) return;
      try { take(await api.columns("picture", { ...asked, ...this.app.filter }, signal)); } catch (err) {
        if (!signal.aborted) this.listening = ""; // nothing more comes; what went wrong is said
        throw err;
      }
    });
  }

  /** size asks how many voices the song needs, for the answer. @param {string} song @param {import("./settings.js").Override[]} set @param {string} key */
  async size(song, set, key) {
    try {
      const size = await api.latest("size", (signal) => api.post("size", { song, set }, signal));
      if (!this.app.views.song.fixes.tried) this.app.views.song.fixes.sized(size, size.doc, size.figures);
      await this.app.views.song.takeSizes(size.axis);
      this.answered("size", key);
    } catch (err) { this.app.trouble(err); }
  }
}
