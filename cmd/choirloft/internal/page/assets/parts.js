// @ts-check
// From a song to a rack: its channels, the parts that listen to them, and the banks on which these play.
// Everything done here is an edit of the rig's text, which the program makes.

import * as api from "./api.js";
import { $, able, el, means } from "./dom.js";
import { Drag } from "./drag.js";
import { oneStop } from "./lists.js";
import { Menu } from "./menu.js";
import { askName } from "./naming.js";

/**
 * @typedef {import("../testdata/contract").BenchFace} Bench
 * @typedef {Bench["channels"][number]} Channel
 * @typedef {Bench["parts"][number]} Part
 * @typedef {Bench["banks"][number]} Bank
 */

/** What goes where: a channel to a part or to a new one, a part to a bank, and a bank to a part. */
const goes = new Set(["channel part", "channel new", "part bank", "bank part"]);

/** kindOf is what a thing is, and nameOf which. @param {string} thing */
const kindOf = (thing) => thing.split(" ", 1)[0], nameOf = (/** @type {string} */ thing) => thing.slice(kindOf(thing).length + 1);

/** source is a channel as a deed names it, and placeOf its place on the bench. @param {Channel} c */
const source = ({ port, channel, zone }) => ({ port, channel, zone }), placeOf = (/** @type {Channel} */ c) => `channel ${c.label}`;

export class PartsView {
  /** @param {import("./app.js").App} app */
  constructor(app) {
    this.app = app;
    /** @type {Bench | null} */ this.bench = null;
    this.altering = 0; // edits under way: what was asked before them is not shown
    this.menu = new Menu();
    this.drag = new Drag($("bench"), (from, to) => goes.has(`${kindOf(from)} ${kindOf(to)}`), (from, to, also) => this.drop(from, to, also));
    this.drawn = ""; // for what it was
    this.key = ""; // for what it was answered
    this.wirePresses();
    for (const column of ["channels", "parts", "banks"]) {
      $(`bench-${column}`).addEventListener("contextmenu", (/** @type {MouseEvent} */ e) => this.menuKey(e));
    }
  }

  /** wirePresses keeps what is pressed where it is until the click of it has come. */
  wirePresses() {
    this.pressed = 0;
    addEventListener("pointerdown", () => { clearTimeout(this.pressed); this.pressed = Infinity; });
    for (const end of ["pointerup", "pointercancel"]) {
      addEventListener(end, () => { this.pressed = setTimeout(() => { this.pressed = 0; this.draw(); }, 300); });
    }
  }

  /** menuKey opens what the menu key, or the other button of a mouse, asks for. @param {MouseEvent} e */
  menuKey(e) {
    const at = /** @type {Element} */ (e.target), thing = at.closest("[aria-haspopup]") ?? at.closest("[data-drag]")?.querySelector("[aria-haspopup]");
    if (!thing) return;
    e.preventDefault();
    if (!this.drag.dragging) /** @type {HTMLElement} */ (thing).click();
  }

  /** ask asks for what stands on the bench; after edits that are under way, once. */
  async ask() {
    if (this.altering) return;
    const { song, set } = this.app.history.now, key = this.app.answers.keys().play;
    try {
      const bench = await api.latest("bench", (signal) => api.post("bench", { song, set }, signal));
      if (this.altering) return;
      this.bench = bench;
      this.key = key;
      this.draw();
    } catch (err) { this.app.trouble(err); }
  }

  /** alter edits the rig's text. @param {...import("../testdata/contract").Deed} deeds */
  async alter(...deeds) {
    const gone = deeds.find((d) => d.do === "part-gone" || d.do === "part-name")?.part;
    this.altering++;
    await this.app.alter(deeds, { gone });
    this.altering--;
    await this.ask();
  }

