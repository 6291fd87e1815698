// Kinds of light: which are shown at once, and how one is found among many.

export type KindOf = { name: string; symbol: string; sort: string; usual: boolean; modes: readonly { name: string; channels: number }[] };

/** A kind fits when every typed word is in its name or sort, or is the number of channels of one of its modes. */
export function finding<K extends KindOf>(kinds: readonly K[], typed: string): K[] {
  const words = typed.toLowerCase().split(/\s+/).filter((word) => word && !/^(ch|channels?)$/.test(word));
  const fits = (kind: K, word: string) =>
    /^\d+$/.test(word)
      ? kind.modes.some((mode) => mode.channels === Number(word)) || kind.name.includes(word)
      : kind.name.toLowerCase().includes(word) || kind.sort.includes(word);
  const first = words[0] ?? '';
  // Names that begin so come first.
  const rank = (kind: K) => (kind.name.toLowerCase().startsWith(first) ? 0 : kind.name.toLowerCase().includes(first) ? 1 : 2);
  return kinds.filter((kind) => words.every((word) => fits(kind, word))).sort((a, b) => rank(a) - rank(b));
}
