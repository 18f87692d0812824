// @ts-check
// Dragging by mouse, pen and touch: what has data-drag is taken, what has data-drop takes it. Their values
// are a kind and a name, as in "part pad". A mouse drags by any place of a thing, a finger by its grip:
// elsewhere it scrolls the page. A drop moves; with Ctrl or Alt it adds.

import { el } from "./dom.js";

/** How far a pointer moves before it drags, and how near the edge of the window the page is scrolled, in pixels. */
const slack = 6, edge = 56;

/** adds tells whether a drop adds. @param {{ctrlKey: boolean, altKey: boolean, metaKey: boolean}} e */
const adds = (e) => e.ctrlKey || e.altKey || e.metaKey;

export class Drag {
  /**
   * @param {HTMLElement} root @param {(from: string, to: string) => boolean} fits
   * @param {(from: string, to: string, also: boolean) => void} drop also where it adds
   */
  constructor(root, fits, drop) {
    this.root = root;
    this.fits = fits;
    this.drop = drop;
    /** @type {{thing: HTMLElement, id: number, x: number, y: number, ghost: HTMLElement | null, over: HTMLElement | null} | null} */ this.held = null;
    root.addEventListener("pointerdown", (e) => this.take(e));
    root.addEventListener("pointermove", (e) => this.move(e));
    root.addEventListener("pointerup", (e) => this.leave(e, true));
    root.addEventListener("pointercancel", (e) => this.leave(e, false));
    root.addEventListener("touchmove", (e) => { if (this.held) e.preventDefault(); }, { passive: false }); // else the next tap would be to stop a scroll
    root.addEventListener("dragstart", (e) => e.preventDefault()); // what the browser itself would drag
    root.addEventListener("click", (e) => { if (this.moved && e.detail) { e.stopPropagation(); e.preventDefault(); } }, { capture: true });
    addEventListener("keydown", (e) => { if (e.key === "Escape" && this.dragging) { e.stopPropagation(); this.end(); } }, { capture: true });
    for (const kind of ["keydown", "keyup"]) addEventListener(kind, (e) => this.key(/** @type {KeyboardEvent} */ (e)));
    this.also = false; // a drop would add
    this.moved = false; // the click that ends a drag is none; that of a key is one
  }

  get dragging() { return Boolean(this.held?.ghost); }

  /** @param {PointerEvent} e */
  take(e) {
    const at = /** @type {Element} */ (e.target), thing = /** @type {HTMLElement | null} */ (at.closest("[data-drag]"));
    this.moved = false;
    if (!thing || e.button !== 0 || this.held || (e.pointerType !== "mouse" && !at.closest(".grip"))) return;
    this.held = { thing, id: e.pointerId, x: e.clientX, y: e.clientY, ghost: null, over: null };
  }

  /** @param {PointerEvent} e */
  move(e) {
    const held = this.held;
    if (!held || e.pointerId !== held.id) return;
    if (!held.ghost && Math.hypot(e.clientX - held.x, e.clientY - held.y) < slack) return;
    Object.assign(held, { x: e.clientX, y: e.clientY });
    this.also = adds(e);
    if (!held.ghost) this.begin(held);
    this.look();
  }

  /** key shows what a drop would do by now. @param {KeyboardEvent} e */
  key(e) {
    if (!this.dragging || !["Control", "Alt", "Meta"].includes(e.key)) return;
    e.preventDefault(); // else Alt opens a menu of the browser
    this.also = adds(e);
    this.look();
  }

  /** @param {NonNullable<Drag["held"]>} held */
  begin(held) {
    this.root.setPointerCapture(held.id);
    this.moved = true;
    held.ghost = el("div", { class: "ghost", "aria-hidden": "true" });
    this.root.append(held.ghost);
    held.thing.classList.add("dragged");
    for (const place of this.places()) place.classList.toggle("takes", this.fits(held.thing.dataset.drag ?? "", place.dataset.drop ?? ""));
    this.scroll();
  }

  /** @returns {HTMLElement[]} */
  places() { return [...this.root.querySelectorAll("[data-drop]")].map((e) => /** @type {HTMLElement} */ (e)); }

  /** look shows what is dragged, and where it would go. */
  look() {
    const held = this.held;
    if (!held?.ghost) return;
    const place = /** @type {HTMLElement | null} */ (document.elementFromPoint(held.x, held.y)?.closest("[data-drop].takes") ?? null);
    held.over?.classList.toggle("over", false);
    place?.classList.toggle("over", true);
    held.over = place;
    held.ghost.textContent = (held.thing.dataset.name ?? "") + (place ? ` → ${place.dataset.name}${this.also ? ", too" : ""}` : "");
    held.ghost.style.translate = `${Math.min(held.x + 12, innerWidth - held.ghost.offsetWidth - 8)}px ${held.y + 12}px`;
  }

  /** scroll goes on while something is held near the edge of the window. */
  scroll() {
    if (!this.dragging || !this.held) return;
    const { y } = this.held, by = y < edge ? -1 : y > innerHeight - edge ? 1 : 0;
    if (by) { scrollBy({ top: by * 10, behavior: "instant" }); this.look(); }
    requestAnimationFrame(() => this.scroll());
  }

  /** @param {PointerEvent} e @param {boolean} put */
  leave(e, put) {
    const held = this.held;
    if (!held || e.pointerId !== held.id) return;
    const to = put && held.ghost ? held.over?.dataset.drop : undefined;
    this.end();
    if (to) this.drop(held.thing.dataset.drag ?? "", to, adds(e));
  }

  end() {
    const held = this.held;
    this.held = null;
    if (!held?.ghost) return;
    held.ghost.remove();
    held.thing.classList.remove("dragged");
    for (const place of this.places()) place.classList.remove("takes", "over");
  }
}