  /** draw shows the bench; while something of it is pressed or dragged it stays. */
  draw() {
    const bench = this.bench;
    if (!bench || this.pressed) return;
    const due = JSON.stringify([bench, this.app.views.rack.map?.faces]);
    if (this.drawn !== due) this.redraw(bench);
    this.drawn = due;
    this.menu.renew();
    this.app.answers.answered("bench", this.key); // not before it is seen: what is to be pressed may move until then
  }

  /** @param {Bench} bench */
  redraw(bench) {
    const focused = document.activeElement instanceof HTMLElement ? document.activeElement.dataset.at : undefined;
    for (const [name, list] of Object.entries({ channels: bench.channels, parts: bench.parts, banks: bench.banks })) $(`${name}-count`).textContent = String(list.length);
    $("bench-channels").replaceChildren(...bench.channels.map((c) => this.channel(c)));
    $("bench-parts").replaceChildren(...bench.parts.map((p) => this.part(p)));
    $("bench-banks").replaceChildren(...bench.banks.map((b) => this.bank(b)));
    this.newPart();
    this.newBank(bench);
    $("interfaces").replaceChildren(...bench.interfaces.map((i) => this.interface(i)));
    $("more-interfaces").replaceChildren(this.moreInterfaces());
    $("no-channels").hidden = bench.channels.length > 0;
    oneStop();
    if (focused && !this.menu.open) /** @type {HTMLElement | null} */ (document.querySelector(`[data-at="${CSS.escape(focused)}"]`))?.focus({ preventScroll: true });
  }

  /** opener is a button that opens a menu. @param {string} at @param {string} label @param {() => import("./menu.js").Group[]} groups @param {...(Node | string)} content */
  opener(at, label, groups, ...content) {
    const button = el("button", { type: "button", "data-at": at, "aria-haspopup": "menu", "aria-expanded": "false", onclick: () => this.menu.show(button, label, groups) }, ...content);
    return button;
  }
  grip() { return el("span", { class: "grip", "aria-hidden": "true" }, "⠿"); }

  /** @param {Channel} c */
  channel(c) {
    const at = placeOf(c), button = this.opener(at, `Who plays ${c.label}`, () => this.whoPlays(at),
      this.grip(), el("span", { class: "what" }, el("b", {}, c.label), " ", el("span", { class: "soft" }, c.name), el("small", {}, c.about),
        ...(c.heard ? [el("small", { class: c.parts.length ? "soft" : "bad" }, c.heard)] : [])));
    button.className = `thing${c.drums ? " drums" : ""}`;
    return el("li", { "data-drag": at, "data-name": c.label }, button);
  }

  /** @param {string} at */
  whoPlays(at) {
    const c = this.bench?.channels.find((x) => placeOf(x) === at);
    if (!c) return [];
    const parts = this.bench?.parts ?? [], give = (/** @type {string} */ part, /** @type {boolean} */ also) => this.alter({ do: "channel", ...source(c), part, also });
    return [
      { head: `${c.label} is played by`, items: [
        ...parts.map((p) => ({ text: p.name, about: p.listens, kind: /** @type {const} */ ("one"), on: c.parts.includes(p.name), act: () => give(p.name, false) })),
        { text: "nobody", kind: /** @type {const} */ ("one"), on: c.parts.length === 0, act: () => give("", false) },
        { text: "a new part", act: () => this.alter({ do: "part", part: "", ...source(c) }) },
      ] },
      { head: "or by several", items: c.parts.length === 0 ? [] : parts.filter((p) => !c.parts.includes(p.name)).map((p) => ({ text: `also by ${p.name}`, act: () => give(p.name, true) })) },
    ];
  }

