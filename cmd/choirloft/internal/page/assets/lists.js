// @ts-check
// Lists of things to act on or to read about: each is one stop of the tab key, and arrows go through it.

/** What is a list, and what in it is gone through. */
const kinds = [["table", "tbody tr[tabindex]"], ["table", "thead th[tabindex]"], ["table", "tbody button"], ["dl", "dt[tabindex]"], ["#rack", ".voice"], ["#faults", "button"],
  ["#bench-channels", "button"], ["#bench-parts", "button"], ["#bench-banks", "button"], ["#plug-page", ".toggle"]];

/** @param {Element} list @param {string} item @returns {HTMLElement[]} */
const itemsOf = (list, item) => [...list.querySelectorAll(item)].map((e) => /** @type {HTMLElement} */ (e));

/** stop leaves one item to the tab key. @param {HTMLElement[]} items @param {HTMLElement | undefined} at */
function stop(items, at) { for (const item of items) item.tabIndex = item === at ? 0 : -1; }

/** oneStop does so with every list on the page: where one was, what is chosen, or the first. */
export function oneStop() {
  for (const [kind, item] of kinds) {
    for (const list of document.querySelectorAll(kind)) {
      const items = itemsOf(list, item);
      stop(items, items.find((e) => e === document.activeElement) ?? items.find((e) => e.matches("[aria-selected=true], [aria-pressed=true]")) ?? items[0]);
    }
  }
}

/** within finds the list that an element is in, and its place there. @param {EventTarget | null} target */
function within(target) {
  for (const [kind, item] of target instanceof HTMLElement ? kinds : []) {
    const e = /** @type {HTMLElement} */ (target), list = e.matches(item) && e.closest(kind);
    if (!list) continue;
    const items = itemsOf(list, item);
    return { list, items, at: items.indexOf(e) };
  }
  return null;
}

/** wireLists lets arrows, Home and End go through every list. */
export function wireLists() {
  document.addEventListener("focusin", (e) => {
    const found = within(e.target);
    if (found) stop(found.items, found.items[found.at]);
  });
  document.addEventListener("keydown", (e) => {
    const found = e.ctrlKey || e.metaKey || e.altKey ? null : within(e.target);
    const next = found && move(found, e.key);
    if (!next) return;
    e.preventDefault();
    next.focus();
  });
}

/** move is where a key leads. @param {{list: Element, items: HTMLElement[], at: number}} found @param {string} key */
function move({ list, items, at }, key) {
  const by = { ArrowDown: 1, ArrowRight: 1, ArrowUp: -1, ArrowLeft: -1 }[key];
  if (by && list.id === "rack" && (key === "ArrowUp" || key === "ArrowDown")) return across(list, items[at], by);
  return by ? items[at + by] : { Home: items[0], End: items[items.length - 1] }[key];
}

/** across is the voice above or below, in the bank there. @param {Element} rack @param {HTMLElement} voice @param {number} by */
function across(rack, voice, by) {
  const banks = [...rack.children], bank = banks.findIndex((b) => b.contains(voice));
  const there = banks[bank + by] ? itemsOf(banks[bank + by], ".voice") : [];
  return there[Math.min(itemsOf(banks[bank], ".voice").indexOf(voice), there.length - 1)];
}
