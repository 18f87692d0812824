// @ts-check
// The dialog that asks for a name.

import { $ } from "./dom.js";

/**
 * askName asks for a name; null where there is to be none.
 * @param {string} label @param {string} name what stands there first @param {string} [trouble] why that before would not do
 * @returns {Promise<string | null>}
 */
export function askName(label, name, trouble = "") {
  const box = $("naming"), input = $("naming-name");
  $("naming-label").textContent = label;
  $("naming-trouble").textContent = trouble;
  input.value = name;
  box.returnValue = "";
  box.showModal();
  input.select();
  return new Promise((done) => box.addEventListener("close", () => done(box.returnValue === "yes" ? input.value.trim() : null), { once: true }));
}