  /** @param {Part} p */
  part(p) {
    const thing = `part ${p.name}`;
    const name = this.opener(thing, `Part ${p.name}`, () => this.partMenu(p.name), this.grip(), el("b", {}, p.name));
    name.className = "thing";
    const sources = this.opener(`${thing} sources`, `What ${p.name} listens to`, () => this.sourcesMenu(p.name), p.listens);
    const banks = this.opener(`${thing} banks`, `Banks that ${p.name} plays on`, () => this.banksMenu(p.name), p.on);
    return el("li", { class: "part", "data-drag": thing, "data-drop": thing, "data-name": p.name },
      el("div", { class: "line" }, name, el("span", { class: "soft" }, "from"), sources),
      el("div", { class: "line" }, el("span", { class: "soft" }, "plays on"), banks, ...(p.how ? [el("small", {}, p.how)] : []), el("small", { class: p.short ? "bad" : "" }, p.says)),
      ...(p.mono ? [el("p", { class: "soft" }, p.mono)] : []), ...this.mend(thing, p.wrong, p.fixes));
  }

  /** mend says what is wrong with a thing, and offers what mends it. @param {string} thing @param {string} wrong @param {Part["fixes"]} fixes */
  mend(thing, wrong, fixes) {
    return [...(wrong ? [el("p", { class: "bad" }, wrong)] : []),
      ...(fixes.length ? [el("div", { class: "line" }, ...fixes.map((f, i) => el("button", { type: "button", class: "fix", "data-at": `${thing} fix ${i}`, onclick: () => this.alter(...f.deeds) }, f.label)))] : [])];
  }

  /** @param {string} part */
  partMenu(part) {
    const p = this.named("parts", part);
    if (!p) return [];
    return [
      { head: "Notes at once", items: (this.bench?.modes ?? []).map((m) => ({ text: m.name, about: m.about, kind: /** @type {const} */ ("one"), on: m.name === p.mode, act: () => this.alter({ do: "mode", part: p.name, mode: m.name }) })) },
      { head: `Part ${p.name}`, items: [
        { text: "Rename…", act: () => this.rename(p.name) },
        { text: "Remove it", act: () => this.alter({ do: "part-gone", part: p.name }) },
      ] },
    ];
  }

  /** @param {string} part */
  sourcesMenu(part) {
    const p = this.named("parts", part);
    if (!p) return [];
    return [{ head: `${p.name} listens to`, items: (this.bench?.channels ?? []).map((c) => ({ text: `${c.label} ${c.name}`, about: c.about, kind: /** @type {const} */ ("some"),
      on: c.parts.includes(p.name), act: () => this.listen(p.name, placeOf(c)) })) }];
  }

  /** listen lets a part listen to a channel, or leaves that to the others, as it is now. @param {string} part @param {string} at */
  listen(part, at) {
    const c = this.bench?.channels.find((x) => placeOf(x) === at);
    if (!c) return;
    const by = c.parts.includes(part) ? c.parts.filter((p) => p !== part) : [part];
    this.alter(...(by.length ? by : [""]).map((name, i) => ({ do: "channel", ...source(c), part: name, also: i > 0 })));
  }

  /** @param {string} part */
  banksMenu(part) {
    const p = this.named("parts", part);
    if (!p) return [];
    const banks = this.bench?.banks ?? [], chosen = new Set(p.banks), only = (/** @type {string} */ bank) => chosen.size === 1 && chosen.has(bank);
    const put = (/** @type {string[]} */ names) => this.alter({ do: "banks", part: p.name, banks: names });
    return [
      { head: `${p.name} plays on`, items: [{ text: "every bank", kind: /** @type {const} */ ("one"), on: p.all_banks, act: () => put([]) },
        ...banks.map((b) => ({ text: `${b.name} alone`, about: b.parts.join(", "), kind: /** @type {const} */ ("one"), on: !p.all_banks && only(b.name), act: () => put([b.name]) }))] },
      { head: "or on several", items: banks.length < 2 ? [] : banks.map((b) => ({ text: `also on ${b.name}`, kind: /** @type {const} */ ("some"), on: chosen.has(b.name),
        why: only(b.name) && `${p.name} plays on ${b.name} alone. Choose another bank first.`,
        act: () => { if (!chosen.delete(b.name)) chosen.add(b.name); put(this.inOrder(chosen)); } })) },
    ];
  }

