// Keeps the page's place when the show changes under it. Pure: what was and what is in, the same things known again out.

/**
 * Whatever of `fresh` equals what was there before, as the very same object: what did not change is not drawn anew.
 * Both are plain data as JSON has it.
 */
export function shared<T>(before: unknown, fresh: T): T {
  if (Object.is(before, fresh) || typeof fresh !== 'object' || fresh === null || typeof before !== 'object' || before === null) return fresh;
  if (Array.isArray(fresh)) {
    if (!Array.isArray(before)) return fresh;
    const all = fresh.map((item, i) => shared(before[i], item));
    return same(before, all) ? (before as T) : (all as T);
  }
  const was = before as Record<string, unknown>;
  const now = fresh as Record<string, unknown>;
  const all = Object.fromEntries(Object.entries(now).map(([key, value]) => [key, shared(was[key], value)]));
  const keys = Object.keys(all);
  return keys.length === Object.keys(was).length && keys.every((key) => key in was && was[key] === all[key]) ? (before as T) : (all as T);
}

function same(a: readonly unknown[], b: readonly unknown[]): boolean {
  return a.length === b.length && a.every((item, i) => item === b[i]);
}

/** Things in order, each with a number of this page's own that stays with it. */
export type Known = { names: readonly string[]; ids: readonly number[] };

let last = 0;

/**
 * Knows things again: by their names; and where as many names are new as are gone, in order (a thing called otherwise).
 * Everything else is new.
 */
export function follow(before: Known, names: readonly string[]): Known {
  const left = new Set(before.ids.keys());
  const take = (index: number | undefined) => {
    if (index === undefined) return undefined;
    left.delete(index);
    return before.ids[index];
  };
  const byName = names.map((name, i) => {
    const at = before.names[i] === name && left.has(i) ? i : [...left].find((index) => before.names[index] === name);
    return take(at);
  });
  const fresh = byName.filter((id) => id === undefined).length;
  const gone = [...left];
  const ids = byName.map((id) => id ?? (fresh === gone.length ? take(gone.find((index) => left.has(index))) : undefined) ?? (last += 1));
  return { names, ids };
}

/** Nothing yet. */
export const NOBODY: Known = { names: [], ids: [] };

/** A name that none has yet: 'Cake 2' beside 'Cake'; counted on from a number at its end. */
export function freeName(wanted: string, taken: readonly string[]): string {
  const lower = new Set(taken.map((name) => name.toLowerCase()));
  if (!lower.has(wanted.toLowerCase())) return wanted;
  const stem = wanted.replace(/ \d+$/, '').slice(0, 56);
  for (let n = 2; ; n += 1) if (!lower.has(`${stem} ${n}`.toLowerCase())) return `${stem} ${n}`;
}

/** A time halved or doubled, as it is written: '4 beats' to '2 beats'. What is no time stays null. */
export function scaled(time: string, factor: number): string | null {
  const found = /^\s*(\d+(?:\.\d+)?)\s*(beats?|bars?|phrases?|s|ms|min)\s*$/.exec(time);
  if (!found) return null;
  const value = Math.round(Number(found[1]) * factor * 10_000) / 10_000;
  const word = /^(beat|bar|phrase)s?$/.exec(found[2] ?? '')?.[1];
  const unit = word ? (value === 1 ? word : `${word}s`) : found[2];
  return value > 0 ? `${value} ${unit}` : null;
}
