// @ts-check
// A menu beside a button: things to do, one of several, or some of several. By mouse, by touch, and by
// the keys of every menu: arrows, Home, End, the first letter, Escape.

import { $, able, el } from "./dom.js";

/**
 * What can be chosen: a thing to do, one of several, or some of several; "why" it cannot be. A heading
 * stands over those that follow. What is some of several leaves the menu open.
 * @typedef {{text: string, about?: string, kind?: "one" | "some", on?: boolean, why?: string | false, act: () => void}} Item
 * @typedef {{head: string, items: Item[]}} Group
 */

export class Menu {
  constructor() {
    this.box = el("div", { role: "menu", class: "menu", popover: "manual" });
    /** @type {() => Group[]} */ this.groups = () => [];
    this.from = ""; // what is focused again: the place of the button, which may be another by then
    this.box.addEventListener("keydown", (e) => this.press(e));
    document.addEventListener("pointerdown", (e) => {
      const at = /** @type {Node} */ (e.target);
      if (this.open && !this.box.contains(at) && !this.button()?.contains(at)) this.close(false);
    });
    addEventListener("resize", () => this.close(false));
  }

  get open() { return this.box.matches(":popover-open"); }

  /**
   * show opens the menu beside a button that has a place, data-at.
   * @param {HTMLElement} button @param {string} label @param {() => Group[]} groups
   */
  show(button, label, groups) {
    const again = this.open && this.from === button.dataset.at;
    this.close(false);
    if (again) return;
    this.from = button.dataset.at ?? "";
    this.groups = groups;
    this.box.setAttribute("aria-label", label);
    this.fill();
    $("views").append(this.box);
    /** @type {any} */ (this.box).showPopover();
    this.place(button.getBoundingClientRect());
    button.setAttribute("aria-expanded", "true");
    (this.items().find((e) => e.getAttribute("aria-checked") === "true") ?? this.items()[0])?.focus({ preventScroll: true });
  }

  fill() {
    this.box.replaceChildren(...this.groups().filter((g) => g.items.length).map((g) =>
      el("div", { role: "group", "aria-label": g.head }, el("p", { "aria-hidden": "true" }, g.head), ...g.items.map((item) => this.item(item)))));
  }

  /** renew shows what can be chosen now, where the menu is open; where its button is gone it closes. */
  renew() {
    if (!this.open) return;
    this.button()?.setAttribute("aria-expanded", "true");
    if (this.button() && this.same()) return;
    const at = this.items().indexOf(/** @type {any} */ (document.activeElement));
    this.fill();
    if (!this.items().length || !this.button()) this.close(false);
    else this.items()[Math.max(0, Math.min(at, this.items().length - 1))].focus({ preventScroll: true });
  }

  /** same tells whether the menu shows what can be chosen now. */
  same() {
    const now = this.groups().flatMap((g) => g.items.map((i) => [i.text, i.about ?? "", i.kind ? String(Boolean(i.on)) : null]));
    return JSON.stringify(now) === JSON.stringify(this.items().map((e) => [e.querySelector("span")?.textContent, e.querySelector("small")?.textContent ?? "", e.getAttribute("aria-checked")]));
  }

  /** button is where the menu came from, as it stands now. @returns {HTMLElement | null} */
  button() { return document.querySelector(`[data-at="${CSS.escape(this.from)}"]`); }

  /** @param {Item} item */
  item(item) {
    const e = el("button", { type: "button", role: item.kind ? `menuitem${item.kind === "one" ? "radio" : "checkbox"}` : "menuitem", tabindex: -1,
      "aria-checked": item.kind ? String(Boolean(item.on)) : undefined, onclick: () => this.choose(item, e) },
      el("span", {}, item.text), ...(item.about ? [el("small", {}, item.about)] : []));
    able(e, item.why ?? false);
    return e;
  }

  /** @param {Item} item @param {HTMLElement} e */
  choose(item, e) {
    if (item.kind === "some") e.setAttribute("aria-checked", String(e.getAttribute("aria-checked") !== "true"));
    else this.close(true);
    item.act();
  }

  /** place puts it below the button, or above, and inside of the window. @param {DOMRect} at */
  place(at) {
    const { offsetWidth: width, offsetHeight: height } = this.box, room = 8;
    const below = at.bottom + height + room <= innerHeight, above = at.top - height - room >= 0;
    const top = below ? at.bottom + 4 : above ? at.top - height - 4 : Math.max(room, innerHeight - height - room);
    this.box.style.left = `${Math.max(room, Math.min(at.left, document.documentElement.clientWidth - width - room)) + scrollX}px`;
    this.box.style.top = `${top + scrollY}px`;
  }

  items() { return [...this.box.querySelectorAll("button")]; }

  /** @param {KeyboardEvent} e */
  press(e) {
    e.stopPropagation(); // digits turn no view here
    const items = this.items(), at = items.indexOf(/** @type {any} */ (document.activeElement)), all = items.length;
    const to = { ArrowDown: (at + 1) % all, ArrowUp: (at + all - 1) % all, Home: 0, End: all - 1 }[e.key];
    const letter = e.key.length === 1 && e.key !== " " && [...items.slice(at + 1), ...items.slice(0, at + 1)].find((i) => i.textContent?.toLowerCase().startsWith(e.key.toLowerCase()));
    const next = to === undefined ? letter : items[to];
    if (next) next.focus();
    else if (e.key === "Escape" || e.key === "Tab") this.close(true);
    else return;
    e.preventDefault();
  }

  /** close puts it away. @param {boolean} back whether its button is focused again */
  close(back) {
    if (!this.open) return;
    /** @type {any} */ (this.box).hidePopover();
    this.box.remove();
    this.button()?.setAttribute("aria-expanded", "false");
    if (back) this.button()?.focus({ preventScroll: true });
  }
}