  /**
   * named is the part, the bank or the interface of that name as it stands now.
   * @template {"parts" | "banks" | "interfaces"} K @param {K} kind @param {string} name @returns {Bench[K][number] | undefined}
   */
  named(kind, name) { return this.bench?.[kind].find((x) => x.name === name); }

  /** inOrder are banks as they stand. @param {Set<string>} names */
  inOrder(names) { return (this.bench?.banks ?? []).map((b) => b.name).filter((b) => names.has(b)); }

  /** @param {string} part */
  async rename(part) {
    const name = await askName(`New name of ${part}`, part);
    if (name && name !== part) this.alter({ do: "part-name", part, name });
  }

  newPart() {
    const channels = this.bench?.channels ?? [];
    const button = this.opener("new part", "A new part for", () => [{ head: "A new part for", items: channels.map((c) => ({ text: `${c.label} ${c.name}`, about: c.about,
      act: () => this.alter({ do: "part", part: "", ...source(c) }) })) }], "+ Part");
    button.dataset.drop = "new part";
    button.dataset.name = "a new part";
    able(button, channels.length === 0 && "A part listens to a channel of a song. Add a song first.");
    $("new-part").replaceChildren(button);
  }

  /** @param {Bank} b */
  bank(b) {
    const thing = `bank ${b.name}`;
    const head = this.opener(thing, `Bank ${b.name}`, () => this.bankMenu(b.name), this.grip(), el("b", {}, b.name), el("span", { class: "what" }, el("small", {}, b.parts.join(", "))));
    head.className = "thing";
    return el("li", { "data-drag": thing, "data-drop": thing, "data-name": `bank ${b.name}` }, head, this.voices(b.name));
  }

  /** voices are those of a bank, and where they are plugged in. @param {string} bank */
  voices(bank) {
    const faces = this.app.views.rack.map?.faces.find((f) => f.bank === bank)?.voices ?? [];
    return el("ul", { class: "voices", "aria-label": `Voices of bank ${bank}` }, ...faces.map((v) => el("li", { class: v.state, ...means(this.app.desk.words[v.state]) },
      el("b", {}, v.name), ` ${[v.pitch, v.gate].filter(Boolean).join(" · ")}`)));
  }

  /** @param {string} bank */
  bankMenu(bank) {
    const b = this.named("banks", bank);
    if (!b) return [];
    const resize = (/** @type {number} */ voices) => this.alter({ do: "bank-voices", bank: b.name, voices });
    return [
      { head: `Bank ${b.name} is played by`, items: (this.bench?.parts ?? []).map((p) => ({ text: p.name, kind: /** @type {const} */ ("some"), on: p.all_banks || p.banks.includes(b.name),
        why: (p.banks.length === 1 && p.banks[0] === b.name) && `${p.name} plays on ${b.name} alone. Choose another bank first.`,
        act: () => this.playOn(p.name, b.name) })) },
      { head: "Bank", items: [
        { text: "Add a voice", act: () => resize(b.voices + 1) },
        { text: "Remove a voice", why: b.voices === 1 && "It has one voice. Remove the bank instead.", act: () => resize(b.voices - 1) },
        { text: "See its voices in Rack", act: () => this.app.views.rack.see(b.name) },
        { text: "Remove the bank", act: () => this.alter({ do: "bank-gone", bank: b.name }) },
      ] },
    ];
  }

  /** playOn lets a part play on a bank, or no longer. @param {string} part @param {string} bank */
  playOn(part, bank) {
    const p = this.named("parts", part);
    if (!p) return;
    const banks = new Set(p.all_banks ? this.bench?.banks.map((b) => b.name) : p.banks);
    if (!banks.delete(bank)) banks.add(bank);
    this.alter({ do: "banks", part, banks: this.inOrder(banks) });
  }

