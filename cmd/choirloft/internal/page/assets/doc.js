// @ts-check
// A document as the program says it, in elements. The words, their order and
// what is left out are the program's; nothing here makes any.

import { el, means } from "./dom.js";

/**
 * @typedef {{kind: string, [key: string]: any}} Block
 * @typedef {{title: string, plan?: string, blocks: Block[]}} Doc
 * @typedef {{
 *   level?: number, of?: string, findings?: boolean, figures?: Record<string, string | Node>, row?: (row: HTMLElement, about: string) => void,
 *   boxes?: (list: any) => Node,
 * }} How Level is that of headings, 2 unless said. Of tells sections from those of another document beside it. Findings is false where those of
 * the rig stand beside it already. Figures are drawings by name: SVG, or an element of the page; where
 * there is none, none stands there. Row is told of each row that says what it is about. Boxes
 * shows a list of what is to be ticked off.
 */

/**
 * lead returns what stands before the first heading: the answer, and what goes
 * with it.
 * @param {Doc} doc @param {How} [how]
 */
export function lead(doc, how = {}) {
  const said = blocks(split(doc)[0].blocks, doc.title, how);
  if (doc.plan && !said[0]?.textContent?.includes(doc.plan)) said.push(el("p", { class: "aside" }, `plan ${doc.plan}`));
  return said;
}

/**
 * sections returns what stands below headings, a section each.
 * @param {Doc} doc @param {How} [how]
 */
export function sections(doc, how = {}) {
  const shown = split(doc).slice(1).filter(({ blocks: list }) => how.findings !== false || list.some((b) => b.kind !== "findings"));
  return shown.map(({ head, blocks: list }) =>
    el("section", { "aria-label": how.of ? `${how.of}: ${head}` : head }, el(`h${how.level ?? 2}`, {}, head), ...blocks(list, head, how)));
}

/**
 * facts returns what tables say of one thing: a list of terms for each row that
 * is about it, below the heading of the table.
 * @param {Doc} doc @param {string} about
 */
export function facts(doc, about) {
  /** @type {HTMLElement[]} */
  const found = [];
  for (const { head, blocks: list } of split(doc)) {
    for (const t of list.filter((b) => b.kind === "table")) {
      for (const g of t.groups) {
        g.rows.forEach((/** @type {string[]} */ cells, /** @type {number} */ i) => {
          if (g.about?.[i] === about) found.push(el("h3", {}, head), terms(t.columns, cells));
        });
      }
    }
  }
  return found;
}

/** @param {{head: string, meaning?: string}[]} columns @param {string[]} cells */
function terms(columns, cells) {
  return el("dl", {}, ...columns.flatMap((c, i) => [el("dt", explained(c), c.head), el("dd", {}, cells[i])]));
}

/**
 * explained are the attributes of a head: what it means, on focus too.
 * @param {{meaning?: string}} c
 */
function explained(c) { return c.meaning ? { tabindex: 0, ...means(c.meaning) } : {}; }

/** @type {Record<string, string>} */
let glossary = {};

/** gloss says what words mean where a cell holds one. @param {Record<string, string>} words */
export function gloss(words) { glossary = words; }

/**
 * split cuts a document at its headings; what is before the first has none.
 * @param {Doc} doc
 */
function split(doc) {
  const parts = [{ head: "", blocks: /** @type {Block[]} */ ([]) }];
  for (const b of doc.blocks) {
    if (b.kind === "heading") parts.push({ head: b.text, blocks: [] });
    else parts[parts.length - 1].blocks.push(b);
  }
  return parts;
}

/** @param {Block[]} list @param {string} head @param {How} how */
function blocks(list, head, how) {
  return list.flatMap((b) => block(b, head, how));
}

