// @ts-check
// Which cables somebody has ticked, and what each joined then: kept in this browser, by plan code.

/** @typedef {{cable: string, from: string, to: string}} Cable */
/**
 * @typedef {{rig: string, at: number, before?: string, gone?: Record<string, true>, cables: Record<string, {from: string, to: string}>, moves: Record<string, true>}} Sheet
 * of a plan: at counts up with everything that is ticked; before is the plan whose ticks may be taken over, and gone are
 * the cables whose ticks were taken away meanwhile.
 */

const key = "choirloft-ticks", most = 12; // plans that are kept

export class Ticks {
  /** @param {Pick<Storage, "getItem" | "setItem">} storage */
  constructor(storage) {
    this.storage = storage;
    this.keeps = true; // the browser lets us
    /** @type {Record<string, Sheet>} by plan code */ this.sheets = {};
    this.plan = "";
    this.rig = "";
    this.read();
  }

  /** read takes what is kept, since another tab may have ticked. */
  read() {
    try { this.sheets = JSON.parse(this.storage.getItem(key) ?? "{}"); } catch { this.keeps = false; }
  }

  write() {
    const kept = Object.entries(this.sheets).sort(([, a], [, b]) => b.at - a.at).slice(0, most);
    this.sheets = Object.fromEntries(kept);
    try { this.storage.setItem(key, JSON.stringify(this.sheets)); } catch { this.keeps = false; }
  }

  /** of turns to a plan of a rig. @param {string} plan @param {string} rig */
  of(plan, rig) {
    this.plan = plan;
    this.rig = rig;
  }

  /** pending is the plan whose ticks are not those of this one, and may be taken over; empty for none. */
  pending() {
    const mine = this.sheets[this.plan];
    if (mine?.before) return count(this.sheets[mine.before]) ? mine.before : "";
    const [last] = Object.entries(this.sheets).filter(([, s]) => s.rig === this.rig && count(s)).sort(([, a], [, b]) => b.at - a.at);
    return last && last[0] !== this.plan && !(mine && mine.at > last[1].at) ? last[0] : "";
  }

  /** sheet is that of the plan, as far as it is to be trusted: none once there are later ticks by another. */
  sheet() {
    const mine = this.sheets[this.plan];
    return mine && (mine.before || !this.pending()) ? mine : undefined;
  }

  /**
   * ticked are the cables that are ticked by a plan, and those of the plan before it as long as nobody said what became of
   * them: they are still in. @param {string} plan @returns {Cable[]}
   */
  ticked(plan) {
    /** @type {Record<string, {from: string, to: string}>} */ let cables = {};
    /** @type {string[]} */ const plans = [];
    for (let p = plan; p && !plans.includes(p); p = this.sheets[p]?.before ?? "") plans.unshift(p);
    for (const p of plans) {
      cables = { ...cables, ...this.sheets[p]?.cables };
      for (const cable of Object.keys(this.sheets[p]?.gone ?? {})) delete cables[cable];
    }
    return Object.entries(cables).map(([cable, ends]) => ({ cable, ...ends }));
  }

  /** has tells whether a cable is ticked, between its two ends. @param {Cable} c */
  has(c) {
    const ends = this.sheet()?.cables[c.cable];
    return ends?.from === c.from && ends.to === c.to;
  }

  /** moved tells whether a move is done. @param {string} move */
  moved(move) { return Boolean(this.sheet()?.moves[move]); }

  /** edit changes the sheet of the plan, and keeps it. @param {(sheet: Sheet) => void} change */
  edit(change) {
    this.read();
    const before = this.pending(), sheet = this.sheet() ?? { rig: this.rig, at: 0, ...(before && { before }), cables: {}, moves: {} };
    change(sheet);
    sheet.at = 1 + Math.max(0, ...Object.values(this.sheets).map((s) => s.at));
    this.sheets[this.plan] = sheet;
    this.write();
  }

  /** tick ticks cables, each between its ends, or takes the ticks away. @param {Cable[]} cables @param {boolean} on */
  tick(cables, on) {
    this.edit((sheet) => {
      for (const { cable, from, to } of cables) {
        if (on) {
          sheet.cables[cable] = { from, to };
          if (sheet.gone) delete sheet.gone[cable];
        } else {
          delete sheet.cables[cable];
          if (sheet.before) sheet.gone = { ...sheet.gone, [cable]: true };
        }
      }
    });
  }

  /** move ticks a move, or takes the tick away. @param {string} move @param {boolean} on */
  move(move, on) {
    this.edit((sheet) => {
      if (on) sheet.moves[move] = true;
      else delete sheet.moves[move];
    });
  }

  /** settle ends the question of what was ticked before: these are taken over. @param {Cable[]} cables */
  settle(cables) {
    this.edit((sheet) => {
      delete sheet.before;
      delete sheet.gone;
      for (const { cable, from, to } of cables) sheet.cables[cable] = { from, to };
    });
  }
}

/** count is how many cables are ticked. @param {Sheet | undefined} sheet */
function count(sheet) { return Object.keys(sheet?.cables ?? {}).length; }