  /** @param {Bench} bench */
  newBank(bench) {
    const last = bench.banks.at(-1), { voices, label } = bench.more;
    const kinds = this.opener("other banks", `${label} of another kind`, () => [{ head: `${label} of another kind`, items: bench.kinds.map((k) => ({ text: k.name, about: k.about, act: () => this.alter({ do: "bank", voices, kind: k.name }) })) }], "+ Bank of another kind");
    $("bank-more").replaceChildren(el("button", { type: "button", "data-at": "more banks", onclick: () => this.alter({ do: "bank", voices }) }, `+ ${label}`), kinds,
      ...(bench.banks.length > 1 && last ? [el("button", { type: "button", "data-at": "fewer banks", onclick: () => this.alter({ do: "bank-gone", bank: last.name }) }, `− Bank ${last.name}`)] : []));
  }

  /** @param {Bench["interfaces"][number]} i */
  interface(i) {
    const thing = `interface ${i.name}`, gone = (this.bench?.interfaces.length ?? 0) > 1;
    return el("li", { class: "part" }, el("div", { class: "line" }, el("b", {}, i.name), this.opener(thing, `What ${i.name} is`, () => this.interfaceMenu(i.name), i.profile),
      ...(gone ? [el("button", { type: "button", "data-at": `${thing} gone`, onclick: () => this.alter({ do: "interface-gone", name: i.name }) }, `− ${i.name}`)] : [])),
      el("small", { class: "soft" }, i.about), ...this.mend(thing, i.wrong, i.fixes));
  }

  /** @param {string} name */
  interfaceMenu(name) {
    const i = this.named("interfaces", name);
    return [{ head: `${name} is`, items: (this.bench?.profiles ?? []).map((p) => ({ text: p.name, about: p.about, kind: /** @type {const} */ ("one"), on: p.name === i?.profile,
      act: () => this.alter({ do: "interface", name, profile: p.name }) })) }, ...this.reaches("CV range", i?.ranges), ...this.reaches("Key at 0 V", i?.zero_keys)];
  }

  /** @param {string} head @param {Bench["interfaces"][number]["ranges"]} [choices] */
  reaches(head, choices = []) {
    return choices.length ? [{ head, items: choices.map((c) => ({ text: c.name, about: c.about, kind: /** @type {const} */ ("one"), on: c.on, act: () => this.alter(c.deed) })) }] : [];
  }

  moreInterfaces() {
    return this.opener("more interfaces", "Add an interface", () => [{ head: "Add an interface", items: (this.bench?.profiles ?? []).map((p) => ({ text: p.name, about: p.about,
      act: () => this.alter({ do: "interface-more", profile: p.name }) })) }], "+ Interface");
  }

  /** drop does what was dragged: it moves, or adds. @param {string} from @param {string} to @param {boolean} also */
  drop(from, to, also) {
    const c = this.bench?.channels.find((x) => placeOf(x) === from);
    switch (`${kindOf(from)} ${kindOf(to)}`) {
      case "channel part": if (c && !(c.parts.includes(nameOf(to)) && (also || c.parts.length === 1))) this.alter({ do: "channel", ...source(c), part: nameOf(to), also }); break;
      case "channel new": if (c) this.alter({ do: "part", part: "", ...source(c) }); break;
      case "part bank": this.place(nameOf(from), nameOf(to), also); break;
      case "bank part": this.place(nameOf(to), nameOf(from), also); break;
    }
  }

  /** place lets a part play on one bank alone, or also on that. @param {string} part @param {string} bank @param {boolean} also */
  place(part, bank, also) {
    const p = this.named("parts", part), there = p && (p.all_banks || p.banks.includes(bank));
    if (!p || (there && (also || (!p.all_banks && p.banks.length === 1)))) return;
    this.alter({ do: "banks", part, banks: also ? this.inOrder(new Set([...p.banks, bank])) : [bank] });
  }
}