/** @param {Block} b @param {string} head @param {How} how @returns {Node[]} */
function block(b, head, how) {
  switch (b.kind) {
    case "answer": return [el("p", { class: `answer ${b.tone ?? ""}`.trim() }, b.text)];
    case "paragraph": return [el("p", {}, b.text)];
    case "aside": return [aside(b.text)];
    case "list": return [b.boxes && how.boxes ? how.boxes(b) : items(b)];
    case "table": return [table(b, how), ...(b.legends ?? []).map(aside)];
    case "figure": return figure(how.figures?.[b.name], head);
    case "findings": return [findings(b)];
  }
  throw new Error(`a block of kind ${b.kind}: this page is older than the program, reload it`);
}

/** @param {string} text */
function aside(text) { return el("p", { class: "aside" }, text); }

/** @param {Block} b */
function items(b) {
  const list = b.items.map((/** @type {{text: string, below?: string[]}} */ item) => el("li", {}, item.text,
    ...(item.below ? [el("ul", {}, ...item.below.map((line) => el("li", {}, b.boxes ? tick(line) : line)))] : [])));
  return b.numbered ? el("ol", {}, ...list) : el("ul", { class: "plain" }, ...list);
}

/** @param {string} line */
function tick(line) { return el("label", {}, el("input", { type: "checkbox" }), " ", line); }

/** @param {Block} b @param {How} how */
function table(b, how) {
  const number = (/** @type {number} */ i) => (b.columns[i].right ? "n" : null);
  const heads = b.columns.map((/** @type {{head: string, meaning?: string}} */ c, /** @type {number} */ i) =>
    (c.head ? el("th", { scope: "col", class: number(i), ...explained(c) }, c.head) : el("td")));
  const row = (/** @type {string[]} */ cells, /** @type {string | undefined} */ about) => {
    const tr = el("tr", {}, ...cells.map((c, i) => el("td", { class: number(i), ...means(glossary[c]) }, c)));
    if (about) how.row?.(tr, about);
    return tr;
  };
  const bodies = b.groups.map((/** @type {{title?: string, rows: string[][], about?: string[]}} */ g) => el("tbody", {},
    ...(g.title ? [el("tr", {}, el("th", { scope: "rowgroup", colspan: b.columns.length }, g.title))] : []),
    ...g.rows.map((cells, i) => row(cells, g.about?.[i]))));
  return el("div", { class: "wide" }, el("table", {}, el("thead", {}, el("tr", {}, ...heads)), ...bodies));
}

/**
 * figure shows a drawing as an image, which runs nothing that it may hold.
 * @param {string | Node | undefined} drawing @param {string} head
 */
function figure(drawing, head) {
  if (drawing === undefined) return [];
  return [typeof drawing === "string" ? el("img", { alt: head, src: `data:image/svg+xml,${encodeURIComponent(drawing)}` }) : drawing];
}

/**
 * wrong returns what is an error or a warning in a document, a line each.
 * @param {Doc} doc
 */
export function wrong(doc) {
  const all = doc.blocks.flatMap((b) => (b.kind === "findings" ? b.findings : []));
  return all.filter((f) => f.severity !== "note").map((f) => el("li", { class: f.severity }, f.line, ...(f.hint ? [el("p", { class: "hint" }, f.hint)] : [])));
}

/** @param {Block} b */
function findings(b) {
  return el("ul", { class: "findings" }, ...b.findings.map((/** @type {{severity: string, line: string, hint?: string, facts?: any[]}} */ f) =>
    el("li", { class: f.severity }, f.line, ...(f.hint ? [el("p", { class: "hint" }, f.hint)] : []), ...(f.facts ? [figures(f.facts)] : []))));
}

/** figures places what a finding rests on, a figure a cell. @param {{name: string, figure: string, unit?: string, assumed?: boolean}[]} list */
function figures(list) {
  return el("dl", { class: "figures" }, ...list.map((x) => el("div", { class: x.assumed ? "assumed" : null },
    el("dt", {}, x.name), el("dd", {}, el("b", {}, x.figure), x.unit ? ` ${x.unit}` : "", x.assumed ? ", assumed" : ""))));
}
