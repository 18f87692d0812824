// @ts-check
// One note of the picture: whoever points at it reads what it is, and what it lost.

import * as api from "./api.js";
import { facts } from "./doc.js";
import { $, el } from "./dom.js";
import { oneStop } from "./lists.js";

/**
 * tell says what a note is, and in the words of the table what it lost.
 * @param {import("./lanes.js").Lanes} lanes @param {number} span the place of the note; −1 where none is drawn @param {number} loss its place among the losses, or −1
 * @param {import("./doc.js").Doc[]} docs in which there may be a row about it @param {any} asked what was played: song, set
 */
export async function tell(lanes, span, loss, docs, asked) {
  const { c, head } = lanes;
  /** @type {HTMLElement[]} */
  const said = [];
  if (span >= 0) {
    const key = c.key[span], voice = lanes.rows.find((r) => r.from <= span && span < r.to)?.name;
    said.push(el("b", {}, `${head.parts[c.part[span]]} ${head.keys[key]} (${key}), ${voice}`));
  }
  const rows = docs.map((d) => rowOf(d, loss)).find((r) => r.length) ?? [];
  $("note").dataset.about = `${span} ${loss}`;
  $("note").replaceChildren(...said, ...rows);
  oneStop();
  if (loss < 0 || rows.length) return;
  const { doc } = await api.latest("loss", (signal) => api.post("loss", { ...asked, place: loss }, signal));
  if ($("note").dataset.about === `${span} ${loss}`) $("note").append(...rowOf(doc, loss));
}

/** @param {import("./doc.js").Doc} doc @param {number} loss */
function rowOf(doc, loss) { return facts(doc, `loss ${loss}`).filter((e) => e.tagName === "DL"); }
