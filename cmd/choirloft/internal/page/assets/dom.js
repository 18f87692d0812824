// @ts-check
// A few helpers to make elements.

/** @param {string} id @returns {any} */
export const $ = (id) => document.getElementById(id);

/**
 * @param {string} name @param {Record<string, any>} [attributes] @param {...(Node | string)} children
 * @returns {HTMLElement}
 */
export function el(name, attributes = {}, ...children) {
  const e = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) {
    if (key.startsWith("on")) e.addEventListener(key.slice(2), value);
    else if (value === true) e.setAttribute(key, "");
    else if (value !== false && value !== null && value !== undefined) e.setAttribute(key, String(value));
  }
  e.append(...children);
  return e;
}

/**
 * options fills a list to choose from.
 * @param {HTMLSelectElement} select @param {[value: string, text: string][]} list @param {string} chosen
 */
export function options(select, list, chosen) {
  select.replaceChildren(...list.map(([value, text]) => el("option", { value, selected: value === chosen }, text)));
  select.value = chosen;
}

/**
 * means are the attributes of what is explained: to the pointer, to a screen reader,
 * and, by what main.js does on focus, to the keyboard.
 * @param {string | undefined} text
 */
export function means(text) { return text ? { title: text, "aria-description": text } : {}; }

/**
 * able lets a button act, or says why it cannot: to the pointer, on focus, and when it is pressed.
 * @param {HTMLElement} button @param {string | false} why empty where it can
 */
export function able(button, why) {
  if (button.dataset.meaning === undefined) button.dataset.meaning = button.title;
  const text = why || button.dataset.meaning;
  if (why) button.setAttribute("aria-disabled", "true");
  else button.removeAttribute("aria-disabled");
  button.title = text;
  if (text) button.setAttribute("aria-description", text);
  else button.removeAttribute("aria-description");
}

/** wireUnable keeps buttons that cannot act from it. @param {(why: string) => void} tell */
export function wireUnable(tell) {
  document.addEventListener("click", (e) => {
    const button = e.target instanceof Element ? e.target.closest("button[aria-disabled=true]") : null;
    if (!button) return;
    e.preventDefault();
    e.stopImmediatePropagation();
    tell(button.getAttribute("aria-description") ?? "");
  }, { capture: true });
}

/**
 * pressable makes a row act on a click and on Enter.
 * @param {HTMLElement} row @param {() => void} act
 */
export function pressable(row, act) {
  row.tabIndex = 0;
  row.addEventListener("click", act);
  row.addEventListener("keydown", (e) => {
    if (e.target === row && (e.key === "Enter" || e.key === " ")) { e.preventDefault(); act(); }
  });
}

/** place is the place in a list of what a row is about, or none if that is of another kind. @param {string} about @param {string} kind */
export function place(about, kind) { return about.startsWith(`${kind} `) ? Number(about.slice(kind.length + 1)) : -1; }
