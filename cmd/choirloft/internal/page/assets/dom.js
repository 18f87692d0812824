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
