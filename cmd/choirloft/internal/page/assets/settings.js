// @ts-check
// What the controls say, and the flags that say the same to the command.

/**
 * @typedef {{pick?: string, steal?: string, tails?: string, same_key?: string, release?: string, unison?: number}} PartSettings
 * @typedef {{voices: number | null, without: string[], parts: Record<string, PartSettings>, extra: string[]}} Settings
 */

/** every is the name under which what holds for all parts is kept. */
export const every = "";

/** @returns {Settings} */
export function asTheRig() {
  return { voices: null, without: [], parts: {}, extra: [] };
}

const kinds = /** @type {const} */ ([
  ["unison", "--unison"], ["release", "--release"], ["pick", "--pick"], ["steal", "--steal"], ["tails", "--tails"], ["same_key", "--same-key"],
]);

/**
 * flags returns the settings as the command takes them: a flag and its value
 * in turn.
 * @param {Settings} s
 * @returns {string[]}
 */
export function flags(s) {
  /** @type {string[]} */
  const words = [];
  if (s.voices !== null) words.push("--voices", String(s.voices));
  if (s.without.length) words.push("--without", s.without.join(","));
  for (const [key, flag] of kinds) {
    for (const part of Object.keys(s.parts).sort()) {
      const value = s.parts[part][key];
      if (value !== undefined) words.push(flag, part === every ? String(value) : `${part}=${value}`);
    }
  }
  return words.concat(s.extra);
}

/**
 * withFix returns the settings with the flags of a remedy on top. What the
 * controls show is set there; the rest is kept as it is typed.
 * @param {Settings} s
 * @param {string[]} fix
 * @returns {Settings}
 */
export function withFix(s, fix) {
  const next = structuredClone(s);
  for (let i = 0; i + 1 < fix.length; i += 2) {
    const [flag, typed] = [fix[i], fix[i + 1]];
    const kind = kinds.find((k) => k[1] === flag);
    const at = typed.indexOf("=");
    const part = at < 0 ? every : typed.slice(0, at);
    if (flag === "--voices" && at < 0) {
      next.voices = Number(typed);
    } else if (kind) {
      const value = at < 0 ? typed : typed.slice(at + 1);
      if (part === every) for (const p of Object.keys(next.parts)) delete next.parts[p][kind[0]];
      next.parts[part] = { ...next.parts[part], [kind[0]]: kind[0] === "unison" ? Number(value) : value };
    } else {
      next.extra = dropped(next.extra, flag, part).concat(flag, typed);
    }
  }
  return next;
}

/**
 * dropped leaves out what a new value goes in place of.
 * @param {string[]} words
 * @param {string} flag
 * @param {string} part
 */
function dropped(words, flag, part) {
  /** @type {string[]} */
  const kept = [];
  for (let i = 0; i + 1 < words.length; i += 2) {
    const at = words[i + 1].indexOf("=");
    const other = at < 0 ? every : words[i + 1].slice(0, at);
    if (words[i] !== flag || (part !== every && other !== part)) kept.push(words[i], words[i + 1]);
  }
  return kept;
}

/**
 * quoted writes flags as one would type them.
 * @param {string[]} words
 */
export function quoted(words) {
  return words.map((w) => (/^[\w=.,:/-]+$/.test(w) ? w : `"${w}"`)).join(" ");
}

/** History keeps what was, to go back to. @template T */
export class History {
  /** @param {T} now */
  constructor(now) {
    this.now = now;
    /** @type {T[]} */ this.before = [];
    /** @type {T[]} */ this.after = [];
  }
  /** @param {T} next */
  change(next) {
    if (JSON.stringify(next) === JSON.stringify(this.now)) return false;
    this.before.push(this.now);
    if (this.before.length > 200) this.before.shift();
    this.after = [];
    this.now = next;
    return true;
  }
  /** A change that goes on, as of a slider that is dragged, is one. @param {T} next */
  replace(next) {
    this.now = next;
  }
  undo() {
    const was = this.before.pop();
    if (was === undefined) return false;
    this.after.push(this.now);
    this.now = was;
    return true;
  }
  redo() {
    const next = this.after.pop();
    if (next === undefined) return false;
    this.before.push(this.now);
    this.now = next;
    return true;
  }
}
